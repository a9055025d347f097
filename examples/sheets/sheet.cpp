// SPDX-License-Identifier: MIT
#include "sheets/sheet.h"

namespace sheets {
namespace {

/// Lists that an aplomb_sheet points at.
struct Lists {
    std::vector<aplomb_cell> cells;
    std::vector<const char*> row_names, column_names;
};

std::vector<const char*> texts(const std::vector<std::string>& words) {
    std::vector<const char*> list;
    for (const std::string& word : words)
        list.push_back(word.c_str());
    return list;
}

Lists lists_of(const Sheet& sheet) {
    Lists lists = {{}, texts(sheet.row_names), texts(sheet.column_names)};
    for (const Cell& cell : sheet.cells)
        lists.cells.push_back({cell.scene ? &cell.scene->picture : nullptr, cell.view, cell.marks ? 1 : 0,
                               cell.caption.c_str()});
    return lists;
}

} // namespace

void write_sheets(const std::vector<Sheet>& sheets, const std::string& path) {
    std::vector<Lists> lists;
    std::vector<aplomb_sheet> plain;
    lists.reserve(sheets.size());
    for (const Sheet& sheet : sheets) {
        const Lists& l = lists.emplace_back(lists_of(sheet));
        plain.push_back({sheet.title.c_str(), sheet.text.empty() ? nullptr : sheet.text.c_str(),
                         sheet.columns, static_cast<int32_t>(l.cells.size()), l.cells.data(),
                         l.row_names.empty() ? nullptr : l.row_names.data(),
                         l.column_names.empty() ? nullptr : l.column_names.data()});
    }
    aplomb_error error{};
    aplomb::check(aplomb_sheets_write(plain.data(), static_cast<int32_t>(plain.size()), path.c_str(), &error),
                  error);
}

} // namespace sheets

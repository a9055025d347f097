// SPDX-License-Identifier: MIT
// A sheet that owns its words, over the plain structs of files.h.
#pragma once

#include "sheets/beekeeper.h"

namespace sheets {

struct Cell {
    const Scene* scene; // NULL: stays empty
    aplomb_view view;
    bool marks;
    std::string caption;
};

struct Sheet {
    std::string title, text;
    int columns;
    std::vector<std::string> row_names, column_names; // empty: none
    std::vector<Cell> cells;                          // row by row
};

/// One page per sheet. Throws aplomb::Error where the file cannot be written.
void write_sheets(const std::vector<Sheet>& sheets, const std::string& path);

} // namespace sheets

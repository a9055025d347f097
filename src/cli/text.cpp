// SPDX-License-Identifier: MIT
#include "cli/text.h"

#include <algorithm>
#include <cstdio>

#include "cli/failure.h"
#include "cli/numbers.h"

namespace aplomb::cli {
namespace {

/// Code points, not bytes, of UTF-8.
size_t width(const std::string& text) {
    return static_cast<size_t>(
        std::count_if(text.begin(), text.end(), [](unsigned char c) { return (c & 0xC0) != 0x80; }));
}

} // namespace

std::string Table::text() const {
    std::vector<size_t> widths(m_right.size());
    for (const auto& row : m_rows) {
        for (size_t i = 0; i < row.size(); ++i)
            widths[i] = std::max(widths[i], width(row[i]));
    }
    std::string text;
    for (const auto& row : m_rows) {
        std::string line;
        for (size_t i = 0; i < row.size(); ++i) {
            const std::string space(widths[i] - width(row[i]), ' ');
            line += "  " + (m_right[i] ? space + row[i] : row[i] + space);
        }
        line.erase(line.find_last_not_of(' ') + 1);
        text += line + "\n";
    }
    return text;
}

std::string centimetres(double metres) {
    return fixed_number(100 * metres, 1) + " cm";
}

std::string degrees(double radians) {
    return fixed_number(radians * 180 / 3.14159265358979323846, 1) + " degrees";
}

std::string kilograms(double kg) {
    return fixed_number(kg, 1) + " kg";
}

std::string per_cent(double part) {
    return fixed_number(100 * part, 0) + " %";
}

std::string quoted_cell(const std::string& text) {
    if (text.find_first_of(",\"\n") == std::string::npos) return text;
    std::string out = "\"";
    for (const char c : text)
        out += c == '"' ? std::string("\"\"") : std::string(1, c);
    return out + "\"";
}

void print(const std::string& text) {
    if (std::fwrite(text.data(), 1, text.size(), stdout) != text.size() || std::fflush(stdout) != 0)
        throw Failure{"the result cannot be printed"};
}

} // namespace aplomb::cli

// SPDX-License-Identifier: MIT
// Plain text for people: aligned columns, centimetres and degrees.
#pragma once

#include <string>
#include <vector>

namespace aplomb::cli {

/// Rows of cells in columns as wide as their widest cell.
class Table {
public:
    /// `right`: per column, whether it is set flush right, as numbers are.
    explicit Table(std::vector<bool> right) : m_right(std::move(right)) {}
    void add(std::vector<std::string> cells) { m_rows.push_back(std::move(cells)); }
    bool empty() const { return m_rows.empty(); }
    /// Two spaces in front of every line and between columns.
    std::string text() const;

private:
    std::vector<bool> m_right;
    std::vector<std::vector<std::string>> m_rows;
};

std::string centimetres(double metres);
std::string degrees(double radians);
std::string kilograms(double kg);
std::string per_cent(double part);
/// Fit for a column's head in a table with commas.
std::string quoted_cell(const std::string& text);
/// A number in such a table; empty: not known.
std::string cell(double value);

/// To standard output; a failure, such as a full disk, is one.
void print(const std::string& text);

} // namespace aplomb::cli

// SPDX-License-Identifier: MIT
// Reads the text files of the recorded gait: tables of numbers, and elements of a model.
#pragma once

#include "recording.h"

#include <fstream>
#include <sstream>
#include <utility>

namespace recorded {

/// A .mot or .sto file: a header, then names, then rows.
struct Table {
    std::vector<std::string> names;
    std::vector<std::vector<double>> rows;

    explicit Table(const std::string& file) {
        std::ifstream stream(made::reference / "gait" / file);
        std::string line;
        while (std::getline(stream, line) && line.find("endheader") == std::string::npos)
            continue;
        std::getline(stream, line);
        std::istringstream head(line);
        for (std::string name; head >> name;)
            names.push_back(name);
        while (std::getline(stream, line)) {
            std::istringstream words(line);
            std::vector<double> row;
            for (double value = 0; words >> value;)
                row.push_back(value);
            if (row.size() == names.size()) rows.push_back(row);
        }
    }
    std::size_t column(const std::string& name) const {
        const auto found = std::find(names.begin(), names.end(), name);
        EXPECT_NE(found, names.end()) << name;
        return static_cast<std::size_t>(found - names.begin());
    }
    double at(std::size_t row, const std::string& name) const { return rows[row][column(name)]; }
    Vec3 vector_at(std::size_t row, const std::string& x, const std::string& y, const std::string& z) const {
        return {at(row, x), at(row, y), at(row, z)};
    }
    /// Linear between rows.
    double value(double time, const std::string& name) const {
        const std::size_t c = column(name);
        std::size_t i = 1;
        while (i + 1 < rows.size() && rows[i][0] < time)
            ++i;
        const double part = (time - rows[i - 1][0]) / (rows[i][0] - rows[i - 1][0]);
        return rows[i - 1][c] + part * (rows[i][c] - rows[i - 1][c]);
    }
};

inline std::vector<double> numbers(const std::string& text) {
    std::istringstream words(text);
    std::vector<double> values;
    for (double value = 0; words >> value;)
        values.push_back(value);
    return values;
}

/// What stands between the first <tag> or <tag name="..."> at or after `from` and its end; "" where there is none.
inline std::string element(const std::string& text, const std::string& tag, std::size_t from = 0) {
    std::size_t start = text.find("<" + tag, from);
    while (start != std::string::npos && text[start + tag.size() + 1] != '>' &&
           text[start + tag.size() + 1] != ' ')
        start = text.find("<" + tag, start + 1);
    if (start == std::string::npos) return "";
    start = text.find('>', start) + 1;
    return text.substr(start, text.find("</" + tag + ">", start) - start);
}

/// Every <tag name="..."> with its name, in the file's order.
inline std::vector<std::pair<std::string, std::string>> named(const std::string& text,
                                                              const std::string& tag) {
    std::vector<std::pair<std::string, std::string>> found;
    const std::string start = "<" + tag + " name=\"";
    for (std::size_t at = text.find(start); at != std::string::npos; at = text.find(start, at + 1)) {
        const std::size_t name = at + start.size();
        found.emplace_back(text.substr(name, text.find('"', name) - name), element(text, tag, at));
    }
    return found;
}

} // namespace recorded

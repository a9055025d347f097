// SPDX-License-Identifier: MIT
#include "io/near_names.h"

#include <algorithm>
#include <numeric>
#include <utility>

namespace aplomb::io {

std::string lower_case(std::string text) {
    for (char& c : text)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    return text;
}

int whole_number(const std::string& text) {
    if (text.empty() || text.size() > 9) return -1;
    int value = 0;
    for (const char c : text) {
        if (c < '0' || c > '9') return -1;
        value = value * 10 + (c - '0');
    }
    return value;
}

int edit_distance(const std::string& first, const std::string& second) {
    const std::string a = lower_case(first), b = lower_case(second);
    std::vector<int> row(b.size() + 1);
    std::iota(row.begin(), row.end(), 0);
    for (std::size_t i = 0; i < a.size(); ++i) {
        int diagonal = row[0];
        row[0] = static_cast<int>(i) + 1;
        for (std::size_t j = 0; j < b.size(); ++j) {
            const int exchanged = diagonal + (a[i] == b[j] ? 0 : 1);
            diagonal = row[j + 1];
            row[j + 1] = std::min({exchanged, row[j] + 1, row[j + 1] + 1});
        }
    }
    return row.back();
}

namespace {

/// The distance to the whole name or to one of its words of three letters or more, if nearer: "honye" is near "honey box".
int distance_to(const std::string& wished, const std::string& name) {
    int nearest = edit_distance(wished, name);
    for (std::size_t from = 0; from < name.size();) {
        const std::size_t to = std::min(name.find_first_of(" _-.:", from), name.size());
        if (to - from >= 3) nearest = std::min(nearest, edit_distance(wished, name.substr(from, to - from)));
        from = to + 1;
    }
    return nearest;
}

/// "LeftHand" of "hero:LeftHand": other files of the same character may lack the prefix, or have another.
std::string without_prefix(const std::string& name) {
    const std::size_t own = name.find_last_of(':') + 1; // 0 where there is none
    return own < name.size() ? name.substr(own) : name;
}

} // namespace

std::string near_names(const std::string& wished, const std::vector<std::string>& names) {
    constexpr std::size_t longest = 128; // the distance takes the product of both lengths
    if (wished.size() > longest) return "";
    const std::string own = without_prefix(wished);
    const int limit = std::max(2, static_cast<int>(own.size()) / 3);
    std::vector<std::pair<int, std::string>> found;
    for (const std::string& name : names)
        if (!name.empty() && name.size() <= longest)
            if (const int distance = distance_to(own, name); distance <= limit)
                found.emplace_back(distance, name);
    std::sort(found.begin(), found.end());
    std::string text;
    for (std::size_t i = 0; i < found.size() && i < 3; ++i)
        text += (i == 0 ? "; near: '" : ", '") + found[i].second + "'";
    return text;
}

} // namespace aplomb::io

// SPDX-License-Identifier: MIT
// Names that a caller or a file gives, and what may have been meant.
#pragma once

#include <string>
#include <vector>

namespace aplomb::io {

/// ASCII only; other bytes stay.
std::string lower_case(std::string text);

/// A text of digits alone; else -1.
int whole_number(const std::string& text);

/// Insertions, deletions and exchanges from one to the other, letter case aside (Levenshtein 1966).
int edit_distance(const std::string& a, const std::string& b);

/// "; near: 'LeftFoot', 'LeftToe'", at most three; empty where nothing is near.
std::string near_names(const std::string& wished, const std::vector<std::string>& names);

} // namespace aplomb::io

// SPDX-License-Identifier: MIT
// Numbers as people write them on a command line: "20kg", "30%", "0,-9.81,0".
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace aplomb::cli {

/// A finite number and nothing else around it.
std::optional<double> parse_number(std::string_view text);
/// "0.7" or "70%".
std::optional<double> parse_part(std::string_view text);

/// The same of 0 to `most`; else a Failure that begins with `where`.
double part_between(const std::string& where, const std::string& text, double most);

/// The pieces between separators, without blanks around them; at least one, maybe empty.
std::vector<std::string> split(std::string_view text, char separator);
/// The pieces between the commas of each.
std::vector<std::string> split_all(const std::vector<std::string>& lists);

/// "20 kg", "0.35": at most `decimals`, without trailing zeros.
std::string short_number(double value, int decimals);
/// Always `decimals` digits, so that columns line up; "-0.0" comes out as "0.0".
std::string fixed_number(double value, int decimals);

} // namespace aplomb::cli

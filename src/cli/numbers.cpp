// SPDX-License-Identifier: MIT
#include "cli/numbers.h"

#include <charconv>
#include <cmath>
#include <cstdio>

namespace aplomb::cli {

std::optional<double> parse_number(std::string_view text) {
    if (text.size() > 1 && text[0] == '+' && text[1] != '-') text.remove_prefix(1);
    double value = 0;
    const char* end = text.data() + text.size();
    const auto [rest, fault] = std::from_chars(text.data(), end, value);
    if (fault != std::errc() || rest != end || !std::isfinite(value)) return std::nullopt;
    return value;
}

std::optional<double> parse_part(std::string_view text) {
    if (!text.ends_with('%')) return parse_number(text);
    text.remove_suffix(1);
    const auto value = parse_number(text);
    if (!value) return std::nullopt;
    return *value / 100;
}

std::vector<std::string> split(std::string_view text, char separator) {
    std::vector<std::string> pieces;
    for (;;) {
        const size_t at = text.find(separator);
        pieces.emplace_back(text.substr(0, at));
        if (at == std::string_view::npos) return pieces;
        text.remove_prefix(at + 1);
    }
}

std::string fixed_number(double value, int decimals) {
    char buffer[64];
    std::snprintf(buffer, sizeof buffer, "%.*f", decimals, value);
    const std::string text = buffer;
    const bool zero = text[0] == '-' && text.find_first_of("123456789") == std::string::npos;
    return zero ? text.substr(1) : text;
}

std::string short_number(double value, int decimals) {
    std::string text = fixed_number(value, decimals);
    if (text.find('.') == std::string::npos) return text;
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text.pop_back();
    return text;
}

} // namespace aplomb::cli

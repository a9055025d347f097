// SPDX-License-Identifier: MIT
#include "cli/numbers.h"

#include <charconv>
#include <cmath>
#include <cstdio>

#include "cli/failure.h"

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

double part_between(const std::string& where, const std::string& text, double most) {
    const auto part = parse_part(text);
    if (part && *part >= 0 && *part <= most) return *part;
    const bool percent_meant = part && *part > most && *part <= 100 * most && !text.ends_with('%');
    throw Failure{where + ": '" + text + "' is not a part, 0 to " + short_number(most, 1) + " or 0% to " +
                  short_number(100 * most, 0) + "%" + (percent_meant ? "; did you mean " + text + "%?" : "")};
}

std::vector<std::string> split(std::string_view text, char separator) {
    std::vector<std::string> pieces;
    for (;;) {
        const size_t at = text.find(separator);
        std::string& piece = pieces.emplace_back(text.substr(0, at));
        piece.erase(0, piece.find_first_not_of(' '));
        piece.erase(piece.find_last_not_of(' ') + 1);
        if (at == std::string_view::npos) return pieces;
        text.remove_prefix(at + 1);
    }
}

std::vector<std::string> split_all(const std::vector<std::string>& lists) {
    std::vector<std::string> all;
    for (const std::string& list : lists)
        for (const std::string& piece : split(list, ','))
            all.push_back(piece);
    return all;
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

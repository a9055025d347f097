// SPDX-License-Identifier: MIT
#include "cli/options.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <optional>

#include "cli/failure.h"
#include "cli/numbers.h"

namespace aplomb::cli {
namespace {

constexpr double degree = 3.14159265358979323846 / 180;

aplomb_option_info info_at(int32_t index) {
    aplomb_option_info info;
    aplomb_option_info_init(&info, sizeof info);
    aplomb_option_describe(index, &info, nullptr);
    return info;
}

std::optional<int32_t> find(const std::string& name) {
    for (int32_t i = 0; i < aplomb_option_count(); ++i) {
        if (name == info_at(i).name) return i;
    }
    return {};
}

bool is_angle(const aplomb_option_info& info) {
    return std::string(info.unit) == "radians";
}

std::string all_names() {
    std::string names;
    for (int32_t i = 0; i < aplomb_option_count(); ++i)
        names.append(i > 0 ? ", " : "").append(info_at(i).name);
    return names;
}

/// Four digits, rounded towards the inside, `sign`: what is told to be allowed is allowed.
std::string bound(double value, int sign) {
    char text[40];
    std::snprintf(text, sizeof text, "%.4g", value);
    if ((std::strtod(text, nullptr) - value) * sign < 0) {
        const double digit = std::pow(10.0, std::floor(std::log10(std::fabs(value))) - 3);
        std::snprintf(text, sizeof text, "%.4g", value + sign * digit);
    }
    return text;
}

/// A part of something, as of a length, rather than a weight, a count or a switch: those go higher, or are whole.
bool is_part(const aplomb_option_info& info) {
    return info.whole == 0 && !is_angle(info) && info.highest <= 10;
}

/// As a person writes it: a part in per cent, an angle in degrees.
std::string range_of(const aplomb_option_info& info, bool in_per_cent) {
    const double unit = is_angle(info) ? degree : in_per_cent ? 0.01 : 1;
    const char* sign = in_per_cent ? "%" : "";
    return bound(info.lowest / unit, 1) + sign + " to " + bound(info.highest / unit, -1) + sign;
}

void set(const GivenOption& given, aplomb_options& options) {
    const std::string where = given.words + ": ";
    if (given.name.empty()) throw Failure{where + "NAME=VALUE is needed, such as hips_side=0.05"};
    const std::optional<int32_t> index = find(given.name);
    if (!index) throw Failure{where + "there is no option \"" + given.name + "\"; there are " + all_names()};
    const aplomb_option_info info = info_at(*index);
    const std::optional<double> number = is_part(info) ? parse_part(given.value) : parse_number(given.value);
    if (!number)
        throw Failure{where + "a bare number is needed" +
                      (is_part(info) ? ", or one with %, such as 8%" : "")};
    const double value = *number * (is_angle(info) ? degree : 1);
    aplomb_error error{};
    if (aplomb_option_set(&options, *index, value, &error) >= 0) return;
    if (value >= info.lowest && value <= info.highest) throw Failure{where + "a whole number is needed"};
    const bool in_per_cent = given.value.ends_with('%');
    const bool per_cent_meant =
        is_part(info) && !in_per_cent && value > info.highest && value <= 100 * info.highest;
    throw Failure{where + range_of(info, in_per_cent) + (is_angle(info) ? " degrees" : "") + " are allowed" +
                  (per_cent_meant ? "; did you mean " + given.value + "%?" : "")};
}

} // namespace

bool has_option(const std::string& name) {
    return find(name).has_value();
}

std::string usual_text(const std::string& name) {
    const aplomb_option_info info = info_at(find(name).value());
    return is_part(info) ? short_number(100 * info.usual, 1) + '%' : short_number(info.usual, 4);
}

std::string range_text(const std::string& name) {
    return range_of(info_at(find(name).value()), true);
}

GivenOption split_option(const std::string& text) {
    const size_t sign = text.find('=');
    const std::string words = "--option " + text;
    if (sign == std::string::npos) return {words, "", ""};
    return {words, text.substr(0, sign), text.substr(sign + 1)};
}

void set_options(const std::vector<GivenOption>& given, aplomb_options& options) {
    for (auto option = given.begin(); option != given.end(); ++option) {
        const auto same = std::find_if(
            given.begin(), option, [&](const GivenOption& earlier) { return earlier.name == option->name; });
        set(*option, options);
        if (same != option)
            throw Failure{same->words + " and " + option->words + " are one option; give it once"};
    }
}

Json json_of_options(const aplomb_options& options) {
    Json json = Json::object();
    for (int32_t i = 0; i < aplomb_option_count(); ++i)
        json[info_at(i).name] = aplomb_option_value(&options, i);
    return json;
}

} // namespace aplomb::cli

// SPDX-License-Identifier: MIT
#include "cli/options.h"

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

void set(const std::string& text, aplomb_options& options) {
    const size_t sign = text.find('=');
    const std::string where = "--option " + text + ": ";
    if (sign == std::string::npos) throw Failure{where + "NAME=VALUE is needed, such as hips_side=0.05"};
    const std::string name = text.substr(0, sign);
    const std::optional<int32_t> index = find(name);
    if (!index) throw Failure{where + "there is no option \"" + name + "\"; there are " + all_names()};
    const std::optional<double> given = parse_number(text.substr(sign + 1));
    if (!given) throw Failure{where + "a bare number is needed after the ="};
    const aplomb_option_info info = info_at(*index);
    const double unit = is_angle(info) ? degree : 1;
    aplomb_error error{};
    if (aplomb_option_set(&options, *index, *given * unit, &error) < 0) {
        const bool ranged = *given * unit < info.lowest || *given * unit > info.highest;
        throw Failure{where + (ranged
                                   ? bound(info.lowest / unit, 1) + " to " + bound(info.highest / unit, -1) +
                                         (is_angle(info) ? " degrees are allowed" : " are allowed")
                                   : "a whole number is needed")};
    }
}

} // namespace

aplomb_option_info option_info(const std::string& name) {
    return info_at(find(name).value());
}

void set_options(const std::vector<std::string>& texts, aplomb_options& options) {
    for (const std::string& text : texts)
        set(text, options);
}

Json json_of_options(const aplomb_options& options) {
    Json json = Json::object();
    for (int32_t i = 0; i < aplomb_option_count(); ++i)
        json[info_at(i).name] = aplomb_option_value(&options, i);
    return json;
}

} // namespace aplomb::cli

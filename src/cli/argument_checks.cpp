// SPDX-License-Identifier: MIT
#include "cli/argument_checks.h"

#include "aplomb/files.h"
#include "cli/numbers.h"

namespace aplomb::cli {
namespace {

/// The library's own checks print bounds of 300 digits.
CLI::Validator number_check(const char* wanted, bool (*allowed)(double)) {
    return CLI::Validator(
        [=](std::string& text) {
            const auto value = parse_number(text);
            return value && allowed(*value) ? std::string() : "'" + text + "' is not " + wanted;
        },
        "");
}

} // namespace

CLI::Validator positive(const char* wanted) {
    return number_check(wanted, [](double v) { return v > 0; });
}
CLI::Validator not_negative(const char* wanted) {
    return number_check(wanted, [](double v) { return v >= 0; });
}
CLI::Validator whole() {
    return number_check("a whole number from 0",
                        [](double v) { return v >= 0 && v <= 1e9 && v == static_cast<int32_t>(v); });
}

CLI::Validator axis() {
    return words<aplomb_axis>("an axis: x, y, z, -x, -y or -z", {{"x", APLOMB_AXIS_X},
                                                                 {"y", APLOMB_AXIS_Y},
                                                                 {"z", APLOMB_AXIS_Z},
                                                                 {"-x", APLOMB_AXIS_MINUS_X},
                                                                 {"-y", APLOMB_AXIS_MINUS_Y},
                                                                 {"-z", APLOMB_AXIS_MINUS_Z}});
}

CLI::Validator mass_table() {
    return words<aplomb_mass_table>("a mass table: male, female, dempster, child or skin",
                                    {{"male", APLOMB_MASS_DE_LEVA_MALE},
                                     {"female", APLOMB_MASS_DE_LEVA_FEMALE},
                                     {"dempster", APLOMB_MASS_DEMPSTER},
                                     {"skin", APLOMB_MASS_SKIN},
                                     {"child", APLOMB_MASS_CHILD}});
}

/// The last colon parts the clip's name, which may hold others, from the seconds.
CLI::Validator stand_check() {
    return CLI::Validator(
        [](std::string& text) {
            const std::size_t colon = text.rfind(':');
            const auto seconds = colon == std::string::npos
                                     ? std::nullopt
                                     : parse_number(std::string_view(text).substr(colon + 1));
            const bool sound =
                text == "none" || (colon != std::string::npos && colon > 0 && seconds && *seconds >= 0);
            return sound ? std::string()
                         : "'" + text + "' is not CLIP:SECONDS, such as idle:0.5, and not none";
        },
        "");
}

} // namespace aplomb::cli

// SPDX-License-Identifier: MIT
// One number of aplomb_options: the table of all (pose/options.h) sets it up, checks it and tells it to callers.
#pragma once

#include "aplomb/aplomb.h"

namespace aplomb {

struct OptionLine {
    const char* name;
    double aplomb_options::*number; // or
    int32_t aplomb_options::*whole;
    double usual, lowest, highest;
    const char* unit;
    const char* meaning;

    double get(const aplomb_options& o) const { return number ? o.*number : static_cast<double>(o.*whole); }
    void set(aplomb_options& o, double value) const {
        if (number)
            o.*number = value;
        else
            o.*whole = static_cast<int32_t>(value);
    }
    bool allows(double value) const { return value >= lowest && value <= highest; }
};

constexpr OptionLine option(const char* name, double aplomb_options::*member, double usual, double lowest,
                            double highest, const char* unit, const char* meaning) {
    return {name, member, nullptr, usual, lowest, highest, unit, meaning};
}
constexpr OptionLine option(const char* name, int32_t aplomb_options::*member, double usual, double lowest,
                            double highest, const char* unit, const char* meaning) {
    return {name, nullptr, member, usual, lowest, highest, unit, meaning};
}

inline constexpr const char of_leg[] = "of the leg's length", of_sole[] = "of the sole's length",
                            radians[] = "radians", bare[] = "";

} // namespace aplomb

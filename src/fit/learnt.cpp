// SPDX-License-Identifier: MIT
#include "fit/learnt.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "fit/measure.h"

namespace aplomb::fit {
namespace {

// `rest` is left out: it tells the same as `aim`.
constexpr const char* names[] = {"hips_side",  "hips_fore",       "hips_height", "hips_turn",
                                 "trunk_fore", "trunk_side",      "trunk_twist", "neck",
                                 "knee_bend",  "knee_straighten", "aim",         "heft",
                                 "give",       "hip_drop",        "free_arm",    "swivel"};
constexpr double widest = 10; // times its start, or a tenth of it

} // namespace

double Learnt::value(double logarithm) const {
    aplomb_option_info info;
    aplomb_option_info_init(&info, sizeof info);
    aplomb_option_describe(option, &info, nullptr);
    return std::clamp(usual * std::exp(logarithm), info.lowest, info.highest);
}

std::vector<Learnt> learnt_numbers(const aplomb_options& start) {
    std::vector<Learnt> numbers;
    for (const char* name : names) {
        Learnt number;
        number.option = option_index(name);
        aplomb_option_info info;
        aplomb_option_info_init(&info, sizeof info);
        if (aplomb_option_describe(number.option, &info, nullptr) != APLOMB_OK) continue;
        number.name = info.name;
        number.usual = aplomb_option_value(&start, number.option);
        if (number.usual == 0 ||
            (info.name == std::string("swivel") && (start.free & APLOMB_FREE_SWIVEL) == 0))
            continue;
        number.lowest = std::log(std::max(info.lowest / number.usual, 1 / widest));
        number.highest = std::log(std::min(info.highest / number.usual, widest));
        numbers.push_back(number);
    }
    return numbers;
}

aplomb_options with_numbers(const aplomb_options& start, const std::vector<Learnt>& numbers,
                            const double* logarithms) {
    aplomb_options options = start;
    for (size_t i = 0; i < numbers.size(); ++i)
        aplomb_option_set(&options, numbers[i].option, numbers[i].value(logarithms[i]), nullptr);
    return options;
}

} // namespace aplomb::fit

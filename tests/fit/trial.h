// SPDX-License-Identifier: MIT
// One studio's manner learnt from its pairs, and held against what it is.
#pragma once

#include <algorithm>
#include <map>

#include "fit/measure.h"
#include "fit/studio.h"

namespace studio {

struct Tally {
    int trials = 0, numbers = 0, told = 0, within = 0, moved_untold = 0;
    double worst = 0;                    // standard errors
    std::vector<double> left_out, meant; // per trial, of the defaults' error
    std::map<std::string, std::pair<int, int>> by_name;

    static double median(std::vector<double> values) {
        std::sort(values.begin(), values.end());
        return values[values.size() / 2];
    }
    static double at_most(const std::vector<double>& values, double most) {
        const auto under = std::count_if(values.begin(), values.end(), [&](double v) { return v <= most; });
        return static_cast<double>(under) / static_cast<double>(values.size());
    }
};

/// Root mean square of what answers by `options` differ by from what the animators meant.
inline double error_on(const own::Character& character, const std::vector<Sheet>& sheets,
                       const aplomb_options& options) {
    const aplomb::fit::Measure measure(character.figure.get());
    double sum = 0;
    size_t count = 0;
    for (const Sheet& sheet : sheets) {
        own::Moment moment = sheet.keyed;
        moment.options = options;
        const own::Answer answer = own::balance(character, moment);
        aplomb::fit::Measure::Shape keyed, a, b;
        measure.shape(sheet.keyed.translations.data(), sheet.keyed.rotations.data(), keyed);
        measure.shape(answer.translations.data(), answer.rotations.data(), a);
        measure.shape(sheet.meant_translations.data(), sheet.meant_rotations.data(), b);
        std::vector<double> values(measure.parts().size());
        measure.difference(a, b, measure.axes(keyed), values.data());
        for (const double v : values)
            sum += v * v;
        count += values.size();
    }
    return std::sqrt(sum / static_cast<double>(count));
}

inline void try_once(uint64_t seed, int pairs, Tally& tally) {
    Studio studio(seed);
    const std::vector<Sheet> sheets = studio.sheets(pairs, 1), fresh = studio.sheets(20, 0);
    const Manner manner = studio.learn(sheets);
    if (!manner) throw std::runtime_error("no manner");
    ++tally.trials;
    int32_t count = 0;
    const aplomb_manner_number* numbers = aplomb_manner_numbers(manner.get(), &count);
    for (int32_t i = 0; i < count; ++i) {
        const aplomb_manner_number& n = numbers[i];
        ++tally.numbers;
        if (n.told == 0) {
            tally.moved_untold += n.value != n.usual;
            continue;
        }
        const double off =
            std::fabs(std::log(n.value / aplomb_option_value(&studio.manner, n.option))) / std::log(n.factor);
        auto& each = tally.by_name[option(n.option).name];
        ++tally.told, ++each.first;
        if (off <= 2) ++tally.within, ++each.second;
        tally.worst = std::max(tally.worst, off);
    }
    aplomb_manner_info info;
    aplomb_manner_info_init(&info, sizeof info);
    aplomb_manner_describe(manner.get(), &info, nullptr);
    tally.left_out.push_back(info.left_out_error / info.usual_error);
    aplomb_options options = own::default_options();
    aplomb_manner_apply(manner.get(), &options, nullptr);
    tally.meant.push_back(error_on(studio.character(), fresh, options) /
                          error_on(studio.character(), fresh, own::default_options()));
}

} // namespace studio

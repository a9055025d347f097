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
    double worst = 0; // standard errors
    // Per trial, of the defaults' error: of each pair left out; of the studio's own manner against the same pairs, which is
    // what the hands' unevenness alone leaves; and of the manner learnt, against what was meant.
    std::vector<double> left_out, uneven, meant;
    double left_out_squares = 0, uneven_squares = 0, usual_squares = 0;
    std::map<std::string, std::pair<int, int>> by_name;

    /// Over all trials, of the defaults' error; without what unevenness leaves in both.
    double pooled() const { return std::sqrt(left_out_squares / usual_squares); }
    double pooled_uneven() const { return std::sqrt(uneven_squares / usual_squares); }
    double pooled_without_unevenness() const {
        return std::sqrt(std::max(0.0, left_out_squares - uneven_squares) / (usual_squares - uneven_squares));
    }

    static double median(std::vector<double> values) {
        std::sort(values.begin(), values.end());
        return values[values.size() / 2];
    }
    static double at_most(const std::vector<double>& values, double most) {
        const auto under = std::count_if(values.begin(), values.end(), [&](double v) { return v <= most; });
        return static_cast<double>(under) / static_cast<double>(values.size());
    }
};

/// Root mean square of what answers by `options` differ by from what the animators meant, or from what they drew.
inline double error_on(const own::Character& character, const std::vector<Sheet>& sheets,
                       const aplomb_options& options, bool meant) {
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
        measure.shape((meant ? sheet.meant_translations : sheet.translations).data(),
                      (meant ? sheet.meant_rotations : sheet.rotations).data(), b);
        std::vector<double> values(measure.parts().size());
        measure.difference(a, b, measure.axes(keyed), values.data());
        for (const double v : values)
            sum += v * v;
        count += values.size();
    }
    return std::sqrt(sum / static_cast<double>(count));
}

/// Dice of neighbouring seeds give the same numbers, one place on; trials have to be independent.
constexpr uint64_t numbers_apart = 1'000'003;

inline void try_once(uint64_t seed, int pairs, Tally& tally) {
    Studio studio(numbers_apart * seed);
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
    const aplomb_manner_pair* each = aplomb_manner_pairs(manner.get(), &count);
    double left_out = 0, usual = 0;
    for (int32_t i = 0; i < count; ++i) {
        left_out += each[i].left_out_error * each[i].left_out_error / count;
        usual += each[i].usual_error * each[i].usual_error / count;
    }
    const double uneven = error_on(studio.character(), sheets, studio.manner, false);
    tally.left_out_squares += left_out, tally.usual_squares += usual;
    tally.uneven_squares += uneven * uneven;
    tally.left_out.push_back(std::sqrt(left_out / usual));
    tally.uneven.push_back(uneven / std::sqrt(usual));
    aplomb_options options = own::default_options();
    aplomb_manner_apply(manner.get(), &options, nullptr);
    tally.meant.push_back(error_on(studio.character(), fresh, options, true) /
                          error_on(studio.character(), fresh, own::default_options(), true));
}

} // namespace studio

// SPDX-License-Identifier: MIT
// A studio of ours: its manner is known, and its animators' hands are uneven by a degree and half a centimetre.
#pragma once

#include <array>
#include <cmath>
#include <memory>
#include <string>
#include <vector>

#include "aplomb/fit.h"
#include "balance/corpus.h"

namespace studio {

struct DestroyManner {
    void operator()(aplomb_manner* manner) const { aplomb_manner_destroy(manner); }
};
using Manner = std::unique_ptr<aplomb_manner, DestroyManner>;

inline const char* const learnt[] = {"hips_side",  "hips_fore",       "hips_height", "hips_turn",
                                     "trunk_fore", "trunk_side",      "trunk_twist", "neck",
                                     "knee_bend",  "knee_straighten", "aim",         "heft",
                                     "give",       "hip_drop",        "free_arm"};

inline aplomb_option_info option(int32_t index) {
    aplomb_option_info info;
    aplomb_option_info_init(&info, sizeof info);
    aplomb_option_describe(index, &info, nullptr);
    return info;
}

inline int32_t option_index(const std::string& name) {
    int32_t i = 0;
    while (name != option(i).name)
        ++i;
    return i;
}

/// Near to normal: the sum of twelve even ones (common practice).
inline double normal(own::Dice& dice) {
    double sum = -6;
    for (int i = 0; i < 12; ++i)
        sum += dice.unit();
    return sum;
}

/// The options of a manner up to `factor` times off the defaults, evenly in its logarithm.
inline aplomb_options some_manner(own::Dice& dice, double factor) {
    aplomb_options options = own::default_options();
    for (const char* name : learnt) {
        const int32_t index = option_index(name);
        const aplomb_option_info info = option(index);
        const double value = info.usual * std::exp(dice.within(std::log(factor)));
        // Past a bound it is mirrored: no half of all studios is at it.
        aplomb_option_set(&options, index, value > info.highest ? info.highest * info.highest / value : value,
                          nullptr);
    }
    return options;
}

/// A keyed moment, what a studio's animators make of it, and what they meant.
struct Sheet {
    own::Moment keyed;
    std::vector<double> translations, rotations, meant_translations, meant_rotations;
};

class Studio {
public:
    explicit Studio(uint64_t seed) : dice_(seed) { manner = some_manner(dice_, 2); }

    const own::Character& character() const { return character_; }
    own::Dice& dice() { return dice_; }

    /// `noise`: times a degree and half a centimetre.
    Sheet sheet(double noise) {
        for (;;) {
            Sheet made;
            made.keyed = own::StandingPose(character_, dice_).moment();
            own::add_load(character_, dice_, made.keyed, false);
            made.keyed.loads[0].mass = dice_.between(8, 30);
            own::Moment by_hand = made.keyed;
            by_hand.options = manner;
            by_hand.options.exact = 1;
            const own::Answer answer = own::balance(character_, by_hand);
            if (answer.status != APLOMB_OK) continue; // nobody draws what cannot stand
            made.translations = made.meant_translations = answer.translations;
            made.rotations = made.meant_rotations = answer.rotations;
            unsettle(made, noise);
            return made;
        }
    }
    std::vector<Sheet> sheets(int count, double noise) {
        std::vector<Sheet> made;
        for (int i = 0; i < count; ++i)
            made.push_back(sheet(noise));
        return made;
    }

    Manner learn(const std::vector<Sheet>& sheets, aplomb_error* error = nullptr,
                 const aplomb_manner_options* options = nullptr) const {
        std::vector<aplomb_situation> situations;
        std::vector<aplomb_pair> pairs;
        for (const Sheet& sheet : sheets)
            situations.push_back(sheet.keyed.situation());
        for (size_t i = 0; i < sheets.size(); ++i)
            pairs.push_back({&situations[i], sheets[i].translations.data(), sheets[i].rotations.data()});
        aplomb_manner* made = nullptr;
        aplomb_manner_learn(character_.figure.get(), pairs.data(), static_cast<int32_t>(pairs.size()),
                            options, &made, error);
        return Manner(made);
    }

    aplomb_options manner;

private:
    void unsettle(Sheet& sheet, double noise) {
        const auto hips = 3 * static_cast<size_t>(character_.find("hips"));
        for (size_t k = 0; k < 3; ++k)
            sheet.translations[hips + k] += 0.005 * noise * normal(dice_);
        for (const char* joint :
             {"hips", "spine_3", "head", "left_girdle", "right_girdle", "left_upper_arm", "right_upper_arm",
              "left_lower_arm", "right_lower_arm", "left_shank", "right_shank"}) {
            aplomb::Vec3 turn;
            for (int k = 0; k < 3; ++k)
                turn[k] = noise * aplomb::degree * normal(dice_);
            double* q = &sheet.rotations[4 * static_cast<size_t>(character_.find(joint))];
            aplomb::put(q, aplomb::exp_rotation(turn) * aplomb::Quat{q[0], q[1], q[2], q[3]});
        }
    }

    own::Character character_{lay::LayFigure::adult()};
    own::Dice dice_;
};

} // namespace studio

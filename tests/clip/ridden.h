// SPDX-License-Identifier: MIT
// How evenly what rides along with a correction moves: head, hands, elbows, free feet, and the turns of pelvis, neck and
// arms. What counts is how far and by how much the correction has brought each from its key, not what is keyed.
#pragma once

#include "base/rotation.h"
#include "poses.h"
#include "shot.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <string>
#include <vector>

namespace ridden {

using aplomb::Quat;
using aplomb::Vec3;

/// The largest second difference, for 1/24 second, over what a thing may have: 1/150 of the leg, or 1.5 degrees.
struct Part {
    std::string name;
    double worst = 0;
    std::size_t frame = 0;
};

class Ridden {
public:
    Ridden(const aplomb_figure* figure, const shot::Poses& keyed, const shot::Poses& corrected,
           const std::vector<aplomb_stance_range>& stances)
        : figure_(figure), keyed_(keyed), corrected_(corrected),
          joints_(static_cast<std::size_t>(aplomb_figure_joint_count(figure))) {
        aplomb_figure_info_init(&info_, sizeof info_);
        EXPECT_EQ(aplomb_figure_describe(figure, &info_, nullptr), APLOMB_OK);
        worlds_[0] = worlds(keyed), worlds_[1] = worlds(corrected);
        turns("pelvis", info_.hips);
        if (info_.head >= 0) moves("head", info_.head), turns("neck", info_.head);
        for (int32_t limb = 0; limb < aplomb_figure_limb_count(figure); ++limb) {
            aplomb_limb_info l;
            aplomb_limb_info_init(&l, sizeof l);
            EXPECT_EQ(aplomb_figure_limb(figure, limb, &l, nullptr), APLOMB_OK);
            if (l.kind == APLOMB_ARM) {
                moves("hand", l.end), moves("elbow", l.lower);
                turns("upper arm", l.upper), turns("lower arm", l.lower);
                continue;
            }
            moves("foot", l.end, [&](std::size_t f) {
                return std::none_of(stances.begin(), stances.end(), [&](const aplomb_stance_range& range) {
                    return range.limb == limb && range.first <= static_cast<int32_t>(f) + 1 &&
                           range.last + 1 >= static_cast<int32_t>(f);
                });
            });
        }
    }
    const std::vector<Part>& parts() const { return parts_; }
    double worst(const std::string& name) const {
        for (const Part& part : parts_)
            if (part.name == name) return part.worst;
        return 0;
    }
    void print(const std::string& title) const {
        std::printf("%s:", title.c_str());
        for (const Part& part : parts_)
            std::printf(" %s %.2f at %zu%s", part.name.c_str(), part.worst, part.frame,
                        part.worst > 1 ? " (!)" : "");
        std::printf("\n");
    }

private:
    std::vector<double> worlds(const shot::Poses& poses) const {
        std::vector<double> all(16 * joints_ * poses.times.size());
        for (std::size_t f = 0; f < poses.times.size(); ++f)
            EXPECT_EQ(aplomb_pose_to_matrices(figure_, &poses.translations[3 * joints_ * f],
                                              &poses.rotations[4 * joints_ * f], &all[16 * joints_ * f],
                                              APLOMB_DOUBLE, 16 * sizeof(double), APLOMB_WORLD, nullptr),
                      APLOMB_OK);
        return all;
    }
    void moves(const char* name, int joint) {
        moves(name, joint, [](std::size_t) { return true; });
    }
    template<class Counts>
    void moves(const char* name, int joint, const Counts& counts) {
        const auto place = [&](int which, std::size_t f) {
            const double* at = &worlds_[which][16 * (joints_ * f + static_cast<std::size_t>(joint)) + 12];
            return Vec3{at[0], at[1], at[2]};
        };
        find(
            name, info_.leg_length / 150, [&](std::size_t f) { return place(1, f) - place(0, f); }, counts);
    }
    void turns(const char* name, int joint) {
        const auto turn = [&](const shot::Poses& poses, std::size_t f) {
            const double* q = &poses.rotations[4 * (joints_ * f + static_cast<std::size_t>(joint))];
            return Quat{q[0], q[1], q[2], q[3]};
        };
        find(
            name, 1.5 * aplomb::degree,
            [&](std::size_t f) {
                return log_rotation(normalized(turn(corrected_, f) * conjugate(turn(keyed_, f))));
            },
            [](std::size_t) { return true; });
    }
    template<class At, class Counts>
    void find(const char* name, double most, const At& at, const Counts& counts) {
        auto part = std::find_if(parts_.begin(), parts_.end(), [&](const Part& p) { return p.name == name; });
        if (part == parts_.end()) part = parts_.insert(part, {name});
        const std::vector<double>& times = keyed_.times;
        for (std::size_t f = 1; f + 1 < times.size(); ++f) {
            if (!counts(f)) continue;
            const double h = times[f] - times[f - 1], k = times[f + 1] - times[f];
            const Vec3 second =
                at(f - 1) * (2 / (h * (h + k))) - at(f) * (2 / (h * k)) + at(f + 1) * (2 / (k * (h + k)));
            const double size = norm(second) / (24 * 24) / most;
            if (size > part->worst) part->worst = size, part->frame = f;
        }
    }

    const aplomb_figure* figure_;
    const shot::Poses &keyed_, &corrected_;
    std::size_t joints_;
    aplomb_figure_info info_{};
    std::vector<double> worlds_[2];
    std::vector<Part> parts_;
};

} // namespace ridden

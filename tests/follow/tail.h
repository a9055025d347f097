// SPDX-License-Identifier: MIT
// A lay figure with a tail of rods, plans for it, and hips that move.
#pragma once

#include <gtest/gtest.h>

#include <cmath>
#include <functional>
#include <memory>
#include <vector>

#include "aplomb/follow.h"
#include "base/rotation.h"
#include "poses.h"

namespace tail {

constexpr double gravity = 9.80665;

struct DestroyFollow {
    void operator()(aplomb_follow* follow) const { aplomb_follow_destroy(follow); }
};
using FollowHandle = std::unique_ptr<aplomb_follow, DestroyFollow>;

/// A man with a tail that stands straight out backwards, from a point behind the hips; its parts are of these lengths.
inline lay::LayFigure tailed(const std::vector<double>& parts, double behind = .1) {
    lay::LayFigure f = lay::LayFigure::adult();
    const double nan = std::numeric_limits<double>::quiet_NaN();
    for (size_t k = 0; k < parts.size(); ++k) {
        f.names.push_back("tail_" + std::to_string(k + 1));
        f.parents.push_back(k == 0 ? 0 : f.count() - 1);
        f.roles.push_back(APLOMB_ROLE_HELPER); // without mass: its parts count as rods
        f.sides.push_back(APLOMB_SIDE_MIDDLE);
        f.translations.insert(f.translations.end(), {0, 0, k == 0 ? -behind : -parts[k - 1]});
        const bool last = k + 1 == parts.size();
        f.tips.insert(f.tips.end(), {last ? 0 : nan, last ? 0 : nan, last ? -parts[k] : nan});
        f.positions.push_back({});
    }
    return f;
}
inline std::vector<double> even(int joints, double length) {
    return std::vector<double>(static_cast<size_t>(joints), length / joints);
}

/// One frame's hips.
struct Hips {
    aplomb::Vec3 shift, turn; // metres; rotation vector, of the whole figure
};
using Motion = std::function<Hips(double)>;

/// A figure, one chain on it, a character.
class Tail {
public:
    explicit Tail(const std::vector<double>& parts, double stiffness = 4, double damping = .35,
                  double frame_time = 0, double behind = .1)
        : shape(tailed(parts, behind)), figure(shape.create()), rest(figure.get(), shape) {
        chain = aplomb_chain_make(APLOMB_CHAIN_TAIL, shape.find("tail_1"),
                                  shape.find("tail_" + std::to_string(parts.size())));
        chain.stiffness = stiffness, chain.damping = damping, chain.limit = 3;
        make(frame_time);
    }
    void make(double frame_time = 0) {
        aplomb_follow_desc desc;
        aplomb_follow_desc_init(&desc, sizeof desc);
        desc.chains = &chain, desc.chain_count = 1, desc.frame_time = frame_time;
        aplomb_follow* made = nullptr;
        aplomb_error error{};
        ASSERT_EQ(aplomb_follow_create(figure.get(), &desc, nullptr, &made, &error), APLOMB_OK)
            << error.message;
        follow.reset(made);
        state.assign(static_cast<size_t>(aplomb_follow_state_size(made)), 0);
        ASSERT_EQ(aplomb_follow_reset(made, state.data(), nullptr), APLOMB_OK);
    }
    lay::Pose posed(const Hips& hips) const {
        lay::Pose pose = rest;
        pose.move(hips.shift.x, hips.shift.y, hips.shift.z);
        pose.set("hips", aplomb::exp_rotation(hips.turn));
        return pose;
    }
    /// The pose that a step gives.
    lay::Pose step(const lay::Pose& pose, double seconds, const Hips* character = nullptr) {
        aplomb_follow_frame frame;
        aplomb_follow_frame_init(&frame, sizeof frame);
        frame.translations = pose.translations.data(), frame.rotations = pose.rotations.data();
        frame.seconds = seconds;
        if (character) {
            aplomb::put(frame.place, character->shift);
            aplomb::put(frame.turn, aplomb::exp_rotation(character->turn));
        }
        lay::Pose out = pose;
        aplomb_error error{};
        EXPECT_EQ(aplomb_follow_step(follow.get(), state.data(), &frame, out.rotations.data(), &error),
                  APLOMB_OK)
            << error.message;
        return out;
    }
    /// What a joint was turned by from the key, its own frame.
    aplomb::Vec3 turn(const lay::Pose& key, const lay::Pose& out, int joint) const {
        const std::string name = "tail_" + std::to_string(joint);
        return aplomb::log_rotation(conjugate(key.get(name)) * out.get(name));
    }
    /// Of the line from the tail's root to its tip against the keyed one, radians about up.
    double chord(const lay::Pose& out, int joints) const {
        aplomb::Quat last, hips;
        const aplomb::Vec3 from = out.place(shape.find("tail_1"), last);
        const aplomb::Vec3 end = out.place(shape.find("tail_" + std::to_string(joints)), last);
        out.place(0, hips);
        const size_t tip = 3 * static_cast<size_t>(shape.find("tail_" + std::to_string(joints)));
        const aplomb::Vec3 to =
            end + rotate(last, {shape.tips[tip], shape.tips[tip + 1], shape.tips[tip + 2]});
        const aplomb::Vec3 own = rotate(conjugate(hips), to - from);
        return std::atan2(-own.x, -own.z);
    }

    lay::LayFigure shape;
    lay::FigureHandle figure;
    lay::Pose rest;
    aplomb_chain chain{};
    FollowHandle follow;
    std::vector<double> state;
};

/// 0 to 1 and all smooth, over 1 s.
inline double eased(double t) {
    if (t <= 0) return 0;
    if (t >= 1) return 1;
    return t * t * t * (10 - 15 * t + 6 * t * t);
}

} // namespace tail

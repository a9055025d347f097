// SPDX-License-Identifier: MIT
// A clip and what follows from weight in it.
#pragma once

#include "aplomb/follow.h"

#include <memory>
#include <optional>
#include <vector>

#include "base/rotation.h"
#include "cli/chains.h"
#include "cli/frames.h"
#include "cli/swing.h"
#include "cli/weight.h"

namespace aplomb::cli {

struct DestroyFollow {
    void operator()(aplomb_follow* follow) const { aplomb_follow_destroy(follow); }
};

/// All frames, before and after.
struct Followed {
    Frames frames;
    std::vector<ChainChoice> chains;
    std::unique_ptr<aplomb_follow, DestroyFollow> plan;
    // What the chains followed, and how: rotations.
    std::vector<double> led, followed;
    Poses poses; // in the end
    Cargo cargo;
    std::vector<Swing> swings;
    std::vector<aplomb_clip_given> given;
    std::optional<BalancedShot> balanced;
    int rounds = 0;        // of what swings
    double last_round = 0; // by how much the hips moved in the last one, metres
    double step_seconds = 0;

    std::size_t joints() const { return frames.joints; }
    Quat rotation(const std::vector<double>& of, std::size_t frame, int32_t joint) const {
        const double* q = &of[4 * (frame * joints() + static_cast<std::size_t>(joint))];
        return {q[0], q[1], q[2], q[3]};
    }
    /// By its following, own frame, radians.
    Vec3 turn(std::size_t frame, int32_t joint) const {
        const Quat was = rotation(led, frame, joint), is = rotation(followed, frame, joint);
        if (was.x == is.x && was.y == is.y && was.z == is.z && was.w == is.w) return {};
        return log_rotation(normalized(conjugate(was) * is));
    }
};

Followed follow(const Character& character, const Frames& frames, const Frames* keyed,
                const Arguments& arguments);

} // namespace aplomb::cli

// SPDX-License-Identifier: MIT
// Everything that is known of the pose problem at one y.
#pragma once

#include "base/block.h"
#include "model/model.h"
#include "pose/terms.h"
#include "solve/problem.h"

namespace aplomb {

/// What rows of one fixed limb need.
struct LimitTurns {
    Quat start_turn, end_turn;   // relative rotations that limits speak of
    Vec3 start_swing, end_swing; // their components
    bool start_known, end_known; // false past half a turn, where components say nothing
};

struct Evaluation : Point {
    ModelState state;
    double residual[max_residuals];
    LimitTurns* limb = nullptr;

    void lay_out(Layout& layout, const Room& room);
};
/// The evaluation that a point of a pose's problem is.
inline Evaluation& whole(Point& point) {
    return static_cast<Evaluation&>(point);
}
inline const Evaluation& whole(const Point& point) {
    return static_cast<const Evaluation&>(point);
}

} // namespace aplomb

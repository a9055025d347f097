// SPDX-License-Identifier: MIT
// From frame to frame a correction goes straight towards the still answer, no faster than its pace. What is
// remembered is the correction itself, in the reduced model's own variables, so any pose can carry it.
#pragma once

#include "balance/balance.h"

namespace aplomb {

inline constexpr int max_carried = 6 + 3 * max_blocks;

/// What one frame leaves to the next.
struct Carried {
    bool running = false;
    int count = 0;
    Vec3 hips;         // keyed, world
    Vec3 acceleration; // smoothed
    double x[max_carried] = {};
};

/// The most that a correction may change by now.
struct Stride {
    double hips = 0;  // metres
    double turns = 0; // radians, of the hips, of the whole spine
};

/// One frame of many: how far the correction may go, and what it remembers.
class Step final : public Before {
public:
    Step(const Stride& stride, Carried& carried) : stride_(stride), carried_(carried) {}

    bool is_still() const override;
    void forget() override;
    /// Back to where the stride ends. Limits go before the pace: where they forbid the place, it lies further along the
    /// way.
    double lead_to(const PoseProblem& problem, Evaluation& e) override;

private:
    Stride stride_;
    Carried& carried_;
};

} // namespace aplomb

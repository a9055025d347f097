// SPDX-License-Identifier: MIT
#include "clip/correct/hanging_arms.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "clip/smooth.h"

namespace aplomb {
namespace {

// Seconds before and after, by eye: an arm that goes out by 8 degrees then keeps within 1/150 of the leg.
constexpr double around = 0.2;
constexpr double little = 1e-3; // radians

double outwards(const Figure& figure, int limb) {
    return figure.limbs[limb].side == APLOMB_SIDE_LEFT ? 1 : -1;
}

/// Calls visit(frame, seconds) for a frame and all that are less than `around` from it.
template<class Visit>
void each_around(const Grid& grid, int frame, const Visit& visit) {
    visit(frame, 0.0);
    for (const int step : {-1, 1}) {
        double seconds = 0;
        for (int s = frame;;) {
            seconds += grid.gap[s + (step > 0)];
            s = step < 0 ? grid.before(s) : grid.after(s);
            if (s < 0 || s == frame || seconds >= around) break;
            visit(s, seconds);
        }
    }
}

} // namespace

void HangingArms::lay_out(Layout& layout, int frames) {
    asked_ = layout.take<double>(static_cast<size_t>(frames));
    angle_ = layout.take<double>(static_cast<size_t>(frames));
}

bool HangingArms::ask(const Figure& figure, int limb, const Range& range) {
    bool any = false;
    for (int t = 0; t < range.count(); ++t) {
        const Moment& f = range[t];
        asked_[t] = 0;
        for (int i = 0; i < f.reduction.follower_count; ++i) {
            const Follower& follower = f.reduction.follower[i];
            if (follower.joint != figure.limbs[limb].upper || follower.clear.side == 0) continue;
            const FollowerState& state = f.at.state.follower[i];
            const double angle =
                follower.clear.given ? state.asked : dot(log_rotation(state.clear), follower.clear.ahead);
            asked_[t] = outwards(figure, limb) * angle;
            any = any || angle != 0;
        }
    }
    return any;
}

/// As far out as any frame around asks, and the mean of that, which nowhere is less than is asked.
void HangingArms::spread(const Grid& grid) {
    for (int t = 0; t < grid.count; ++t) {
        angle_[t] = asked_[t];
        each_around(grid, t, [&](int s, double) { angle_[t] = std::max(angle_[t], asked_[s]); });
    }
    for (int t = 0; t < grid.count; ++t) {
        double sum = 0, all = 0;
        each_around(grid, t, [&](int s, double seconds) {
            const double weight =
                (grid.gap[s] + grid.gap[s + 1]) * (1 + std::cos(std::numbers::pi * seconds / around));
            sum += weight * angle_[s], all += weight;
        });
        asked_[t] = sum / all;
    }
    std::copy_n(asked_, grid.count, angle_);
}

/// Where frames beyond an end stay as keyed.
void HangingArms::fade(const Grid& grid) {
    double seconds = 0;
    for (int t = 0; grid.still_before && t < grid.count && seconds < 2 * around; ++t) {
        seconds += grid.gap[t];
        angle_[t] *= smoothstep(seconds / (2 * around));
    }
    seconds = 0;
    for (int t = grid.count - 1; grid.still_after && t >= 0 && seconds < 2 * around; --t) {
        seconds += grid.gap[t + 1];
        angle_[t] *= smoothstep(seconds / (2 * around));
    }
}

bool HangingArms::set(const Figure& figure, int limb, Range& range) const {
    const auto each = [&](const auto& visit) {
        for (int t = 0; t < range.count(); ++t)
            for (int i = 0; i < range[t].reduction.follower_count; ++i) {
                Follower& follower = range[t].reduction.follower[i];
                const Limb& arm = figure.limbs[limb];
                if (follower.joint == arm.upper || follower.joint == arm.lower)
                    visit(range[t], follower.clear, outwards(figure, limb) * angle_[t]);
            }
    };
    double most = 0;
    bool is_new = false;
    each([&](const Moment&, const Clearance& clear, double angle) {
        most = std::max(most, std::fabs(angle - clear.angle)), is_new = is_new || !clear.given;
    });
    if (!is_new && most <= little) return false;
    each([&](const Moment& f, Clearance& clear, double angle) {
        clear.given = true, clear.angle = angle;
        clear.ahead = rotate(from_neutral(figure, f.key, figure.chest), Vec3{0, 0, 1});
    });
    return true;
}

bool HangingArms::keep_clear(const Figure& figure, Range& range) {
    if (range.count() == 1) return false; // as the single pose has it
    bool changed = false;
    for (int limb = 0; limb < figure.limb_count; ++limb) {
        if (figure.limbs[limb].kind != APLOMB_ARM || !ask(figure, limb, range)) continue;
        spread(range.grid());
        fade(range.grid());
        changed = set(figure, limb, range) || changed;
    }
    return changed;
}

} // namespace aplomb

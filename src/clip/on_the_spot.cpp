// SPDX-License-Identifier: MIT
#include "clip/on_the_spot.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "capi/handles.h"

namespace aplomb {
namespace {

constexpr double near_lowest = 0.15;   // of the leg's length: higher soles do not make the level
constexpr double least_seconds = 0.05; // a foot of a run stands for three frames
constexpr double most = 0.8;           // of the soles that stand
constexpr double even_pace = 0.05;     // of the walk's speed: recorded soles stray by less
constexpr double infinity = std::numeric_limits<double>::infinity();

/// The speed by which a part of a sole misses standing on the ground between two frames, in units of the walk's speed.
class Pace {
public:
    explicit Pace(const Shot& shot) : shot_(shot) {}
    double at(const PartTrack& part, double level, int f) const {
        const int before = std::max(f - 1, 0), after = std::min(f + 1, shot_.count - 1);
        if (even) return between(part, level, before, after);
        // The better of the time before the frame and the time after it: a part that lands or leaves moves in one of them.
        return std::min(between(part, level, before, std::max(f, 1)),
                        between(part, level, std::min(f, shot_.count - 2), after));
    }
    double between(const PartTrack& part, double level, int from, int to) const {
        // A part below the level is on the ground, however deep.
        const double risen = std::max(part.height[to], level) - std::max(part.height[from], level);
        const double off = even ? strays(part, from, to) : lag(part, from, to) * touch_rule.off_speed;
        return std::hypot(risen / (shot_.times[to] - shot_.times[from]) / shot_.walk_speed, off);
    }
    /// By how much a part goes faster or slower than the ground, in units of the walk's speed.
    double strays(const PartTrack& part, int from, int to) const {
        return norm(reject(velocity(part, from, to) - shot_.ground_velocity, shot_.up)) / shot_.walk_speed;
    }
    bool even = false; // whether feet that stand keep the ground's pace

private:
    Vec3 velocity(const PartTrack& part, int from, int to) const {
        return (part.place[to] - part.place[from]) / (shot_.times[to] - shot_.times[from]);
    }
    /// A part that stays in place while the ground goes by lags by 1, which counts as much as the speed of one that leaves.
    double lag(const PartTrack& part, int from, int to) const {
        const Vec3& ground = shot_.ground_velocity;
        return std::max(0.0, 1 - dot(velocity(part, from, to), ground) / dot(ground, ground));
    }
    const Shot& shot_;
};

/// A foot that stands only briefly, on either part, does not stand.
void drop_brief_stands(const Shot& shot, Stances& stances, int limb) {
    if (!stances.on[2 * limb]) return;
    for (int first = 0, end = 0; first < shot.count; first = std::max(end, first + 1)) {
        for (end = first; end < shot.count && stances.bears(limb, end);)
            ++end;
        if (first == 0 || end == first || end == shot.count) continue;
        if (shot.times[end] - shot.times[first] >= least_seconds) continue;
        for (int p = 2 * limb; p < 2 * limb + 2; ++p)
            std::fill(stances.on[p] + first, stances.on[p] + end, uint8_t{0});
    }
}

bool is_sole(const Shot& shot, const Track& track, int p) {
    return track.part[p].exists && shot.figure->limbs[p / 2].kind != APLOMB_ARM;
}

/// Values of low parts of soles that stand between two frames.
class Samples {
public:
    Samples(const Shot& shot, const Track& track, const Pace& pace, double* values)
        : shot_(shot), track_(track), pace_(pace), values_(values) {
        for (int p = 0; p < 2 * shot.figure->limb_count; ++p)
            if (is_sole(shot, track, p))
                lowest_ = std::min(
                    lowest_, *std::min_element(track.part[p].height, track.part[p].height + shot.count));
    }
    /// The `below` quantile (0 to 1) of all `value(part, frame)`; NaN: there are none.
    template<class Value>
    double ranked(double below, Value value) {
        int found = 0;
        for (int p = 0; p < 2 * shot_.figure->limb_count; ++p) {
            if (!is_sole(shot_, track_, p)) continue;
            const PartTrack& part = track_.part[p];
            for (int f = 0; f + 1 < shot_.count; ++f)
                if (middle(part, f) < lowest_ + near_lowest * shot_.leg &&
                    pace_.between(part, -infinity, f, f + 1) < touch_rule.on_speed)
                    values_[found++] = value(part, f);
        }
        if (found == 0) return std::numeric_limits<double>::quiet_NaN();
        double* rank = values_ + static_cast<int>(below * (found - 1));
        std::nth_element(values_, rank, values_ + found);
        return *rank;
    }
    static double middle(const PartTrack& part, int f) { return (part.height[f] + part.height[f + 1]) / 2; }

private:
    const Shot& shot_;
    const Track& track_;
    const Pace& pace_;
    double* values_;
    double lowest_ = infinity;
};

} // namespace

bool is_on_the_spot(const Shot& shot, const Track& track) {
    if (shot.count < 2 || !(norm(shot.ground_velocity) > 0)) return false;
    const Vec3 moved = track.centre[shot.count - 1] - track.centre[0];
    const double seconds = shot.times[shot.count - 1] - shot.times[0];
    const Vec3& ground = shot.ground_velocity;
    return dot(moved, ground) < dot(ground, ground) * seconds / 2;
}

void find_stances_on_the_spot(const Shot& shot, const Track& track, double* room, Stances& stances) {
    Pace pace(shot);
    Samples samples(shot, track, pace, room);
    const double level = samples.ranked(.5, Samples::middle);
    const auto strays = [&](const PartTrack& part, int f) { return pace.strays(part, f, f + 1); };
    pace.even = samples.ranked(most, strays) < even_pace;
    for (int p = 0; p < 2 * shot.figure->limb_count; ++p) {
        if (!is_sole(shot, track, p)) continue;
        bool before = true;
        for (int f = 0; f < shot.count; ++f) {
            const double height = (track.part[p].height[f] - level) / shot.leg;
            before = touches(before, height, pace.at(track.part[p], level, f));
            stances.on[p][f] = before;
        }
        drop_brief(shot, stances.on[p], 0, touch_rule.least_seconds);
    }
    for (int limb = 0; limb < shot.figure->limb_count; ++limb)
        drop_brief_stands(shot, stances, limb);
}

} // namespace aplomb

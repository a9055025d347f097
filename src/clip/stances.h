// SPDX-License-Identifier: MIT
// Which part of which sole stands in which frames.
#pragma once

#include "clip/smooth.h"
#include "clip/track.h"
#include "stance/rule.h"

namespace aplomb {

struct Stances {
    uint8_t* on[max_parts] = {}; // per frame; null: no such part

    /// Also for the parts of limbs that are not tracked but may be given, such as a palm.
    void lay_out(Layout& layout, const aplomb_figure& figure, size_t frames);
    bool bears(int limb, int frame) const {
        return on[2 * limb] && (on[2 * limb][frame] || on[2 * limb + 1][frame]);
    }
    /// How a limb stands that bears.
    aplomb_footing footing(int limb, int frame) const {
        return footing_of(on[2 * limb + heel_part][frame] != 0, on[2 * limb + ball_part][frame] != 0);
    }
};

/// Memory of find_stances.
struct StanceMemory {
    Smoother smoother;
    Vec3* place = nullptr; // smoothed
    double* height[max_parts] = {};
    double* speed[max_parts] = {};
    double* ground[max_parts] = {}; // each part's own; NaN: none near
    double* window = nullptr;       // of all parts, to be ranked

    void lay_out(Layout& layout, const Track& track, size_t frames);
};

/// Runs of `value` between two others that are too brief become the others.
void drop_brief(const Shot& shot, uint8_t* on, uint8_t value, double least_seconds);

void find_stances(const Shot& shot, const Track& track, StanceMemory& memory, Stances& stances);
void take_stances(const Shot& shot, Stances& stances);
/// The stance that each pose shows by itself. `pose`: memory for seven numbers per joint.
aplomb_status take_shown_stances(const Shot& shot, double* pose, Stances& stances, aplomb_error* error);

/// The ranges, with their slip; `ranges` NULL: only their number.
int list_ranges(const Shot& shot, const Track& track, const Stances& stances, aplomb_stance_range* ranges);

} // namespace aplomb

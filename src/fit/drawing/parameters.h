// SPDX-License-Identifier: MIT
// What is fitted: 46 numbers, each with a range and the value that is expected without dots. Angles as in the library's limits:
// (bend, twist, lean) about left, up and forward.
#pragma once

#include <array>

#include "fit/drawing/build.h"

namespace aplomb::drawing {

enum Parameter {
    scale_log, // of pixels per metre, divided by the first guess
    across,    // how far the hips are from the first guess on the picture, in statures; to the right
    down,      // the same, downwards
    camera_tilt,
    heading, // the hips' turn about up, from the first guess
    hips_bend,
    hips_lean,
    spine_turn,                 // 3: of the whole spine
    neck_turn = spine_turn + 3, // 3: of neck and head
    girdles = neck_turn + 3,    // left up, ahead; right
    arms = girdles + 4,         // left swing about left, twist, swing about forward, bend of the elbow; right
    legs = arms + 8,            // as arms
    ankles = legs + 8,          // left bend, lean; right
    lengths = ankles + 4,       // logarithms of length_count factors
    parameter_count = lengths + length_count
};
constexpr int girdle_of(int side) {
    return girdles + 2 * side;
}
constexpr int arm_of(int side) {
    return arms + 4 * side;
}
constexpr int leg_of(int side) {
    return legs + 4 * side;
}
constexpr int ankle_of(int side) {
    return ankles + 2 * side;
}

using Values = std::array<double, parameter_count>;

/// `sigma`: the standard deviation upwards; `sigma_down`: downwards. Infinite: no value is more likely than another.
struct Ranges {
    Values lowest, highest, usual, sigma, sigma_down;
};

/// How the turn of a whole is divided among its joints: each takes the same part of its limits, as the library's trunk does.
struct Divided {
    Point<double> part[3];
};
struct Division {
    Divided spine, neck;
};

/// Reads the limits of the figure. `spread`: as in aplomb_dots.
void read_limits(const aplomb_figure* figure, double spread, Ranges& ranges, Division& division);

} // namespace aplomb::drawing

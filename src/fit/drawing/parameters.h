// SPDX-License-Identifier: MIT
// What is fitted: 46 numbers, each with a range, and what it is without dots. Angles as the library's limits have them:
// (bend, twist, lean) about left, up and forward.
#pragma once

#include <array>

#include "fit/drawing/build.h"

namespace aplomb::drawing {

enum Parameter {
    scale_log, // of pixels per metre, over the first guess
    across,    // the hips on the picture from the first guess, statures; to the right
    down,      // downwards
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

/// `sigma`: a standard deviation upwards; `sigma_down`: downwards. Infinite: nothing is expected.
struct Ranges {
    Values lowest, highest, usual, sigma, sigma_down;
};

/// How a turn of the whole is divided among joints: the same part of each one's limits, as the library's trunk is.
struct Divided {
    Point<double> part[3];
};
struct Division {
    Divided spine, neck;
};

/// From the figure's own limits. `spread`: aplomb_dots.
void read_limits(const aplomb_figure* figure, double spread, Ranges& ranges, Division& division);

} // namespace aplomb::drawing

// SPDX-License-Identifier: MIT
// What of a figure's feet touches the ground, as far as a drawing tells.
#pragma once

#include <vector>

#include "aplomb/drawing.h"

namespace aplomb::drawing {

/// Heights of one leg's sole: of its rear end, of what is on the toe joint, of its lowest point.
struct Sole {
    int32_t limb;
    double heel = 1e30, ball = 1e30, lowest = 1e30;
};
std::vector<Sole> soles_of(const aplomb_figure* figure, const double* translations, const double* rotations);

double lowest_of(const std::vector<Sole>& soles);

/// A contact for each limb, as in aplomb_stance_default, but a part within `slack` (metres) of bearing there bears, too:
/// dots are not exact, and feet so near to the ground are mostly on it.
std::vector<aplomb_contact> stance_of(const aplomb_figure* figure, const std::vector<Sole>& soles,
                                      double slack);

/// What these stances agree in, each of the same limbs: a leg bears that bears in half of them, and with its whole sole unless
/// three in four of those that have it bearing stand it on ball or heel.
std::vector<aplomb_contact> agreed(const std::vector<std::vector<aplomb_contact>>& stances);

} // namespace aplomb::drawing

// SPDX-License-Identifier: MIT
// The keyed figure, thin, and the corrected one, bold, as lines over the drawing.
#pragma once

#include <string>
#include <vector>

#include "cli/correction.h"
#include "cli/dots_file.h"
#include "cli/drawn_figure.h"

namespace aplomb::cli {

struct Overlay {
    const Drawing* drawing = nullptr;
    int32_t answer = 0;
    const aplomb_dots* dots = nullptr;
    const Image* image = nullptr; // or NULL: on white
    const Character* character = nullptr;
    const Moment* moment = nullptr;
    const Correction* made = nullptr;
    const Situation* situation = nullptr;
    std::string title;
    std::vector<std::string> words; // below the picture, a line each
};

/// SVG 1.1.
std::string overlay_svg(const Overlay& overlay);

} // namespace aplomb::cli

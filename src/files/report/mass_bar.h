// SPDX-License-Identifier: MIT
// What a load could weigh, going by the pose, on an axis of kilograms against the mass asked for.
#pragma once

#include <string>

#include "report/drawing.h"

namespace aplomb::report {

inline constexpr double mass_bar_width = 660; // CSS pixels

/// An SVG for one load, before and after below each other. `id` is unique in the document.
std::string mass_bar(const Drawing& drawing, int load, const std::string& id, double width = mass_bar_width);

} // namespace aplomb::report

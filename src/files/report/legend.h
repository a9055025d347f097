// SPDX-License-Identifier: MIT
// What the marks of a page's pictures mean.
#pragma once

#include <string>
#include <vector>

#include "report/drawing.h"

namespace aplomb::report {

/// A sample of a mark and its meaning; `of` is the class of the line that it belongs to, or empty.
struct LegendItem {
    std::string svg, words, of;
};

std::vector<LegendItem> picture_legend(const Drawing& drawing);
/// The legend of the bars on what loads could weigh.
std::vector<LegendItem> mass_legend();

} // namespace aplomb::report

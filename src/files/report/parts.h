// SPDX-License-Identifier: MIT
// What a page shows, piece by piece, for those who lay out their own.
#pragma once

#include <string>

#include "report/drawing.h"

namespace aplomb::report {

/// A JSON document. `room`: width for one pose's views in CSS pixels; 0: without drawings.
std::string page_parts(Drawing drawing, double room);

} // namespace aplomb::report

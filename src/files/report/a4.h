// SPDX-License-Identifier: MIT
// Lays a drawing out on one A4 sheet, landscape.
#pragma once

#include <string>

#include "report/drawing.h"

namespace aplomb::report {

std::string draw_a4(const Drawing& drawing);

} // namespace aplomb::report

// SPDX-License-Identifier: MIT
// A page about one pose: a worksheet of still drawings and words.
#pragma once

#include <string>

#include "report/drawing.h"

namespace aplomb::report {

std::string html_page(Drawing drawing);

} // namespace aplomb::report

// SPDX-License-Identifier: MIT
// A shot as a page: the moving picture with a button and a count of frames, and eight moments of it for paper.
#pragma once

#include <string>

#include "aplomb/files.h"

namespace aplomb::report {

/// The motion has been checked.
std::string html_motion(const aplomb_motion& motion);

} // namespace aplomb::report

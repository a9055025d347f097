// SPDX-License-Identifier: MIT
// Plates of poses: rows and columns at one scale, each sheet a printed page.
#pragma once

#include <string>

#include "aplomb/files.h"

namespace aplomb::report {

/// The sheets have been checked.
std::string html_sheets(const aplomb_sheet* sheets, int32_t sheet_count);

} // namespace aplomb::report

// SPDX-License-Identifier: MIT
// Plates of poses: rows and columns at one scale, each sheet a printed page.
#pragma once

#include <string>

#include "aplomb/files.h"

namespace aplomb::report {

/// One sheet as a part of a page: its style, and itself under a heading ("h1", "h2"). `note` closes it.
std::string sheet_style();
std::string sheet_section(const aplomb_sheet& sheet, const std::string& id, const char* heading,
                          const std::string& note = "");

/// The sheets have been checked.
std::string html_sheets(const aplomb_sheet* sheets, int32_t sheet_count);

} // namespace aplomb::report

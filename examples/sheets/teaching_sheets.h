// SPDX-License-Identifier: MIT
#pragma once

#include "sheets/sheet.h"

namespace sheets {

/// Sheets to teach weight with: a question and its answers first, then one thing changed at a time.
std::vector<Sheet> teaching_sheets(Beekeeper& beekeeper);

} // namespace sheets

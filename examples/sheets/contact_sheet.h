// SPDX-License-Identifier: MIT
#pragma once

#include "sheets/sheet.h"

namespace sheets {

/// Every carry at 10, 30, 60 and 100 % of the body's mass, balanced over the keyed outline: all of them on one
/// sheet, then a larger one for each carry.
std::vector<Sheet> contact_sheets(Beekeeper& beekeeper);

} // namespace sheets

// SPDX-License-Identifier: MIT
// What stands below a pose, in an animator's words.
#pragma once

#include "sheets/beekeeper.h"

namespace sheets {

/// "21 kg": whole kilograms from 10 on.
std::string mass_text(double mass);
/// "Chest 12.4 deg back".
std::string lean_text(const Scene& scene);
/// The same, and on a second line "Hips 4.0 cm back".
std::string correction_text(const Scene& scene);
/// "reads as 19 kg", of the corrected pose.
std::string reads_as_text(const Scene& scene);
/// Mass, what it reads as, and the correction.
std::string load_caption(double mass, const Scene& scene);
/// "Stands: 2.1 cm inside the edge", "Tips forward: 3.4 cm past the edge".
std::string verdict_text(const aplomb_reading& reading);
/// "Balance point 9.1 cm forward of home".
std::string from_home_text(const aplomb_reading& reading);

} // namespace sheets

// SPDX-License-Identifier: MIT
// Everything that can be said of a pose, as the caller gets it.
#pragma once

#include "moment/key.h"
#include "support/aim.h"

namespace aplomb {

/// By how much, in metres, a margin may fall short of the one asked for and still count as met: a solve ends
/// there.
inline constexpr double balance_tolerance = 1e-6;

/// `corrected`: `s` holds a corrected pose, `support`, `zone` and `aim` are those of the key.
aplomb_reading make_reading(const Figure& figure, const BodyPlan& plan, const Key& s, const Support& support,
                            const Area& zone, const Aim& aim, bool corrected);

} // namespace aplomb

// SPDX-License-Identifier: MIT
// Everything that can be said of a pose without changing it.
#pragma once

#include "reading/findings.h"

namespace aplomb {

/// By how much, in metres, a margin may fall short of the one asked for and still count as met: a solve ends
/// there.
inline constexpr double balance_tolerance = 1e-6;

/// `corrected`: `s` holds a corrected pose, `support`, `zone` and `aim` are those of the key.
Findings find_all(const Figure& figure, const BodyPlan& plan, const Key& s, const Support& support,
                  const Area& zone, const Aim& aim, bool corrected);

} // namespace aplomb

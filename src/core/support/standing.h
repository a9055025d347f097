// SPDX-License-Identifier: MIT
// From a key to the points and numbers that support and aim are made of.
#pragma once

#include "moment/key.h"
#include "support/aim.h"

namespace aplomb {

/// The rest zone; only a reading asks for it.
Area make_zone(const Figure& figure, const Key& key);
Support make_support(const Figure& figure, const Key& key, double margin_of_sole);
Aim make_aim(const Figure& figure, const BodyPlan& plan, const Key& key, const Support& support, double heft,
             const Travel& travel = {});

} // namespace aplomb

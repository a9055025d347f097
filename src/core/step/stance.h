// SPDX-License-Identifier: MIT
// Which feet stand, from frame to frame: by the rule of stance/rule.h in its causal form, or as the caller says. Either way
// a bearing begins and ends by a ramp, and a foot that is gone leaves its print until then.
#pragma once

#include "step/clock.h"
#include "step/memory.h"

namespace aplomb {

/// The stance that take_stance goes on from: of the caller's contacts, or with none given of no foot, as those are found.
void begin_stance(const Figure& figure, const Ask& ask, Key& s);

/// Takes the feet of `s`, whose pose and ground are there, into the memory and makes its stance. s.stance is that of
/// begin_stance, `given` are the caller's contacts or null. Returns how long the stride was that a landing
/// in this frame ended, in seconds; 0: none did. In flight the stance has no contacts.
double take_stance(const Figure& figure, const Clock& clock, const AskedContact* given, int given_count,
                   StepMemory& memory, Key& s);

/// How high a foot's lowest point is over the lowest that bears, of the leg's length; in flight so low that it does not ride.
/// `s` has its stance.
double foot_height(const Figure& figure, const Key& s, int limb);
inline constexpr double foot_reaches = 0.06; // a lifted foot that is lower keeps within reach

/// The contacts that a pose which is still to come shows, over the grounds that are known.
int contacts_ahead(const Figure& figure, const Clock& clock, const StepMemory& memory, const Key& ahead,
                   double ahead_seconds, AskedContact* contacts);

} // namespace aplomb

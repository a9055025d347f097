// SPDX-License-Identifier: MIT
// The only entry for what callers say of a moment: their situation is checked and converted here, and nothing below sees it.
// Whole clips enter here, too.
#pragma once

#include "moment/key.h"

namespace aplomb {

/// Fills a new `ask` with all of `given` but the pose. A refusal says what is wrong.
aplomb_status check_ask(const Figure& figure, const aplomb_situation& given, Ask& ask, aplomb_error* error);
/// The same for contacts alone.
aplomb_status check_contacts(const Figure& figure, const Vec3& normal, const aplomb_contact* given, int count,
                             AskedContact* contacts, aplomb_error* error);

/// From a situation to a key: checks, brings the pose into `room` and measures.
aplomb_status bring_key(const Figure& figure, const BodyPlan& plan, const aplomb_situation& given,
                        const PoseRoom& room, Key& key, aplomb_error* error);
/// The same for the pose alone, without measuring.
aplomb_status bring_pose(const Figure& figure, const aplomb_situation& given, const PoseRoom& room,
                         aplomb_error* error);

/// A contact as callers see it, without a patch's points.
aplomb_contact contact_out(const AskedContact& asked);

} // namespace aplomb

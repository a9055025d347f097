// SPDX-License-Identifier: MIT
// The one door for what callers say of a moment: their situation is checked and taken in, and nothing below sees it. Whole
// clips come in by it, too.
#pragma once

#include "moment/key.h"

namespace aplomb {

/// Fills a new `ask` with all of `given` but the pose. A refusal says what is wrong.
aplomb_status check_ask(const Figure& figure, const aplomb_situation& given, Ask& ask, aplomb_error* error);
/// The same of contacts alone.
aplomb_status check_contacts(const Figure& figure, const Vec3& normal, const aplomb_contact* given, int count,
                             AskedContact* contacts, aplomb_error* error);

/// From a situation to a key: checks, brings the pose into `room` and measures.
aplomb_status bring_key(const Figure& figure, const BodyPlan& plan, const aplomb_situation& given,
                        const PoseRoom& room, Key& key, aplomb_error* error);
/// The pose alone.
aplomb_status bring_pose(const Figure& figure, const aplomb_situation& given, const PoseRoom& room,
                         aplomb_error* error);

/// As callers have it, without a patch's points.
aplomb_contact contact_out(const AskedContact& asked);

} // namespace aplomb

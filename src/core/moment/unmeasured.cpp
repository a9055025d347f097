// SPDX-License-Identifier: MIT
#include "moment/unmeasured.h"

#include "base/error.h"
#include "moment/ask.h"

namespace aplomb {

aplomb_status tell(const Figure& figure, const Unmeasured& u, aplomb_error* error) {
    switch (u.why) {
    case Unmeasured::nothing:
        break;
    case Unmeasured::falls:
        return fail(error, APLOMB_NO_SUPPORT, "com_acceleration", -1,
                    "gravity less the acceleration does not press the figure to the ground: it falls or is "
                    "thrown aside; at least %g of it must point against ground_normal.",
                    least_pressing_cosine);
    case Unmeasured::nothing_bears:
        return fail(error, APLOMB_NO_SUPPORT, "contacts", -1,
                    "No contact bears weight; set hold to APLOMB_BEARING and bearing above 0 on one with a "
                    "sole, a palm or points.");
    case Unmeasured::contact_is_far:
        return fail(
            error, APLOMB_NO_SUPPORT, "contacts", u.contact,
            "The contact of joint %d (%.64s) has a point that is not within %g m of the hips along the "
            "ground; is the figure's unit right?",
            u.joint, figure.joints[u.joint].name, farthest_place);
    case Unmeasured::lifted_off:
        return fail(error, APLOMB_NO_SUPPORT, "pulls", -1,
                    "The figure does not press on the ground: pulls lift it off; lessen their upward force.");
    case Unmeasured::point_is_far:
        return fail(error, APLOMB_NO_SUPPORT, "pulls", -1,
                    "The figure hardly presses on the ground: its balance point is %g m away; at most %g m "
                    "are allowed. Lessen the pulls%s, or check the figure's unit.",
                    u.distance, farthest_place, u.turns ? " and angular_momentum_rate" : "");
    }
    return APLOMB_OK;
}

} // namespace aplomb

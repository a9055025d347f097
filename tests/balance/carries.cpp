// SPDX-License-Identifier: MIT
#include "balance/carries.h"

namespace own {

double knee_bend(const Character& c, const World& w, const std::string& side) {
    const auto at = [&](const std::string& joint) {
        return w.place[static_cast<size_t>(c.find(side + joint))];
    };
    const Vector thigh = at("_shank") - at("_thigh"), shank = at("_foot") - at("_shank");
    return degrees(std::atan2(thigh.cross(shank).norm(), thigh.dot(shank)));
}

Look look_of(const Character& c, const Moment& m, const Answer& a) {
    const World keyed = c.bones.world(m.translations.data(), m.rotations.data());
    const size_t chest = static_cast<size_t>(c.bones.info.chest),
                 hips = static_cast<size_t>(c.bones.info.hips);
    const Vector turn = rotation_vector(a.world.turn[chest] * keyed.turn[chest].conjugate());
    const Vector shift = a.world.place[hips] - keyed.place[hips];
    Look look;
    look.lean_forward = degrees(turn.x()), look.lean_left = -degrees(turn.z());
    look.hips_left = shift.x(), look.hips_up = shift.y(), look.hips_forward = shift.z();
    look.knee_change[0] = knee_bend(c, a.world, "left") - knee_bend(c, keyed, "left");
    look.knee_change[1] = knee_bend(c, a.world, "right") - knee_bend(c, keyed, "right");
    look.before = to_home(a.result, read(c, m)), look.after = to_home(a.result, read(c, m, a));
    return look;
}

} // namespace own

// SPDX-License-Identifier: MIT
#include "reading/reading.h"

#include "reading/cues.h"

namespace aplomb {

Findings find_all(const Figure& figure, const BodyPlan& plan, const Key& s, const Support& support,
                  const Area& zone, const Aim& aim, bool corrected) {
    Findings f;
    Vec3 moment = s.body.first_moment;
    f.total_mass = figure.total_mass;
    for (int i = 0; i < s.load_count; ++i) {
        moment += s.load[i].centre * s.load[i].mass;
        f.total_mass += s.load[i].mass;
    }
    f.centre = moment / f.total_mass;
    f.tip = find_tip(s.ground, support.area, s.balance_point, f.centre, f.total_mass);
    f.in_balance = f.tip.margin >= support.margin_asked - balance_tolerance;
    f.presses = s.pressing.valid();
    f.friction_needed = norm(reject(s.pressing.force, s.ground.normal)) / -s.pressing.normal_force;
    f.lean = lean_of(plan, figure, s);
    find_shares(s, support.area, f.share);
    f.sunk = measure_sunk(figure, s, aim, f.share);
    line_of_action(figure, s, f.share, f.line);
    for (int i = 0; i < s.load_count; ++i)
        f.load[i] = read_load(figure, s, support, zone, aim, corrected, i);
    f.cue_count = find_cues(figure, s, support, f, f.cue);
    return f;
}

} // namespace aplomb

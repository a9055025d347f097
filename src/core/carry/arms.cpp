// SPDX-License-Identifier: MIT
// A free arm goes out against a load at the other side, by g 26 lambda^2 / ((lambda + .08) sqrt(lambda^2 + .04^2)) degrees, and by
// up to 5 on one foot; the elbow bends by half of that, and the arm does not go along with the chest. A loaded arm that is
// keyed to hang goes to plumb by g r / (r + .1), and as far outwards as keeps load and leg apart. g is 1 for an arm that
// hangs, 0 for one that is keyed to do something. Common practice, the numbers by eye.
#include "carry/parts.h"

namespace aplomb {
namespace {

constexpr double usual_outside =
    0.05; // of the leg: where no skin tells how thick it is; beside .8 of the load's radius
constexpr double usual_radius = 0.16; // of the leg
constexpr double shows = 2 * degree;  // an arm that goes out by this lets half of the chest's turn go

void let_out(const CarryInput& in, int i, const Vec3& ahead, Carriage& c) {
    const Measures& m = in.m;
    const Limb& limb = in.figure.limbs[i];
    const double lambda = m.aside;
    double out = 26 * degree * lambda * lambda / ((lambda + 0.08) * std::sqrt(lambda * lambda + 0.04 * 0.04));
    if (m.on_two_legs)
        out += 5 * degree * m.phi * m.lift *
               (1 - 0.5 * m.bearing[m.leg_limb[limb.side == APLOMB_SIDE_LEFT ? 0 : 1]]);
    out *= in.heft * in.options.free_arm * m.arm[i].hang;
    ArmOffer& arm = c.arm[i];
    arm.upper = exp_rotation(ahead * (sign_of(limb.side) * out));
    arm.elbow = 0.5 * out;
    arm.give_back = m.arm[i].hang * out / (out + shows);
}

void let_hang(const CarryInput& in, int i, int k, Carriage& c) {
    const Key& s = in.key;
    const Load& load = s.load[k];
    const Ground& g = s.ground;
    const Measures& m = in.m;
    const Limb& limb = in.figure.limbs[i];
    ArmOffer& arm = c.arm[i];
    const double plumb = m.arm[i].hang * m.arm[i].part / (m.arm[i].part + 0.1);
    arm.give_back = load.give_back + in.heft * (plumb - load.give_back);
    if (plumb <= 0 || in.heft <= 0) return;
    const Vec3 start = s.body.world[limb.upper].position;
    const Vec3 line = to_world(s.body.world[load.holder[0]], load.local[0]) - start;
    const double length = norm(line);
    if (!(length > 0)) return;
    const Vec3 whole = log_rotation(rotation_between(line / length, normalized(g.felt)));
    arm.upper = exp_rotation(whole * (in.heft * plumb));

    if (!m.on_two_legs || limb.side == APLOMB_SIDE_MIDDLE) return;
    arm.load = k, arm.leg = m.leg_limb[limb.side == APLOMB_SIDE_LEFT ? 0 : 1];
    const double radius = load.half_size.x > 0 ? load.half_size.x : usual_radius * m.leg;
    const double outside = in.figure.limbs[arm.leg].outside;
    arm.clear = 0.8 * radius + (outside > 0 ? outside : usual_outside * m.leg);
}

} // namespace

void add_arms(const CarryInput& in, Carriage& c) {
    const Key& s = in.key;
    const Vec3 ahead = rotate(from_neutral(in.figure, s, in.figure.chest), Vec3{0, 0, 1});
    for (int i = 0; i < in.figure.limb_count; ++i) {
        const ArmMeasure& arm = in.m.arm[i];
        if (in.figure.limbs[i].kind != APLOMB_ARM || !arm.is_free || arm.both > 0) continue;
        int held = -1;
        for (int k = 0; k < s.load_count; ++k) {
            const Load& load = s.load[k];
            const bool holds = load.mass > 0 && load.holder_count == 1 && load.arm[0] == i;
            if (holds && (held < 0 || load.mass > s.load[held].mass)) held = k;
        }
        if (held >= 0)
            let_hang(in, i, held, c);
        else if (arm.shoulder <= 0 && in.heft > 0)
            let_out(in, i, ahead, c);
    }
}

} // namespace aplomb

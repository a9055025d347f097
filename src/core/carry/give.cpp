// SPDX-License-Identifier: MIT
// Knees yield under a load: with r = load over body, sink = 42 r / (1 + r/3) r^2 / (r^2 + .05^2) degrees, half of it under
// a load that hangs low; a bearing knee is bent to keyed + sink (1 + s(z)) / 2, z = (5 degrees + sink - keyed) / 10, s(t) =
// t / sqrt(1 + t^2): only by what the key lacks. The hips sink by what these bends take, and by half of what the pelvis'
// roll takes. Common practice, its numbers by eye. Sitting back sinks by 70 degrees.
#include "carry/give.h"

#include "carry/parts.h"
#include "figure/bend.h"

namespace aplomb {
namespace {

constexpr double sitting_sink = 70 * degree;
constexpr double little = 0.05; // a load of this part of the body begins to be felt
constexpr double keyed_enough = 5 * degree, keyed_width = 10 * degree;
constexpr double roll_width = 0.5 * degree;

} // namespace

double sink_under(double r, double most, double height_weight) {
    return most * r / (1 + r / 3) * r * r / (r * r + little * little) * height_weight;
}

double height_weight(const Figure& figure, const Key& s) {
    const double leg = figure.leg_length, hips = s.ground.height(s.body.world[figure.hips].position);
    double sum = 0, mass = 0;
    for (int k = 0; k < s.load_count; ++k) {
        const double above = s.ground.height(s.load[k].centre) - hips;
        sum += s.load[k].mass * (0.5 + 0.5 * smooth_step((above + 0.35 * leg) / (0.3 * leg)));
        mass += s.load[k].mass;
    }
    return mass > 0 ? sum / mass : 0;
}

double part_of_sink(double sink, double keyed) {
    return 0.5 * (1 + saturated((keyed_enough + sink - keyed) / keyed_width));
}

void add_give(const CarryInput& in, Carriage& c) {
    const double r = in.m.part;
    const double most = in.options.front == APLOMB_FRONT_SIT_BACK ? sitting_sink : usual_sink;
    const double sink = sink_under(r, in.heft * in.options.give * most, height_weight(in.figure, in.key));
    const Key& s = in.key;
    double drop = 0, bearing = 0;
    for (int i = 0; i < in.figure.limb_count && sink > 0; ++i) {
        const Limb& limb = in.figure.limbs[i];
        if (limb.kind != APLOMB_LEG || in.m.bearing[i] <= 0) continue;
        const Vec3 &start = s.body.world[limb.upper].position, &middle = s.body.world[limb.lower].position,
                   &end = s.body.world[limb.end].position;
        const double length = norm(middle - start) + norm(end - middle);
        const double distance = norm(end - start);
        const double keyed = smooth_bend(distance, length);
        c.bend[i] = in.m.bearing[i] * sink * part_of_sink(sink, keyed);
        const double bent = distance_of_smooth_bend(keyed + c.bend[i], length);
        drop += in.m.bearing[i] * (distance - bent), bearing += in.m.bearing[i];
    }
    if (bearing > 0) c.hips.z -= drop / bearing;
    c.hips.z -= smooth_size(c.pelvis.z, roll_width) * in.m.half_hips * 0.5 * (1 + in.m.lift);
}

} // namespace aplomb

// SPDX-License-Identifier: MIT
#include "follow/give.h"

#include <algorithm>
#include <cmath>

#include "carry/parts.h"

namespace aplomb {
namespace {

/// How far a limb's start may go along the unit vector `way` from its end before the limb is straight.
double room_along(const TwoSpan& limb, const Vec3& way) {
    const Vec3 line = limb.start - limb.end;
    const double along = dot(line, way);
    const double across = dot(line, line) - along * along;
    return std::max(0.0, std::sqrt(std::max(0.0, limb.most * limb.most - across)) - along);
}

} // namespace

double resting_give(const Figure& figure, const BodyPlan& plan, const Key& key,
                    const aplomb_options& options) {
    const Measures measures = measure_carry(figure, key, Aim{});
    Carriage carriage;
    add_give({figure, plan, key, measures, options, 1.0}, carriage);
    return -carriage.hips.z;
}

void give_pose(const Figure& figure, const BodyPlan& plan, const Key& key, const aplomb_options& options,
               const Sinking& sinking, const GiveRoom& room, Vec3* translations, Quat* rotations,
               Changed& changed) {
    const Measures measures = measure_carry(figure, key, Aim{});
    Carriage carriage;
    add_level({figure, plan, key, measures, options, 0.0}, carriage);
    Stiffness stiffness;
    stiffness.hips = {1, 1, 0}; // a limb that is keyed straighter than its bound stays so
    Reduction& r = room.reduction;
    reduce(figure, key, stiffness, carriage, room.group, r);
    const Vec3 up = key.ground.normal;
    double hips = sinking.hips;
    r.level.sink = sinking.arms;
    for (int i = 0; i < r.limb_count; ++i) {
        if (r.limb[i].holds_load) r.level.sink = std::min(r.level.sink, room_along(r.limb[i].span, up));
        if (r.limb[i].bearing) hips = std::max(hips, -room_along(r.limb[i].span, up));
    }
    const Model model(key, r);
    ModelState& state = room.state;
    std::fill(state.x, state.x + max_variables, 0.0);
    state.x[Reduction::hips_shift + 2] = -hips;
    model.place(state);
    write_pose(figure, model, state, translations, rotations, changed);
}

} // namespace aplomb

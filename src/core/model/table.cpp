// SPDX-License-Identifier: MIT
#include "model/table.h"

#include <cmath>

#include "base/error.h"

namespace aplomb {

Table make_table(const Figure& figure, const aplomb_options& o) {
    Table t;
    const auto free = [&](uint32_t bit, double value) { return (o.free & bit) != 0 ? value : 0.0; };
    const double leg = figure.leg_length;
    t.hips = {free(APLOMB_FREE_HIPS_FORE, o.hips_fore * leg), free(APLOMB_FREE_HIPS_SIDE, o.hips_side * leg),
              free(APLOMB_FREE_HIPS_HEIGHT, o.hips_height * leg)};
    t.hips_turn = free(APLOMB_FREE_HIPS_TURN, o.hips_turn);
    t.trunk = {o.trunk_fore, o.trunk_twist, o.trunk_side};
    t.neck = o.neck, t.head = o.head, t.swivel = o.swivel;
    t.knee_bend = o.knee_bend, t.knee_straighten = o.knee_straighten;
    t.aim = o.aim * leg;
    t.max_trunk = o.max_trunk, t.max_hips = o.max_hips * leg;
    t.rest = o.rest;
    t.spine_free = (o.free & APLOMB_FREE_SPINE) != 0;
    t.neck_free = (o.free & APLOMB_FREE_NECK) != 0;
    t.swivel_free = (o.free & APLOMB_FREE_SWIVEL) != 0;
    t.locked = o.locked;
    return t;
}

aplomb_status check_options(const aplomb_options& o, aplomb_error* error) {
    struct Range {
        const char* name;
        double value, lowest, highest;
    };
    const Range ranges[] = {{"amount", o.amount, 0, 2},
                            {"amount_hips", o.amount_hips, 0, 2},
                            {"amount_spine", o.amount_spine, 0, 2},
                            {"amount_neck", o.amount_neck, 0, 2},
                            {"rest", o.rest, 0, 1e6},
                            {"margin", o.margin, 0, 10},
                            {"hips_side", o.hips_side, 1e-4, 10},
                            {"hips_fore", o.hips_fore, 1e-4, 10},
                            {"hips_height", o.hips_height, 1e-4, 10},
                            {"hips_turn", o.hips_turn, 1e-4, 10},
                            {"trunk_fore", o.trunk_fore, 1e-4, 10},
                            {"trunk_side", o.trunk_side, 1e-4, 10},
                            {"trunk_twist", o.trunk_twist, 1e-4, 10},
                            {"neck", o.neck, 1e-4, 10},
                            {"head", o.head, 1e-4, 10},
                            {"knee_bend", o.knee_bend, 1e-4, 10},
                            {"knee_straighten", o.knee_straighten, 1e-4, 10},
                            {"swivel", o.swivel, 1e-4, 10},
                            {"aim", o.aim, 1e-5, 10},
                            {"max_trunk", o.max_trunk, 1e-3, 3},
                            {"max_hips", o.max_hips, 1e-3, 3}};
    for (const Range& r : ranges) {
        if (!(r.value >= r.lowest && r.value <= r.highest))
            return fail(error, APLOMB_BAD_ARGUMENT, r.name, -1, "options.%s is %g; %g to %g are allowed.",
                        r.name, r.value, r.lowest, r.highest);
    }
    if (o.free > 127)
        return fail(error, APLOMB_BAD_ARGUMENT, "free", -1, "options.free is %u; 0 to 127 are allowed.",
                    o.free);
    if (o.max_iterations < 1 || o.max_iterations > 1000)
        return fail(error, APLOMB_BAD_ARGUMENT, "max_iterations", -1,
                    "options.max_iterations is %d; 1 to 1000 are allowed.", o.max_iterations);
    return APLOMB_OK;
}

} // namespace aplomb

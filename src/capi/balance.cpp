// SPDX-License-Identifier: MIT
// aplomb_options_init, aplomb_result_init, aplomb_balance.
#include <algorithm>
#include <cmath>
#include <cstring>

#include "balance/solver.h"
#include "capi/names.h"
#include "capi/structs.h"
#include "figure/frame.h"

using namespace aplomb;

namespace {

aplomb_options default_options() {
    aplomb_options o{};
    o.free = APLOMB_FREE_DEFAULT;
    o.amount = 1, o.rest = 1, o.margin = 0.08;
    o.hips_side = o.hips_fore = 0.03, o.hips_height = 0.05, o.hips_turn = 6 * degree;
    o.trunk_fore = 10 * degree, o.trunk_side = 12 * degree, o.trunk_twist = 6 * degree;
    o.neck = 20 * degree, o.head = 10 * degree;
    o.knee_bend = 10 * degree, o.knee_straighten = 4 * degree, o.swivel = 10 * degree;
    o.aim = 0.01;
    o.max_trunk = 25 * degree, o.max_hips = 0.30;
    o.max_iterations = 200;
    return o;
}

void put(double* out, const Vec3& v) {
    out[0] = v.x, out[1] = v.y, out[2] = v.z;
}

void put_point(const Figure& figure, const Ground& ground, const Vec2& p, double* out) {
    put(out, length_out(figure.frame, ground.lift(p)));
}

void put_way(const Figure& figure, const Ground& ground, const Vec2& p, double* out) {
    put(out, length_out(figure.frame, ground.fore * p.fore + ground.left * p.left));
}

aplomb_result public_result(const Figure& figure, const Ground& ground, const Correction& c) {
    const double unit = figure.frame.metres_per_unit;
    aplomb_result r{};
    r.changed = c.changed, r.iterations = c.iterations, r.starts = c.starts, r.capped = c.capped;
    r.objective = c.objective, r.other_objective = c.other_objective;
    r.slack = c.slack, r.violation = c.violation;
    r.stationarity = c.stationarity, r.complementarity = c.complementarity;
    put_point(figure, ground, c.rest.home, r.home);
    put_point(figure, ground, c.rest.aim, r.rest_point);
    r.margin_before = c.support.margin / unit, r.margin_after = c.margin_after / unit;
    r.margin_asked = c.support.margin_asked / unit;
    put_way(figure, ground, c.after - c.before, r.moved);
    for (int k = 0; k < 5; ++k)
        put_way(figure, ground, c.moved_by[k], r.moved_by[k]);
    put(r.controls.hips_shift, Vec3{c.hips_shift.y, c.hips_shift.z, c.hips_shift.x} / unit);
    put(r.controls.hips_turn, c.hips_turn);
    put(r.controls.chest, c.chest);
    put(r.controls.neck, c.neck);
    r.hold_back_count = c.held_count;
    for (int k = 0; k < c.held_count; ++k) {
        name_hold_back(figure, c.held[k], r.hold_backs[k].name, sizeof r.hold_backs[k].name);
        r.hold_backs[k].multiplier = c.held[k].multiplier;
    }
    return r;
}

/// Only joints that the correction changed are written anew; the keyed numbers of all others are copied.
void put_pose(const aplomb_solver& solver, const aplomb_situation& given, double* translations,
              double* rotations) {
    const Figure& figure = *solver.figure;
    const size_t joints = static_cast<size_t>(figure.joint_count);
    std::memmove(translations, given.translations, 3 * joints * sizeof(double));
    std::memmove(rotations, given.rotations, 4 * joints * sizeof(double));
    if (!solver.correction.changed) return;
    put(translations + 3 * figure.hips, length_out(figure.frame, solver.corrected.translations[figure.hips]));
    for (int k = 0; k < solver.correction.joints.count; ++k) {
        const int joint = solver.correction.joints.joint[k];
        const Quat q = rotation_out(figure.frame, solver.corrected.rotations[joint]);
        double* out = rotations + 4 * joint;
        out[0] = q.x, out[1] = q.y, out[2] = q.z, out[3] = q.w;
    }
}

} // namespace

void aplomb_options_init(aplomb_options* options, size_t size) {
    init_struct(options, size, default_options());
}

void aplomb_result_init(aplomb_result* result, size_t size) {
    init_struct(result, size, aplomb_result{});
}

aplomb_status aplomb_balance(aplomb_solver* solver, const aplomb_situation* situation,
                             const aplomb_options* options, double* translations, double* rotations,
                             aplomb_result* result, aplomb_error* error) {
    if (!solver) return fail(error, APLOMB_BAD_ARGUMENT, "solver", -1, "solver is NULL.");
    if (!translations) return fail(error, APLOMB_BAD_ARGUMENT, "translations", -1, "translations is NULL.");
    if (!rotations) return fail(error, APLOMB_BAD_ARGUMENT, "rotations", -1, "rotations is NULL.");
    if (const auto s = check_struct(situation, "situation", error)) return s;
    if (options) {
        if (const auto s = check_struct(options, "options", error)) return s;
    }
    if (result) {
        if (const auto s = check_struct(result, "result", error)) return s;
    }
    const aplomb_options o = options ? read_struct(options, default_options()) : default_options();
    if (const auto s = check_options(o, error)) return s;
    const aplomb_situation given = read_struct(situation, aplomb_situation{});

    const Figure& figure = *solver->figure;
    if (const auto s = make_situation(figure, solver->plan, given, solver->memory, solver->situation, error))
        return s;
    std::copy(solver->memory.translations, solver->memory.translations + figure.joint_count,
              solver->corrected.translations);
    std::copy(solver->memory.rotations, solver->memory.rotations + figure.joint_count,
              solver->corrected.rotations);
    solver->bench.body.world = solver->corrected.world, solver->bench.body.centre = solver->corrected.centre;
    correct(figure, solver->plan, solver->situation, o, solver->bench, solver->corrected.translations,
            solver->corrected.rotations, solver->correction);
    put_pose(*solver, given, translations, rotations);
    if (result) write_struct(result, public_result(figure, solver->situation.ground, solver->correction));
    return solver->correction.status;
}

// SPDX-License-Identifier: MIT
// aplomb_balance, and what it has in common with aplomb_step.
#include <algorithm>
#include <cmath>

#include "base/structs.h"
#include "capi/call.h"
#include "capi/names.h"
#include "capi/situation.h"
#include "figure/frame.h"
#include "model/put_pose.h"
#include "pose/options.h"

using namespace aplomb;

namespace {

void put_point(double* out, const Figure& figure, const Ground& ground, const Vec2& p) {
    put(out, length_out(figure.frame, ground.lift(p)));
}

void put_way(double* out, const Figure& figure, const Ground& ground, const Vec2& p) {
    put(out, length_out(figure.frame, ground.fore * p.fore + ground.left * p.left));
}

aplomb_result public_result(const Figure& figure, const Ground& ground, const Correction& c) {
    const double unit = figure.frame.metres_per_unit;
    aplomb_result r{};
    r.changed = c.changed, r.iterations = c.iterations, r.starts = c.starts, r.capped = c.capped;
    r.objective = c.objective, r.other_objective = c.other_objective;
    r.slack = c.slack, r.violation = c.violation;
    r.stationarity = c.stationarity, r.complementarity = c.complementarity;
    put_point(r.home, figure, ground, c.aim.home);
    put_point(r.rest_point, figure, ground, c.aim.rest_point);
    r.margin_before = c.support.margin / unit, r.margin_after = c.margin_after / unit;
    r.margin_asked = c.support.margin_asked / unit;
    put_way(r.moved, figure, ground, c.after - c.before);
    for (int k = 0; k < 5; ++k)
        put_way(r.moved_by[k], figure, ground, c.moved_by[k]);
    put(r.controls.hips_shift, Vec3{c.hips_shift.y, c.hips_shift.z, c.hips_shift.x} / unit);
    put(r.controls.hips_turn, c.hips_turn);
    put(r.controls.chest, c.chest);
    put(r.controls.neck, c.neck);
    r.hold_back_count = c.hold_back_count;
    r.trust = c.trust;
    r.lag = c.lag / unit;
    r.evaluations = c.evaluations, r.cut_short = c.cut_short;
    r.status = c.status;
    r.gave_way_count = c.gave_way_count;
    for (int k = 0; k < c.gave_way_count; ++k)
        r.gave_way[k] = {c.gave_way[k].limb, 0, c.gave_way[k].place, c.gave_way[k].attitude};
    r.knee_count = c.knee_count;
    for (int k = 0; k < c.knee_count; ++k)
        r.knees[k] = {c.knee[k].limb, 0, c.knee[k].keyed, c.knee[k].bend};
    r.drawn_in = c.drawn_in / unit, r.lowered = c.lowered / unit;
    for (int k = 0; k < 2; ++k)
        r.shoulders[k] = c.shoulder_drop[k] / unit;
    for (int k = 0; k < c.hold_back_count; ++k) {
        name_hold_back(figure, c.hold_back[k], r.hold_backs[k].name, sizeof r.hold_backs[k].name);
        r.hold_backs[k].multiplier = c.hold_back[k].multiplier;
    }
    return r;
}

template<class T>
void put_corrected(const aplomb_solver& solver, const Correction& correction, const aplomb_situation& given,
                   void* translations, void* rotations) {
    const PoseRoom& written = solver.bench.written;
    put_pose(*solver.figure, correction.changed ? &correction.joints : nullptr, written.translations,
             written.rotations, static_cast<const T*>(given.translations),
             static_cast<const T*>(given.rotations), static_cast<T*>(translations),
             static_cast<T*>(rotations));
}

} // namespace

namespace aplomb {

aplomb_status check_call(const Call& call) {
    aplomb_error* error = call.error;
    if (!call.solver) return fail(error, APLOMB_BAD_ARGUMENT, "solver", -1, "solver is NULL.");
    if (!call.translations)
        return fail(error, APLOMB_BAD_ARGUMENT, "translations", -1, "translations is NULL.");
    if (!call.rotations) return fail(error, APLOMB_BAD_ARGUMENT, "rotations", -1, "rotations is NULL.");
    if (const auto s = check_struct(call.situation, "situation", error)) return s;
    if (call.options) {
        if (const auto s = check_struct(call.options, "options", error)) return s;
    }
    if (call.result) {
        if (const auto s = check_struct(call.result, "result", error)) return s;
    }
    return APLOMB_OK;
}

aplomb_status read_options(const Call& call, aplomb_options& options) {
    options = call.options ? read_struct(call.options, default_options()) : default_options();
    return check_options(options, call.error);
}

aplomb_status write_out(const Call& call, const aplomb_situation& given, const Key& key,
                        const Correction& correction) {
    aplomb_solver& solver = *call.solver;
    if (given.floats)
        put_corrected<float>(solver, correction, given, call.translations, call.rotations);
    else
        put_corrected<double>(solver, correction, given, call.translations, call.rotations);
    if (call.result) write_struct(call.result, public_result(*solver.figure, key.ground, correction));
    return correction.status;
}

} // namespace aplomb

void aplomb_result_init(aplomb_result* result, size_t size) {
    aplomb_result none{};
    none.status = APLOMB_BAD_ARGUMENT; // nothing was corrected yet
    init_struct(result, size, none);
}

aplomb_status aplomb_balance(aplomb_solver* solver, const aplomb_situation* situation,
                             const aplomb_options* options, void* translations, void* rotations,
                             aplomb_result* result, aplomb_error* error) {
    const Call call{solver, situation, options, translations, rotations, result, error};
    if (const auto s = check_call(call)) return s;
    const InUse used(*solver);
    if (used.by_another()) return refuse_shared(error);
    const aplomb_situation given = read_struct(situation, aplomb_situation{});
    aplomb_options o;
    if (const auto s = read_options(call, o)) return s;
    Key key;
    if (const auto s = bring_key(*solver->figure, solver->plan, given, solver->keyed, key, error)) return s;
    if (const auto s = check_correctable(*solver->figure, key.stance, error)) return s;
    Correction correction;
    correct(*solver->figure, solver->plan, key, o, solver->bench, correction);
    return write_out(call, given, key, correction);
}

// SPDX-License-Identifier: MIT
// aplomb_balance, aplomb_step and their structs.
#include <algorithm>
#include <cmath>

#include "capi/names.h"
#include "capi/solver.h"
#include "capi/structs.h"
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
    put_point(r.home, figure, ground, c.rest.home);
    put_point(r.rest_point, figure, ground, c.rest.aim);
    r.margin_before = c.support.margin / unit, r.margin_after = c.margin_after / unit;
    r.margin_asked = c.support.margin_asked / unit;
    put_way(r.moved, figure, ground, c.after - c.before);
    for (int k = 0; k < 5; ++k)
        put_way(r.moved_by[k], figure, ground, c.moved_by[k]);
    put(r.controls.hips_shift, Vec3{c.hips_shift.y, c.hips_shift.z, c.hips_shift.x} / unit);
    put(r.controls.hips_turn, c.hips_turn);
    put(r.controls.chest, c.chest);
    put(r.controls.neck, c.neck);
    r.hold_back_count = c.held_count;
    r.way = c.way;
    r.status = c.status;
    r.gave_way_count = c.gave_way_count;
    for (int k = 0; k < c.gave_way_count; ++k)
        r.gave_way[k] = {c.gave_way[k].limb, 0, c.gave_way[k].place, c.gave_way[k].attitude};
    for (int k = 0; k < c.held_count; ++k) {
        name_hold_back(figure, c.held[k], r.hold_backs[k].name, sizeof r.hold_backs[k].name);
        r.hold_backs[k].multiplier = c.held[k].multiplier;
    }
    return r;
}

template<class T>
void put_pose(const aplomb_solver& solver, const Correction& correction, const aplomb_situation& given,
              void* translations, void* rotations) {
    const SituationMemory& written = solver.bench.written;
    put_pose(*solver.figure, correction.changed ? &correction.joints : nullptr, written.translations,
             written.rotations, static_cast<const T*>(given.translations),
             static_cast<const T*>(given.rotations), static_cast<T*>(translations),
             static_cast<T*>(rotations));
}

/// All arguments of a call.
struct Call {
    aplomb_solver* solver;
    const aplomb_situation* situation;
    const aplomb_options* options;
    void *translations, *rotations;
    aplomb_result* result;
    aplomb_error* error;
};

aplomb_status check(const Call& call) {
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

aplomb_status bring(const Call& call, const aplomb_situation& given, aplomb_options& options,
                    Situation& situation) {
    options = call.options ? read_struct(call.options, default_options()) : default_options();
    if (const auto s = check_options(options, call.error)) return s;
    aplomb_solver& solver = *call.solver;
    if (const auto s =
            make_situation(*solver.figure, solver.plan, given, solver.memory, situation, call.error))
        return s;
    return check_correctable(*solver.figure, situation.stance, call.error);
}

/// Corrects what bring() brought and writes it out.
aplomb_status answer(const Call& call, const aplomb_situation& given, const aplomb_options& options,
                     const Situation& situation, Before& before) {
    aplomb_solver& solver = *call.solver;
    const Figure& figure = *solver.figure;
    Correction correction;
    correct(figure, solver.plan, situation, options, solver.bench, correction, before);
    if (given.floats)
        put_pose<float>(solver, correction, given, call.translations, call.rotations);
    else
        put_pose<double>(solver, correction, given, call.translations, call.rotations);
    if (call.result) write_struct(call.result, public_result(figure, situation.ground, correction));
    return correction.status;
}

// ---- Steps -------------------------------------------------------------------------------------------------

constexpr double unnoticed = 1e-6; // m/s^2

aplomb_pace default_pace() {
    aplomb_pace pace{};
    pace.hips = 0.6, pace.turns = 90 * degree, pace.smoothing = 0.15, pace.teleport = 1;
    return pace;
}

aplomb_status check_pace(const aplomb_pace& pace, aplomb_error* error) {
    const struct {
        const char* name;
        double value;
    } values[] = {{"hips", pace.hips},
                  {"turns", pace.turns},
                  {"smoothing", pace.smoothing},
                  {"teleport", pace.teleport}};
    for (const auto& v : values) {
        if (!(v.value >= 0 && v.value <= 1e9))
            return fail(error, APLOMB_BAD_ARGUMENT, v.name, -1, "pace.%s is %g; 0 to 1e9 are allowed.",
                        v.name, v.value);
    }
    return APLOMB_OK;
}

aplomb_status check_frame(const aplomb_frame* frame, aplomb_error* error) {
    if (!frame) return fail(error, APLOMB_BAD_ARGUMENT, "frame", -1, "frame is NULL.");
    if (!(frame->seconds >= 0 && frame->seconds <= 1e6))
        return fail(error, APLOMB_BAD_ARGUMENT, "seconds", -1, "frame.seconds is %g; 0 to 1e6 are allowed.",
                    frame->seconds);
    for (int i = 0; i < 3; ++i) {
        if (!(std::fabs(frame->acceleration[i]) <= 1e9))
            return fail(error, APLOMB_BAD_ARGUMENT, "acceleration", i, "frame.acceleration[%d] is %g.", i,
                        frame->acceleration[i]);
    }
    return APLOMB_OK;
}

/// Adds the character's own acceleration to the situation's.
void lean_into(const Figure& figure, const Vec3& acceleration, aplomb_situation& given) {
    const double* a = given.com_acceleration;
    put(given.com_acceleration, Vec3{a[0], a[1], a[2]} + length_out(figure.frame, acceleration));
}

} // namespace

void aplomb_pace_init(aplomb_pace* pace, size_t size) {
    init_struct(pace, size, default_pace());
}

void aplomb_result_init(aplomb_result* result, size_t size) {
    aplomb_result none{};
    none.status = APLOMB_BAD_ARGUMENT; // nothing was corrected yet
    init_struct(result, size, none);
}

aplomb_status aplomb_balance(aplomb_solver* solver, const aplomb_situation* situation,
                             const aplomb_options* options, void* translations, void* rotations,
                             aplomb_result* result, aplomb_error* error) {
    const Call call{solver, situation, options, translations, rotations, result, error};
    if (const auto s = check(call)) return s;
    const InUse used(*solver);
    if (used.by_another()) return refuse_shared(error);
    const aplomb_situation given = read_struct(situation, aplomb_situation{});
    aplomb_options o;
    Situation brought;
    if (const auto s = bring(call, given, o, brought)) return s;
    Before nothing;
    return answer(call, given, o, brought, nothing);
}

aplomb_status aplomb_step(aplomb_solver* solver, const aplomb_situation* situation,
                          const aplomb_options* options, const aplomb_pace* pace, const aplomb_frame* frame,
                          void* translations, void* rotations, aplomb_result* result, aplomb_error* error) {
    const Call call{solver, situation, options, translations, rotations, result, error};
    if (const auto s = check(call)) return s;
    if (pace) {
        if (const auto s = check_struct(pace, "pace", error)) return s;
    }
    const aplomb_pace p = pace ? read_struct(pace, default_pace()) : default_pace();
    if (const auto s = check_pace(p, error)) return s;
    if (const auto s = check_frame(frame, error)) return s;
    const InUse used(*solver);
    if (used.by_another()) return refuse_shared(error);

    const Figure& figure = *solver->figure;
    Carried next = solver->carried;
    const double* a = frame->acceleration;
    const Vec3 acceleration = direction_in(figure.frame, {a[0], a[1], a[2]}) * figure.frame.metres_per_unit;
    const double fresh = p.smoothing > 0 ? frame->seconds / (p.smoothing + frame->seconds) : 1.0;
    next.acceleration += (acceleration - next.acceleration) * (next.running ? fresh : 1.0);
    if (norm(next.acceleration) < unnoticed) next.acceleration = Vec3{};
    aplomb_situation given = read_struct(situation, aplomb_situation{});
    lean_into(figure, next.acceleration, given);
    aplomb_options o;
    Situation brought;
    if (const auto s = bring(call, given, o, brought)) return s;

    const Vec3 hips = brought.body.world[figure.hips].position;
    if (norm(hips - next.hips) > p.teleport * figure.leg_length) next.running = false;
    const Stride stride{p.hips * figure.leg_length * frame->seconds, p.turns * frame->seconds};
    Step step(stride, next);
    const aplomb_status status = answer(call, given, o, brought, step);
    next.hips = hips;
    next.running = true;
    solver->carried = next;
    return status;
}

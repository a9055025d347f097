// SPDX-License-Identifier: MIT
// aplomb_step and its structs.
#include <algorithm>
#include <cmath>

#include "base/structs.h"
#include "capi/call.h"
#include "capi/situation.h"
#include "capi/step_state.h"
#include "figure/frame.h"
#include "moment/tension.h"
#include "step/loop.h"
#include "step/stance.h"

using namespace aplomb;

namespace {

constexpr double most_seconds = 1e6, most_pace = 1e9, most_ahead = 2, shortest_ahead = 0.01,
                 most_velocity = 1e6, most_tension = 1e9;
constexpr double usual_leg = 0.9; // metres: the leg length that times are given for

aplomb_pace default_pace() {
    aplomb_pace pace{};
    pace.hips = 0.6, pace.turns = 90 * degree, pace.teleport = 1;
    return pace;
}
aplomb_frame default_frame() {
    aplomb_frame frame{};
    frame.ahead_seconds = 0.3;
    return frame;
}

aplomb_status read_pace(const aplomb_pace* given, aplomb_pace& pace, aplomb_error* error) {
    pace = default_pace();
    if (!given) return APLOMB_OK;
    if (const auto s = check_struct(given, "pace", error)) return s;
    pace = read_struct(given, pace);
    const struct {
        const char* name;
        double value;
    } values[] = {{"hips", pace.hips}, {"turns", pace.turns}, {"teleport", pace.teleport}};
    for (const auto& v : values) {
        if (!(v.value >= 0 && v.value <= most_pace))
            return fail(error, APLOMB_BAD_ARGUMENT, v.name, -1, "pace.%s is %g; 0 to %g are allowed.", v.name,
                        v.value, most_pace);
    }
    return APLOMB_OK;
}

aplomb_status read_frame(const aplomb_frame* given, aplomb_frame& frame, aplomb_error* error) {
    if (const auto s = check_struct(given, "frame", error)) return s;
    frame = read_struct(given, default_frame());
    if (!(frame.seconds >= 0 && frame.seconds <= most_seconds))
        return fail(error, APLOMB_BAD_ARGUMENT, "seconds", -1, "frame.seconds is %g; 0 to %g are allowed.",
                    frame.seconds, most_seconds);
    for (int i = 0; i < 3; ++i) {
        if (!(std::fabs(frame.velocity[i]) <= most_velocity))
            return fail(error, APLOMB_BAD_ARGUMENT, "velocity", i,
                        "frame.velocity[%d] is %g; it must be %g to %g.", i, frame.velocity[i],
                        -most_velocity, most_velocity);
    }
    if (frame.ahead_contact_count < 0 || frame.ahead_contact_count > APLOMB_MAX_CONTACTS)
        return fail(error, APLOMB_BAD_ARGUMENT, "ahead_contact_count", -1,
                    "The number of ahead_contacts is %d; it must be 0 to %d.", frame.ahead_contact_count,
                    APLOMB_MAX_CONTACTS);
    if (frame.ahead_contact_count > 0 && !frame.ahead_contacts)
        return fail(error, APLOMB_BAD_ARGUMENT, "ahead_contacts", -1,
                    "frame.ahead_contact_count is %d, but ahead_contacts is NULL.",
                    frame.ahead_contact_count);
    if (!frame.ahead_translations != !frame.ahead_rotations)
        return fail(error, APLOMB_BAD_ARGUMENT, "ahead_rotations", -1,
                    "frame has ahead_%s, but ahead_%s is NULL; a pose has both.",
                    frame.ahead_translations ? "translations" : "rotations",
                    frame.ahead_translations ? "rotations" : "translations");
    if (frame.ahead_translations && !(frame.ahead_seconds > 0 && frame.ahead_seconds <= most_ahead))
        return fail(error, APLOMB_BAD_ARGUMENT, "ahead_seconds", -1,
                    "frame.ahead_seconds is %g; a pose ahead is above 0 and at most %g seconds away.",
                    frame.ahead_seconds, most_ahead);
    return APLOMB_OK;
}

aplomb_status check_tensions(const aplomb_frame& frame, const aplomb_situation& given, aplomb_error* error) {
    for (int k = 0; frame.tensions && k < given.load_count; ++k) {
        for (int i = 0; given.loads[k].hanging && i < 3; ++i) {
            const double force = frame.tensions[3 * k + i];
            if (!(std::fabs(force) <= most_tension))
                return fail(error, APLOMB_BAD_ARGUMENT, "tensions", k,
                            "frame.tensions of load %d: its number %d is %g; it must be %g to %g newton.", k,
                            i, force, -most_tension, most_tension);
        }
    }
    return APLOMB_OK;
}

/// One frame's way through the loop.
struct Stepping {
    const Call& call;
    const aplomb_situation& given;
    const Ask& ask;
    const aplomb_options& options;
    const aplomb_pace& pace;
    const aplomb_frame& frame;
    StepMemory memory{};
    Clock clock{};

    const Figure& figure() const { return *call.solver->figure; }

    aplomb_status go(aplomb_step_state& state) {
        aplomb_solver& solver = *call.solver;
        if (const auto s = recall(solver.figure_check, state, memory, call.error)) return s;
        if (const auto s = bring_pose(figure(), given, solver.keyed, call.error)) return s;
        Key now;
        if (const auto falls = measure_pose(figure(), solver.plan, ask, solver.keyed, now))
            return tell(figure(), falls, call.error);
        set_clock(now);
        double stride = 0;
        if (const auto s = stand(now, stride)) return s;
        if (const auto wrong = measure_carried(figure(), ask, now)) return tell(figure(), wrong, call.error);
        Ahead ahead;
        if (frame.ahead_translations) {
            aplomb_error told{};
            if (const auto s = look_ahead(ahead, told))
                return fail(call.error, s, told.field, told.index, "ahead: %.400s", told.message);
        }
        const double leg = figure().leg_length;
        const Stride most{pace.hips * leg * clock.seconds, pace.turns * clock.seconds};
        Correction correction;
        take_step({figure(), solver.plan, options, clock, most, ahead, swing_of(now), stride,
                   call.result != nullptr},
                  now, solver.bench, memory, correction);
        const aplomb_status status = write_out(call, given, now, correction);
        keep(solver.figure_check, memory, state);
        return status;
    }

    void set_clock(const Key& now) {
        const double leg = figure().leg_length;
        clock.seconds = frame.seconds < shortest_frame ? 0.0 : std::min(frame.seconds, longest_frame);
        clock.scale = std::sqrt(leg / usual_leg);
        clock.walk_speed = std::sqrt(norm(now.ground.gravity) * leg);
        clock.drift = length_in(figure().frame, {frame.velocity[0], frame.velocity[1], frame.velocity[2]});
        if (norm(clock.drift) > fastest) clock.drift = clock.drift * (fastest / norm(clock.drift));
        clock.anew =
            memory.running == 0 || is_teleported(figure(), now, frame.seconds, pace.teleport, memory);
        if (clock.anew) memory = StepMemory{};
        remember_body(figure(), clock, now, memory);
    }

    aplomb_status stand(Key& now, double& stride) {
        begin_stance(figure(), ask, now);
        if (const auto s = check_correctable(figure(), now.stance, call.error)) return s;
        stride = take_stance(figure(), clock, ask.gives_contacts ? ask.contact : nullptr, ask.contact_count,
                             memory, now);
        return APLOMB_OK;
    }

    Vec2 swing_of(const Key& now) const {
        Swung swung(now);
        for (int k = 0; frame.tensions && k < given.load_count; ++k) {
            const double* f = frame.tensions + 3 * k;
            if (given.loads[k].hanging) swung.add(k, direction_in(figure().frame, {f[0], f[1], f[2]}));
        }
        return swung.way();
    }

    aplomb_status look_ahead(Ahead& ahead, aplomb_error& told) {
        aplomb_solver& solver = *call.solver;
        aplomb_situation then = given;
        then.translations = frame.ahead_translations, then.rotations = frame.ahead_rotations;
        const PoseRoom& room = solver.bench.written;
        if (const auto s = bring_pose(figure(), then, room, &told)) return s;
        Key shown;
        if (const auto falls = measure_pose(figure(), solver.plan, ask, room, shown))
            return tell(figure(), falls, &told);
        if (clock.anew) // in a first frame nothing else tells its velocity
            memory.velocity = (centre_of(figure(), shown.body) - memory.centre) /
                              std::max(frame.ahead_seconds, shortest_ahead);
        AskedContact contacts[APLOMB_MAX_CONTACTS];
        int count = frame.ahead_contact_count;
        if (!frame.ahead_contacts)
            count = contacts_ahead(figure(), clock, memory, shown, frame.ahead_seconds, contacts);
        else if (const auto s =
                     check_contacts(figure(), ask.normal, frame.ahead_contacts, count, contacts, &told))
            return s;
        make_stance(figure(), shown.body.world, contacts, count, shown.stance);
        if (const auto wrong = measure_carried(figure(), ask, shown)) return tell(figure(), wrong, &told);
        ahead.seconds = std::max(frame.ahead_seconds, shortest_ahead);
        ahead.need = need_ahead(figure(), solver.plan, options, clock, memory, shown, ahead.seconds);
        return APLOMB_OK;
    }
};

} // namespace

void aplomb_pace_init(aplomb_pace* pace, size_t size) {
    init_struct(pace, size, default_pace());
}
void aplomb_frame_init(aplomb_frame* frame, size_t size) {
    init_struct(frame, size, default_frame());
}

aplomb_status aplomb_step(aplomb_solver* solver, aplomb_step_state* state, const aplomb_situation* situation,
                          const aplomb_options* options, const aplomb_pace* pace, const aplomb_frame* frame,
                          void* translations, void* rotations, aplomb_result* result, aplomb_error* error) {
    const Call call{solver, situation, options, translations, rotations, result, error};
    if (const auto s = check_call(call)) return s;
    if (!state) return fail(error, APLOMB_BAD_ARGUMENT, "state", -1, "state is NULL.");
    aplomb_pace p;
    if (const auto s = read_pace(pace, p, error)) return s;
    aplomb_frame f;
    if (const auto s = read_frame(frame, f, error)) return s;
    const InUse used(*solver);
    if (used.by_another()) return refuse_shared(error);
    aplomb_options o;
    if (const auto s = read_options(call, o)) return s;
    aplomb_situation given = read_struct(situation, aplomb_situation{});
    for (int i = 0; i < 3; ++i) // the loop measures motion itself
        given.com_acceleration[i] = given.angular_momentum_rate[i] = 0;
    Ask ask;
    if (const auto s = check_ask(*solver->figure, given, ask, error)) return s;
    if (const auto s = check_tensions(f, given, error)) return s;
    return Stepping{call, given, ask, o, p, f}.go(*state);
}

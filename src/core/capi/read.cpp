// SPDX-License-Identifier: MIT
// aplomb_read*, and what a situation is made of.
#include <cmath>
#include <cstddef>
#include <cstring>
#include <initializer_list>
#include <limits>

#include "base/structs.h"
#include "capi/reading.h"
#include "capi/situation.h"
#include "capi/solver.h"
#include "figure/frame.h"
#include "pose/options.h"
#include "reading/reading.h"
#include "support/standing.h"

using namespace aplomb;

namespace {

/// A reading uses two options only; the struct of an older caller may end before one of them.
double asked(const aplomb_options* options, double aplomb_options::*member) {
    const auto* begin = reinterpret_cast<const char*>(options);
    const bool has =
        options && reinterpret_cast<const char*>(&(options->*member) + 1) <= begin + options->struct_size;
    return has ? options->*member : line_of(member).usual;
}

aplomb_status check_call(const aplomb_solver* solver, const aplomb_situation* situation,
                         const aplomb_options* options, const aplomb_reading* reading, aplomb_error* error) {
    if (!solver) return fail(error, APLOMB_BAD_ARGUMENT, "solver", -1, "solver is NULL.");
    if (const auto s = check_struct(situation, "situation", error)) return s;
    if (options) {
        if (const auto s = check_struct(options, "options", error)) return s;
    }
    for (const auto member : {&aplomb_options::margin, &aplomb_options::heft}) {
        if (const auto s = check_option(line_of(member), asked(options, member), error)) return s;
    }
    return check_struct(reading, "reading", error);
}

/// A keyed moment and where its weight belongs.
struct Belongs {
    Key key;
    Support support;
    Area zone;
    Aim aim;
};

aplomb_status bring_moment(aplomb_solver& solver, const aplomb_situation* situation,
                           const aplomb_options* options, Belongs& belongs, aplomb_error* error) {
    const aplomb_situation given = read_struct(situation, aplomb_situation{});
    const Figure& figure = *solver.figure;
    if (const auto s = bring_key(figure, solver.plan, given, solver.keyed, belongs.key, error)) return s;
    belongs.support = make_support(figure, belongs.key, asked(options, &aplomb_options::margin));
    belongs.zone = make_zone(figure, belongs.key);
    belongs.aim =
        make_aim(figure, solver.plan, belongs.key, belongs.support, asked(options, &aplomb_options::heft));
    return APLOMB_OK;
}

aplomb_reading read_moment(const aplomb_solver& solver, const Belongs& to, bool corrected) {
    const Figure& figure = *solver.figure;
    const Findings found = find_all(figure, solver.plan, to.key, to.support, to.zone, to.aim, corrected);
    return public_reading(figure, to.key, to.support, to.zone, to.aim, found);
}

/// A result's point, on the ground of the situation.
aplomb_status point_in(const Figure& figure, const Ground& ground, const double* point, const char* name,
                       Vec2& inner, aplomb_error* error) {
    constexpr double farthest = 1e12; // metres in the world; squares stay finite
    const double largest = farthest / figure.frame.metres_per_unit;
    for (int i = 0; i < 3; ++i) {
        if (!std::isfinite(point[i]))
            return fail(error, APLOMB_BAD_ARGUMENT, name, i, "result.%s[%d] is %g.", name, i, point[i]);
        if (std::fabs(point[i]) > largest)
            return fail(error, APLOMB_BAD_ARGUMENT, name, i, "result.%s[%d] is %g, beyond %g.", name, i,
                        point[i], largest);
    }
    inner = ground.project(length_in(figure.frame, {point[0], point[1], point[2]}));
    return APLOMB_OK;
}

} // namespace

void aplomb_situation_init(aplomb_situation* situation, size_t size) {
    init_struct(situation, size, {});
}
void aplomb_reading_init(aplomb_reading* reading, size_t size) {
    init_struct(reading, size, {});
}

aplomb_contact aplomb_contact_make(int32_t limb, aplomb_hold hold) {
    return contact_out(usual_contact(limb, hold));
}

aplomb_load aplomb_load_make(double mass, int32_t holder) {
    aplomb_load load{};
    load.mass = mass;
    load.holder[0] = holder;
    load.holder[1] = -1;
    return load;
}

aplomb_status aplomb_load_at(const aplomb_figure* figure, double mass, const char* place, aplomb_load* load,
                             aplomb_error* error) {
    if (!figure) return fail(error, APLOMB_BAD_ARGUMENT, "figure", -1, "figure is NULL.");
    if (!place) return fail(error, APLOMB_BAD_ARGUMENT, "place", -1, "place is NULL.");
    if (!load) return fail(error, APLOMB_BAD_ARGUMENT, "load", -1, "load is NULL.");
    const auto is = [&](const char* word) { return std::strcmp(place, word) == 0; };
    aplomb_load made = aplomb_load_make(mass, -1);
    int count = 0;
    for (const aplomb_side side : {APLOMB_SIDE_LEFT, APLOMB_SIDE_RIGHT}) {
        if (!is("hands") && !is(side == APLOMB_SIDE_LEFT ? "left-hand" : "right-hand")) continue;
        const int32_t hand = aplomb_figure_find_role(figure, APLOMB_ROLE_HAND, side);
        if (hand < 0)
            return fail(error, APLOMB_BAD_ARGUMENT, "place", -1,
                        "place is \"%s\", but the figure has no %s hand; name the joint that carries.", place,
                        aplomb_side_text(side));
        made.holder[count++] = hand;
    }
    if (count == 0) made.holder[0] = is("back") ? figure->chest : aplomb_figure_find_joint(figure, place);
    if (made.holder[0] < 0)
        return fail(
            error, APLOMB_BAD_ARGUMENT, "place", -1,
            "place is \"%.64s\"; it must be hands, left-hand, right-hand, back or a joint of the figure.",
            place);
    *load = made;
    return APLOMB_OK;
}

int32_t aplomb_stance_default(const aplomb_figure* figure, const double* translations,
                              const double* rotations, aplomb_contact* contacts, aplomb_error* error) {
    if (!figure) return fail(error, APLOMB_BAD_ARGUMENT, "figure", -1, "figure is NULL.");
    if (!contacts) return fail(error, APLOMB_BAD_ARGUMENT, "contacts", -1, "contacts is NULL.");
    if (const auto s = check_pose(*figure, translations, rotations, error)) return s;
    const auto keep = [](const AskedContact& shown, void* to) {
        *(*static_cast<aplomb_contact**>(to))++ = contact_out(shown);
    };
    return default_contacts(*figure, translations, rotations, keep, &contacts);
}

aplomb_status aplomb_read(aplomb_solver* solver, const aplomb_situation* situation,
                          const aplomb_options* options, aplomb_reading* reading, aplomb_error* error) {
    if (const auto s = check_call(solver, situation, options, reading, error)) return s;
    const InUse used(*solver);
    if (used.by_another()) return refuse_shared(error);
    Belongs to;
    if (const auto s = bring_moment(*solver, situation, options, to, error)) return s;
    write_struct(reading, read_moment(*solver, to, false));
    return APLOMB_OK;
}

aplomb_status aplomb_read_corrected(aplomb_solver* solver, const aplomb_situation* situation,
                                    const aplomb_options* options, const void* translations,
                                    const void* rotations, const struct aplomb_result* result,
                                    aplomb_reading* reading, aplomb_error* error) {
    if (const auto s = check_call(solver, situation, options, reading, error)) return s;
    if (const auto s = check_struct(result, "result", error)) return s;
    const InUse used(*solver);
    if (used.by_another()) return refuse_shared(error);
    Belongs belongs;
    if (const auto s = bring_moment(*solver, situation, options, belongs, error)) return s;
    Key& key = belongs.key;
    Aim& aim = belongs.aim;
    const aplomb_result made = read_struct(result, aplomb_result{});
    if (const auto s = point_in(*solver->figure, key.ground, made.home, "home", aim.home, error)) return s;
    if (const auto s =
            point_in(*solver->figure, key.ground, made.rest_point, "rest_point", aim.rest_point, error))
        return s;

    const PoseRoom& room = solver->bench.written;
    const Figure& figure = *solver->figure;
    const bool floats = read_struct(situation, aplomb_situation{}).floats != 0;
    if (const auto s =
            pose_in(figure, {translations, rotations, floats}, room.translations, room.rotations, error))
        return s;
    if (const Unmeasured far = repose(figure, solver->plan, room, key)) return tell(figure, far, error);
    write_struct(reading, read_moment(*solver, belongs, true));
    return APLOMB_OK;
}

// SPDX-License-Identifier: MIT
// aplomb_hanging_*, aplomb_give_* and how long things take.
#include <cmath>
#include <cstdio>
#include <initializer_list>
#include <utility>

#include "aplomb/follow.h"
#include "base/check.h"
#include "base/structs.h"
#include "base/trig.h"
#include "follow/hanging.h"
#include "follow/oscillator.h"
#include "follow/timing.h"

using namespace aplomb;

namespace {

constexpr double largest = 1e9, most_seconds = 10;

aplomb_hanging default_hanging() {
    aplomb_hanging h{};
    h.damping = 0.2;
    h.gravity[1] = -9.80665;
    h.give = 3;
    return h;
}

aplomb_status check_above_zero(const char* name, double value, aplomb_error* error) {
    if (value > 0 && value <= largest) return APLOMB_OK;
    return fail(error, APLOMB_BAD_ARGUMENT, name, -1, "%s is %g; it must be above 0, and at most %g.", name,
                value, largest);
}

aplomb_status check_between(const char* name, double value, double lowest, double highest,
                            aplomb_error* error) {
    if (value >= lowest && value <= highest) return APLOMB_OK;
    return fail(error, APLOMB_BAD_ARGUMENT, name, -1, "%s is %g; %g to %g are allowed.", name, value, lowest,
                highest);
}

aplomb_status check_present(const void* pointer, const char* name, aplomb_error* error) {
    if (pointer) return APLOMB_OK;
    return fail(error, APLOMB_BAD_ARGUMENT, name, -1, "%s is NULL.", name);
}

aplomb_status check_hanging(const aplomb_hanging& h, aplomb_error* error) {
    if (const auto s = check_between("length", h.length, 1e-3, 1e3, error)) return s;
    if (const auto s = check_above_zero("mass", h.mass, error)) return s;
    if (const auto s = check_between("damping", h.damping, 0, 1, error)) return s;
    if (const auto s = check_between("give", h.give, 0, 20, error)) return s;
    if (const auto s =
            check_finite({"gravity", "load", h.gravity, 3, 1, nullptr}, 1000, APLOMB_BAD_ARGUMENT, error))
        return s;
    if (const auto s =
            check_finite({"stop", "load", h.stop, 3, 1, nullptr}, largest, APLOMB_BAD_ARGUMENT, error))
        return s;
    const double g = norm(Vec3{h.gravity[0], h.gravity[1], h.gravity[2]});
    if (g >= 0.01) return APLOMB_OK;
    return fail(error, APLOMB_BAD_ARGUMENT, "gravity", -1,
                "gravity has length %g; a hanging load needs 0.01 or more.", g);
}

aplomb_status check_hanging_state(const aplomb_hanging_state& s, aplomb_error* error) {
    if (s.running < 0 || s.running > 3)
        return fail(error, APLOMB_BAD_ARGUMENT, "state", -1, "state.running is %d; 0 to 3 are.", s.running);
    if (!s.running) return APLOMB_OK;
    for (const auto& [name, values] :
         {std::pair{"away", s.away}, std::pair{"spin", s.spin}, std::pair{"hand", s.hand},
          std::pair{"velocity", s.velocity}, std::pair{"end_velocity", s.end_velocity},
          std::pair{"given", s.given}, std::pair{"given_velocity", s.given_velocity}}) {
        for (int k = 0; k < 3; ++k) {
            if (!(std::fabs(values[k]) <= 1e20))
                return fail(error, APLOMB_BAD_ARGUMENT, "state", k,
                            "state.%s[%d] is %g, not a finite number within 1e20.", name, k, values[k]);
        }
    }
    if (!(norm(Vec3{s.away[0], s.away[1], s.away[2]}) > 0))
        return fail(error, APLOMB_BAD_ARGUMENT, "state", -1, "state.away has no length.");
    return check_between("state.seconds", s.seconds, 0, most_seconds, error);
}

} // namespace

void aplomb_hanging_init(aplomb_hanging* hanging, size_t size) {
    init_struct(hanging, size, default_hanging());
}

aplomb_status aplomb_hanging_step(const aplomb_hanging* hanging, aplomb_hanging_state* state, double seconds,
                                  const double hand[3], aplomb_hanging_result* result, aplomb_error* error) {
    if (const auto s = check_struct(hanging, "hanging", error)) return s;
    if (const auto s = check_present(state, "state", error)) return s;
    if (const auto s = check_present(hand, "hand", error)) return s;
    const aplomb_hanging full = read_struct(hanging, default_hanging());
    if (const auto s = check_hanging(full, error)) return s;
    if (const auto s = check_hanging_state(*state, error)) return s;
    if (!(seconds == 0 || (seconds >= 1e-4 && seconds <= most_seconds)))
        return fail(error, APLOMB_BAD_ARGUMENT, "seconds", -1,
                    "seconds is %g; 0 or 0.0001 to %g are allowed.", seconds, most_seconds);
    if (const auto s =
            check_finite({"hand", "load", hand, 3, 1, nullptr}, largest, APLOMB_BAD_ARGUMENT, error))
        return s;
    const aplomb_hanging_result made = move_hanging(full, *state, seconds, {hand[0], hand[1], hand[2]});
    if (result) *result = made;
    return APLOMB_OK;
}

int32_t aplomb_hanging_remark(double length, double gravity, double step_seconds, char* text, size_t size) {
    for (const double value : {length, gravity, step_seconds}) {
        if (!(value > 0 && value <= largest)) return -1;
    }
    constexpr double near = 0.15;
    const double swing = pendulum_time(length, 0, gravity), stride = 2 * step_seconds;
    const auto meets = [swing](double time) { return std::fabs(swing - time) <= near * time; };
    if (meets(stride))
        return std::snprintf(
            text, size,
            "The load swings in %.2f s and a stride takes %.2f s: each stride feeds the swing. Another "
            "length, or a quieter arm, keeps it small.",
            swing, stride);
    if (meets(step_seconds))
        return std::snprintf(
            text, size,
            "The load swings in %.2f s and a step takes %.2f s: each step feeds the swing. Another "
            "length, or a quieter arm, keeps it small.",
            swing, step_seconds);
    return std::snprintf(text, size, "%s", "");
}

aplomb_status aplomb_give_make(aplomb_give_kind kind, double length, double gravity, double load_over_body,
                               aplomb_give* give, aplomb_error* error) {
    if (const auto s = check_present(give, "give", error)) return s;
    if (const auto s = check_above_zero("length", length, error)) return s;
    if (const auto s = check_above_zero("gravity", gravity, error)) return s;
    if (const auto s = check_between("load_over_body", load_over_body, 0, 1e6, error)) return s;
    switch (kind) {
    case APLOMB_GIVE_ARMS:
        *give = {std::sqrt(14 * gravity / length), 0.5};
        return APLOMB_OK;
    case APLOMB_GIVE_LEGS:
        *give = {std::sqrt(20 * gravity / (length * (1 + load_over_body))), 0.4};
        return APLOMB_OK;
    case APLOMB_GIVE_LANDING:
        *give = {std::sqrt(4 * gravity / length), 0.5};
        return APLOMB_OK;
    default:
        return fail(error, APLOMB_BAD_ARGUMENT, "kind", -1, "kind is %d; it must be an aplomb_give_kind.",
                    static_cast<int>(kind));
    }
}

aplomb_status aplomb_give_step(const aplomb_give* give, double rest, double seconds, double* place,
                               double* velocity, aplomb_error* error) {
    if (const auto s = check_present(give, "give", error)) return s;
    if (const auto s = check_present(place, "place", error)) return s;
    if (const auto s = check_present(velocity, "velocity", error)) return s;
    if (const auto s = check_between("give.rate", give->rate, 1e-3, 1e4, error)) return s;
    if (const auto s = check_between("give.damping", give->damping, 0, 1, error)) return s;
    if (const auto s = check_between("seconds", seconds, 0, most_seconds, error)) return s;
    if (const auto s = check_between("rest", rest, -largest, largest, error)) return s;
    if (const auto s = check_between("place", *place, -largest, largest, error)) return s;
    if (const auto s = check_between("velocity", *velocity, -largest, largest, error)) return s;
    make_propagator(give->rate, give->damping, seconds).move(rest, *place, *velocity);
    return APLOMB_OK;
}

aplomb_status aplomb_fall_time(double height, double gravity, double* seconds, aplomb_error* error) {
    if (const auto s = check_present(seconds, "seconds", error)) return s;
    if (const auto s = check_above_zero("height", height, error)) return s;
    if (const auto s = check_above_zero("gravity", gravity, error)) return s;
    *seconds = fall_time(height, gravity);
    return APLOMB_OK;
}

aplomb_status aplomb_bounce_time(double height, double restitution, double gravity, int32_t index,
                                 aplomb_bounce* result, aplomb_error* error) {
    if (const auto s = check_present(result, "bounce", error)) return s;
    if (const auto s = check_above_zero("height", height, error)) return s;
    if (const auto s = check_between("restitution", restitution, 0, 1, error)) return s;
    if (const auto s = check_above_zero("gravity", gravity, error)) return s;
    if (index < 0 || index > 10000)
        return fail(error, APLOMB_BAD_ARGUMENT, "index", index, "index is %d; 0 to 10000 are allowed.",
                    index);
    *result = bounce(height, restitution, gravity, index);
    return APLOMB_OK;
}

aplomb_status aplomb_pendulum_time(double length, double angle, double gravity, double* seconds,
                                   aplomb_error* error) {
    if (const auto s = check_present(seconds, "seconds", error)) return s;
    if (const auto s = check_above_zero("length", length, error)) return s;
    if (!(angle >= 0 && angle < pi))
        return fail(error, APLOMB_BAD_ARGUMENT, "angle", -1,
                    "angle is %g; 0 to below pi radians are allowed.", angle);
    if (const auto s = check_above_zero("gravity", gravity, error)) return s;
    *seconds = pendulum_time(length, angle, gravity);
    return APLOMB_OK;
}

aplomb_status aplomb_step_time(double leg, double seconds, double other, double* other_seconds,
                               aplomb_error* error) {
    if (const auto s = check_present(other_seconds, "other_seconds", error)) return s;
    if (const auto s = check_above_zero("leg", leg, error)) return s;
    if (const auto s = check_above_zero("seconds", seconds, error)) return s;
    if (const auto s = check_above_zero("other", other, error)) return s;
    *other_seconds = step_time(leg, seconds, other);
    return APLOMB_OK;
}

aplomb_status aplomb_settle_time(double frequency, double damping, double part, double* seconds,
                                 aplomb_error* error) {
    if (const auto s = check_present(seconds, "seconds", error)) return s;
    if (const auto s = check_above_zero("frequency", frequency, error)) return s;
    if (const auto s = check_between("damping", damping, 0.01, 1, error)) return s;
    if (const auto s = check_between("part", part, 1e-9, 0.999999, error)) return s;
    *seconds = settle_time(2 * pi * frequency, damping, part);
    return APLOMB_OK;
}

// SPDX-License-Identifier: MIT
// aplomb_explain: a correction in the animator's words.
#include <algorithm>
#include <cmath>

#include "base/structs.h"
#include "capi/handles.h"
#include "capi/names.h"
#include "capi/text.h"

using namespace aplomb;

namespace {

constexpr double most_turn = 1e3; // no correction turns that far: such a result is not the library's
// What cannot be seen is not mentioned (common practice): half a degree, and half a centimetre on a body of 1.70 m.
constexpr double least_angle = 0.5 * degree, least_of_stature = 0.003;
constexpr double least_knee = 1 * degree; // said in whole degrees

// A hold that gives way is mentioned earlier: from half a millimetre or a twentieth of a degree; less prints as 0.0.
constexpr double given_length = 0.0005, given_angle = 0.05 * degree;

/// The least length that is mentioned, in metres.
double least_length(const Figure& figure) {
    return std::max(least_of_stature * figure.stature, 0.0005);
}

/// The verbs of a part of the trunk; where `leans` is empty, a lean is told by `bends`.
struct Verbs {
    const char *bends, *leans, *twists;
    const char* sides[2]; // right, left
};

/// "Pelvis tilts back 7.5 degrees, drops on the left 1.2 degrees, turns right 3.1 degrees"
void add_turn(Text& text, const char* what, const Verbs& verbs, const double* turn) {
    const char* const ways[3][2] = {{"forward", "back"}, {verbs.sides[0], verbs.sides[1]}, {"left", "right"}};
    const double angles[3] = {turn[0], turn[2], turn[1]};
    int parts = 0;
    for (int k = 0; k < 3; ++k) {
        if (std::fabs(angles[k]) < least_angle) continue;
        const char* lean = *verbs.leans || parts ? verbs.leans : verbs.bends;
        const char* verb = k == 2 ? verbs.twists : k == 1 ? lean : verbs.bends;
        text.add("%s%s%s%s %.1f degrees", parts++ ? ", " : what, verb, *verb ? " " : "",
                 ways[k][angles[k] < 0], std::fabs(angles[k]) / degree);
    }
    if (parts) text.add("\n");
}

/// "back", "forward and to the left": a component is left out where the direction is within 22.5 degrees of the other one.
void add_way(Text& text, double left, double forward) {
    const double least = 0.38 * std::sqrt(left * left + forward * forward);
    const bool along = std::fabs(forward) > least, aside = std::fabs(left) > least;
    if (along) text.add("%s%s", forward < 0 ? "back" : "forward", aside ? " and " : "");
    if (aside) text.add("to the %s", left < 0 ? "right" : "left");
}

void add_lean(Text& text, const aplomb_controls& c) {
    for (int k = 0; k < 3; ++k) {
        if (!(std::fabs(c.hips_turn[k]) < most_turn && std::fabs(c.chest[k]) < most_turn)) return;
    }
    const Quat whole = exp_rotation({c.hips_turn[0], c.hips_turn[1], c.hips_turn[2]}) *
                       exp_rotation({c.chest[0], c.chest[1], c.chest[2]});
    const Vec3 up = rotate(whole, {0, 1, 0});
    const double lean = arctan2(std::sqrt(up.x * up.x + up.z * up.z), up.y);
    if (lean < least_angle) return;
    text.add("In all the chest leans ");
    add_way(text, up.x, up.z);
    text.add(" %.1f degrees from the keyed pose.\n", lean / degree);
}

/// "Knees bend to 19 degrees", "The left knee bends to 24 degrees, the right knee straightens to 11 degrees"
void add_knees(Text& text, const Figure& figure, const aplomb_result& r) {
    const int count = std::min<int>(r.knee_count, APLOMB_MAX_KNEES);
    int changed = 0;
    double least = pi, most = 0;
    for (int k = 0; k < count; ++k) {
        least = std::min(least, r.knees[k].bend), most = std::max(most, r.knees[k].bend);
        changed += std::fabs(r.knees[k].bend - r.knees[k].keyed) >= least_knee;
    }
    if (changed == 0) return;
    const auto bends = [&](const aplomb_knee& knee) { return knee.bend > knee.keyed; };
    const bool together = changed > 1 && changed == count && most - least < least_knee &&
                          std::all_of(r.knees, r.knees + count,
                                      [&](const aplomb_knee& k) { return bends(k) == bends(r.knees[0]); });
    if (together)
        return text.add("Knees %s to %.0f degrees\n", bends(r.knees[0]) ? "bend" : "straighten",
                        0.5 * (least + most) / degree);
    int parts = 0;
    for (int k = 0; k < count; ++k) {
        const aplomb_knee& knee = r.knees[k];
        if (std::fabs(knee.bend - knee.keyed) < least_knee) continue;
        if (knee.limb < 0 || knee.limb >= figure.limb_count) continue;
        text.add("%s %s knee %s to %.0f degrees", parts++ ? ", the" : "The",
                 aplomb_side_text(figure.limbs[knee.limb].side), bends(knee) ? "bends" : "straightens",
                 knee.bend / degree);
    }
    if (parts) text.add("\n");
}

/// "Shoulders: the left 3.1 cm lower, the right 1.0 cm higher", "Shoulders: 1.8 cm lower"
void add_shoulders(Text& text, const aplomb_result& r, double unit, double least) {
    static constexpr const char* names[2] = {"the left", "the right"};
    const double left = r.shoulders[0] * unit, right = r.shoulders[1] * unit;
    if (std::fabs(left) >= least && std::fabs(left - right) < given_length)
        return text.add("Shoulders: %.1f cm %s\n", std::fabs(left) * 100, left > 0 ? "lower" : "higher");
    int parts = 0;
    for (int k = 0; k < 2; ++k) {
        const double drop = r.shoulders[k] * unit;
        if (!(std::fabs(drop) >= least)) continue;
        text.add("%s%s %.1f cm %s", parts++ ? ", " : "Shoulders: ", names[k], std::fabs(drop) * 100,
                 drop > 0 ? "lower" : "higher");
    }
    if (parts) text.add("\n");
}

/// "Load in the hands: drawn in 4.0 cm, 2.1 cm lower"
void add_drawn_in(Text& text, const aplomb_result& r, double unit, double least) {
    const double in = r.drawn_in * unit, low = r.lowered * unit;
    int parts = 0;
    if (std::fabs(in) >= least)
        text.add("Load in the hands: %s %.1f cm", in > 0 ? "drawn in" : "pushed out", std::fabs(in) * 100),
            ++parts;
    if (std::fabs(low) >= least)
        text.add("%s%.1f cm %s", parts++ ? ", " : "Load in the hands: ", std::fabs(low) * 100,
                 low > 0 ? "lower" : "higher");
    if (parts) text.add("\n");
}

bool moves(const aplomb_controls& c) {
    for (const double* part : {c.hips_shift, c.hips_turn, c.chest, c.neck})
        if (std::fabs(part[0]) + std::fabs(part[1]) + std::fabs(part[2]) > 1e-9) return true;
    return false;
}

void add_contributions(Text& text, const aplomb_result& r, double unit, double least) {
    static constexpr const char* names[5] = {"hips' shift", "pelvis' tilt", "spine", "arms", "limbs"};
    const Vec3 moved = {r.moved[0], r.moved[1], r.moved[2]};
    const double length = norm(moved);
    if (length * unit < least) return;
    text.add("The balance point moves %.1f cm", length * unit * 100);
    int parts = 0;
    for (int k = 0; k < 5; ++k) {
        const double part =
            dot(moved, {r.moved_by[k][0], r.moved_by[k][1], r.moved_by[k][2]}) / length * unit;
        if (std::fabs(part) < least) continue;
        text.add("%s%s %.1f cm", parts++ ? ", " : ", of which ", names[k], part * 100);
    }
    text.add(".\n");
}

/// The keyed pose came back as it was.
void add_unchanged(Text& text, const aplomb_result& r) {
    if (r.status == APLOMB_OK) return text.add("In balance as keyed; nothing to change.\n");
    text.add("Not converged: nothing better was found within the limits. The keyed pose stays%s.\n",
             r.margin_before < r.margin_asked ? ", and is not in balance" : "");
}

/// What the status adds to a pose that was written.
void add_status(Text& text, const aplomb_result& r, double unit) {
    if (r.status == APLOMB_SETTLING)
        text.add("On its way: the hips are %.1f cm from where they are to be.\n", 100 * unit * r.lag);
    if (r.status == APLOMB_NOT_CONVERGED) {
        text.add("Not converged: the solver stopped before it was sure. This is the best pose that it found");
        if (r.slack >= given_length) text.add(", %.1f cm short of balance", r.slack * 100);
        text.add(".\n");
    }
    if (r.status != APLOMB_OUT_OF_REACH) return;
    if (r.slack >= given_length)
        text.add("Balance is out of reach by %.1f cm: this is the nearest pose that the limits allow.\n",
                 r.slack * 100);
    else
        text.add("Balance is just out of reach: this is the nearest pose that the limits allow.\n");
}

/// Held limbs that did not keep their place.
void add_holds(Text& text, const Figure& figure, const aplomb_result& r) {
    for (int k = 0; k < r.gave_way_count && k < APLOMB_MAX_CONTACTS; ++k) {
        const aplomb_gave_way& hold = r.gave_way[k];
        if (hold.limb < 0 || hold.limb >= figure.limb_count) continue;
        const bool place = hold.place >= given_length, attitude = hold.attitude >= given_angle;
        if (!place && !attitude) continue;
        const Limb& limb = figure.limbs[hold.limb];
        text.add("The hold of the %s %s gave way: ", aplomb_side_text(limb.side), end_word(limb.kind));
        if (place) text.add("%.1f cm from its place%s", hold.place * 100, attitude ? ", " : "");
        if (attitude) text.add("%.1f degrees turned", hold.attitude / degree);
        text.add("\n");
    }
}

} // namespace

int32_t aplomb_explain(const aplomb_figure* figure, const aplomb_result* result, char* text, size_t size) {
    if (size > 0 && text) text[0] = '\0';
    if (!figure || !result || (size > 0 && !text)) return 0;
    if (check_struct(result, "result", nullptr)) return 0;
    const aplomb_result r = read_struct(result, aplomb_result{});
    const double unit = figure->frame.metres_per_unit;
    Text t{text, size};
    if (r.status < 0)
        t.add("Nothing was corrected yet.\n");
    else if (!r.changed)
        add_unchanged(t, r);
    if (r.status < 0 || !r.changed) return t.used;
    add_status(t, r, unit);
    const int told = t.used;
    const aplomb_controls& c = r.controls;
    const double shift[3] = {c.hips_shift[0] * unit, c.hips_shift[1] * unit, c.hips_shift[2] * unit};
    const double least = least_length(*figure);
    const char* const ways[3][2] = {{"to the left", "to the right"}, {"up", "down"}, {"forward", "back"}};
    int parts = 0;
    for (const int k : {0, 2, 1}) {
        if (std::fabs(shift[k]) < least) continue;
        t.add("%s%.1f cm %s", parts++ ? ", " : "Hips: ", std::fabs(shift[k]) * 100, ways[k][shift[k] < 0]);
    }
    if (parts) t.add("\n");
    add_turn(t, "Pelvis ", {"tilts", "drops", "turns", {"on the right", "on the left"}}, c.hips_turn);
    add_turn(t, "Spine ", {"bends", "", "twists", {"to the right", "to the left"}}, c.chest);
    add_turn(t, "Neck ", {"bends", "", "turns", {"to the right", "to the left"}}, c.neck);
    add_lean(t, c);
    add_knees(t, *figure, r);
    add_shoulders(t, r, unit, least);
    add_drawn_in(t, r, unit, least);
    add_contributions(t, r, unit, least);
    if (t.used == told && moves(c)) t.add("The change is too small to show.\n");
    for (int k = 0; k < r.hold_back_count && k < APLOMB_MAX_HOLD_BACKS; ++k)
        t.add("Held back by: %.*s\n", static_cast<int>(sizeof r.hold_backs[k].name), r.hold_backs[k].name);
    add_holds(t, *figure, r);
    if (r.capped) t.add("The amount was cut back to what the limbs can reach.\n");
    return t.used;
}

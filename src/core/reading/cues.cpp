// SPDX-License-Identifier: MIT
#include "reading/cues.h"

#include <algorithm>
#include <cmath>
#include <cstdarg>
#include <cstdio>

#include "figure/words.h"

namespace aplomb {
namespace {

// From which number on a cue is given; all common practice.
constexpr double most_weight = 0.9;                   // share: all of it
constexpr double hips_inside = 0.05;                  // of the leg's length: past the standing foot's middle
constexpr double far_back = 0.20, far_forward = 0.72; // place along the sole
constexpr double arms_length = 0.45;                  // of the leg's length, in front of the trunk
constexpr double heavy_load = 0.10;                   // of the body's mass
constexpr double light_load = 0.02;
constexpr double upright = 3 * degree;
constexpr double lean_shows = 4 * degree, lean_heavy = 8 * degree, lean_strain = 15 * degree,
                 lean_cartoon = 25 * degree;
constexpr double give_shows = 5 * degree; // asked for by the loads
constexpr double locked = 5 * degree, part_given = 1.0 / 3;
constexpr double lifted_thigh = 30 * degree, level_pelvis = 1 * degree;
constexpr double one_sided = 0.05;                              // of the body's mass
constexpr double goes_with_lean = 0.5, tilt_shows = 2 * degree; // of a shoulder
constexpr double disagree = 2;                                  // times
constexpr double differ_light = 0.05, differ_heavy = 0.10;      // of the body's mass

struct Scene {
    const Figure& figure;
    const Key& s;
    const Support& support;
    const Findings& findings;
};

class Cues {
public:
    explicit Cues(Cue* cues) : cues_(cues) {}

    [[gnu::format(printf, 3, 4)]] void add(double value, const char* sentence, ...) {
        if (count_ == APLOMB_MAX_CUES) return;
        Cue& cue = cues_[count_++];
        cue.value = value;
        char text[sizeof cue.text];
        std::va_list values;
        va_start(values, sentence);
        std::vsnprintf(text, sizeof text, sentence, values);
        va_end(values);
        // The mark is never cut off, whatever the sentence.
        constexpr int room = static_cast<int>(sizeof cue.text - sizeof " (common practice)");
        std::snprintf(cue.text, sizeof cue.text, "%.*s (common practice)", room, text);
    }
    int count() const { return count_; }

private:
    Cue* cues_;
    int count_ = 0;
};

double centimetres(double metres) {
    return 100 * metres;
}
double percent(double part) {
    return 100 * part;
}
double degrees(double angle) {
    return angle / degree;
}

/// Where `direction` points, in words.
const char* direction_text(const Vec2& direction) {
    const double part = 0.38 * norm(direction); // the sine of 22.5 degrees
    const int fore = direction.fore > part ? 1 : direction.fore < -part ? -1 : 0;
    const int left = direction.left > part ? 1 : direction.left < -part ? -1 : 0;
    constexpr const char* texts[3][3] = {{"the back and right", "the back", "the back and left"},
                                         {"the right", "nowhere", "the left"},
                                         {"the front and right", "the front", "the front and left"}};
    return texts[fore + 1][left + 1];
}

bool is_leg(const Scene& scene, const Contact& c) {
    return c.limb >= 0 && scene.figure.limbs[c.limb].kind == APLOMB_LEG;
}
const char* side_of(const Scene& scene, const Contact& c) {
    return side_text(scene.figure.limbs[c.limb].side);
}

/// No hand, seat or knee bears.
bool on_feet_alone(const Scene& scene) {
    const Stance& stance = scene.s.stance;
    return std::all_of(stance.contact, stance.contact + stance.contact_count, [&](const Contact& c) {
        return c.limb >= 0 && scene.figure.limbs[c.limb].kind != APLOMB_ARM;
    });
}

/// The one leg that everything stands on, or null.
const Contact* only_leg(const Scene& scene) {
    const Stance& stance = scene.s.stance;
    return stance.contact_count == 1 && is_leg(scene, stance.contact[0]) ? &stance.contact[0] : nullptr;
}

bool another_leg_is_up(const Scene& scene, const Contact& standing) {
    for (int i = 0; i < scene.figure.limb_count; ++i) {
        const bool leg = scene.figure.limbs[i].kind == APLOMB_LEG;
        if (leg && i != standing.limb && scene.s.stance.hold[i] != APLOMB_BEARING) return true;
    }
    return false;
}

bool on_ball(const Contact& c) {
    return c.back_place > 0 && c.tip_place == 1 && c.point_count > 1;
}
bool is_flat(const Contact& c) {
    return c.back_place == 0 && c.tip_place == 1;
}

void balance_cue(const Scene& scene, Cues& cues) {
    const Tip& tip = scene.findings.tip;
    const double margin = centimetres(tip.margin);
    const char* where = direction_text(tip.outwards);
    if (tip.margin < 0) {
        cues.add(-margin, "Out of balance to %s by %.1f cm", where, -margin);
    } else if (tip.margin < scene.support.margin_asked) {
        cues.add(margin, "Only %.1f cm from tipping to %s", margin, where);
    }
}

void raised_foot_cue(const Scene& scene, Cues& cues) {
    if (scene.findings.tip.margin >= 0) return; // arms, trunk or load make up for it
    const Contact* standing = only_leg(scene);
    if (!standing || !another_leg_is_up(scene, *standing)) return;
    const aplomb_side side = scene.figure.limbs[standing->limb].side;
    if (side != APLOMB_SIDE_LEFT && side != APLOMB_SIDE_RIGHT) return;
    const Ground& ground = scene.s.ground;
    const Vec2 foot = ground.project((standing->home[0] + standing->home[1]) * 0.5);
    const Vec2 hips = ground.project(scene.s.body.world[scene.figure.hips].position);
    const double inside = (foot - hips).left * (side == APLOMB_SIDE_LEFT ? 1 : -1);
    if (inside < hips_inside * scene.figure.leg_length) return;
    const double amount = centimetres(inside);
    cues.add(amount, "One foot is up, but the hips stay %.1f cm inside the standing foot: reads as held up",
             amount);
}

void ball_cue(const Scene& scene, Cues& cues) {
    const Contact* standing = only_leg(scene);
    if (!standing || !on_ball(*standing)) return;
    const double widest = centimetres(2 * greatest_margin(scene.support.area));
    cues.add(widest, "Stands on the ball of the %s foot, a support %.1f cm wide: reads light",
             side_of(scene, *standing), widest);
}

double reads_as(const Scene& scene, int i) {
    const ReadsAs& reading = scene.findings.load[i];
    return std::isnan(reading.countered) ? reading.natural : reading.countered;
}

void load_cue(const Scene& scene, int i, Cues& cues) {
    const Load& load = scene.s.load[i];
    if (!scene.findings.load[i].tells) {
        if (scene.findings.tip.margin < 0) return; // it tells enough
        cues.add(load.mass, "Balance does not tell what the load of %.1f kg weighs: it is over %s", load.mass,
                 on_feet_alone(scene) ? "the feet" : "what bears");
        return;
    }
    const double reads = reads_as(scene, i);
    if (!std::isfinite(reads)) return;
    const double body = scene.figure.total_mass;
    const Vec2 out = scene.s.ground.project(load.centre) - scene.s.ground.project(scene.s.body.trunk_centre);
    const bool far = out.fore > arms_length * scene.figure.leg_length;
    const bool heavy = load.mass >= heavy_load * body && reads < 0.5 * load.mass;
    if (heavy && far && scene.findings.lean.fore > -upright) {
        const double reach = centimetres(out.fore);
        cues.add(reach, "Upright trunk with a load of %.1f kg held %.1f cm in front: it reads weightless",
                 load.mass, reach);
    } else if (heavy && reads == 0) {
        cues.add(load.mass, "The load of %.1f kg reads as nothing: the body does not answer it", load.mass);
    } else if (heavy) {
        cues.add(reads, "The load of %.1f kg reads as %.1f kg by its balance alone", load.mass, reads);
    } else if (reads > 2 * load.mass && reads > light_load * body) {
        cues.add(reads, "The load of %.1f kg reads as %.1f kg", load.mass, reads);
    }
}

const char* lean_text(double angle) {
    if (angle >= lean_cartoon) return "cartoon";
    if (angle >= lean_strain) return "strain";
    return angle >= lean_heavy ? "heavy" : "some weight";
}

/// The trunk's lean away from a load; 0 where that says nothing.
double lean_away(const Scene& scene, int i) {
    const Bearer bearer = bearer_of(scene.s, i);
    const Vec2 out = bearer.load_point - bearer.point;
    if (scene.s.load[i].mass < light_load * scene.figure.total_mass) return 0;
    if (!scene.findings.load[i].tells || norm(out) == 0) return 0;
    const Vec2 lean = {scene.findings.lean.fore, -scene.findings.lean.side};
    return -dot(lean, out) / norm(out);
}

/// A body bent over its load may still answer it with the hips. True where it does not.
bool towards_cue(const Scene& scene, int i, Cues& cues) {
    const double towards = -lean_away(scene, i), amount = degrees(towards), reads = reads_as(scene, i);
    if (towards < lean_heavy || std::isnan(reads) || reads >= 0.5 * scene.s.load[i].mass) return false;
    cues.add(amount, "The trunk leans %.1f degrees from upright, towards the load: it reads light", amount);
    return true;
}

void away_cue(const Scene& scene, int i, Cues& cues) {
    const double away = lean_away(scene, i), amount = degrees(away);
    if (away < lean_shows) return;
    cues.add(amount, "The trunk leans %.1f degrees from upright, away from the load: the lean reads as %s",
             amount, lean_text(away));
}

void loads_cues(const Scene& scene, Cues& cues) {
    for (int i = 0; i < scene.s.load_count; ++i) {
        if (scene.s.load[i].mass <= 0) continue;
        if (!towards_cue(scene, i, cues)) load_cue(scene, i, cues);
        away_cue(scene, i, cues);
    }
}

void give_cue(const Scene& scene, Cues& cues) {
    const Sunk& sunk = scene.findings.sunk;
    const double bend = degrees(sunk.knees);
    if (sunk.asked < give_shows || !(sunk.knees < locked + part_given * sunk.asked)) return;
    cues.add(bend, "The %s not give (%.1f degrees) under %.1f kg: it reads light",
             sunk.bearing == 1 ? "knee does" : "knees do", bend,
             scene.findings.total_mass - scene.figure.total_mass);
}

/// Of the one load that is carried; NaN where there are more, or balance does not tell.
double reads_by_balance(const Scene& scene) {
    int carried = -1;
    for (int i = 0; i < scene.s.load_count; ++i) {
        if (scene.s.load[i].mass <= 0) continue;
        if (carried >= 0) return std::nan("");
        carried = i;
    }
    return carried >= 0 && scene.findings.load[carried].tells ? reads_as(scene, carried) : std::nan("");
}

/// Lean and hips may tell of another load than the knees do.
void disagreement_cue(const Scene& scene, Cues& cues) {
    const double balance = reads_by_balance(scene), knees = scene.findings.sunk.mass;
    if (!std::isfinite(balance) || std::isnan(knees)) return;
    const double more = std::max(balance, knees), less = std::min(balance, knees);
    const double shows = (knees > balance ? differ_heavy : differ_light) * scene.figure.total_mass;
    if (more < disagree * less || more - less < shows) return;
    if (less >= light_load * scene.figure.total_mass)
        cues.add(knees, "By its balance the load reads as %.1f kg, by the knees as %.1f kg: they disagree",
                 balance, knees);
    else if (knees > balance)
        cues.add(knees, "By its balance the load reads as nothing, by the knees as %.1f kg: they disagree",
                 knees);
    else
        cues.add(balance, "By its balance the load reads as %.1f kg, by the knees as nothing: they disagree",
                 balance);
}

/// A shoulder may go up with a trunk that leans away from its load, but not by more.
void shoulders_cue(const Scene& scene, Cues& cues) {
    const Sunk& sunk = scene.findings.sunk;
    if (std::isnan(sunk.shoulders) || std::fabs(sunk.left - sunk.right) < one_sided) return;
    const double left = sunk.left > sunk.right ? 1 : -1;
    const double up = left * sunk.shoulders, away = std::max(0.0, left * scene.findings.lean.side);
    if (up < goes_with_lean * away + tilt_shows) return;
    const double higher = centimetres(left * sunk.raised);
    cues.add(higher, "The loaded shoulder is the higher one, by %.1f cm: it reads light", higher);
}

/// On one foot the free side of the pelvis drops, unless its thigh is lifted.
void pelvis_cue(const Scene& scene, Cues& cues) {
    const Sunk& sunk = scene.findings.sunk;
    if (sunk.free_leg < 0 || sunk.thigh >= lifted_thigh || scene.findings.tip.margin < 0) return;
    const double drop = degrees(sunk.free_drop);
    if (sunk.free_drop < -level_pelvis)
        cues.add(-drop, "On one foot the free hip is the higher one, by %.1f degrees: it reads as held up",
                 -drop);
    else if (sunk.free_drop < level_pelvis)
        cues.add(drop, "On one foot the free hip drops by %.1f degrees: a level pelvis reads stiff", drop);
}

/// Only where both feet are down: on one foot it goes without saying.
void one_leg_cue(const Scene& scene, Cues& cues) {
    for (int i = 0; scene.s.stance.contact_count > 1 && i < scene.s.stance.contact_count; ++i) {
        const Contact& c = scene.s.stance.contact[i];
        const double share = scene.findings.share[i].best;
        if (!is_leg(scene, c) || share < most_weight) continue;
        cues.add(percent(share), "%.0f %% of the weight is on the %s leg: the rest is free to move",
                 percent(share), side_of(scene, c));
    }
}

void place_cue(const Scene& scene, Cues& cues) {
    if (scene.findings.tip.margin < 0) return;
    double place = 0;
    for (int i = 0; i < scene.s.stance.contact_count; ++i) {
        const Contact& c = scene.s.stance.contact[i];
        const Share& share = scene.findings.share[i];
        if (!is_leg(scene, c) || !is_flat(c)) return;
        if (share.best > 0 && !std::isnan(share.place)) place += share.best * share.place;
    }
    const double value = percent(place);
    if (place < far_back)
        cues.add(value, "The weight is far back on the heels, at %.0f %% of the sole", value);
    if (place > far_forward)
        cues.add(value, "The weight is on the balls of the feet, at %.0f %% of the sole", value);
}

} // namespace

int find_cues(const Figure& figure, const Key& s, const Support& support, const Findings& findings,
              Cue* cues) {
    const Scene scene = {figure, s, support, findings};
    Cues found(cues);
    balance_cue(scene, found);
    raised_foot_cue(scene, found);
    loads_cues(scene, found);
    give_cue(scene, found);
    disagreement_cue(scene, found);
    shoulders_cue(scene, found);
    pelvis_cue(scene, found);
    ball_cue(scene, found);
    one_leg_cue(scene, found);
    place_cue(scene, found);
    return found.count();
}

} // namespace aplomb

// SPDX-License-Identifier: MIT
#include "step/stance.h"

#include <cmath>

#include "stance/rule.h"

namespace aplomb {
namespace {

// Seconds.
constexpr double smooth_speed = 0.025; // low pass of a part's velocity
constexpr double slow_enough = 0.05;   // a part that is slow for so long may move its ground
constexpr double creep = 0.1;          // in which its ground comes to it
constexpr double lost = 0.3;           // nobody stands for so long: grounds rise to the lowest part
// Of a bearing that begins, and of one that ends: a foot that is gone is noticed late enough.
constexpr double begin_seconds = 0.15, end_seconds = 0.1;
constexpr double ride_smooth = 0.03; // of a lifted foot's ride
// Of the leg's length.
constexpr double first_height = 0.045; // over the lowest part: stands in the first frame
constexpr double level = 0.03;         // a part's ground is at most so far over the lowest part
constexpr double left_behind = 4;      // from the hips: a print that bears nothing any more
constexpr double rides_from = 0.045, rides_to = 0.165;
constexpr double in_front = 0.1;    // of the body: a foot ahead that has landed while it walks
constexpr double same_place = 0.05; // a foot ahead that has not moved
// Of the walk's speed.
constexpr double stillest = 0.12;

constexpr int heel = 0, ball = 1;

struct PartNow {
    bool exists = false;
    Vec3 place;
    double height = 0; // of its lowest point
};

/// Calls visit(limb, k) for the first most_feet limbs with soles.
template<class Visit>
void each_foot(const Figure& figure, Visit visit) {
    for (int i = 0, k = 0; i < figure.limb_count && k < most_feet; ++i)
        if (is_foot(figure.limbs[i])) visit(i, k++);
}

void measure_parts(const Limb& limb, const Placement* world, const Vec3& up, PartNow* parts) {
    int count[2] = {0, 0};
    for (int i = 0; i < limb.sole.point_count; ++i) {
        const Sole::Point& p = limb.sole.points[i];
        const Vec3 point = to_world(world[p.joint], p.position);
        PartNow& part = parts[p.ball ? ball : heel];
        const double height = dot(up, point);
        part.height = part.exists ? std::min(part.height, height) : height;
        part.place += point;
        part.exists = true;
        ++count[p.ball ? ball : heel];
    }
    for (int p = 0; p < 2; ++p)
        if (count[p] > 0) parts[p].place = parts[p].place / count[p];
}

class Finder {
public:
    Finder(const Figure& figure, const Clock& clock, StepMemory& memory, const Key& s)
        : clock_(clock), m_(memory), up_(s.ground.normal), leg_(figure.leg_length) {
        each_foot(figure, [&](int limb, int k) {
            measure_parts(figure.limbs[limb], s.body.world, up_, now_[k]);
            feet_ = k + 1;
        });
        lowest_ = 1e300;
        each([&](PartMemory&, const PartNow& now) { lowest_ = std::min(lowest_, now.height); });
    }

    void find() {
        if (clock_.anew) return begin();
        if (clock_.seconds <= 0) return;
        const double fresh = clock_.fresh(smooth_speed);
        each([&](PartMemory& part, const PartNow& now) {
            const Vec3 velocity = clock_.velocity(now.place - part.place) + clock_.drift;
            part.velocity += (velocity - part.velocity) * fresh;
            part.place = now.place;
        });
        settle_grounds();
        each([&](PartMemory& part, const PartNow& now) {
            const double height = (now.height - part.ground) / leg_;
            part.stands = touches(part.stands > 0, height, speed(part)) ? 1 : 0;
        });
        if (!anybody()) find_new_ground();
    }

private:
    template<class Visit>
    void each(Visit visit) {
        for (int k = 0; k < feet_; ++k)
            for (int p = 0; p < 2; ++p)
                if (now_[k][p].exists) visit(m_.foot[k].part[p], now_[k][p]);
    }
    double speed(const PartMemory& part) const { return norm(part.velocity) / clock_.walk_speed; }
    bool anybody() {
        bool stands = false;
        each([&](PartMemory& part, const PartNow&) { stands = stands || part.stands > 0; });
        return stands;
    }

    void begin() {
        each([&](PartMemory& part, const PartNow& now) {
            part = PartMemory{};
            part.place = now.place;
            part.ground = lowest_;
            part.stands = now.height - lowest_ < first_height * leg_ ? 1 : 0;
        });
    }

    void settle_grounds() {
        const double creeps = clock_.fresh(creep);
        each([&](PartMemory& part, const PartNow& now) {
            part.still_for = speed(part) < touch_rule.on_speed ? part.still_for + clock_.seconds : 0;
            if (now.height < part.ground && speed(part) < touch_rule.off_speed) part.ground = now.height;
            const bool near = now.height - part.ground < touch_rule.off_height * leg_;
            if (!near || part.still_for < slow_enough * clock_.scale) return;
            part.ground += (std::min(now.height, lowest_ + level * leg_) - part.ground) * creeps;
        });
    }

    /// Stairs: who stands still in the air stands on something. Else all grounds rise to the lowest part, in time.
    void find_new_ground() {
        PartMemory* best = nullptr;
        const PartNow* where = nullptr;
        each([&](PartMemory& part, const PartNow& now) {
            const bool still = speed(part) < stillest && part.still_for >= slow_enough * clock_.scale;
            if (still && (!best || speed(part) < speed(*best))) best = &part, where = &now;
        });
        if (best) {
            best->ground = where->height;
            best->stands = 1;
        } else if (m_.in_flight > lost * clock_.scale) {
            each([&](PartMemory& part, const PartNow&) { part.ground = std::max(part.ground, lowest_); });
        }
    }

    const Clock& clock_;
    StepMemory& m_;
    const Vec3 up_;
    const double leg_;
    PartNow now_[most_feet][2];
    int feet_ = 0;
    double lowest_ = 0;
};

/// Towards 1 or 0, at the ramp's pace; at once where nothing came before.
void go_on(double& ramp, bool to_one, const Clock& clock) {
    const double change = clock.anew ? 1.0 : clock.part(to_one ? begin_seconds : end_seconds);
    ramp = to_one ? std::min(1.0, ramp + change) : std::max(0.0, ramp - change);
}

class StanceMaker {
public:
    StanceMaker(const Figure& figure, const Clock& clock, const AskedContact* given, int given_count,
                StepMemory& memory, Key& s)
        : figure_(figure), clock_(clock), given_(given), given_count_(given_count), m_(memory), s_(s),
          asked_(s.stance) {}

    double make() {
        s_.stance.contact_count = 0;
        each_foot(figure_, [&](int limb, int k) { add_foot(limb, m_.foot[k]); });
        add_patches();
        each_foot(figure_, [&](int limb, int k) { hold(limb, m_.foot[k]); });
        return stride_;
    }

private:
    const AskedContact* contact_of(int limb) const {
        for (int i = 0; i < given_count_; ++i)
            if (given_[i].limb == limb) return given_ + i;
        return nullptr;
    }

    void add_foot(int limb, FootMemory& foot) {
        const AskedContact* given = contact_of(limb);
        if (given_) take_given(given, foot);
        const Sole& sole = figure_.limbs[limb].sole;
        bool has[2] = {false, false};
        for (int i = 0; i < sole.point_count; ++i)
            has[sole.points[i].ball ? ball : heel] = true;
        bool stands = false;
        for (int p = 0; p < 2; ++p) {
            // A sole of one part stands with it, whichever is asked for.
            const bool on = foot.part[p].stands > 0 || (!has[p ^ 1] && foot.part[p ^ 1].stands > 0);
            go_on(foot.part[p].ramp, has[p] && on, clock_);
            stands = stands || (has[p] && on);
        }
        const WholeSole whole = sole_of(figure_, s_.body.world, limb);
        if (stands || clock_.anew) {
            foot.heel = whole.contact.back, foot.tip = whole.contact.tip;
        } else if (foot.part[heel].ramp > 0 || foot.part[ball].ramp > 0) { // a print goes with its ground
            foot.heel -= clock_.drift * clock_.seconds, foot.tip -= clock_.drift * clock_.seconds;
            if (is_left_behind(foot.heel)) foot.part[heel].ramp = foot.part[ball].ramp = 0;
        }
        count_landings(stands, foot);

        const double bears[2] = {smooth_step(foot.part[heel].ramp), smooth_step(foot.part[ball].ramp)};
        const double wished = given && given->hold == APLOMB_BEARING && stands ? given->bearing : 1.0;
        if (std::max(bears[heel], bears[ball]) * wished <= 0) return;
        Contact& c = s_.stance.contact[s_.stance.contact_count++];
        c = with_bearings(figure_,
                          stands ? whole : footprint(figure_, limb, s_.ground.normal, foot.heel, foot.tip),
                          bears[heel], bears[ball]);
        c.bearing = std::max(bears[heel], bears[ball]) * wished;
        if (!given || !stands) return;
        c.given = static_cast<int>(given - given_);
        c.share = given->share, c.friction = given->friction;
    }

    bool is_left_behind(const Vec3& place) const {
        return norm(place - m_.hips) > left_behind * figure_.leg_length;
    }

    static void take_given(const AskedContact* given, FootMemory& foot) {
        const bool bears = given && given->hold == APLOMB_BEARING && given->bearing > 0;
        foot.part[heel].stands = bears && given->footing != APLOMB_ON_BALL ? 1 : 0;
        foot.part[ball].stands = bears && given->footing != APLOMB_ON_HEEL ? 1 : 0;
    }

    void count_landings(bool stands, FootMemory& foot) {
        const bool lands = stands && foot.standing == 0 && !clock_.anew;
        if (clock_.anew)
            foot.since_landing = -1;
        else if (foot.since_landing >= 0)
            foot.since_landing += clock_.seconds;
        if (lands && foot.since_landing > 0) stride_ = foot.since_landing;
        if (lands) foot.since_landing = 0;
        foot.standing = stands ? 1 : 0;
    }

    /// A foot that bears, or soon will, keeps its place and is within reach; one that is lifted rides with its hip joint the
    /// more the higher it is, so that lifting it moves nothing at once and a free leg is no strut.
    void hold(int limb, FootMemory& foot) {
        const AskedContact* given = contact_of(limb);
        const aplomb_hold asked = asked_.hold[limb];
        const double height = foot_height(figure_, s_, limb);
        const bool bears = foot.standing > 0 || (given_ && asked == APLOMB_BEARING);
        const bool stays = given_ && given && asked == APLOMB_HELD && asked_.ride[limb] == APLOMB_RIDE_PLACE;
        s_.stance.hold[limb] = bears || (!stays && height < foot_reaches) ? APLOMB_BEARING : APLOMB_HELD;
        s_.stance.ride[limb] = APLOMB_RIDE_PLACE;
        const double rides =
            bears || stays ? 0.0 : smooth_step((height - rides_from) / (rides_to - rides_from));
        foot.ride =
            bears || clock_.anew ? rides : foot.ride + (rides - foot.ride) * clock_.fresh(ride_smooth);
    }

    /// Hands, knees, seats: known by limb or joint.
    void add_patches() {
        bool seen[most_patches] = {};
        for (int i = 0; i < asked_.contact_count; ++i) {
            const Contact& c = asked_.contact[i];
            if (c.limb >= 0 && is_foot(figure_.limbs[c.limb])) continue;
            Contact& out = s_.stance.contact[s_.stance.contact_count++];
            out = c;
            const int k = find(c.limb >= 0 ? 1.0 + c.limb : -1.0 - c.joint);
            if (k < 0) continue; // more of them bear at once than are remembered
            PatchMemory& patch = m_.patch[k];
            seen[k] = true;
            go_on(patch.ramp, true, clock_);
            patch.middle = c.home[0];
            out.bearing *= smooth_step(patch.ramp);
            if (out.bearing <= 0) --s_.stance.contact_count;
        }
        for (int k = 0; k < most_patches; ++k) {
            PatchMemory& patch = m_.patch[k];
            if (patch.key == 0 || seen[k]) continue;
            go_on(patch.ramp, false, clock_);
            patch.middle -= clock_.drift * clock_.seconds;
            if (patch.ramp <= 0 || is_left_behind(patch.middle) ||
                s_.stance.contact_count == APLOMB_MAX_CONTACTS)
                patch = PatchMemory{};
            else
                s_.stance.contact[s_.stance.contact_count++] = left_over(patch);
        }
    }

    /// A patch that is gone and still counts: its middle.
    Contact left_over(const PatchMemory& patch) const {
        Contact c;
        c.limb = patch.key > 0 ? std::min(static_cast<int>(patch.key) - 1, figure_.limb_count - 1) : -1;
        c.joint = c.limb >= 0 ? figure_.limbs[c.limb].end
                              : std::min(static_cast<int>(-patch.key) - 1, figure_.joint_count - 1);
        c.share = std::nan("");
        c.bearing = smooth_step(patch.ramp);
        c.point_count = 1;
        c.point[0] = patch.middle;
        c.back = c.tip = c.home[0] = c.home[1] = patch.middle;
        return c;
    }

    int find(double key) {
        int free = -1;
        for (int k = 0; k < most_patches; ++k) {
            if (m_.patch[k].key == key) return k;
            if (m_.patch[k].key == 0 && free < 0) free = k;
        }
        if (free >= 0) m_.patch[free] = {key, 0, {}};
        return free;
    }

    const Figure& figure_;
    const Clock& clock_;
    const AskedContact* given_;
    const int given_count_;
    StepMemory& m_;
    Key& s_;
    const Stance asked_;
    double stride_ = 0;
};

} // namespace

double foot_height(const Figure& figure, const Key& s, int limb) {
    if (s.stance.contact_count == 0) return rides_from;
    double ground = 1e300, lowest = 1e300;
    for (int i = 0; i < s.stance.contact_count; ++i)
        for (int k = 0; k < s.stance.contact[i].point_count; ++k)
            ground = std::min(ground, dot(s.ground.normal, Vec3(s.stance.contact[i].point[k])));
    PartNow parts[2];
    measure_parts(figure.limbs[limb], s.body.world, s.ground.normal, parts);
    for (const PartNow& part : parts)
        if (part.exists) lowest = std::min(lowest, part.height);
    return (lowest - ground) / figure.leg_length;
}

void begin_stance(const Figure& figure, const Ask& ask, Key& s) {
    if (ask.gives_contacts) return make_stance(figure, ask, s);
    AskedContact rest[max_limbs];
    for (int i = 0; i < figure.limb_count; ++i) {
        rest[i] = usual_contact(i, figure.limbs[i].kind == APLOMB_ARM ? APLOMB_FREE : APLOMB_HELD);
        rest[i].ride = APLOMB_RIDE_HIP;
    }
    make_stance(figure, s.body.world, rest, figure.limb_count, s.stance);
}

double take_stance(const Figure& figure, const Clock& clock, const AskedContact* given, int given_count,
                   StepMemory& memory, Key& s) {
    Finder(figure, clock, memory, s).find(); // what is given is laid over it
    return StanceMaker(figure, clock, given, given_count, memory, s).make();
}

int contacts_ahead(const Figure& figure, const Clock& clock, const StepMemory& memory, const Key& ahead,
                   double ahead_seconds, AskedContact* contacts) {
    for (int i = 0; i < figure.limb_count; ++i)
        contacts[i] = usual_contact(i, figure.limbs[i].kind == APLOMB_ARM ? APLOMB_FREE : APLOMB_HELD);
    const Vec3 up = ahead.ground.normal;
    const Vec3 centre = centre_of(figure, ahead.body);
    const Vec3 travel = memory.velocity + clock.drift, slid = clock.drift * ahead_seconds;
    const double speed = norm(travel) / clock.walk_speed;
    each_foot(figure, [&](int limb, int k) {
        PartNow parts[2];
        measure_parts(figure.limbs[limb], ahead.body.world, up, parts);
        bool stands[2] = {false, false};
        for (int p = 0; p < 2; ++p) {
            const PartMemory& part = memory.foot[k].part[p];
            if (!parts[p].exists || parts[p].height - part.ground > touch_rule.on_height * figure.leg_length)
                continue;
            const bool stayed =
                part.stands > 0 && norm(parts[p].place + slid - part.place) < same_place * figure.leg_length;
            const bool arrived =
                speed > touch_rule.on_speed &&
                dot(parts[p].place - centre, travel) > in_front * figure.leg_length * norm(travel);
            stands[p] = stayed || arrived || speed <= touch_rule.on_speed;
        }
        if (!stands[heel] && !stands[ball]) return;
        contacts[limb].hold = APLOMB_BEARING;
        contacts[limb].footing = footing_of(stands[heel], stands[ball]);
    });
    return figure.limb_count;
}

} // namespace aplomb

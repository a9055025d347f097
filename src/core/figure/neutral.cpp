// SPDX-License-Identifier: MIT
// The anatomical neutral: every limb is turned onto it from the rest pose by the smallest rotations. Each
// joint gets a turn (a rotation in the world on top of its rest rotation) that all below inherit.
#include <algorithm>

#include "figure/foot_shape.h"
#include "figure/stature.h"
#include "figure/steps.h"

namespace aplomb {
namespace {

constexpr Vec3 up{0, 1, 0}, down{0, -1, 0}, left{1, 0, 0};
// A joint bent less than this in the rest pose does not tell which way it bends.
constexpr double telling_bend = 3 * degree;
// A trunk further from upright than this in the rest pose (a figure drawn lying down) is turned upright.
constexpr double upright_cosine = 0.7071;
// An elbow bent at rest tells its hinge if it bends to within this of forward; modelled elbows are often straight or odd.
constexpr double believed_elbow = 60 * degree;

Quat turn_about_up(double angle) {
    return exp_rotation(up * angle);
}
double yaw_of(const Vec3& direction) {
    return arctan2(direction.x, direction.z);
}
double level_length(const Vec3& v) {
    return norm(reject(v, up));
}

/// The turns of the joints while they are found, stored as the neutral rotation.
class Turns {
public:
    explicit Turns(Draft& draft) : draft_(draft) {}

    Quat of(int32_t joint) const {
        return draft_.figure.joints[joint].neutral * conjugate(draft_.rest[joint].rotation);
    }
    /// Sets the turn of all joints below as well, since they inherit it.
    void set(int32_t joint, const Quat& turn) {
        for (int32_t j = 0; j < draft_.figure.joint_count; ++j) {
            if (is_within(draft_.figure, j, joint))
                draft_.figure.joints[j].neutral = normalized(turn * draft_.rest[j].rotation);
        }
    }
    /// The vector from one joint to another in the rest pose.
    Vec3 span(int32_t from, int32_t to) const {
        return draft_.rest[to].position - draft_.rest[from].position;
    }

private:
    Draft& draft_;
};

Quat onto(const Quat& turn, const Vec3& span, const Vec3& direction) {
    const double length = norm(span);
    if (length == 0) return turn;
    return normalized(rotation_between(rotate(turn, span / length), direction) * turn);
}

/// A limb with both spans straight down, before it is turned about the bone.
struct Hanging {
    Quat upper, lower;
    double bend; // of the middle joint in the rest pose
    Vec3 axis;   // unit, of that bend: a positive turn of the lower span about it bends further. Neutral axes
};

Hanging hang(const Turns& turns, const Limb& limb) {
    const Vec3 upper = turns.span(limb.upper, limb.lower), lower = turns.span(limb.lower, limb.end);
    Hanging hanging;
    hanging.upper = onto(turns.of(limb.upper), upper, down);
    hanging.lower = onto(hanging.upper, lower, down);
    const Vec3 axis = rotate(hanging.upper, cross(upper, lower));
    const double sine = norm(axis), cosine = dot(upper, lower);
    hanging.bend = arctan2(sine, cosine);
    hanging.axis =
        hanging.bend > telling_bend && level_length(axis) > 0 ? normalized(reject(axis, up)) : Vec3{};
    return hanging;
}

/// Forward along the foot in the rest pose, from joints; false where they do not tell.
bool foot_direction(const Draft& draft, const Limb& limb, Vec3* direction) {
    Vec3 along;
    if (limb.toe >= 0) {
        along = draft.rest[limb.toe].position - draft.rest[limb.end].position;
        Vec3 last;
        if (segment_end(draft, limb.toe, &last)) along += last;
    } else if (!segment_end(draft, limb.end, &along)) {
        return false;
    }
    *direction = along;
    return level_length(along) > 0.2 * norm(along);
}

void set_limb(Turns& turns, const Limb& limb, const Hanging& hanging, double yaw) {
    turns.set(limb.upper, turn_about_up(yaw) * hanging.upper);
    turns.set(limb.lower, turn_about_up(yaw) * hanging.lower);
}

/// Legs and fore legs: toes forward; the foot keeps its rest attitude to the ground.
void place_leg(const Draft& draft, Turns& turns, Limb& limb) {
    const Quat body = turns.of(limb.upper);
    const Hanging hanging = hang(turns, limb);
    Vec3 toes;
    const bool told = foot_direction(draft, limb, &toes);
    // The turn about the bone goes by the toes as the shank carries them, the foot's own turn by the toes over the ground.
    const Vec3 carried = rotate(hanging.lower, toes);
    const bool carried_tells = told && level_length(carried) > 0.2 * norm(carried);
    const double yaw = carried_tells ? -yaw_of(carried) : 0;
    set_limb(turns, limb, hanging, yaw);
    turns.set(limb.end, turn_about_up(told ? -yaw_of(rotate(body, toes)) : 0) * body);

    // A bent knee moves the shank back, a bent elbow forward; a four-footed figure's rest pose shows which it is.
    const Vec3 usual = limb.kind == APLOMB_LEG ? left : -left;
    const bool shown = is_quadruped(draft.figure) && hanging.bend > telling_bend && norm(hanging.axis) > 0;
    limb.hinge = shown ? rotate(turn_about_up(yaw), hanging.axis) : usual;
}

/// Arms: palms towards the body, elbows bending forward.
void place_arm(const Draft& draft, Turns& turns, Limb& limb) {
    const Hanging hanging = hang(turns, limb);
    // The forearm of a bent elbow points this way in plan.
    const double bends_towards = norm(hanging.axis) > 0 ? yaw_of(cross(hanging.axis, down)) : 0;
    const double yaw = std::fabs(bends_towards) < believed_elbow ? -bends_towards : 0;
    set_limb(turns, limb, hanging, yaw);
    limb.hinge = -left;
    Vec3 fingers;
    if (!segment_end(draft, limb.end, &fingers)) return;
    const Vec3 hand = normalized(rotate(turns.of(limb.end), fingers));
    if (dot(hand, down) > upright_cosine) turns.set(limb.end, onto(turns.of(limb.end), fingers, down));
}

/// The pelvis stays as in the rest pose; the trunk too, unless a two-legged figure is drawn lying or crouching.
void raise_trunk(const Draft& draft, Turns& turns) {
    const Figure& figure = draft.figure;
    if (is_quadruped(figure) || figure.spine_count == 0) return;
    const int32_t base = figure.spine[0].joint;
    const int32_t top = figure.neck_count > 0 ? figure.neck[0].joint : figure.chest;
    const Vec3 trunk = turns.span(base, top);
    const double length = norm(trunk);
    if (length > 0 && dot(trunk, up) < upright_cosine * length) turns.set(base, onto(Quat{}, trunk, up));
}

void place_positions(const Draft& draft, const Turns& turns) {
    for (int32_t k = 0; k < draft.figure.joint_count; ++k) {
        const int32_t j = draft.figure.order[k];
        Joint& joint = draft.figure.joints[j];
        if (joint.carrier < 0) {
            joint.neutral_position = draft.rest[j].position;
            continue;
        }
        const Vec3 offset = turns.span(joint.carrier, j);
        joint.neutral_position =
            draft.figure.joints[joint.carrier].neutral_position + rotate(turns.of(joint.carrier), offset);
    }
}

bool is_of_a_limb(const Figure& figure, int32_t joint) {
    for (int32_t i = 0; i < figure.limb_count; ++i) {
        if (is_within(figure, joint, figure.limbs[i].upper)) return true;
    }
    return false;
}

/// The lowest point of a foot's skin, or where there is none its height as estimated from the joints.
double sole_height(const Draft& draft, const Limb& limb, double stature) {
    if (limb.sole.point_count == 0)
        return draft.figure.joints[limb.end].neutral_position.y + measure_foot(draft, limb, stature).ground;
    double lowest = 1e30;
    for (int k = 0; k < limb.sole.point_count; ++k) {
        const Sole::Point& point = limb.sole.points[k];
        const Placement placement = neutral_placement(draft.figure.joints[point.joint]);
        lowest = std::min(lowest, to_world(placement, point.position).y);
    }
    return lowest;
}

/// The mean over the limbs of a kind, in the neutral: of their first joints, and of their lowest sole points.
struct Stand {
    int count = 0;
    Vec3 start;
    double sole = 0;
};

Stand stand_of(const Draft& draft, aplomb_limb_kind kind) {
    const Figure& figure = draft.figure;
    Stand stand;
    for (int32_t i = 0; i < figure.limb_count; ++i) {
        const Limb& limb = figure.limbs[i];
        if (limb.kind != kind) continue;
        ++stand.count;
        stand.start += (figure.joints[limb.upper].neutral_position - stand.start) / stand.count;
        stand.sole += (sole_height(draft, limb, figure.stature) - stand.sole) / stand.count;
    }
    return stand;
}

/// The turn about left, of hips and trunk over straight legs, that brings the fore paws to the level of the
/// hind ones; 0 where no turn does.
double levelling_turn(const Draft& draft) {
    const Stand hind = stand_of(draft, APLOMB_LEG), fore = stand_of(draft, APLOMB_FORE_LEG);
    const Vec3 trunk = reject(fore.start - hind.start, left);
    const double length = norm(trunk), height = trunk.y - (fore.sole - hind.sole);
    if (hind.count == 0 || trunk.z <= 0 || std::fabs(height) >= length) return 0;
    return arctan2(trunk.y, trunk.z) - arcsin(height / length);
}

/// A four-footed figure's legs are seldom of equal length once they are straight, so its trunk tips until all
/// paws stand. The limbs stay as they hang. How far it tips depends on the soles, which a first try at standing finds.
aplomb_status level_paws(const Draft& draft, const Turns& turns, aplomb_error* error) {
    Figure& figure = draft.figure;
    Draft first = draft; // this try's remarks are made again later
    const int32_t remark_count = figure.remark_count;
    if (const auto s = stand_on_ground(first, error)) return s;
    figure.remark_count = remark_count;

    const Quat turn = exp_rotation(left * levelling_turn(draft));
    for (int32_t j = 0; j < figure.joint_count; ++j) {
        Quat& neutral = figure.joints[j].neutral;
        if (is_within(figure, j, figure.hips) && !is_of_a_limb(figure, j))
            neutral = normalized(turn * neutral);
    }
    place_positions(draft, turns);
    return APLOMB_OK;
}

} // namespace

aplomb_status build_neutral(Draft& draft, aplomb_error* error) {
    Figure& figure = draft.figure;
    for (int32_t j = 0; j < figure.joint_count; ++j)
        figure.joints[j].neutral = draft.rest[j].rotation;
    Turns turns(draft);
    raise_trunk(draft, turns);
    for (int32_t i = 0; i < figure.limb_count; ++i) {
        Limb& limb = figure.limbs[i];
        if (limb.kind == APLOMB_ARM)
            place_arm(draft, turns, limb);
        else
            place_leg(draft, turns, limb);
    }
    place_positions(draft, turns);
    if (is_quadruped(figure)) {
        if (const auto s = level_paws(draft, turns, error)) return s;
    }
    return stand_on_ground(draft, error);
}

} // namespace aplomb

// SPDX-License-Identifier: MIT
// The front of trunk and thighs, from the skin: what a load in both hands is kept off. Vertices and the edges between
// them are looked at where they cross a level, in the neutral, each at the place to which its own joint moves it.
#include <algorithm>
#include <cmath>

#include "figure/skin_owner.h"
#include "figure/steps.h"

namespace aplomb {
namespace {

// Of the thigh's length from the hip: the part that a load comes near. Common practice.
constexpr double thigh_from = 0.2, thigh_to = 0.5;
constexpr double never = -1e300;

bool is_of_trunk(aplomb_role role) {
    return role == APLOMB_ROLE_HIPS || role == APLOMB_ROLE_SPINE;
}

/// The trunk's axis in the neutral: hips, spine joints, the middle of the shoulders.
class Axis {
public:
    explicit Axis(const Figure& figure) {
        add(figure.joints[figure.hips].neutral_position);
        for (int32_t i = 0; i < figure.spine_count; ++i)
            add(figure.joints[figure.spine[i].joint].neutral_position);
        Vec3 shoulders;
        int arms = 0;
        for (int32_t i = 0; i < figure.limb_count; ++i) {
            if (figure.limbs[i].kind != APLOMB_ARM) continue;
            shoulders += figure.joints[figure.limbs[i].upper].neutral_position, ++arms;
        }
        if (arms > 1) add(shoulders / arms);
        is_sound_ = arms > 1 && height() > 0;
    }
    bool is_sound() const { return is_sound_; }
    /// Height above the hips, counted in levels.
    double level(double y) const { return (y - point_[0].y) / height() * (front_levels - 1); }
    double fore(double y) const {
        int i = 0;
        while (i + 2 < count_ && y > point_[i + 1].y)
            ++i;
        const Vec3 &low = point_[i], &high = point_[i + 1];
        const double part = std::clamp((y - low.y) / (high.y - low.y), 0.0, 1.0);
        return low.z + part * (high.z - low.z);
    }

private:
    /// A joint that is no higher than the one before, such as a second one at the same place, is left out.
    void add(const Vec3& p) {
        if (count_ == 0 || p.y > point_[count_ - 1].y) point_[count_++] = p;
    }
    double height() const { return point_[count_ - 1].y - point_[0].y; }

    Vec3 point_[max_lean_joints + 2];
    int count_ = 0;
    bool is_sound_ = false;
};

class FrontFinder {
public:
    FrontFinder(const Draft& draft, const Axis& axis) : draft_(draft), axis_(axis) {
        std::fill(found_, found_ + front_levels, never);
    }

    void look_at_trunk() {
        const aplomb_skin& skin = *draft_.desc.skin;
        for (int32_t t = 0; t < skin.triangle_count; ++t) {
            for (int k = 0; k < 3; ++k)
                look_at_edge(skin.triangles[3 * t + k], skin.triangles[3 * t + (k + 1) % 3]);
        }
    }

    /// A level that no edge crosses, such as at a neck's opening, gets the value of the nearest other; false where most are so.
    bool fill(Front& front) const {
        int known = 0;
        for (int k = 0; k < front_levels; ++k)
            known += found_[k] > 0;
        if (2 * known < front_levels) return false;
        for (int k = 0; k < front_levels; ++k) {
            for (int away = 0; away < front_levels; ++away) {
                const int near = found_[std::max(0, k - away)] > 0 ? k - away : k + away;
                if (near < 0 || near >= front_levels || found_[near] <= 0) continue;
                front.ahead[k] = found_[near];
                break;
            }
        }
        return front.known = true;
    }

private:
    void look_at_edge(int32_t a, int32_t b) {
        const aplomb_skin& skin = *draft_.desc.skin;
        const int32_t owner_a = owner_of(skin, a), owner_b = owner_of(skin, b);
        if (owner_a < 0 || owner_b < 0) return;
        const Joint* joints = draft_.figure.joints;
        if (!is_of_trunk(joints[owner_a].role) || !is_of_trunk(joints[owner_b].role)) return;
        Vec3 low = neutral_place(draft_, a, owner_a), high = neutral_place(draft_, b, owner_b);
        if (low.y > high.y) std::swap(low, high);
        const double first = std::max(0.0, std::ceil(axis_.level(low.y)));
        for (int k = static_cast<int>(std::min(first, double{front_levels}));
             k < front_levels && k <= axis_.level(high.y); ++k) {
            const double rise = axis_.level(high.y) - axis_.level(low.y);
            const double part = rise > 0 ? (k - axis_.level(low.y)) / rise : 0.0;
            const Vec3 at = low + (high - low) * part;
            found_[k] = std::max(found_[k], at.z - axis_.fore(at.y));
        }
    }

    const Draft& draft_;
    const Axis& axis_;
    double found_[front_levels];
};

/// A robe's or a skirt's skin goes with the hips; what of it hangs below the thigh's middle is about the leg.
void find_leg(const Draft& draft, Limb& leg) {
    const aplomb_skin& skin = *draft.desc.skin;
    const Figure& figure = draft.figure;
    const Vec3 &hip = figure.joints[leg.upper].neutral_position,
               &knee = figure.joints[leg.lower].neutral_position,
               &ankle = figure.joints[leg.end].neutral_position;
    for (int32_t v = 0; v < skin.vertex_count; ++v) {
        const int32_t owner = owner_of(skin, v);
        if (owner != leg.upper && owner != leg.lower && owner != figure.hips) continue;
        const Vec3 at = neutral_place(draft, v, owner);
        const bool skirt = owner == figure.hips, thigh = owner == leg.upper || (skirt && at.y > knee.y);
        const Vec3 &from = thigh ? hip : knee, &to = thigh ? knee : ankle;
        const double part = (at.y - from.y) / (to.y - from.y);
        const Vec3 off = at - (from + (to - from) * part);
        if (owner == leg.upper && part >= thigh_from && part <= thigh_to)
            leg.front = std::max(leg.front, off.z);
        if (thigh ? part >= (skirt ? thigh_to : thigh_from) && part <= 1 : part >= 0 && part <= 0.5)
            leg.outside = std::max(leg.outside, leg.side == APLOMB_SIDE_LEFT ? off.x : -off.x);
    }
}

} // namespace

void find_front(Draft& draft) {
    Figure& figure = draft.figure;
    if (!draft.desc.skin) return;
    const Axis axis(figure);
    if (!axis.is_sound()) return;
    FrontFinder finder(draft, axis);
    finder.look_at_trunk();
    if (!finder.fill(figure.front)) return;
    for (int32_t i = 0; i < figure.limb_count; ++i) {
        if (figure.limbs[i].kind == APLOMB_LEG) find_leg(draft, figure.limbs[i]);
    }
}

} // namespace aplomb

// SPDX-License-Identifier: MIT
#include "follow/stiffening.h"

namespace aplomb {
namespace {

/// Masses about a point.
struct Moments {
    double mass = 0;
    Vec3 first;
    Mat3 second = {}; // sum of m r r^T
};

Moments moments_about(const Vec3& point, const RigidBody& body) {
    const Mat3& i = body.inertia;
    const Vec3 r = body.centre - point;
    return {body.mass, r * body.mass,
            Mat3::identity() * (0.5 * (i.row[0].x + i.row[1].y + i.row[2].z)) - i +
                Mat3::outer(r, r) * body.mass};
}
Moments operator-(const Moments& a, const Moments& b) {
    return {a.mass - b.mass, a.first - b.first, a.second - b.second};
}

double trace(const Mat3& m) {
    return m.row[0].x + m.row[1].y + m.row[2].z;
}

/// How points move with a mode's place x: r + x (turn * r + shift) + x^2 (turn2 * r + shift2).
struct Move {
    Mat3 turn = {}, turn2 = {};
    Vec3 shift, shift2;

    /// Everything below a joint turns by x w about it, before it moves with what is above.
    void add_joint(const Vec3& w, const Vec3& place) {
        const Mat3 by = Mat3::cross(w), half_square = by * by * 0.5;
        turn2 += turn * by + half_square;
        shift2 -= turn * (by * place) + half_square * place;
        turn += by;
        shift -= by * place;
    }
    /// The x^2 part of the second moments, and of the first ones.
    Mat3 second_moments(const Moments& m) const {
        const Mat3 own = turn * m.second * transpose(turn) + Mat3::outer(turn * m.first, shift) +
                         Mat3::outer(shift, turn * m.first) + Mat3::outer(shift, shift) * m.mass;
        const Mat3 mixed = turn2 * m.second + Mat3::outer(shift2, m.first);
        return own + mixed + transpose(mixed);
    }
    Vec3 first_moments(const Moments& m) const { return turn2 * m.first + shift2 * m.mass; }
};

} // namespace

/// Masses that turn and are accelerated have the potential sum of m (a r - 1/2 |w x r|^2), whose part in x^2 is half the
/// stiffness that it adds.
Stiffening stiffening_of(const ModeScratch& w, const FollowChain& chain, int32_t mode,
                         const Vec3& swing_point) {
    Move move;
    Mat3 second = {};
    Vec3 first;
    for (int32_t k = 0; k < chain.joint_count; ++k) {
        const FollowJoint& joint = chain.joints[k];
        Vec3 turn;
        for (int32_t a = joint.first_axis; a < joint.first_axis + joint.axis_count; ++a)
            turn += w.axis[a] * chain.shape[a * chain.shape_width() + mode];
        move.add_joint(turn, w.place[k] - swing_point);
        Moments segment = moments_about(swing_point, w.below[k]);
        if (k + 1 < chain.joint_count) segment = segment - moments_about(swing_point, w.below[k + 1]);
        second += move.second_moments(segment);
        first += move.first_moments(segment);
    }
    return {second - Mat3::identity() * trace(second), first * 2.0};
}

} // namespace aplomb

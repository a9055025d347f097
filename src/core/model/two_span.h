// SPDX-License-Identifier: MIT
// A fixed limb in closed form. Its start A moves with the body, its end E with what it rides on; the middle K follows from
// the law of cosines, on the side that the keyed pose shows, carried along by the smallest rotation of the
// line from start to end. No variable is spent on it, and the end is exact at every step.
//
// With d = |E - A|, e the unit line, k the unit direction of the middle off the line, b = e x k the hinge:
//     a = (d^2 + l1^2 - l2^2) / 2d,  h = sqrt(l1^2 - a^2),  K = A + a e + h k.
// A change delta = dE - dA turns the limb's plane by  w = e x delta / d + e (c.delta) / d,
// c = -(e0 x e) / (1 + e0.e),  and the spans in it by  -da/h  and  +(dd - da)/h  about b.
#pragma once

#include "figure/bend.h"
#include "figure/figure.h"

namespace aplomb {

/// What the keyed pose says about a limb.
struct TwoSpan {
    Vec3 start, end; // keyed, world
    double upper_length = 0, lower_length = 0, length = 0;
    double least = 0, most = 0; // distances from start to end that the middle joint's range allows
    double shortest = 0;        // distance that the spans can be placed at, whatever the joint's range
    double bend = 0;            // smoothed bend of the keyed pose
    bool gives_way = false;     // a held end moves along the line where reach forbids its place
    Vec3 line, side;            // e0 and k0
    // Each span's keyed frame: along the span, along the hinge, across both.
    Mat3 upper_frame, lower_frame;
};

/// How a limb's spans turn with its start and its end.
struct SpanRates {
    Vec3 line, hinge;                      // e, b
    Vec3 twist;                            // c
    double distance = 0;                   // |E - A| as asked for
    double slope = 1;                      // how the distance that the limb takes follows it
    double upper_rate = 0, lower_rate = 0; // turns about the hinge per unit of `used`
};

/// A limb for one start place.
struct TwoSpanState : SpanRates {
    Vec3 start, middle, end;
    Vec3 side;       // k
    double used = 0; // the distance that the limb takes
    Mat3 upper_frame, lower_frame;
};

/// `start`, `middle` and `end` are keyed places; `hinge` is the axis that bends the limb the natural way, in
/// the world as the keyed first span carries it; bends in radians from straight.
TwoSpan make_two_span(const Vec3& start, const Vec3& middle, const Vec3& end, const Vec3& hinge,
                      double least_bend, double most_bend);

void place_two_span(const TwoSpan& limb, const Vec3& start, const Vec3& end, TwoSpanState& state);
/// Turns the middle about the line.
void swivel_two_span(const TwoSpan& limb, double swivel, TwoSpanState& state);

/// The turn of each span since the keyed pose.
inline Mat3 upper_turn(const TwoSpan& limb, const TwoSpanState& s) {
    return s.upper_frame * transpose(limb.upper_frame);
}
inline Mat3 lower_turn(const TwoSpan& limb, const TwoSpanState& s) {
    return s.lower_frame * transpose(limb.lower_frame);
}

/// Transposed derivatives: the force at the start, and against it at the end, that stands for torques on the spans, that
/// is g with  upper . w_upper + lower . w_lower = g . (dA - dE).
Vec3 force_of_torques(const SpanRates& s, const Vec3& upper, const Vec3& lower);
/// The same for a force on an end that gives way, beside what goes with the start:
/// force . (d(end) - dA) = g . (dA - dE).
Vec3 force_of_end_force(const TwoSpanState& s, const Vec3& force);

/// The distance of a limb with this bend of its middle joint.
double distance_of_bend(double upper_length, double lower_length, double bend);

} // namespace aplomb

// SPDX-License-Identifier: MIT
#include "model/two_span.h"

#include <algorithm>

namespace aplomb {
namespace {

constexpr double clear_bend = 1.0 * degree;    // from here on the keyed side is taken as it is
constexpr double unclear_bend = 0.25 * degree; // up to here it is noise
constexpr double give_way = 0.01; // of the length: a held end starts to give this far before the reach ends

/// The side on which the middle is keyed; blended with the natural one where the limb is nearly straight.
Vec3 keyed_side(const Vec3& line, const Vec3& off_line, const Vec3& natural, double bend) {
    const double size = norm(off_line);
    const double u = std::clamp((bend - unclear_bend) / (clear_bend - unclear_bend), 0.0, 1.0);
    const double clear = size > 0 ? u * u * (3.0 - 2.0 * u) : 0.0;
    if (clear == 1.0) return off_line / size;
    const double sign = clear > 0 && dot(off_line, natural) < 0 ? -1.0 : 1.0;
    Vec3 side = natural * (sign * (1.0 - clear));
    if (clear > 0) side += off_line * (clear / size);
    return normalized(reject(side, line));
}

Mat3 span_frame(const Vec3& span, const Vec3& hinge) {
    const Vec3 along = normalized(span);
    const Vec3 across = normalized(reject(hinge, along));
    return Mat3::from_columns(along, across, cross(along, across));
}

struct Soft {
    double value, slope;
};

/// x below `end - width`, then a parabola that levels out at `end`: a smooth min(x, end - width / 2 ...).
Soft soften(double x, double end, double width) {
    const double from = end - width;
    if (x <= from) return {x, 1.0};
    if (x >= end + width) return {end, 0.0};
    const double u = x - from;
    return {x - u * u / (4.0 * width), 1.0 - u / (2.0 * width)};
}

/// Side, line and the distance used are known.
void place_middle(const TwoSpan& limb, TwoSpanState& s) {
    const double l1 = limb.upper_length, l2 = limb.lower_length;
    s.hinge = cross(s.line, s.side);
    const double a = (s.used * s.used + l1 * l1 - l2 * l2) / (2.0 * s.used);
    const double h = std::sqrt(std::max(l1 * l1 - a * a, 1e-18 * l1 * l1));
    s.middle = s.start + s.line * a + s.side * h;
    s.upper_rate = -(1.0 - a / s.used) / h, s.lower_rate = (a / s.used) / h;
    const Vec3 upper = (s.middle - s.start) / l1, lower = (s.end - s.middle) / l2;
    s.upper_frame = Mat3::from_columns(upper, s.hinge, cross(upper, s.hinge));
    s.lower_frame = Mat3::from_columns(lower, s.hinge, cross(lower, s.hinge));
}

} // namespace

double distance_of_bend(double l1, double l2, double bend) {
    return std::sqrt(l1 * l1 + l2 * l2 + 2.0 * l1 * l2 * sin_cos(bend).cos);
}

TwoSpan make_two_span(const Vec3& start, const Vec3& middle, const Vec3& end, const Vec3& hinge,
                      double least_bend, double most_bend) {
    TwoSpan t;
    t.start = start, t.end = end;
    t.upper_length = norm(middle - start), t.lower_length = norm(end - middle);
    t.length = t.upper_length + t.lower_length;
    const double distance = norm(end - start);
    t.most = distance_of_bend(t.upper_length, t.lower_length, least_bend);
    t.least = std::min(distance, distance_of_bend(t.upper_length, t.lower_length, most_bend));
    t.shortest = std::fabs(t.upper_length - t.lower_length) + 1e-6 * t.length;
    t.bend = smooth_bend(std::min(distance, t.most), t.length);
    t.line = (end - start) / distance;
    const double cosine = dot(middle - start, end - middle) / (t.upper_length * t.lower_length);
    t.side =
        keyed_side(t.line, reject(middle - start, t.line), normalized(cross(t.line, hinge)), arccos(cosine));
    const Vec3 axis = cross(t.line, t.side);
    t.upper_frame = span_frame(middle - start, axis);
    t.lower_frame = span_frame(end - middle, axis);
    return t;
}

void place_two_span(const TwoSpan& limb, const Vec3& start, const Vec3& end, TwoSpanState& s) {
    s.start = start;
    const Vec3 way = end - start;
    s.distance = norm(way);
    s.line = way / s.distance;
    if (limb.gives_way) {
        const Soft soft = soften(s.distance, limb.most, give_way * limb.length);
        s.used = std::max(soft.value, limb.least), s.slope = soft.value < limb.least ? 0.0 : soft.slope;
    } else {
        // Rows keep the distance within reach; a trial past it is placed at its end, with the slopes found
        // there.
        s.used = std::clamp(s.distance, limb.shortest, limb.most), s.slope = 1.0;
    }
    s.end = start + s.line * s.used;

    s.side = rotate(rotation_between(limb.line, s.line), limb.side);
    s.twist = cross(limb.line, s.line) * (-1.0 / (1.0 + dot(limb.line, s.line)));
    place_middle(limb, s);
}

void swivel_two_span(const TwoSpan& limb, double swivel, TwoSpanState& s) {
    s.side = rotate(exp_rotation(s.line * swivel), s.side);
    place_middle(limb, s);
}

Vec3 force_of_torques(const SpanRates& s, const Vec3& upper, const Vec3& lower) {
    const Vec3 both = upper + lower; // the limb's plane turns with both spans
    const Vec3 plane = (cross(both, s.line) + s.twist * dot(both, s.line)) / s.distance;
    const double along = s.upper_rate * dot(upper, s.hinge) + s.lower_rate * dot(lower, s.hinge);
    return -(plane + s.line * (s.slope * along));
}

Vec3 force_of_end_force(const TwoSpanState& s, const Vec3& force) {
    // d(end) = dA + e slope (e.delta) + used/distance (delta - e e.delta), delta = dE - dA.
    const double ratio = s.used / s.distance;
    return force * -ratio - s.line * ((s.slope - ratio) * dot(force, s.line));
}

} // namespace aplomb

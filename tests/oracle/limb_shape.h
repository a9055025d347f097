// SPDX-License-Identifier: MIT
// A limb of two spans whose end stays: what the keyed pose says of it, and where its middle goes when its
// start moves (law of cosines; the middle's side is carried along by the smallest turn of the line). The
// oracle's variables do not need this; its starts and the hips' slope kappa do.
#pragma once

#include <algorithm>

#include "oracle/turns.h"

namespace full_space {

inline constexpr double pi = 3.14159265358979323846, degree = pi / 180;

/// theta(d) of design 4.2, with L the full length and theta0 = 6 degrees.
template<class T>
T smooth_bend(const T& distance, double length) {
    using std::sqrt;
    return sqrt((T(1) - distance / length) * 8. + 36 * degree * degree);
}

struct LimbShape {
    double upper = 0, lower = 0;
    Point start{}, end{}, line{}, side{};
    Turn upper_frame{}, lower_frame{};
    double bend = 0; // of the middle joint as keyed

    double length() const { return upper + lower; }
    Point hinge() const { return upper_frame * Point{0, 1, 0}; }
    Point lower_span() const { return lower_frame * Point{lower, 0, 0}; } // keyed
    double distance(double of_bend) const {
        return std::sqrt(upper * upper + lower * lower + 2 * upper * lower * std::cos(of_bend));
    }
    double bend_at(double d) const {
        const double cosine = (d * d - upper * upper - lower * lower) / (2 * upper * lower);
        return std::acos(std::clamp(cosine, -1.0, 1.0));
    }
    /// The second span's turn since the key against the first's, at a bend of the middle joint.
    template<class T>
    Mat<T> knee(const T& bend_now) const {
        using std::cos;
        using std::sin;
        const T c = cos(bend_now), s = sin(bend_now), o = T(0);
        const Mat<T> turn = {{{c, o, -s}, {o, T(1), o}, {s, o, c}}};
        return upper_frame * (turn * transpose(lower_frame));
    }
};

/// `hinge` bends the limb the natural way. Below a quarter degree the keyed side is noise, from one degree on
/// it counts alone.
inline LimbShape make_limb_shape(const Point& start, const Point& middle, const Point& end,
                                 const Point& hinge) {
    LimbShape s;
    const Point a = middle - start, b = end - middle, way = end - start;
    s.upper = norm(a), s.lower = norm(b), s.start = start, s.end = end, s.line = unit(way);
    s.bend = std::atan2(norm(cross(a, b)), dot(a, b));
    const Point natural = unit(cross(s.line, hinge)), off = a - s.line * dot(a, s.line);
    const double u = std::clamp((s.bend / degree - 0.25) / 0.75, 0.0, 1.0), clear = u * u * (3 - 2 * u);
    Point side = natural * (dot(off, natural) < 0 && clear > 0 ? clear - 1 : 1 - clear);
    if (clear > 0) side = side + off * (clear / norm(off));
    s.side = unit<double>(side - s.line * dot(side, s.line));
    const Point axis = cross(s.line, s.side);
    s.upper_frame = span_frame(a, axis), s.lower_frame = span_frame(b, axis);
    return s;
}

struct SolvedLimb {
    Turn upper, lower; // since the key
    double bend = 0;
};

/// For another start and end; a limb that cannot reach is as straight as `least_bend`.
inline SolvedLimb solve_limb(const LimbShape& s, const Point& start, const Point& end, double least_bend,
                             double swivel = 0) {
    const Point way = end - start, line = unit(way);
    const double d = std::min(norm(way), s.distance(least_bend));
    Point side = smallest_turn(s.line, line) * s.side;
    if (swivel != 0) side = exp_turn<double>(line * swivel) * side;
    SolvedLimb solved;
    solved.bend = s.bend_at(d);
    const double sine = s.lower * std::sin(solved.bend) / d, cosine = std::sqrt(1 - sine * sine);
    const bool folded = s.upper + s.lower * std::cos(solved.bend) < 0;
    const Point along = line * (folded ? -cosine : cosine) + side * sine;
    const Turn frame = span_frame<double>(along, cross(line, side));
    solved.upper = frame * transpose(s.upper_frame);
    solved.lower = solved.upper * s.knee(solved.bend);
    return solved;
}

} // namespace full_space

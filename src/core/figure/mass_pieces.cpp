// SPDX-License-Identifier: MIT
// Parallel axes: inertia about a point at `c` from the centre is I + m (c.c 1 - c c^T).
#include "figure/mass_pieces.h"

#include <algorithm>

namespace aplomb {
namespace {

/// Mass per length of a line of length 1 and mass 1: a + b s between low and high, nothing elsewhere.
struct Density {
    double low = 0, high = 1, a = 1, b = 0;

    /// Integral of density times s^power from s0 to s1.
    double moment(int power, double s0, double s1) const {
        s0 = std::clamp(s0, low, high), s1 = std::clamp(s1, low, high);
        double first = s0, second = s1; // s^(power + 1)
        for (int i = 0; i < power; ++i)
            first *= s0, second *= s1;
        return a * (second - first) / (power + 1) + b * (second * s1 - first * s0) / (power + 2);
    }
};

Density density_with_centre(double centre) {
    const double slope = 12 * (centre - 0.5);
    if (std::fabs(slope) <= 2) return {0, 1, 1 - 0.5 * slope, slope};
    const double half = std::min(centre, 1 - centre);
    if (half <= 1e-6) return {centre - 1e-6, centre + 1e-6, 0.5e6, 0};
    return {centre - half, centre + half, 0.5 / half, 0};
}

/// Moment of inertia with the given radii squared about fore, side and long axis.
Mat3 inertia_about_centre(const Vec3& along, double mass, double fore, double side, double lengthwise) {
    constexpr Vec3 left = {1, 0, 0};
    Vec3 sideways = reject(left, along);
    sideways = norm(sideways) > 1e-3 ? normalized(sideways) : any_perpendicular(along);
    const Vec3 forward = cross(sideways, along);
    return (Mat3::outer(forward, forward) * fore + Mat3::outer(sideways, sideways) * side +
            Mat3::outer(along, along) * lengthwise) *
           mass;
}

Mat3 point_inertia(double mass, const Vec3& at) {
    return (Mat3::identity() * dot(at, at) - Mat3::outer(at, at)) * mass;
}

} // namespace

void Pieces::add(int32_t joint, double place) {
    if (count == max_joints) return;
    double from = 0;
    if (count > 0) {
        from = std::clamp(place, items[count - 1].from, 1.0);
        items[count - 1].to = from;
    }
    items[count++] = {joint, from, 1};
}

double place_on(const Line& line, const Vec3& point) {
    const Vec3 along = line.far_end - line.near_end;
    const double square = dot(along, along);
    return square > 0 ? std::clamp(dot(point - line.near_end, along) / square, 0.0, 1.0) : 0;
}

void MassSums::add(int32_t joint, double mass, const Vec3& centre, const Mat3& about_centre) {
    Sum& sum = sums_[joint];
    sum.mass += mass;
    sum.moment += centre * mass;
    sum.second += about_centre + point_inertia(mass, centre);
}

void MassSums::spread(const Line& line, double from, double to, const SegmentRow& row, const Pieces& pieces) {
    const Vec3 start = line.near_end + (line.far_end - line.near_end) * from;
    const Vec3 span = (line.far_end - line.near_end) * (to - from);
    const double length = norm(span);
    const Vec3 along = length > 0 ? span / length : Vec3{0, 1, 0};
    const Density density = density_with_centre(row.centre);
    const double variance = density.moment(2, 0, 1) - row.centre * row.centre;

    for (int i = 0; i < pieces.count; ++i) {
        const Piece& piece = pieces.items[i];
        const double s0 = std::clamp((piece.from - from) / (to - from), 0.0, 1.0);
        const double s1 = std::clamp((piece.to - from) / (to - from), 0.0, 1.0);
        const double part = density.moment(0, s0, s1);
        if (part <= 0) continue;
        const double centre = density.moment(1, s0, s1) / part;
        const double spread_of_piece = density.moment(2, s0, s1) / part - centre * centre;
        // What the table's radii hold beyond the line's own spread is the segment's thickness, alike
        // everywhere along it; never less than that of a round bar with the table's lengthwise radius.
        const double lengthwise = row.radius_long * row.radius_long;
        const auto across = [&](double radius) {
            return (std::max(radius * radius - variance, 0.5 * lengthwise) + spread_of_piece) * length *
                   length;
        };
        const double mass = row.mass * part;
        add(piece.joint, mass, start + span * centre,
            inertia_about_centre(along, mass, across(row.radius_fore), across(row.radius_side),
                                 lengthwise * length * length));
    }
}

double MassSums::sum(int32_t joint_count) const {
    double sum = 0;
    for (int32_t j = 0; j < joint_count; ++j)
        sum += sums_[j].mass;
    return sum;
}

void MassSums::finish(Figure& figure, double total) const {
    const double scale = total / sum(figure.joint_count);
    for (int32_t j = 0; j < figure.joint_count; ++j) {
        Joint& joint = figure.joints[j];
        joint.mass = 0, joint.centre = {}, joint.inertia = {};
        const Sum& sum = sums_[j];
        if (sum.mass <= 0) continue;
        const Vec3 centre = sum.moment / sum.mass;
        const Mat3 own = transpose(to_matrix(joint.neutral));
        const Mat3 inertia = own * (sum.second - point_inertia(sum.mass, centre)) * transpose(own) * scale;
        joint.mass = sum.mass * scale;
        joint.centre = own * (centre - joint.neutral_position);
        joint.inertia = {inertia.row[0].x, inertia.row[1].y, inertia.row[2].z,
                         inertia.row[0].y, inertia.row[0].z, inertia.row[1].z};
    }
}

} // namespace aplomb

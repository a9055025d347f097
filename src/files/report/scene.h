// SPDX-License-Identifier: MIT
// What is drawn, in space: metres and the figure's own axes (x left, y up, z forward). Every solid is a union
// of convex hulls of ellipsoids, whose outline from any side follows from its support function (view.h).
#pragma once

#include <vector>

#include "aplomb/files.h"
#include "base/rotation.h"

namespace aplomb::report {

struct Ellipsoid {
    Vec3 centre;
    Vec3 axes[3]; // half-axes
};
using Hull = std::vector<Ellipsoid>;

inline Ellipsoid sphere(const Vec3& centre, double radius) {
    return {centre, {{radius, 0, 0}, {0, radius, 0}, {0, 0, radius}}};
}
/// Half-sizes to the left, up and forward, turned by `turn`.
inline Ellipsoid ellipsoid(const Vec3& centre, const Quat& turn, const Vec3& half) {
    return {centre,
            {rotate(turn, {half.x, 0, 0}), rotate(turn, {0, half.y, 0}), rotate(turn, {0, 0, half.z})}};
}

enum class Material { body, waist, sole, load, load_line };

/// A part that is drawn at one depth with one outline.
struct Form {
    Material material = Material::body;
    std::vector<Hull> hulls;
    double bias = 0; // metres nearer to the viewer than its middle, to settle what touches
    bool foot = false;
    int load = -1; // the load whose mass is written on it
};

/// Where a joint is, and the turn that took it there from the anatomical neutral.
struct Place {
    Vec3 position;
    Quat turn;
};
using Posture = std::vector<Place>;

struct BodyJoint {
    int parent = -1;
    aplomb_role role = APLOMB_ROLE_HELPER;
    aplomb_side side = APLOMB_SIDE_MIDDLE;
    double mass = 0;
};

/// A point of a sole; `from_joint` is its way from the joint in the anatomical neutral.
struct SolePoint {
    int joint = -1;
    Vec3 from_joint;
};

struct BodyLimb {
    aplomb_limb_kind kind = APLOMB_LEG;
    aplomb_side side = APLOMB_SIDE_LEFT;
    int upper = -1, lower = -1, end = -1, toe = -1;
    double sole_length = 0, sole_breadth = 0;
    Vec3 heel; // rear end of the sole from the end joint, in the neutral
    Vec3 palm; // where the end grips or leans, the same way
    std::vector<SolePoint> sole;
};

/// The figure as it is drawn: the public view of it, in metres and its own axes.
struct Body {
    double metres_per_unit = 1;
    Quat to_anatomical; // of host axes, reflected in x where they are left-handed
    bool left_handed = false;
    double stature = 0;
    double total_mass = 0;
    int hips = -1, chest = -1, head = -1;
    std::vector<BodyJoint> joints;
    std::vector<BodyLimb> limbs;
    Posture neutral;
    std::vector<Quat> neutral_rotations; // host axes

    Vec3 direction_in(const double* host) const {
        return rotate(to_anatomical, {left_handed ? -host[0] : host[0], host[1], host[2]});
    }
    Vec3 length_in(const double* host) const { return direction_in(host) * metres_per_unit; }
    Vec3 length_in(const Vec3& host) const {
        const double numbers[3] = {host.x, host.y, host.z};
        return length_in(numbers);
    }
    Quat rotation_in(const Quat& host) const {
        const Quat right = left_handed ? Quat{host.x, -host.y, -host.z, host.w} : host;
        return to_anatomical * right * conjugate(to_anatomical);
    }
};

/// Reads the figure through the public interface. False where it refuses.
bool read_body(const aplomb_figure* figure, Body& body);
Posture place(const Body& body, const double* translations, const double* rotations);
inline Vec3 sole_place(const Posture& posture, const SolePoint& point) {
    const Place& joint = posture[static_cast<size_t>(point.joint)];
    return joint.position + rotate(joint.turn, point.from_joint);
}

/// lay_figure.cpp
std::vector<Form> lay_figure(const Body& body, const Posture& posture);
/// loads.cpp
std::vector<Form> load_forms(const Body& body, const aplomb_picture& picture, const Posture& keyed,
                             const Posture& posture, const aplomb_reading& reading);

/// The level turn that takes "forward" to where the hips face.
Quat facing(const Body& body, const Posture& posture);

} // namespace aplomb::report

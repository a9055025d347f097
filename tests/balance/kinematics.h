// SPDX-License-Identifier: MIT
// The tests' own view of a pose, on Eigen and the public C API alone: where joints are, where the masses are,
// how far a joint is from the anatomical neutral. Nothing of the library's mathematics is used. Metres, y up.
#pragma once

#include <Eigen/Geometry>
#include <cmath>
#include <vector>

#include "aplomb/aplomb.h"

namespace own {

using Vector = Eigen::Vector3d;
using Turn = Eigen::Quaterniond;

struct World {
    std::vector<Vector> place;
    std::vector<Turn> turn;
};

/// What the tests need of a figure, read once.
struct Bones {
    explicit Bones(const aplomb_figure* figure);
    World world(const double* translations, const double* rotations) const;
    /// A joint's turn in the world since the anatomical neutral.
    Turn from_neutral(const World& w, int32_t joint) const;
    /// The same, against the parent's.
    Turn against_parent(const World& w, int32_t joint) const;
    Vector first_moment(const World& w) const;
    double body_mass() const { return info.total_mass; }

    aplomb_figure_info info;
    std::vector<aplomb_joint_info> joints;
    std::vector<aplomb_limb_info> limbs;
    World neutral;
};

Vector rotation_vector(const Turn& q);

/// The bone hangs along -y in the neutral. Swing: the smallest turn that brings the bone where it is
/// (components about left and forward); twist: what is left, about the bone's own axis.
Vector swing_twist(const Turn& q);

/// The angle of the swing alone; near a half turn the swing's axis is not defined.
double swing_angle(const Turn& q);

/// Angle between two turns; exact near zero, where the scalar part alone says nothing.
double angle_between(const Turn& a, const Turn& b);

inline double degrees(double radians) {
    return radians * 180.0 / 3.14159265358979323846;
}

} // namespace own

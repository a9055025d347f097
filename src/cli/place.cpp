// SPDX-License-Identifier: MIT
#include "cli/place.h"

#include <cmath>

#include "cli/failure.h"

namespace aplomb::cli {
namespace {

std::vector<Attitude> attitudes(const Character& character, const double* translations,
                                const double* rotations) {
    const auto joints = static_cast<size_t>(aplomb_figure_joint_count(character.figure()));
    std::vector<double> matrices(16 * joints);
    aplomb_error error{};
    check(aplomb_pose_to_matrices(character.figure(), translations, rotations, matrices.data(), APLOMB_DOUBLE,
                                  16 * sizeof(double), APLOMB_WORLD, &error),
          error);
    std::vector<Attitude> all(joints);
    for (size_t j = 0; j < joints; ++j) {
        const double* m = &matrices[16 * j];
        all[j] = {{m[12], m[13], m[14]},
                  Mat3::from_columns({m[0], m[1], m[2]}, {m[4], m[5], m[6]}, {m[8], m[9], m[10]})};
    }
    return all;
}

Vec3 axis(int32_t axis) {
    const double sign = axis < 0 ? -1 : 1;
    const int32_t which = std::abs(axis);
    return {which == APLOMB_AXIS_X ? sign : 0, which == APLOMB_AXIS_Y ? sign : 0,
            which == APLOMB_AXIS_Z ? sign : 0};
}

} // namespace

Places::Places(const Character& character, const double* translations, const double* rotations)
    : m_joints(attitudes(character, translations, rotations)) {
    const aplomb_figure_info info = character.info();
    std::vector<double> t(3 * m_joints.size()), q(4 * m_joints.size());
    aplomb_figure_neutral_pose(character.figure(), t.data(), q.data());
    const std::vector<Attitude> neutral = attitudes(character, t.data(), q.data());
    const auto hips = static_cast<size_t>(info.hips);
    up = axis(info.up_axis);
    forward = axis(info.forward_axis);
    const Vec3 faced = reject(m_joints[hips].turn * transposed_times(neutral[hips].turn, forward), up);
    if (norm(faced) > 1e-3) forward = normalized(faced);
    left = info.left_handed != 0 ? cross(forward, up) : cross(up, forward);
}

Vec3 Places::in_joint(int32_t joint, const Vec3& world) const {
    const Attitude& at = (*this)[joint];
    return transposed_times(at.turn, world - at.position);
}

} // namespace aplomb::cli

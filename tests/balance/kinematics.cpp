// SPDX-License-Identifier: MIT
#include "balance/kinematics.h"

namespace own {
namespace {

aplomb_joint_info joint_info(const aplomb_figure* figure, int32_t joint) {
    aplomb_joint_info info;
    aplomb_joint_info_init(&info, sizeof info);
    aplomb_figure_joint(figure, joint, &info, nullptr);
    return info;
}

aplomb_limb_info limb_info(const aplomb_figure* figure, int32_t limb) {
    aplomb_limb_info info;
    aplomb_limb_info_init(&info, sizeof info);
    aplomb_figure_limb(figure, limb, &info, nullptr);
    return info;
}

aplomb_figure_info figure_info(const aplomb_figure* figure) {
    aplomb_figure_info info;
    aplomb_figure_info_init(&info, sizeof info);
    aplomb_figure_describe(figure, &info, nullptr);
    return info;
}

} // namespace

Bones::Bones(const aplomb_figure* figure) : info(figure_info(figure)) {
    for (int32_t j = 0; j < info.joint_count; ++j)
        joints.push_back(joint_info(figure, j));
    for (int32_t i = 0; i < info.limb_count; ++i)
        limbs.push_back(limb_info(figure, i));
    std::vector<double> t(3 * joints.size()), r(4 * joints.size());
    aplomb_figure_neutral_pose(figure, t.data(), r.data());
    neutral = world(t.data(), r.data());
}

World Bones::world(const double* translations, const double* rotations) const {
    World w;
    for (size_t j = 0; j < joints.size(); ++j) {
        const Vector t(translations[3 * j], translations[3 * j + 1], translations[3 * j + 2]);
        const double* q = rotations + 4 * j;
        const Turn r = Turn(q[3], q[0], q[1], q[2]).normalized();
        const int32_t parent = joints[j].parent;
        if (parent < 0) {
            w.place.push_back(t);
            w.turn.push_back(r);
            continue;
        }
        const size_t p = static_cast<size_t>(parent);
        w.place.push_back(w.place[p] + w.turn[p] * t);
        w.turn.push_back((w.turn[p] * r).normalized());
    }
    return w;
}

Turn Bones::from_neutral(const World& w, int32_t joint) const {
    if (joint < 0) return Turn::Identity();
    const size_t j = static_cast<size_t>(joint);
    return w.turn[j] * neutral.turn[j].conjugate();
}

Turn Bones::against_parent(const World& w, int32_t joint) const {
    return from_neutral(w, joints[static_cast<size_t>(joint)].parent).conjugate() * from_neutral(w, joint);
}

Vector Bones::first_moment(const World& w) const {
    Vector sum = Vector::Zero();
    for (size_t j = 0; j < joints.size(); ++j) {
        const double* c = joints[j].centre;
        sum += joints[j].mass * (w.place[j] + w.turn[j] * Vector(c[0], c[1], c[2]));
    }
    return sum;
}

Vector rotation_vector(const Turn& q) {
    const Eigen::AngleAxisd a(q);
    const double angle =
        a.angle() > 3.14159265358979323846 ? a.angle() - 2 * 3.14159265358979323846 : a.angle();
    return a.axis() * angle;
}

Vector swing_twist(const Turn& q) {
    const Vector bone(0, -1, 0), now = q * bone;
    const Turn swing = Turn::FromTwoVectors(bone, now);
    const Vector s = rotation_vector(swing), t = rotation_vector(swing.conjugate() * q);
    return {s.x(), t.y(), s.z()};
}

double swing_angle(const Turn& q) {
    const Vector bone(0, -1, 0);
    return std::atan2(bone.cross(q * bone).norm(), bone.dot(q * bone));
}

double angle_between(const Turn& a, const Turn& b) {
    const Turn d = a.conjugate() * b;
    return 2 * std::atan2(d.vec().norm(), std::fabs(d.w()));
}

} // namespace own

// SPDX-License-Identifier: MIT
// The figure through its public interface: axes, placements, soles.
#include "report/scene.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace aplomb::report {
namespace {

struct HostPlace {
    Vec3 position;
    Quat rotation;
};

std::vector<HostPlace> place_host(const Body& body, const double* translations, const double* rotations) {
    std::vector<HostPlace> world(body.joints.size());
    for (size_t j = 0; j < world.size(); ++j) {
        const double* t = translations + 3 * j;
        const double* r = rotations + 4 * j;
        const HostPlace local{{t[0], t[1], t[2]}, normalized(Quat{r[0], r[1], r[2], r[3]})};
        if (body.joints[j].parent < 0) {
            world[j] = local;
            continue;
        }
        const HostPlace& up = world[static_cast<size_t>(body.joints[j].parent)];
        world[j] = {up.position + rotate(up.rotation, local.position), up.rotation * local.rotation};
    }
    return world;
}

Vec3 axis_of(int32_t axis, bool left_handed) {
    Vec3 v;
    v[std::abs(axis) - 1] = axis < 0 ? -1 : 1;
    if (left_handed) v.x = -v.x;
    return v;
}

Quat find_axes(const aplomb_figure_info& info) {
    const bool left_handed = info.left_handed != 0;
    const Vec3 up = axis_of(info.up_axis, left_handed), forward = axis_of(info.forward_axis, left_handed);
    return to_quat(transpose(Mat3::from_columns(cross(up, forward), up, forward)));
}

bool read_joints(const aplomb_figure* figure, Body& body) {
    for (int32_t j = 0; j < aplomb_figure_joint_count(figure); ++j) {
        aplomb_joint_info info;
        aplomb_joint_info_init(&info, sizeof info);
        if (aplomb_figure_joint(figure, j, &info, nullptr) != APLOMB_OK) return false;
        body.joints.push_back({info.parent, static_cast<aplomb_role>(info.role),
                               static_cast<aplomb_side>(info.side), info.mass});
    }
    return true;
}

void read_sole(const aplomb_limb_info& info, const Body& body, BodyLimb& limb) {
    Vec3 low{1e30, 1e30, 1e30}, high{-1e30, -1e30, -1e30};
    for (int i = 0; i < std::clamp(info.sole_point_count, 0, 16); ++i) {
        const auto joint = static_cast<size_t>(info.sole_joint[i]);
        const double* p = info.sole_points[i];
        const Vec3 turned = rotate(body.neutral_rotations[joint], {p[0], p[1], p[2]});
        const Vec3 from_joint = body.length_in(turned);
        limb.sole.push_back({info.sole_joint[i], from_joint});
        const Vec3 place = sole_place(body.neutral, limb.sole.back());
        for (int k = 0; k < 3; ++k)
            low[k] = std::min(low[k], place[k]), high[k] = std::max(high[k], place[k]);
    }
    if (limb.sole.empty()) return;
    const Vec3 heel{(low.x + high.x) / 2, low.y, low.z};
    limb.heel = heel - body.neutral[static_cast<size_t>(limb.end)].position;
}

bool read_limbs(const aplomb_figure* figure, Body& body) {
    for (int32_t i = 0; i < aplomb_figure_limb_count(figure); ++i) {
        aplomb_limb_info info;
        aplomb_limb_info_init(&info, sizeof info);
        if (aplomb_figure_limb(figure, i, &info, nullptr) != APLOMB_OK) return false;
        BodyLimb limb;
        limb.kind = static_cast<aplomb_limb_kind>(info.kind);
        limb.side = static_cast<aplomb_side>(info.side);
        limb.upper = info.upper, limb.lower = info.lower, limb.end = info.end, limb.toe = info.toe;
        limb.sole_length = info.sole_length * body.metres_per_unit;
        limb.sole_breadth = info.sole_breadth * body.metres_per_unit;
        const Quat& neutral = body.neutral_rotations[static_cast<size_t>(limb.end)];
        limb.palm = body.length_in(rotate(neutral, {info.palm[0], info.palm[1], info.palm[2]}));
        read_sole(info, body, limb);
        body.limbs.push_back(limb);
    }
    return true;
}

} // namespace

bool read_body(const aplomb_figure* figure, Body& body) {
    aplomb_figure_info info;
    aplomb_figure_info_init(&info, sizeof info);
    if (aplomb_figure_describe(figure, &info, nullptr) != APLOMB_OK) return false;
    body.metres_per_unit = info.metres_per_unit;
    body.stature = info.stature * info.metres_per_unit;
    body.total_mass = info.total_mass;
    body.hips = info.hips, body.chest = info.chest, body.head = info.head;
    if (!read_joints(figure, body)) return false;

    std::vector<double> translations(3 * body.joints.size()), rotations(4 * body.joints.size());
    if (aplomb_figure_neutral_pose(figure, translations.data(), rotations.data()) != APLOMB_OK) return false;
    const auto neutral = place_host(body, translations.data(), rotations.data());
    body.to_anatomical = find_axes(info);
    body.left_handed = info.left_handed != 0;
    for (const HostPlace& p : neutral)
        body.neutral_rotations.push_back(p.rotation);
    body.neutral = place(body, translations.data(), rotations.data());
    return read_limbs(figure, body);
}

Posture place(const Body& body, const double* translations, const double* rotations) {
    Posture posture;
    const auto world = place_host(body, translations, rotations);
    for (size_t j = 0; j < world.size(); ++j) {
        const Quat turn = world[j].rotation * conjugate(body.neutral_rotations[j]);
        posture.push_back({body.length_in(world[j].position), body.rotation_in(turn)});
    }
    return posture;
}

Quat facing(const Body& body, const Posture& posture) {
    Vec3 forward{0, 0, 1};
    if (body.hips >= 0) forward = rotate(posture[static_cast<size_t>(body.hips)].turn, forward);
    forward.y = 0;
    if (norm(forward) < 0.1) return {};
    forward = normalized(forward);
    return exp_rotation({0, arctan2(forward.x, forward.z), 0});
}

} // namespace aplomb::report

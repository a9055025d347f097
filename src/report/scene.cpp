// SPDX-License-Identifier: MIT
// The figure through its public interface: axes, placements, soles.
#include "report/scene.h"

#include <algorithm>
#include <cmath>

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

/// The signed axis of the host nearest to a direction.
Vec3 nearest_axis(const Vec3& v) {
    int best = 0;
    for (int i = 1; i < 3; ++i)
        if (std::fabs(v[i]) > std::fabs(v[best])) best = i;
    Vec3 axis;
    axis[best] = v[best] < 0 ? -1 : 1;
    return axis;
}

/// The axes are not in the public interface, but the neutral shows them: its legs hang straight down, and
/// left and right limbs differ along "left".
Quat find_axes(const Body& body, const std::vector<HostPlace>& neutral) {
    const auto at = [&](int joint) { return neutral[static_cast<size_t>(joint)].position; };
    Vec3 up, left;
    for (const BodyLimb& limb : body.limbs) {
        if (limb.kind != APLOMB_ARM) up += at(limb.upper) - at(limb.end);
        if (limb.side == APLOMB_SIDE_LEFT)
            left += at(limb.upper);
        else if (limb.side == APLOMB_SIDE_RIGHT)
            left -= at(limb.upper);
    }
    up = norm(up) > 0 ? nearest_axis(up) : Vec3{0, 1, 0};
    left = reject(left, up);
    left = norm(left) > 0 ? nearest_axis(left) : nearest_axis(any_perpendicular(up));
    return to_quat(transpose(Mat3::from_columns(left, up, cross(left, up))));
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
        // Ankle height and heel of an adult's foot (common practice), until a reading tells better.
        limb.heel = {0, -0.27 * limb.sole_length, -0.25 * limb.sole_length};
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
    if (!read_joints(figure, body) || !read_limbs(figure, body)) return false;

    std::vector<double> translations(3 * body.joints.size()), rotations(4 * body.joints.size());
    if (aplomb_figure_neutral_pose(figure, translations.data(), rotations.data()) != APLOMB_OK) return false;
    const auto neutral = place_host(body, translations.data(), rotations.data());
    body.to_anatomical = find_axes(body, neutral);
    for (const HostPlace& p : neutral)
        body.neutral_rotations.push_back(p.rotation);
    body.neutral = place(body, translations.data(), rotations.data());
    return true;
}

Posture place(const Body& body, const double* translations, const double* rotations) {
    Posture posture;
    const auto world = place_host(body, translations, rotations);
    for (size_t j = 0; j < world.size(); ++j) {
        const Quat turn = world[j].rotation * conjugate(body.neutral_rotations[j]);
        posture.push_back({rotate(body.to_anatomical, world[j].position) * body.metres_per_unit,
                           body.to_anatomical * turn * conjugate(body.to_anatomical)});
    }
    return posture;
}

void fit_soles(Body& body, const Posture& posture, const aplomb_picture& picture,
               const aplomb_reading& reading) {
    std::vector<bool> fitted(body.limbs.size(), false);
    const int count = std::clamp(reading.contact_count, 0, APLOMB_MAX_CONTACTS);
    for (int i = 0; i < count; ++i) {
        const aplomb_contact_reading& c = reading.contacts[i];
        const aplomb_situation* s = picture.situation;
        const bool bent = s != nullptr && s->contacts != nullptr && i < s->contact_count &&
                          s->contacts[i].footing != APLOMB_FLAT;
        if (c.limb < 0 || static_cast<size_t>(c.limb) >= body.limbs.size() || bent || !(c.share > 0) ||
            !std::isfinite(c.place))
            continue;
        BodyLimb& limb = body.limbs[static_cast<size_t>(c.limb)];
        const Place& ankle = posture[static_cast<size_t>(limb.end)];
        const Vec3 weight = rotate(conjugate(ankle.turn), body.length_in(c.centre) - ankle.position);
        const double rear = weight.z - c.place * limb.sole_length;
        limb.heel = {0, std::min(weight.y, 0.0), std::clamp(rear, -limb.sole_length, 0.2 * limb.sole_length)};
        fitted[static_cast<size_t>(c.limb)] = true;
    }
    // A lifted foot is made like its fellow.
    for (size_t i = 0; i < body.limbs.size(); ++i)
        for (size_t k = 0; k < body.limbs.size() && !fitted[i]; ++k)
            if (fitted[k] && body.limbs[k].kind == body.limbs[i].kind)
                body.limbs[i].heel = body.limbs[k].heel;
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

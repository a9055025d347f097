// SPDX-License-Identifier: MIT
#include "io/bvh_character.h"

#include "io/bvh_write.h"
#include "io/fault.h"
#include "io/interpolate.h"

#include <algorithm>
#include <cmath>

namespace aplomb::io {

BvhCharacter::BvhCharacter(std::string bytes) : m_file(read_bvh(std::move(bytes))) {
    for (const BvhJoint& joint : m_file.joints)
        m_joints.push_back({joint.name, joint.parent, joint.tip});
    for (std::size_t i = 0; i < m_file.frame_count; ++i)
        m_times.push_back(static_cast<double>(i) * m_file.frame_time);
}

double BvhCharacter::frame_at(double seconds) const {
    const double last = static_cast<double>(m_file.frame_count - 1);
    if (!(m_file.frame_time > 0)) return 0;
    const double frame = std::clamp(seconds / m_file.frame_time, 0.0, last);
    // Times are products of the frame time: what differs from a frame by rounding is that frame.
    const double whole = std::floor(frame + 0.5);
    return std::fabs(frame - whole) < 1e-6 ? whole : frame;
}

Pose BvhCharacter::pose(int clip, double seconds) const {
    if (clip < 0) return bvh_pose(m_file, nullptr);
    const double frame = frame_at(seconds), u = frame - std::floor(frame);
    const auto first = static_cast<std::size_t>(frame);
    Pose pose = bvh_pose(m_file, m_file.row(first));
    if (u == 0) return pose;
    const Pose next = bvh_pose(m_file, m_file.row(first + 1));
    for (std::size_t i = 0; i < m_joints.size(); ++i) {
        pose.translations[i] = lerp(pose.translations[i], next.translations[i], u);
        pose.rotations[i] = normalized(slerp(pose.rotations[i], next.rotations[i], u));
    }
    return pose;
}

std::string BvhCharacter::rewritten(int clip, const std::vector<CorrectedFrame>& frames,
                                    const std::optional<std::string>&, const char* layer) const {
    if (layer != nullptr)
        bad_argument("layer",
                     "layer is '" + std::string(layer) + "'; a BVH has one clip, and no room for a layer");
    std::map<std::size_t, const CorrectedFrame*> rows;
    for (const CorrectedFrame& frame : frames) {
        if (clip < 0 && !frame.changes.empty())
            refuse("BVH keeps no pose outside its motion: a changed pose needs clip 0");
        if (clip < 0) continue;
        const auto row = static_cast<std::size_t>(std::floor(frame_at(frame.seconds) + 0.5));
        const auto [entry, is_new] = rows.emplace(row, &frame);
        if (!is_new) refuse_same_moment(*entry->second, frame);
    }
    return bvh_with_rows(m_file, rows);
}

bool BvhCharacter::has_turn_key(int, int, double) const {
    return true;
}

std::unique_ptr<CharacterFile> BvhCharacter::with_own_keys(int, const std::vector<CorrectedFrame>&,
                                                           const FurtherKeys&) const {
    bad_argument("character", "a BVH has a value in every frame, and no keys of its own: write all frames");
}
std::string BvhCharacter::rewritten_on_own_keys(int clip, const std::vector<CorrectedFrame>& frames,
                                                const FurtherKeys& further,
                                                const std::optional<std::string>&) const {
    with_own_keys(clip, frames, further);
    return {};
}

} // namespace aplomb::io

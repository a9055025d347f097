// SPDX-License-Identifier: MIT
#include "io/bound_pose.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace aplomb::io {
namespace {

constexpr double evenness = 1e-3;   // relative; files hold single precision
constexpr double same_turn = 2e-3;  // radians
constexpr double same_size = 0.3;   // of the sum of all distances from a joint to its parent
constexpr double same_place = 1e-3; // of the longest distance from a joint to its parent
constexpr double most_posed = 1.2;  // radians; a root turned further has an axis change in it, not a pose

struct Frame {
    Vec3 place;
    Quat turn;
};

struct Bound {
    Frame frame; // in the space of the vertices
    double scale = 1;
};

double angle(const Quat& a, const Quat& b) {
    return norm(log_rotation(normalized(conjugate(a) * b)));
}

Frame inside(const Frame& parent, const Frame& frame) {
    return {rotate(conjugate(parent.turn), frame.place - parent.place),
            normalized(conjugate(parent.turn) * frame.turn)};
}

Frame placed(const Frame& parent, const Vec3& place, const Quat& turn) {
    return {parent.place + rotate(parent.turn, place), normalized(parent.turn * turn)};
}

/// Nothing where the bone is not a turned and evenly scaled frame.
std::optional<Bound> bound_of(const Bone& bone) {
    const double scale = norm(bone.turn.row[0]);
    if (!(scale > 0)) return std::nullopt;
    const Mat3 turn = bone.turn * (1 / scale);
    for (int i = 0; i < 3; ++i)
        for (int k = 0; k <= i; ++k)
            if (std::fabs(dot(turn.row[i], turn.row[k]) - (i == k)) > evenness) return std::nullopt;
    if (dot(cross(turn.row[0], turn.row[1]), turn.row[2]) < 0) return std::nullopt;
    return Bound{{transposed_times(turn, bone.place) * (-1 / scale), conjugate(normalized(to_quat(turn)))},
                 scale};
}

/// Per joint, from the bones of the first skin; empty where any of them is of no use.
std::vector<std::optional<Bound>> bounds_of(const Skin& skin, std::size_t joints) {
    std::vector<std::optional<Bound>> bounds(joints);
    double scale = 0;
    for (const Bone& bone : skin.bones) {
        std::optional<Bound>& known = bounds[static_cast<std::size_t>(bone.joint)];
        if (known || bone.rigid) break; // another skin begins, and may have a space of its own
        known = bound_of(bone);
        if (!known || (scale > 0 && std::fabs(known->scale - scale) > evenness * scale)) return {};
        scale = known->scale;
    }
    return bounds;
}

std::vector<Frame> world_of(const std::vector<SkeletonJoint>& joints, const Pose& pose) {
    std::vector<Frame> world;
    for (std::size_t i = 0; i < joints.size(); ++i) {
        const Frame parent =
            joints[i].parent < 0 ? Frame{} : world[static_cast<std::size_t>(joints[i].parent)];
        world.push_back(placed(parent, pose.translations[i], pose.rotations[i]));
    }
    return world;
}

/// The turn from the space of the vertices into the world, which a file does not tell: of two that occur, the one that
/// leaves the first joint nearer to where its node has it.
Quat turn_of_space(const Frame& bound, const Frame& node, const Quat& above) {
    const Quat here;
    const double as_it_is = angle(bound.turn, node.turn), turned = angle(above * bound.turn, node.turn);
    if (std::min(as_it_is, turned) > most_posed) return normalized(node.turn * conjugate(bound.turn));
    return as_it_is <= turned ? here : above;
}

/// The longest distance from a joint to its parent, and the sum of all such distances.
struct Ways {
    double longest = 0, sum = 0;
};

Ways ways_of(const Pose& pose) {
    Ways ways;
    for (std::size_t i = 1; i < pose.translations.size(); ++i) {
        const double length = norm(pose.translations[i]);
        ways.longest = std::max(ways.longest, length);
        ways.sum += length;
    }
    return ways;
}

/// A pose turns joints and keeps most distances. Matrices that do not keep them tell nothing, such as those of a file
/// that has none.
bool have_same_size(const Pose& a, const Pose& b) {
    const double size = ways_of(b).sum;
    return std::fabs(ways_of(a).sum - size) <= same_size * size;
}

bool are_same(const Pose& a, const Pose& b) {
    const double longest = ways_of(a).longest;
    for (std::size_t i = 0; i < a.rotations.size(); ++i) {
        if (angle(a.rotations[i], b.rotations[i]) > same_turn) return false;
        if (i > 0 && norm(a.translations[i] - b.translations[i]) > same_place * longest) return false;
    }
    return true;
}

} // namespace

Pose bound_pose(const Skin& skin, const std::vector<SkeletonJoint>& joints, const Pose& pose,
                const Quat& above) {
    const std::vector<std::optional<Bound>> bounds = bounds_of(skin, joints.size());
    const auto first =
        std::find_if(bounds.begin(), bounds.end(), [](const auto& b) { return b.has_value(); });
    if (first == bounds.end()) return pose;
    const std::vector<Frame> nodes = world_of(joints, pose);
    const Frame& anchor = nodes[static_cast<std::size_t>(first - bounds.begin())];
    const Quat space = turn_of_space((*first)->frame, anchor, above);

    std::vector<Frame> world;
    Pose result;
    for (std::size_t i = 0; i < joints.size(); ++i) {
        const Frame parent =
            joints[i].parent < 0 ? Frame{} : world[static_cast<std::size_t>(joints[i].parent)];
        if (bounds[i]) {
            const Vec3 way = (bounds[i]->frame.place - (*first)->frame.place) * bounds[i]->scale;
            world.push_back({anchor.place + rotate(space, way), normalized(space * bounds[i]->frame.turn)});
        } else {
            world.push_back(placed(parent, pose.translations[i], pose.rotations[i]));
        }
        const Frame own = inside(parent, world.back());
        result.translations.push_back(own.place);
        result.rotations.push_back(own.turn);
    }
    return are_same(result, pose) || !have_same_size(result, pose) ? pose : result;
}

} // namespace aplomb::io

// SPDX-License-Identifier: MIT
// The shape of a skeleton in its rest pose: how far each branch reaches, which branches mirror each other. Which joint
// lies below which goes by carriers (figure.h).
#pragma once

#include "figure/description.h"
#include "figure/steps.h"

namespace aplomb {

struct Survey {
    int32_t count = 0;
    const int32_t* order = nullptr; // every carrier before what it carries
    int32_t parent[max_joints];     // the carrier
    int32_t depth[max_joints];      // how many carriers are above it
    bool has_body[max_joints];      // it, or a joint below it, moves part of the body: the skin tells
    Vec3 position[max_joints];
    double reach[max_joints];     // length of the longest path below, tips included
    int32_t next[max_joints];     // the child on that path, -1 at its end
    Vec3 far_end[max_joints];     // the point at which it ends
    double lowest[max_joints];    // lowest point of the branch
    double floor = 0, height = 0; // of the whole figure; the skin's, where there is one

    /// Whether `joint` is `above` or lies below it.
    bool is_within(int32_t joint, int32_t above) const;
    int32_t common_ancestor(int32_t a, int32_t b) const;
    int child_count(int32_t joint) const;
    /// Joints and tip along the longest path from `joint`, counting points that coincide once.
    int distinct_points(int32_t joint, const Draft& draft) const;
    /// Whether two children of one joint reach equally far to either side of it.
    bool are_mirrored(int32_t a, int32_t b) const;
    bool coincide(int32_t a, int32_t b) const { return norm(position[a] - position[b]) < 1e-4 * height; }
};

void take_survey(const Draft& draft, Survey& survey);

} // namespace aplomb

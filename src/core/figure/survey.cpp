// SPDX-License-Identifier: MIT
#include "figure/survey.h"

#include <algorithm>

#include "figure/frame.h"

namespace aplomb {
namespace {

/// Which joints move vertices, and from where to where the skin reaches in the rest pose.
void survey_skin(const Draft& draft, Survey& s) {
    const aplomb_skin& skin = *draft.desc.skin;
    std::fill(s.has_body, s.has_body + s.count, false);
    double lowest = 1e300, highest = -1e300;
    for (int32_t v = 0; v < skin.vertex_count; ++v) {
        const size_t first = 4 * static_cast<size_t>(v);
        for (size_t k = first; k < first + 4; ++k)
            if (skin.weights[k] > 0 && skin.joints[k] >= 0) s.has_body[skin.joints[k]] = true;
        const double* p = skin.positions + 3 * static_cast<size_t>(v);
        const double height = length_in(draft.figure.frame, {p[0], p[1], p[2]}).y;
        lowest = std::min(lowest, height);
        highest = std::max(highest, height);
    }
    for (int32_t k = s.count - 1; k > 0; --k) {
        const int32_t j = s.order[k];
        if (s.has_body[j] && s.parent[j] >= 0) s.has_body[s.parent[j]] = true;
    }
    if (highest > lowest) s.floor = lowest, s.height = highest - lowest;
}

} // namespace

bool Survey::is_within(int32_t joint, int32_t above) const {
    while (joint >= 0 && depth[joint] > depth[above])
        joint = parent[joint];
    return joint == above;
}

int32_t Survey::common_ancestor(int32_t a, int32_t b) const {
    if (a < 0) return b;
    if (b < 0) return a;
    while (a != b) {
        if (depth[a] >= depth[b])
            a = parent[a];
        else
            b = parent[b];
    }
    return a;
}

int Survey::child_count(int32_t joint) const {
    int n = 0;
    for (int32_t j = 0; j < count; ++j)
        n += parent[j] == joint;
    return n;
}

int Survey::distinct_points(int32_t joint, const Draft& draft) const {
    int n = 1;
    int32_t last = joint;
    for (int32_t j = next[joint]; j >= 0; j = next[j]) {
        n += !coincide(j, last);
        last = j;
    }
    return n + (draft.has_tip[last] && norm(draft.figure.joints[last].tip) > 1e-4 * height);
}

bool Survey::are_mirrored(int32_t a, int32_t b) const {
    if (parent[a] != parent[b] || parent[a] < 0) return false;
    const Vec3 from_a = far_end[a] - position[parent[a]], from_b = far_end[b] - position[parent[b]];
    const double longest = std::max(reach[a], reach[b]);
    // In a stride one foot is far ahead of the other; then the places where both limbs start tell that they are a pair.
    const Vec3 &start_a = position[a], &start_b = position[b];
    const bool level = std::fabs(start_a.y - start_b.y) < 0.02 * longest &&
                       std::fabs(start_a.z - start_b.z) < 0.02 * longest && start_a.x * start_b.x < 0;
    const double stride = level ? 0.5 : 0.25;
    return std::fabs(reach[a] - reach[b]) < 0.15 * longest && from_a.x * from_b.x < 0 &&
           std::fabs(from_a.x - from_b.x) > 0.05 * longest &&
           std::fabs(from_a.y - from_b.y) < 0.25 * longest &&
           std::fabs(from_a.z - from_b.z) < stride * longest;
}

void take_survey(const Draft& draft, Survey& s) {
    const Figure& figure = draft.figure;
    s.count = figure.joint_count;
    s.order = figure.order;
    double highest = 0;
    for (int32_t j = 0; j < s.count; ++j) {
        s.parent[j] = figure.joints[j].carrier;
        s.has_body[j] = true;
        s.position[j] = draft.rest[j].position;
        s.far_end[j] = draft.has_tip[j] ? to_world(draft.rest[j], figure.joints[j].tip) : s.position[j];
        s.reach[j] = norm(s.far_end[j] - s.position[j]);
        s.lowest[j] = std::min(s.position[j].y, s.far_end[j].y);
        s.next[j] = -1;
        const double top = std::max(s.position[j].y, s.far_end[j].y);
        highest = j == 0 ? top : std::max(highest, top);
    }
    for (int32_t k = 0; k < s.count; ++k) {
        const int32_t j = s.order[k];
        s.depth[j] = s.parent[j] < 0 ? 0 : s.depth[s.parent[j]] + 1;
    }
    for (int32_t k = s.count - 1; k > 0; --k) {
        const int32_t j = s.order[k], p = s.parent[j];
        const double reach = s.reach[j] + norm(s.position[j] - s.position[p]);
        // With >= the earlier joint wins between two equal paths, and a joint at the same place still leads on.
        if (reach >= s.reach[p]) s.reach[p] = reach, s.next[p] = j, s.far_end[p] = s.far_end[j];
        s.lowest[p] = std::min(s.lowest[p], s.lowest[j]);
    }
    s.floor = s.lowest[0];
    s.height = std::max(highest - s.floor, 1e-9);
    if (draft.desc.skin) survey_skin(draft, s);
}

} // namespace aplomb

// SPDX-License-Identifier: MIT
#include "figure/branches.h"

#include <algorithm>

namespace aplomb {
namespace {

// Fractions of the figure's height. Small on purpose: a cartoon's legs are short.
constexpr double least_limb_reach = 0.08, near_floor = 0.12;
// A further pair of arms reaches at least this part of the longest pair's reach.
constexpr double least_further_arm = 0.6;

Pair left_and_right(const Survey& s, int32_t a, int32_t b) {
    return s.far_end[a].x > s.far_end[b].x ? Pair{a, b} : Pair{b, a};
}

bool could_be_limbs(const Draft& draft, const Survey& s, int32_t a, int32_t b) {
    return s.has_body[a] && s.has_body[b] && s.are_mirrored(a, b) &&
           std::min(s.reach[a], s.reach[b]) > least_limb_reach * s.height &&
           s.distinct_points(a, draft) >= 3 && s.distinct_points(b, draft) >= 3;
}

bool reaches_floor(const Survey& s, int32_t joint) {
    return s.lowest[joint] < s.floor + near_floor * s.height;
}

constexpr int max_chain = 32;

/// The joints along a branch's longest path, those at one place counted once.
struct Chain {
    int32_t joint[max_chain];
    int count = 0;

    void drop(int index) {
        for (int i = index; i + 1 < count; ++i)
            joint[i] = joint[i + 1];
        --count;
    }
};

Chain chain_from(const Survey& s, int32_t start) {
    Chain chain;
    int32_t last = s.parent[start];
    for (int32_t j = start; j >= 0 && chain.count < max_chain; j = s.next[j]) {
        if (last >= 0 && s.coincide(j, last)) continue;
        chain.joint[chain.count++] = j;
        last = j;
    }
    return chain;
}

double distance(const Survey& s, int32_t a, int32_t b) {
    return norm(s.position[a] - s.position[b]);
}

/// How straight the chain runs through joint `i`: 1 for a straight line.
double straightness(const Survey& s, const Chain& chain, int i) {
    const Vec3& here = s.position[chain.joint[i]];
    const Vec3 in = here - s.position[chain.joint[i - 1]], out = s.position[chain.joint[i + 1]] - here;
    return dot(in, out) / (norm(in) * norm(out));
}

/// Bend of the chain at joint `i`: about which unit axis, and its cosine.
struct Bend {
    Vec3 axis;
    double cosine;
};

Bend bend_at(const Survey& s, const Chain& chain, int i) {
    const Vec3& here = s.position[chain.joint[i]];
    const Vec3 in = here - s.position[chain.joint[i - 1]], out = s.position[chain.joint[i + 1]] - here;
    const Vec3 axis = cross(in, out);
    const double length = norm(axis);
    return {length > 0 ? axis / length : Vec3{}, dot(in, out) / (norm(in) * norm(out))};
}

/// Index of the ankle or hock: the first joint near the ground, or before it the second of two strong bends
/// to opposite sides.
int end_of_leg(const Survey& s, const Chain& chain) {
    constexpr double low = 0.2, strong = 0.9; // part of the hip's height; cosine of 25 degrees
    constexpr double ahead = 0.7;             // of the step down: one further forward is a foot
    const double hip_height = s.position[chain.joint[0]].y - s.floor;
    int end = 2;
    while (end + 1 < chain.count && s.position[chain.joint[end]].y - s.floor > low * hip_height) {
        const Vec3 step = s.position[chain.joint[end + 1]] - s.position[chain.joint[end]];
        if (step.z > ahead * std::fabs(step.y)) break; // short legs on big feet
        ++end;
    }
    for (int i = 1; i + 1 < end; ++i) {
        const Bend knee = bend_at(s, chain, i), hock = bend_at(s, chain, i + 1);
        if (knee.cosine < strong && hock.cosine < strong && dot(knee.axis, hock.axis) < 0 && knee.axis.x > 0)
            return i + 1;
    }
    return end;
}

/// Index of the hand: the first joint with fingers, else the end of the two longest neighbouring spans. Fingers
/// that hang from the elbow, far below it, start with the bones of the hand.
int end_of_arm(const Survey& s, const Chain& chain) {
    constexpr int few_fingers = 3;
    constexpr double far = 0.5, stub = 0.25; // of the span that leads to the joint with fingers
    for (int i = 2; i < chain.count; ++i) {
        if (s.child_count(chain.joint[i]) < few_fingers) continue;
        const double span = distance(s, chain.joint[i - 1], chain.joint[i]);
        const bool elbow = i + 1 < chain.count &&
                           distance(s, chain.joint[i], chain.joint[i + 1]) > far * span &&
                           distance(s, chain.joint[i - 2], chain.joint[i - 1]) < stub * span;
        return elbow ? i + 1 : i;
    }
    int best = 2;
    double best_span = 0;
    for (int i = 2; i < chain.count; ++i) {
        const double span = std::min(distance(s, chain.joint[i - 2], chain.joint[i - 1]),
                                     distance(s, chain.joint[i - 1], chain.joint[i]));
        // Where the middle one of three spans is the shortest, the first is a girdle's.
        if (span >= best_span) best_span = span, best = i;
    }
    return best;
}

} // namespace

int find_standing_pairs(const Draft& draft, const Survey& s, Pair* pairs, int room) {
    // Of two pairs at one joint the longer one comes first.
    const auto place = [&s](const Pair& p) {
        return s.position[s.parent[p.left]].z - 0.01 * s.reach[p.left];
    };
    int count = 0;
    for (int32_t a = 1; a < s.count; ++a) {
        for (int32_t b = a + 1; b < s.count && count < room; ++b) {
            if (!could_be_limbs(draft, s, a, b) || !reaches_floor(s, a) || !reaches_floor(s, b)) continue;
            const Pair pair = left_and_right(s, a, b);
            Pair* at = std::upper_bound(pairs, pairs + count, pair,
                                        [&](const Pair& x, const Pair& y) { return place(x) < place(y); });
            std::copy_backward(at, pairs + count, pairs + count + 1);
            *at = pair;
            ++count;
        }
    }
    return count;
}

int find_arm_pairs(const Draft& draft, const Survey& s, int32_t hips, const Pair& legs, Pair* pairs,
                   int room) {
    const auto is_open = [&](int32_t j) {
        return !s.is_within(hips, j) && !(legs.left >= 0 && s.is_within(j, legs.left)) &&
               !(legs.right >= 0 && s.is_within(j, legs.right));
    };
    int count = 0;
    for (int32_t a = 1; a < s.count; ++a) {
        for (int32_t b = a + 1; b < s.count && count < room; ++b) {
            if (!is_open(a) || !is_open(b) || !could_be_limbs(draft, s, a, b)) continue;
            const bool nested = std::any_of(pairs, pairs + count, [&](const Pair& p) {
                return s.is_within(a, p.left) || s.is_within(a, p.right) || a == p.left || b == p.right;
            });
            if (nested) continue;
            pairs[count++] = left_and_right(s, a, b);
        }
    }
    // What hangs where the legs do is cloth, if anything hangs higher.
    const auto is_beside_legs = [&](const Pair& p) { return s.parent[p.left] == hips; };
    Pair* end = pairs + count;
    if (legs.left >= 0 && !std::all_of(pairs, end, is_beside_legs))
        end = std::remove_if(pairs, end, is_beside_legs);
    double longest = 0;
    for (const Pair* p = pairs; p != end; ++p)
        longest = std::max(longest, s.reach[p->left]);
    end = std::remove_if(pairs, end,
                         [&](const Pair& p) { return s.reach[p.left] < least_further_arm * longest; });
    return static_cast<int>(end - pairs);
}

int32_t find_middle_joint(const Survey& s, int32_t upper, int32_t end) {
    int32_t best = -1;
    double best_off = 0;
    for (int32_t j = s.parent[end]; j > upper; j = s.parent[j]) {
        if (s.coincide(j, upper) || s.coincide(j, end)) continue;
        const double off = std::fabs(distance(s, upper, j) - distance(s, j, end));
        if (best < 0 || off < best_off) best = j, best_off = off;
    }
    return best;
}

Spans find_leg_spans(const Survey& s, int32_t start) {
    Chain chain = chain_from(s, start);
    // A joint of the pelvis may come first: on the middle line, or close to the thigh and not in line with it, as
    // the first piece of a split thigh is.
    constexpr double in_line = 0.9; // cosine of 25 degrees
    while (chain.count > 3) {
        const double aside = std::fabs(s.position[chain.joint[0]].x - s.position[s.parent[start]].x);
        if (aside > 0.02 * s.reach[start] &&
            (distance(s, chain.joint[0], chain.joint[1]) > 0.1 * s.reach[start] ||
             straightness(s, chain, 1) > in_line))
            break;
        chain.drop(0);
    }
    Spans spans;
    if (chain.count < 3) return spans;
    const int end = end_of_leg(s, chain);
    spans.upper = chain.joint[0];
    spans.end = chain.joint[end];
    spans.lower = find_middle_joint(s, spans.upper, spans.end);
    if (end + 1 < chain.count) spans.toe = chain.joint[end + 1];
    return spans;
}

Spans find_arm_spans(const Survey& s, int32_t start) {
    Chain chain = chain_from(s, start);
    Spans spans;
    if (chain.count < 3) return spans;
    chain.count = end_of_arm(s, chain) + 1;
    while (chain.count > 4) { // of split bones the straightest joints are left out
        int straightest = 1;
        for (int i = 2; i + 1 < chain.count; ++i)
            if (straightness(s, chain, i) > straightness(s, chain, straightest)) straightest = i;
        chain.drop(straightest);
    }
    spans.end = chain.joint[chain.count - 1];
    spans.lower = chain.joint[chain.count - 2];
    spans.upper = chain.joint[chain.count - 3];
    if (chain.count == 4) spans.girdle = chain.joint[0];
    return spans;
}

} // namespace aplomb

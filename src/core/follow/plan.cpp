// SPDX-License-Identifier: MIT
#include "follow/plan.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <initializer_list>
#include <utility>

#include "base/block.h"
#include "base/error.h"
#include "base/hash.h"
#include "base/scratch.h"
#include "follow/chains.h"
#include "follow/modes.h"
#include "follow/state.h"

namespace aplomb {
namespace {

/// Adds a joint to the bearers, after all joints above it; returns its place in their list, or -1 where there is no room.
int32_t add_bearer(Follow& f, int32_t joint) {
    for (int32_t i = 0; i < f.bearer_count; ++i) {
        if (f.bearers[i] == joint) return i;
    }
    const int32_t above = f.figure->joints[joint].parent;
    const int32_t parent = above < 0 ? -1 : add_bearer(f, above);
    if ((above >= 0 && parent < 0) || f.bearer_count == max_bearers) return -1;
    f.bearers[f.bearer_count] = joint;
    f.bearer_parent[f.bearer_count] = parent;
    return f.bearer_count++;
}

using Take = Follow* (*)(Layout&);

Follow* lay_out(Layout& layout, const Figure& figure, const FollowAsk& ask, Take take) {
    Follow* follow = take(layout);
    FollowChain* chains = layout.take<FollowChain>(static_cast<size_t>(ask.chain_count));
    if (follow) follow->chains = chains;
    for (int32_t i = 0; i < ask.chain_count; ++i) {
        FollowChain chain;
        chain.set = ask.chains[i];
        chain.joint_count = length_of(figure, chain.set);
        for (int32_t j = chain.set.last;; j = figure.joints[j].parent) {
            chain.axis_count += swing_axis_count(figure, j);
            if (j == chain.set.first) break;
        }
        chain.pair_count = (chain.axis_count + 1) / 2;
        const size_t axes = static_cast<size_t>(chain.axis_count),
                     pairs = static_cast<size_t>(chain.pair_count);
        chain.joints = layout.take<FollowJoint>(static_cast<size_t>(chain.joint_count));
        chain.joint_pairs = layout.take<JointPair>(static_cast<size_t>(chain.joint_pair_count()));
        chain.shape = layout.take<double>(4 * pairs * pairs);
        chain.rate = layout.take<double>(axes);
        chain.damping = layout.take<double>(axes);
        chain.pairs = layout.take<ModePair>(pairs);
        chain.usual = layout.take<PropagatorPair>(pairs);
        if (follow) chains[i] = chain;
    }
    return follow;
}

/// above * q * back, as a matrix: its columns are what becomes of q's four units.
void fill_turn(const Quat (&above)[2], const Quat (&back)[2], Pair (&matrix)[4][4]) {
    const Quat units[4] = {{1, 0, 0, 0}, {0, 1, 0, 0}, {0, 0, 1, 0}, {0, 0, 0, 1}};
    for (int i = 0; i < 4; ++i) {
        const QuatPair turn = side_by_side(above[0] * units[i] * back[0], above[1] * units[i] * back[1]);
        matrix[0][i] = turn.x, matrix[1][i] = turn.y, matrix[2][i] = turn.z, matrix[3][i] = turn.w;
    }
}

void fill_pair(const Figure& figure, const FollowChain& chain, int32_t index, JointPair& pair) {
    constexpr double no_limit = 1e3; // radians; infinity times zero would be no number
    const int32_t k[2] = {2 * index, std::min(2 * index + 1, chain.joint_count - 1)};
    const FollowJoint &a = chain.joints[k[0]], &b = chain.joints[k[1]];
    const Joint &ja = figure.joints[a.joint], &jb = figure.joints[b.joint];
    pair.count = k[1] - k[0] + 1;
    pair.limited = a.limited || b.limited;
    for (int i = 0; i < 2; ++i) {
        const FollowJoint& joint = chain.joints[k[i]];
        pair.joint[i] = joint.joint, pair.first_axis[i] = joint.first_axis;
        pair.shape[i] = chain.shape + joint.first_axis * chain.shape_width();
        pair.last_shape[i] = pair.shape[i] + (joint.axis_count - 1) * chain.shape_width();
        pair.axis[i] = side_by_side(a.axis[i], b.axis[i]);
        pair.push[i] = side_by_side(a.push[i], b.push[i]);
    }
    pair.swing_point = side_by_side(a.swing_point, b.swing_point);
    pair.rest_point = side_by_side(a.rest_point, b.rest_point);
    pair.rest_rotation = side_by_side(ja.rest_rotation, jb.rest_rotation);
    fill_turn({figure.joints[ja.parent].neutral, figure.joints[jb.parent].neutral},
              {conjugate(ja.neutral), conjugate(jb.neutral)}, pair.turn_of_rotation);
    for (int i = 0; i < 3; ++i) {
        pair.lowest[i] =
            Pair{std::max(ja.limits.lowest[i], -no_limit), std::max(jb.limits.lowest[i], -no_limit)};
        pair.highest[i] =
            Pair{std::min(ja.limits.highest[i], no_limit), std::min(jb.limits.highest[i], no_limit)};
    }
}

/// A hash of what makes the plan, as a whole number that a double holds exactly.
double mark_of(const Follow& follow) {
    Hash<uint64_t> mark;
    mark.take(follow.state_size);
    for (int32_t i = 0; i < follow.chain_count; ++i) {
        const FollowChain& c = follow.chains[i];
        mark.take(c.set.first), mark.take(c.set.last), mark.take(c.set.on), mark.take(c.set.rigid);
        mark.take(c.set.own_motion), mark.take(c.set.limit);
        for (int32_t m = 0; m < c.axis_count; ++m)
            mark.take(c.rate[m]), mark.take(c.damping[m]);
    }
    return static_cast<double>((mark.sum() >> 12) | 1);
}

aplomb_status fill(Follow& follow, const FollowAsk& ask, const Placement* rest, ModeScratch& scratch,
                   aplomb_error* error) {
    const Figure& figure = *follow.figure;
    follow.frame_time = ask.frame_time;
    follow.chain_count = ask.chain_count;
    follow.state_size = state_head;
    for (int32_t i = 0; i < ask.chain_count; ++i) {
        FollowChain& chain = follow.chains[i];
        int32_t j = chain.set.last;
        for (int32_t k = chain.joint_count; k-- > 0; j = figure.joints[j].parent)
            chain.joints[k].joint = j;
        chain.bearer = add_bearer(follow, figure.joints[chain.set.first].parent);
        if (chain.bearer < 0)
            return fail(error, APLOMB_BAD_ARGUMENT, "chains", i,
                        "chains[%d]: what carries the chains has more than %d joints.", i, max_bearers);
        if (const auto s = make_modes(figure, rest, ask.gravity, scratch, chain, i, error)) return s;
        for (int32_t p = 0; p < chain.joint_pair_count(); ++p)
            fill_pair(figure, chain, p, chain.joint_pairs[p]);
        for (int32_t p = 0; p < chain.pair_count; ++p)
            chain.usual[p] = make_propagator(chain.pairs[p].oscillators, ask.frame_time);
        chain.state_offset = follow.state_size;
        follow.state_size += chain_state_size(chain);
    }
    follow.mark = mark_of(follow);
    return APLOMB_OK;
}

} // namespace

int32_t length_of(const Figure& figure, const aplomb_chain& c) {
    int32_t count = 1;
    for (int32_t j = c.last; j != c.first; j = figure.joints[j].parent)
        ++count;
    return count;
}

aplomb_status make_follow(const Figure& figure, const FollowAsk& ask, const aplomb_allocator* allocator,
                          Take take, Follow** follow, aplomb_error* error) {
    const aplomb_allocator source = allocator_or_default(allocator);
    ScratchObject<ModeScratch> scratch(source);
    if (!scratch) return scratch.refused(error);
    const size_t joints = static_cast<size_t>(figure.joint_count);
    struct RestPose {
        Vec3* translations;
        Quat* rotations;
        Placement* world;
    };
    const auto lay_out_rest = [joints](Layout& layout) {
        RestPose r;
        r.translations = layout.take<Vec3>(joints);
        r.rotations = layout.take<Quat>(joints);
        r.world = layout.take<Placement>(joints);
        return r;
    };
    ScratchBlock block(source, lay_out_rest);
    if (!block) return block.refused(error);
    Layout rest_layout = block.layout();
    const RestPose rest = lay_out_rest(rest_layout);
    for (int32_t j = 0; j < figure.joint_count; ++j) {
        rest.translations[j] = figure.joints[j].rest_translation;
        rest.rotations[j] = figure.joints[j].rest_rotation;
    }
    place_joints(figure, {rest.translations, rest.rotations}, rest.world);

    Layout measure;
    lay_out(measure, figure, ask, take);
    void* memory = source.allocate(measure.used(), alignof(std::max_align_t), source.user);
    if (!memory)
        return fail(error, APLOMB_OUT_OF_MEMORY, "allocator", -1,
                    "The allocator returned NULL for %zu bytes.", measure.used());
    Layout layout(memory);
    Follow* made = lay_out(layout, figure, ask, take);
    made->allocator = source;
    made->block_size = measure.used();
    made->figure = &figure;
    if (const auto s = fill(*made, ask, rest.world, *scratch, error)) {
        destroy_follow(made);
        return s;
    }
    *follow = made;
    return APLOMB_OK;
}

void destroy_follow(Follow* follow) {
    if (!follow) return;
    const aplomb_allocator source = follow->allocator;
    source.deallocate(follow, follow->block_size, source.user);
}

} // namespace aplomb

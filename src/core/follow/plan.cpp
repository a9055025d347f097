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

aplomb_status check_number(int32_t chain, const char* name, double value, double lowest, double highest,
                           aplomb_error* error) {
    if (value >= lowest && value <= highest) return APLOMB_OK;
    return fail(error, APLOMB_BAD_ARGUMENT, name, chain, "chains[%d].%s is %g; %g to %g are allowed.", chain,
                name, value, lowest, highest);
}

aplomb_status check_settings(const Figure& figure, const aplomb_chain& c, int32_t i, aplomb_error* error) {
    for (const auto& [name, joint] : {std::pair{"first", c.first}, std::pair{"last", c.last}}) {
        if (joint < 1 || joint >= figure.joint_count)
            return fail(error, APLOMB_BAD_ARGUMENT, name, i,
                        "chains[%d].%s is %d; a chain has joints 1 to %d of this figure.", i, name, joint,
                        figure.joint_count - 1);
    }
    if (!hangs_below(figure, c.first, c.last))
        return fail(error, APLOMB_BAD_ARGUMENT, "last", i,
                    "chains[%d].last, joint %d (%.64s), does not hang on its first, joint %d (%.64s).", i,
                    c.last, figure.joints[c.last].name, c.first, figure.joints[c.first].name);
    if (const auto s = check_number(i, "stiffness", c.stiffness, 0.01, 10000, error)) return s;
    if (const auto s = check_number(i, "damping", c.damping, 0.01, 1, error)) return s;
    if (const auto s = check_number(i, "limit", c.limit, 0, 3, error)) return s;
    return check_number(i, "own_motion", c.own_motion, 0, 1, error);
}

int32_t length_of(const Figure& figure, const aplomb_chain& c) {
    int32_t count = 1;
    for (int32_t j = c.last; j != c.first; j = figure.joints[j].parent)
        ++count;
    return count;
}

/// The joint that a leg stands on and all above it up to the hips hold the body; they do not swing.
bool bears_body(const Figure& figure, int32_t joint) {
    const aplomb_role role = figure.joints[joint].role;
    if (role == APLOMB_ROLE_ROOT || role == APLOMB_ROLE_HIPS || role == APLOMB_ROLE_SPINE) return true;
    for (int32_t i = 0; i < figure.limb_count; ++i) {
        const Limb& limb = figure.limbs[i];
        if (limb.kind == APLOMB_ARM) continue;
        if (joint == limb.upper || joint == limb.lower || joint == limb.end || joint == limb.toe) return true;
    }
    return false;
}

aplomb_status check_joints(const Figure& figure, const aplomb_chain* chains, int32_t i, aplomb_error* error) {
    const aplomb_chain& c = chains[i];
    const int32_t count = length_of(figure, c);
    if (count > APLOMB_MAX_CHAIN_JOINTS)
        return fail(error, APLOMB_BAD_ARGUMENT, "chains", i,
                    "chains[%d] has %d joints; at most %d are allowed.", i, count, APLOMB_MAX_CHAIN_JOINTS);
    for (int32_t j = c.last;; j = figure.joints[j].parent) {
        if (bears_body(figure, j))
            return fail(error, APLOMB_BAD_ARGUMENT, "chains", i,
                        "chains[%d] holds joint %d (%.64s), a part of a leg or of the trunk; what bears the "
                        "body does not swing.",
                        i, j, figure.joints[j].name);
        for (int32_t k = 0; k < i; ++k) {
            if (hangs_below(figure, chains[k].first, j) && hangs_below(figure, j, chains[k].last))
                return fail(error, APLOMB_BAD_ARGUMENT, "chains", i,
                            "chains[%d] and chains[%d] both hold joint %d (%.64s).", k, i, j,
                            figure.joints[j].name);
        }
        if (j == c.first) return APLOMB_OK;
    }
}

aplomb_status check_desc(const Figure& figure, const aplomb_follow_desc& desc, aplomb_error* error) {
    if (!desc.chains) return fail(error, APLOMB_BAD_ARGUMENT, "chains", -1, "chains is NULL.");
    if (desc.chain_count < 1 || desc.chain_count > APLOMB_MAX_CHAINS)
        return fail(error, APLOMB_BAD_ARGUMENT, "chain_count", -1, "chain_count is %d; 1 to %d are allowed.",
                    desc.chain_count, APLOMB_MAX_CHAINS);
    if (!(desc.gravity >= 0.01 && desc.gravity <= 1000))
        return fail(error, APLOMB_BAD_ARGUMENT, "gravity", -1,
                    "gravity is %g; 0.01 to 1000 m/s^2 are allowed.", desc.gravity);
    if (!(desc.frame_time == 0 || (desc.frame_time >= 1e-4 && desc.frame_time <= 10)))
        return fail(error, APLOMB_BAD_ARGUMENT, "frame_time", -1,
                    "frame_time is %g; 0 or 0.0001 to 10 seconds are allowed.", desc.frame_time);
    for (int32_t i = 0; i < desc.chain_count; ++i) {
        if (const auto s = check_settings(figure, desc.chains[i], i, error)) return s;
        if (const auto s = check_joints(figure, desc.chains, i, error)) return s;
    }
    return APLOMB_OK;
}

/// Its place among the bearers, with all above it before it; -1: no room.
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

Follow* lay_out(Layout& layout, const Figure& figure, const aplomb_follow_desc& desc, Take take) {
    Follow* follow = take(layout);
    FollowChain* chains = layout.take<FollowChain>(static_cast<size_t>(desc.chain_count));
    if (follow) follow->chains = chains;
    for (int32_t i = 0; i < desc.chain_count; ++i) {
        FollowChain chain;
        chain.set = desc.chains[i];
        chain.joint_count = length_of(figure, chain.set);
        for (int32_t j = chain.set.last;; j = figure.joints[j].parent) {
            chain.axis_count += swing_axis_count(figure, j);
            if (j == chain.set.first) break;
        }
        const size_t axes = static_cast<size_t>(chain.axis_count);
        chain.joints = layout.take<FollowJoint>(static_cast<size_t>(chain.joint_count));
        chain.shape = layout.take<double>(axes * axes);
        chain.rate = layout.take<double>(axes);
        chain.damping = layout.take<double>(axes);
        chain.usual = layout.take<Propagator>(axes);
        if (follow) chains[i] = chain;
    }
    return follow;
}

/// Of what makes the plan, as a whole number that a double holds exactly.
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

aplomb_status fill(Follow& follow, const aplomb_follow_desc& desc, const Placement* rest,
                   ModeScratch& scratch, aplomb_error* error) {
    const Figure& figure = *follow.figure;
    follow.frame_time = desc.frame_time;
    follow.chain_count = desc.chain_count;
    follow.state_size = state_head;
    for (int32_t i = 0; i < desc.chain_count; ++i) {
        FollowChain& chain = follow.chains[i];
        int32_t j = chain.set.last;
        for (int32_t k = chain.joint_count; k-- > 0; j = figure.joints[j].parent)
            chain.joints[k].joint = j;
        chain.bearer = add_bearer(follow, figure.joints[chain.set.first].parent);
        if (chain.bearer < 0)
            return fail(error, APLOMB_BAD_ARGUMENT, "chains", i,
                        "chains[%d]: what carries the chains has more than %d joints.", i, max_bearers);
        if (const auto s = make_modes(figure, rest, desc.gravity, scratch, chain, i, error)) return s;
        for (int32_t m = 0; m < chain.axis_count; ++m)
            chain.usual[m] = make_propagator(chain.rate[m], chain.damping[m], desc.frame_time);
        chain.state_offset = follow.state_size;
        follow.state_size += chain_state_size(chain);
    }
    follow.mark = mark_of(follow);
    return APLOMB_OK;
}

} // namespace

aplomb_status make_follow(const Figure& figure, const aplomb_follow_desc& desc,
                          const aplomb_allocator* allocator, Take take, Follow** follow,
                          aplomb_error* error) {
    if (const auto s = check_desc(figure, desc, error)) return s;
    const aplomb_allocator source = allocator_or_default(allocator);
    ScratchObject<ModeScratch> scratch(source);
    if (!scratch) return scratch.refused(error);
    const size_t joints = static_cast<size_t>(figure.joint_count);
    struct Rest {
        Vec3* translations;
        Quat* rotations;
        Placement* world;
    };
    const auto lay_out_rest = [joints](Layout& layout) {
        Rest r;
        r.translations = layout.take<Vec3>(joints);
        r.rotations = layout.take<Quat>(joints);
        r.world = layout.take<Placement>(joints);
        return r;
    };
    ScratchBlock block(source, lay_out_rest);
    if (!block) return block.refused(error);
    Layout rest_layout = block.layout();
    const Rest rest = lay_out_rest(rest_layout);
    for (int32_t j = 0; j < figure.joint_count; ++j) {
        rest.translations[j] = figure.joints[j].rest_translation;
        rest.rotations[j] = figure.joints[j].rest_rotation;
    }
    place_joints(figure, {rest.translations, rest.rotations}, rest.world);

    Layout measure;
    lay_out(measure, figure, desc, take);
    void* memory = source.allocate(measure.used(), alignof(std::max_align_t), source.user);
    if (!memory)
        return fail(error, APLOMB_OUT_OF_MEMORY, "allocator", -1,
                    "The allocator returned NULL for %zu bytes.", measure.used());
    Layout layout(memory);
    Follow* made = lay_out(layout, figure, desc, take);
    made->allocator = source;
    made->block_size = measure.used();
    made->figure = &figure;
    if (const auto s = fill(*made, desc, rest.world, *scratch, error)) {
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

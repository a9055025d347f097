// SPDX-License-Identifier: MIT
#include "capi/follow_desc.h"

#include <algorithm>
#include <initializer_list>
#include <utility>

#include "base/error.h"
#include "follow/chains.h"

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

/// Root, hips, spine and the joints of legs bear the body, so they do not swing.
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

} // namespace

aplomb_status check_follow(const Figure& figure, const aplomb_follow_desc& desc, FollowAsk& ask,
                           aplomb_error* error) {
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
    ask.chain_count = desc.chain_count;
    std::copy(desc.chains, desc.chains + desc.chain_count, ask.chains);
    ask.gravity = desc.gravity, ask.frame_time = desc.frame_time;
    return APLOMB_OK;
}

} // namespace aplomb

// SPDX-License-Identifier: MIT
// The roles while they are being given out: each step of roles.cpp reads what the ones before found.
#pragma once

#include <algorithm>

#include "figure/branches.h"
#include "figure/hints.h"
#include "figure/steps.h"
#include "figure/survey.h"

namespace aplomb {

/// One leg or arm.
struct Branch {
    int32_t start = -1;
    bool arm = false;
};

constexpr int max_branches = max_limbs;

/// The roles while they are being given out.
struct Cast {
    Draft& draft;
    const Survey& survey;
    Hints& hints;
    Joint* joints;
    Branch branches[max_branches] = {};
    int branch_count = 0;
    int32_t hips = -1, head = -1, top = -1; // top: the head, or the last joint of neck or spine
    int32_t legs = -1;                      // what the legs hang from
    bool head_by_shape = false;             // no name told which joint is the head
    Pair standing[max_branches] = {};       // mirrored branches that reach the ground, from the rear on
    int standing_count = 0;

    void add(int32_t start, bool arm) {
        if (start < 0) return;
        if (branch_count < max_branches)
            branches[branch_count++] = {start, arm};
        else
            draft.remark("Limb '%s' is one more than the %d that a figure can have.", joints[start].name,
                         max_branches);
    }
    bool has(bool arm) const {
        return std::any_of(branches, branches + branch_count,
                           [arm](const Branch& b) { return b.arm == arm; });
    }
    const Branch* branch_of(int32_t joint) const {
        for (int i = 0; i < branch_count; ++i)
            if (survey.is_within(joint, branches[i].start)) return &branches[i];
        return nullptr;
    }
    /// Whether the joint lies in a branch, or a branch lies below it.
    bool is_taken(int32_t joint) const {
        return branch_of(joint) || std::any_of(branches, branches + branch_count, [&](const Branch& b) {
                   return survey.is_within(b.start, joint);
               });
    }
    void drop_branches(bool arm) {
        Branch* end = std::remove_if(branches, branches + branch_count,
                                     [arm](const Branch& b) { return b.arm == arm; });
        branch_count = static_cast<int>(end - branches);
    }
};

bool is_given(const Draft& draft, int32_t joint, aplomb_role role);
/// The first joint with a hint of this role that is in no limb; one that is given before one that is named.
int32_t find_hint(const Cast& cast, aplomb_role role);

// cast_branches.cpp
void find_legs(Cast& cast);
/// What the legs hang from, or -1.
int32_t legs_ancestor(const Cast& cast);
/// `below`: the legs' common joint, or where none is known joint 0.
void find_arms(Cast& cast, int32_t below);

// cast_trunk.cpp
/// The head, or the last joint of neck or spine.
void find_top(Cast& cast, int32_t below);
/// What carries the neck or the spine is no arm.
void drop_false_arms(Cast& cast);
void find_hips(Cast& cast);
/// Spine from the hips to the chest, then neck, then head. Other joints on that path are helpers: by name, or
/// because they are one with the pelvis, being called so or lying above the legs.
void cast_trunk(Cast& cast);

// cast_limbs.cpp
/// Roles and sides of one limb's joints.
void cast_limb(Cast& cast, const Branch& branch);

// cast_remarks.cpp
void remark_missing(Cast& cast);
void remark_twice(Cast& cast);
void remark_on_shape(Cast& cast);

} // namespace aplomb

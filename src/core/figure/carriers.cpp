// SPDX-License-Identifier: MIT
// Rigs whose legs are led by their feet are often exported with feet, hooves or hands that hang from the root.
// Such an end belongs to the segment whose own end it meets in the rest pose; where the file does not tell that
// segment's end, to the shank or forearm of its side that ends over it. Names alone never decide: the end must
// be far up in the file's tree, and carry skin where there is one; skin on the ground straight below a shank needs no name.
#include <algorithm>

#include "base/scratch.h"
#include "figure/names.h"
#include "figure/survey.h"

namespace aplomb {
namespace {

constexpr double meeting = 0.05;   // of the segment's length: how near an end has to be to meet it
constexpr int least_levels = 3;    // from the segment up to what the end hangs from
constexpr double shortest = 0.4;   // of the segment above: the least length without a known end
constexpr double longest = 1.8;    // and the greatest
constexpr double most_aside = .35; // of that, off the straight line down
// For an end without a name that stands below:
constexpr double least_step = .25, most_step = 3; // of the segment above
constexpr double least_down = .7;                 // of that step, downwards
constexpr double near_floor = .12;                // of the height

struct Finder {
    Draft& draft;
    const Survey& survey;
    Joint* joints;

    bool is_leaf(int32_t joint) const { return survey.child_count(joint) == 0; }

    /// Whether the file hangs `end` from a joint far above `segment`.
    bool hangs_high(int32_t end, int32_t segment) const {
        const int32_t from = survey.parent[end];
        int levels = 0;
        for (int32_t j = survey.parent[segment]; j >= 0; j = survey.parent[j]) {
            ++levels;
            if (j == from) return levels >= least_levels;
        }
        return false;
    }

    /// Whether the joint may be part of the body: it has skin, or where there is no skin, a fitting name or joints below it.
    bool may_be_end(int32_t joint) const {
        if (draft.desc.skin) return survey.has_body[joint];
        const NameClass name = read_name(joints[joint].name).what;
        return name != NameClass::prop && (is_end_name(name) || survey.reach[joint] > 0);
    }

    static bool is_end_name(NameClass name) {
        return name == NameClass::foot || name == NameClass::hand || name == NameClass::toe;
    }

    int32_t end_that_meets(int32_t segment) const {
        const double length = norm(joints[segment].tip);
        const Vec3 tip = to_world(draft.rest[segment], joints[segment].tip);
        int32_t best = -1;
        double best_off = meeting * length;
        for (int32_t j = 0; j < survey.count; ++j) {
            const double off = norm(survey.position[j] - tip);
            if (off >= best_off || !hangs_high(j, segment) || is_carried(j) || !may_be_end(j)) continue;
            best = j, best_off = off;
        }
        return best;
    }

    /// What stands below a shank and moves skin there is its foot, whatever it is called.
    bool stands_below(int32_t joint, const Vec3& step) const {
        return draft.desc.skin && step.y < -least_down * norm(step) &&
               survey.position[joint].y < survey.floor + near_floor * survey.height;
    }

    /// For a segment whose end the file does not tell: an end by name that lies straight on from it, or one that stands below it.
    int32_t end_ahead(int32_t segment) const {
        const int32_t above = survey.parent[segment];
        if (above < 0) return -1;
        const Vec3 before = survey.position[segment] - survey.position[above];
        const double length = norm(before);
        int32_t best = -1;
        double best_aside = most_aside;
        for (int32_t j = 0; j < survey.count; ++j) {
            if (!hangs_high(j, segment) || is_carried(j) || !may_be_end(j)) continue;
            const Vec3 step = survey.position[j] - survey.position[segment];
            const bool named = is_end_name(read_name(joints[j].name).what);
            if (!named && !stands_below(j, step)) continue;
            if (norm(step) < (named ? shortest : least_step) * length) continue;
            if (norm(step) > (named ? longest : most_step) * length || step.y > 0) continue;
            const double aside = std::fabs(step.x) / norm(step);
            if (aside < best_aside) best = j, best_aside = aside;
        }
        return best;
    }

    bool is_carried(int32_t joint) const { return joints[joint].carrier != joints[joint].parent; }

    bool leads_to(int32_t joint, int32_t carrier) const {
        for (int32_t j = carrier; j >= 0; j = joints[j].carrier)
            if (j == joint) return true;
        return false;
    }

    void join() {
        for (int32_t k = 1; k < survey.count; ++k) {
            if (!is_leaf(k) || draft.figure.apart_count == max_apart) continue;
            const bool told = draft.has_tip[k] && norm(joints[k].tip) > 0;
            const int32_t end = told ? end_that_meets(k) : end_ahead(k);
            if (end < 0 || leads_to(end, k)) continue;
            joints[end].carrier = k;
            ++draft.figure.apart_count;
            draft.remark("'%s' hangs from '%s' in the file; it is taken for the end of '%s', which %s.",
                         joints[end].name, joints[joints[end].parent].name, joints[k].name,
                         told ? "it meets" : "leads to it");
        }
    }
};

/// Orders the joints so that each comes after its carrier, and otherwise by index.
void put_in_order(Figure& figure, bool* done) {
    std::fill(done, done + figure.joint_count, false);
    int32_t used = 0;
    while (used < figure.joint_count) {
        for (int32_t j = 0; j < figure.joint_count; ++j) {
            const int32_t carrier = figure.joints[j].carrier;
            if (done[j] || (carrier >= 0 && !done[carrier])) continue;
            figure.order[used++] = j;
            done[j] = true;
        }
    }
}

} // namespace

aplomb_status find_carriers(Draft& draft, aplomb_error* error) {
    ScratchObject<Survey> survey(draft.figure.allocator);
    if (!survey) return ScratchObject<Survey>::refused(error);
    bool done[max_joints];
    put_in_order(draft.figure, done);
    take_survey(draft, *survey);
    Finder{draft, *survey, draft.figure.joints}.join();
    put_in_order(draft.figure, done);
    return APLOMB_OK;
}

} // namespace aplomb

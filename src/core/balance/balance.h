// SPDX-License-Identifier: MIT
// The correction of one pose: set up the reduced model, go down from one or more starts, write the pose, and
// judge it.
#pragma once

#include "model/write.h"
#include "pose/problem.h"
#include "solve/descent.h"

namespace aplomb {

/// Memory for corrections of one figure.
struct Workbench {
    int32_t* group = nullptr; // per joint
    Wrench* wrench = nullptr; // per link
    Reduction reduction;
    Descent descent;
    Row* rows = nullptr;         // most_rows
    double again[max_variables]; // a start copied from an answer
    Evaluation evaluation[3];    // the best answer, another one, and the descent's trial
    PoseRoom written{};          // the corrected pose, where the descent was at work
};
void lay_out(Layout& layout, const Figure& figure, Workbench& bench);

/// A correction in metres and ground axes.
struct Correction {
    aplomb_status status = APLOMB_OK;
    bool changed = false, capped = false;
    int iterations = 0, starts = 0, evaluations = 0;
    bool cut_short = false;                    // by the most evaluations
    double objective = 0, other_objective = 0; // NaN without another start
    double slack = 0, violation = 0, stationarity = 0, complementarity = 0;
    Support support;
    Aim aim;
    double trust = 1, lag = 0; // of a frame: in its answers, and metres from the answer
    Vec2 before, after;        // balance points
    double margin_after = 0;
    Vec2 moved_by[5]; // hips shift, hips turn, spine, arms and head, limbs; they sum to after - before
    Vec3 hips_shift;  // fore, left, up
    Vec3 hips_turn, chest, neck; // anatomical axes
    int knee_count = 0;
    struct Knee {
        int limb;                     // the figure's
        double keyed, bend;           // radians
    } knee[APLOMB_MAX_KNEES];         // that bear
    double drawn_in = 0, lowered = 0; // metres, a load in both hands against the trunk
    double shoulder_drop[2] = {0, 0}; // metres, left and right, on the chest
    Changed joints;
    int hold_back_count = 0;
    struct HoldBack {
        Row row;           // of a limit; with `lean` >= 0 a lean joint's own
        int limb = -1;     // the figure's, for a limb's row
        int lean = -1;     // a block's first joint
        bool hips = false; // the bound on the hips' turn
        bool pull = false; // how far a load in both hands is drawn in
        int axis = 0;
        double multiplier = 0;
    } hold_back[APLOMB_MAX_HOLD_BACKS];
    int gave_way_count = 0;
    struct GaveWay {
        int limb;               // the figure's
        double place, attitude; // metres and radians from the key
    } gave_way[max_limbs];
};

/// From how many starts: as many as the pose needs, or the first alone, where many poses are only compared.
enum class Starts { as_needed, first };
/// Fills a new `correction`; the bench then has the joints written that it names as changed.
void correct(const Figure& figure, const BodyPlan& plan, const Key& key, const aplomb_options& options,
             Workbench& bench, Correction& correction, Starts starts = Starts::as_needed);

/// Names the limits that hold an answer.
void find_hold_backs(const Figure& figure, const BodyPlan& plan, const Key& key,
                     const aplomb_options& options, Workbench& bench, const PoseProblem& problem,
                     const Answer& answer, Correction& correction);
/// Controls, and what each part does to the balance point, of `answer.at` whose balance point is `correction.after`. It
/// holds the balance point's gradient.
void account_for(const Figure& figure, const BodyPlan& plan, const Key& key, const aplomb_options& options,
                 Workbench& bench, const PoseProblem& problem, const Answer& answer, Correction& correction);

} // namespace aplomb

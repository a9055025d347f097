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
    SituationMemory written{};   // the corrected pose, where the descent was at work
};
void lay_out(Layout& layout, const Figure& figure, Workbench& bench);

/// A correction in metres and ground axes.
struct Correction {
    aplomb_status status = APLOMB_OK;
    bool changed = false, capped = false;
    int iterations = 0, starts = 0, evaluations = 0;
    bool cut_short = false; // by the most evaluations
    double objective = 0, other_objective = 0; // NaN without another start
    double slack = 0, violation = 0, stationarity = 0, complementarity = 0;
    Support support;
    Rest rest;
    double trust = 1, lag = 0; // of a frame: in its answers, and metres from the answer
    Vec2 before, after;        // balance points
    double margin_after = 0;
    Vec2 moved_by[5]; // hips shift, hips turn, spine, arms and head, limbs; they sum to after - before
    Vec3 hips_shift;  // fore, left, up
    Vec3 hips_turn, chest, neck; // anatomical axes
    Changed joints;
    int held_count = 0;
    struct HeldBy {
        Row row;           // of a limit; with `lean` >= 0 a lean joint's own
        int limb = -1;     // the figure's, for a limb's row
        int lean = -1;     // a block's first joint
        bool hips = false; // the bound on the hips' turn
        bool pull = false; // how far a load in both hands is drawn in
        int axis = 0;
        double multiplier = 0;
    } held[APLOMB_MAX_HOLD_BACKS];
    int gave_way_count = 0;
    struct GaveWay {
        int limb;               // the figure's
        double place, attitude; // metres and radians from the key
    } gave_way[max_limbs];
};

/// Fills a new `correction`; the bench then has the joints written that it names as changed.
void correct(const Figure& figure, const BodyPlan& plan, const Situation& situation,
             const aplomb_options& options, Workbench& bench, Correction& correction);

/// Names the limits that hold an answer.
void name_holders(const Figure& figure, const BodyPlan& plan, const Situation& situation,
                  const aplomb_options& options, Workbench& bench, const PoseProblem& problem,
                  const Answer& answer, Correction& correction);
/// Controls, and what each part does to the balance point, of `answer.at` whose balance point is `correction.after`. It
/// holds the balance point's gradient.
void account_for(const Figure& figure, const BodyPlan& plan, const Situation& situation,
                 const aplomb_options& options, Workbench& bench, const PoseProblem& problem,
                 const Answer& answer, Correction& correction);

} // namespace aplomb

// SPDX-License-Identifier: MIT
// How far a body sinks under what it carries: knees, hip joints, shoulders, and the mass that the knees tell of.
#pragma once

#include "carry/measures.h"
#include "reading/shares.h"

namespace aplomb {

struct Sunk {
    double knees;  // bend of those that bear, by what each bears, radians; NaN where legs bear less than half
    double pelvis; // lean of the line of the hip joints, the right one lower: positive; NaN without a pair
    double shoulders;     // of the shoulder joints
    double raised = 0;    // metres by which the left shoulder is the higher one
    double mass;          // kg, of all loads together, going by the knees; NaN: they do not tell
    double asked = 0;     // how far the loads as given make straight knees yield, radians
    int bearing = 0;      // knees that bear
    int free_leg = -1;    // of two legs the limb of the one that bears nothing, where the other bears alone
    double free_drop = 0; // radians by which its hip joint is the lower
    double thigh = 0;     // how far its thigh is ahead of plumb
    double left = 0, right = 0; // load on each shoulder alone, of the body's mass
};

Sunk measure_sunk(const Figure& figure, const Key& s, const Aim& aim, const Share* shares);

} // namespace aplomb

// SPDX-License-Identifier: MIT
// The parts of a carriage, a file each. "Common practice" is the trade's, from memory; "by eye" was judged from stills of
// figures of 2 to 8.5 heads; none is a published value.
#pragma once

#include "carry/carriage.h"

namespace aplomb {

struct CarryInput {
    const Figure& figure;
    const BodyPlan& plan;
    const Key& key;
    const Measures& m;
    const aplomb_options& options;
    double heft;
};

void add_give(const CarryInput&, Carriage&);      // knees yield
void add_arch(const CarryInput&, Carriage&);      // how a front load is answered
void add_hips_side(const CarryInput&, Carriage&); // the hips go first to a side
void add_lean(const CarryInput&, Carriage&);      // the whole body leans against a pull
void add_hip_drop(const CarryInput&, Carriage&);  // the pelvis drops on one side
void add_curve(const CarryInput&, Carriage&);     // the spine's ends lean against each other
void add_girdles(const CarryInput&, Carriage&);   // shoulders drop under a load
void add_arms(const CarryInput&, Carriage&);      // the free arm goes out, the loaded one hangs
void add_level(const CarryInput&, Carriage&);     // a load in both hands
void add_away(const CarryInput&, Carriage&);      // never towards the load
void add_ride(const CarryInput&, Carriage&);      // lifted feet
void add_neck(const CarryInput&, Carriage&);      // the head stays level

} // namespace aplomb

// SPDX-License-Identifier: MIT
// One thread's working memory for one figure: what a reading and a correction need between input and output.
#pragma once

#include "balance/balance.h"

struct aplomb_solver {
    aplomb_allocator allocator{};
    size_t block_size = 0;
    const aplomb_figure* figure = nullptr;
    aplomb::BodyPlan plan;
    aplomb::SituationMemory memory{};    // the keyed pose
    aplomb::SituationMemory corrected{}; // the pose that was written
    aplomb::Situation situation;
    aplomb::Workbench bench;
    aplomb::Correction correction;
};

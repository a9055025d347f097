// SPDX-License-Identifier: MIT
// Public handles of what is built once and then read alone: each is what the inside has by its own name.
#pragma once

#include "figure/figure.h"
#include "follow/plan.h"

struct aplomb_figure : aplomb::Figure {};
struct aplomb_follow : aplomb::Follow {};

// SPDX-License-Identifier: MIT
// Public handles of objects that are built once and then only read: each is an internal type under its public name.
#pragma once

#include "figure/figure.h"
#include "follow/plan.h"

struct aplomb_figure : aplomb::Figure {};
struct aplomb_follow : aplomb::Follow {};

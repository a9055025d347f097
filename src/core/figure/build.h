// SPDX-License-Identifier: MIT
// From a description to a figure: check, name roles, find limbs, build the neutral, share out mass, set
// limits and soles. Each step is a file of its own.
#pragma once

#include "figure/figure.h"

namespace aplomb {

class Layout;

/// `take` reserves the memory of the figure, which may be part of a larger object.
aplomb_status build_figure(const aplomb_figure_desc& desc, const aplomb_allocator* allocator,
                           Figure* (*take)(Layout&), Figure** figure, aplomb_error* error);
void destroy_figure(Figure* figure);

} // namespace aplomb

// SPDX-License-Identifier: MIT
// Whose a vertex of the skin is, and where it is in the neutral.
#pragma once

#include <algorithm>

#include "figure/description.h"
#include "figure/frame.h"
#include "figure/steps.h"

namespace aplomb {

/// The joint that moves the vertex most, or -1.
inline int32_t owner_of(const aplomb_skin& skin, int32_t vertex) {
    const size_t first = 4 * static_cast<size_t>(vertex);
    const double* weights = skin.weights + first;
    return skin.joints[first + static_cast<size_t>(std::max_element(weights, weights + 4) - weights)];
}

/// The vertex's place if its owner alone moved it.
inline Vec3 neutral_place(const Draft& draft, int32_t vertex, int32_t owner) {
    const double* p = draft.desc.skin->positions + 3 * static_cast<size_t>(vertex);
    const Vec3 own = to_local(draft.rest[owner], length_in(draft.figure.frame, {p[0], p[1], p[2]}));
    return to_world(neutral_placement(draft.figure.joints[owner]), own);
}

} // namespace aplomb

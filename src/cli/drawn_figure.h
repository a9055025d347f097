// SPDX-License-Identifier: MIT
// An answer of a drawing as a character: what the command says of characters it can then say of drawings.
#pragma once

#include <string>

#include "aplomb/drawing.h"
#include "cli/character.h"

namespace aplomb::cli {

struct DestroyDrawing {
    void operator()(aplomb_drawing* drawing) const { aplomb_drawing_destroy(drawing); }
};
using Drawing = std::unique_ptr<aplomb_drawing, DestroyDrawing>;

aplomb_drawing_answer answer_of(const Drawing& drawing, int32_t index);

/// The figure and its pose as a BVH in metres: zero angles are the anatomical neutral.
std::string bvh_of(const aplomb_drawing_answer& answer);

/// `name` is what it is called.
Character character_of(const aplomb_drawing_answer& answer, const std::string& bvh, int32_t build,
                       const std::string& name);

} // namespace aplomb::cli

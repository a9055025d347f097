// SPDX-License-Identifier: MIT
// The page of a clip: which of its moments are drawn.
#pragma once

#include <string>

#include "cli/clip_text.h"
#include "cli/situation.h"

namespace aplomb::cli {

/// A shot as it was corrected, and what was done in each frame.
struct CorrectedShot {
    const Shot& shot;
    const std::vector<aplomb_clip_balanced>& frames;
    const std::vector<aplomb_arc>& arcs;
};

/// `after` NULL: the shot alone.
void write_clip_page(const Shot& shot, const CorrectedShot* after, const Moment& moment,
                     const Options& options, const std::string& path);

} // namespace aplomb::cli

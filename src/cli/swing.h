// SPDX-License-Identifier: MIT
// Loads that hang from a hand and swing as it goes.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "aplomb/follow.h"
#include "base/rotation.h"
#include "cli/frames.h"
#include "cli/weight.h"

namespace aplomb::cli {

/// One load over all frames; metres, the file's axes.
struct Swing {
    aplomb_load load;
    std::string word; // as it was written
    std::size_t carry = 0;
    std::vector<aplomb_hanging_result> frames;
    std::vector<Vec3> hand;    // metres
    std::optional<Quat> round; // of a loop: by how much the character has turned when it begins again
};

/// An arm that holds what hangs is turned at its shoulder so that its hand stays below it in every frame, and as far out to
/// the side as it is keyed on the whole: its own swing would throw the load about.
void quiet_arms(const Character& character, const Frames& frames, const Cargo& cargo, Poses& poses);
/// The loads that hang, as the hands of `poses` carry them; a thigh stops them. In a loop they end as they began.
std::vector<Swing> swing_loads(const Character& character, const Frames& frames, const Cargo& cargo,
                               const Poses& poses, const FollowArguments& follow);
/// Their pull on hands that were corrected from those of `before`: with what the correction adds to their acceleration,
/// as a balance counts that itself.
std::vector<Tension> tensions_of(const std::vector<Swing>& swings, const std::vector<Swing>& before,
                                 const Frames& frames);

} // namespace aplomb::cli

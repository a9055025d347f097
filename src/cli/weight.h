// SPDX-License-Identifier: MIT
// What a shot carries, and what goes by what stands in it: give, and balance.
#pragma once

#include <algorithm>
#include <string>
#include <vector>

#include "cli/clip_ranges.h"
#include "cli/frames.h"

namespace aplomb::cli {

/// All frames of a shot, as it is on its way.
struct Poses {
    std::vector<double> translations, rotations;
};

/// The loads of aplomb follow.
struct Cargo {
    std::vector<Load> loads;
    Carries carries;
    std::vector<double> falls; // per carry, the file's unit

    bool hangs(std::size_t carry) const { return carries.value[carry].load.hanging != 0; }
    bool swings() const {
        return std::any_of(carries.value.begin(), carries.value.end(),
                           [](const aplomb_carry& carry) { return carry.load.hanging != 0; });
    }
    /// Arrives or leaves in the shot.
    bool arrives(std::size_t carry) const { return !loads[carries.loads[carry]].frames.empty(); }
    bool arrives() const {
        return std::any_of(loads.begin(), loads.end(), [](const Load& load) { return !load.frames.empty(); });
    }
};
Cargo make_cargo(const Character& character, const Frames& frames, const Arguments& arguments);

/// What a swinging load pulls its hand with: a carry, and 3 newton per frame.
struct Tension {
    std::size_t carry;
    std::vector<double> forces;
};

struct BalancedShot {
    aplomb_status status = APLOMB_OK;
    Poses poses;
    std::vector<aplomb_clip_balanced> frames;
};

class Weight {
public:
    Weight(const Character& character, const Frames& frames, const Cargo& cargo, const Arguments& arguments);

    /// Something asks for what stands.
    bool counts() const { return m_counts; }
    /// Gives where weight arrives and bodies land; what each frame gave, or nothing.
    std::vector<aplomb_clip_given> give(Poses& poses) const;
    BalancedShot balance(const Poses& poses, const std::vector<Tension>& tensions) const;
    /// Mean seconds of a step; 0: none is taken, or what stands is not known.
    double step_seconds() const { return m_step_seconds; }

private:
    aplomb_clip clip_of(const Poses& poses) const;

    const Character& m_character;
    const Frames& m_frames;
    const Cargo& m_cargo;
    const FollowArguments& m_follow;
    bool m_counts = false;
    double m_step_seconds = 0;
    std::vector<aplomb_stance_range> m_stances;
    double m_ground[3] = {}; // its velocity, the file's unit a second
};

} // namespace aplomb::cli

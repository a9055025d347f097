// SPDX-License-Identifier: MIT
// Which of two ways a body faces: what toes, names, knees and travel say.
#pragma once

#include "io/attitude.h"
#include "io/skin.h"

#include <string>
#include <vector>

namespace aplomb::io {

/// A moment of the file's motion.
struct Sample {
    int clip = 0;
    double seconds = 0;
    World world;
};

/// Each is above 0 for the way that facing_of gives, below for the other, 0 where it does not tell.
struct FacingVotes {
    int feet = 0, names = 0, trunk = 0; // trunk: on four feet, from the hind to the fore legs
    int knees = 0, travel = 0;          // in motion

    /// All together; a sign that one can see on the shape counts twice.
    int sum() const { return 2 * (feet + names + trunk) + knees + travel; }
    /// 1 or -1; where names alone stand against all else, it is the names that are likelier to be wrong.
    int way() const {
        const int without_names = sum() - 2 * names;
        return sum() < 0 || (sum() == 0 && without_names < 0) ? -1 : 1;
    }
    /// Whether anything speaks for (1) or against (-1) that way.
    bool any(int way) const;
    /// "toes and named sides": what speaks for that way.
    std::string words(int way) const;
    bool is_of_motion() const { return feet == 0 && names == 0 && trunk == 0; }
};

/// `pose` is the one that the figure is measured in; the skin may be null.
FacingVotes facing_votes(const BodyPlan& plan, const std::vector<SkeletonJoint>& joints, const Skin* skin,
                         const Pose& pose, const std::vector<Sample>& samples, int up);

} // namespace aplomb::io

// SPDX-License-Identifier: MIT
// Checks of a written pose against the keyed one, by the tests' own kinematics.
#pragma once

#include "balance/moment.h"

namespace own {

/// How far fixed ends went from the key.
struct Moved {
    double place = 0, turn = 0; // metres, radians
};

aplomb_hold hold_of(const Moment& m, int32_t limb);

Moved moved_ends(const Character& c, const Moment& m, const World& keyed, const World& now);

/// Radians by which a lean joint's rotation vector, or the swing and twist of a bearing limb's first joint or
/// end, exceeds its limit.
double angle_excess(const Character& c, const Moment& m, const World& keyed, const World& now);

/// Metres by which bearing limbs are straighter than 1 degree; where the hips may not be lowered, what is
/// keyed straighter may stay so.
double reach_excess(const Character& c, const Moment& m, const World& keyed, const World& now);

/// The balance point of a still figure under vertical gravity without pulls, by the masses alone: the common
/// centre of mass, seen from above. Loads ride rigidly with their holders from where they are keyed, or hang.
class Carried {
public:
    Carried(const Character& c, const Moment& m, const aplomb_reading& keyed_reading, const World& keyed);
    Vector centre(const World& w) const;

private:
    struct Grip {
        size_t load, joint;
        Vector local;
    };
    /// What two free hands carry: by the middle of the wrists, turned by the chest's twist about plumb.
    struct Level {
        size_t load, wrist[2];
        Vector from_wrists;
        Turn chest;
    };
    const Character& c_;
    const Moment& m_;
    std::vector<Grip> grips_;
    std::vector<Level> level_;
};

} // namespace own

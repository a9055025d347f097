// SPDX-License-Identifier: MIT
// Where the figure's joints are in the keyed pose, and which ways lead where: host units and axes.
#pragma once

#include <vector>

#include "base/rotation.h"
#include "cli/character.h"

namespace aplomb::cli {

struct Attitude {
    Vec3 position;
    Mat3 turn;
};

class Places {
public:
    Places(const Character& character, const double* translations, const double* rotations);

    const Attitude& operator[](int32_t joint) const { return m_joints[static_cast<size_t>(joint)]; }
    /// A place in the joint's own frame.
    Vec3 in_joint(int32_t joint, const Vec3& world) const;
    /// Level, as the hips face; where they face up or down, as the file says.
    Vec3 left, up, forward;

private:
    std::vector<Attitude> m_joints;
};

} // namespace aplomb::cli

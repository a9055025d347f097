// SPDX-License-Identifier: MIT
// What a correction does to girdles and arms, as control values: turns over the keyed ones.
#pragma once

#include <string>
#include <vector>

#include "cli/character.h"

namespace aplomb::cli {

class ArmValues {
public:
    explicit ArmValues(const Character& character);

    /// "left_upper_arm", of girdles, upper and lower arms and hands that the figure has.
    const std::vector<std::string>& names() const { return m_names; }
    /// Three for each name: a turn about its own axes, as axis times radians, that follows the keyed one. Of one
    /// frame, 4 numbers per joint.
    std::vector<double> of(const double* keyed, const double* corrected) const;

private:
    std::vector<std::string> m_names;
    std::vector<int32_t> m_joints;
};

} // namespace aplomb::cli

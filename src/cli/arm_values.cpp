// SPDX-License-Identifier: MIT
#include "cli/arm_values.h"

#include "base/rotation.h"

namespace aplomb::cli {

ArmValues::ArmValues(const Character& character) {
    static constexpr struct {
        aplomb_role role;
        const char* name;
    } parts[] = {{APLOMB_ROLE_GIRDLE, "girdle"},
                 {APLOMB_ROLE_UPPER_ARM, "upper_arm"},
                 {APLOMB_ROLE_LOWER_ARM, "lower_arm"},
                 {APLOMB_ROLE_HAND, "hand"}};
    for (const aplomb_side side : {APLOMB_SIDE_LEFT, APLOMB_SIDE_RIGHT})
        for (const auto& part : parts) {
            const int32_t joint = aplomb_figure_find_role(character.figure(), part.role, side);
            if (joint < 0) continue;
            m_joints.push_back(joint);
            m_names.push_back((side == APLOMB_SIDE_LEFT ? "left_" : "right_") + std::string(part.name));
        }
}

std::vector<double> ArmValues::of(const double* keyed, const double* corrected) const {
    std::vector<double> values;
    const auto at = [](const double* rotations, int32_t joint) {
        const double* r = rotations + 4 * static_cast<std::size_t>(joint);
        return normalized(Quat{r[0], r[1], r[2], r[3]});
    };
    for (const int32_t joint : m_joints) {
        const Vec3 turn = log_rotation(conjugate(at(keyed, joint)) * at(corrected, joint));
        values.insert(values.end(), {turn.x, turn.y, turn.z});
    }
    return values;
}

} // namespace aplomb::cli

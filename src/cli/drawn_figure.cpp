// SPDX-License-Identifier: MIT
#include "cli/drawn_figure.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/rotation.h"
#include "cli/failure.h"
#include "cli/numbers.h"

namespace aplomb::cli {
namespace {

/// A vector of a joint's translation or tip.
std::string three(const double* p) {
    return short_number(p[0], 9) + " " + short_number(p[1], 9) + " " + short_number(p[2], 9);
}

/// R = Rz Rx Ry, as the channels say; degrees.
std::string turns(const double* q) {
    const Mat3 m = to_matrix({q[0], q[1], q[2], q[3]});
    const double x = std::asin(std::clamp(m.row[2].y, -1.0, 1.0));
    const double z = std::atan2(-m.row[0].y, m.row[1].y), y = std::atan2(-m.row[2].x, m.row[2].z);
    return short_number(z / degree, 9) + " " + short_number(x / degree, 9) + " " +
           short_number(y / degree, 9);
}

class Bvh {
public:
    explicit Bvh(const aplomb_drawing_answer& answer) : answer_(answer) {}

    std::string text() {
        const std::string joints = joint(0, 0);
        return "HIERARCHY\n" + joints + "MOTION\nFrames: 1\nFrame Time: 0.0416667\n" +
               three(answer_.translations) + motion_ + "\n";
    }

private:
    aplomb_joint_info info(int32_t index) const {
        aplomb_joint_info info;
        aplomb_joint_info_init(&info, sizeof info);
        aplomb_figure_joint(answer_.figure, index, &info, nullptr);
        return info;
    }
    const double* tip(const aplomb_joint_info& joint) const {
        const int right = joint.side == APLOMB_SIDE_RIGHT ? 1 : 0;
        if (joint.role == APLOMB_ROLE_HEAD) return answer_.tips[0];
        if (joint.role == APLOMB_ROLE_HAND) return answer_.tips[1 + right];
        return joint.role == APLOMB_ROLE_TOE ? answer_.tips[3 + right] : nullptr;
    }
    std::string joint(int32_t index, std::size_t level) {
        const aplomb_joint_info here = info(index);
        const std::string in(2 * level, ' ');
        const double none[3] = {0, 0, 0};
        std::string text = in + (index == 0 ? "ROOT " : "JOINT ") + here.name + "\n" + in + "{\n" + in +
                           "  OFFSET " + three(index == 0 ? none : answer_.translations + 3 * index) + "\n" +
                           in + "  CHANNELS " + (index == 0 ? "6 Xposition Yposition Zposition" : "3") +
                           " Zrotation Xrotation Yrotation\n";
        motion_ += " " + turns(answer_.rotations + 4 * index);
        for (int32_t child = index + 1; child < answer_.joint_count; ++child)
            if (info(child).parent == index) text += joint(child, level + 1);
        if (const double* end = tip(here))
            text +=
                in + "  End Site\n" + in + "  {\n" + in + "    OFFSET " + three(end) + "\n" + in + "  }\n";
        return text + in + "}\n";
    }

    const aplomb_drawing_answer& answer_;
    std::string motion_;
};

} // namespace

aplomb_drawing_answer answer_of(const Drawing& drawing, int32_t index) {
    aplomb_drawing_answer answer;
    aplomb_drawing_answer_init(&answer, sizeof answer);
    aplomb_error error{};
    check(aplomb_drawing_answer_at(drawing.get(), index, &answer, &error), error);
    return answer;
}

std::string bvh_of(const aplomb_drawing_answer& answer) {
    return Bvh(answer).text();
}

Character character_of(const aplomb_drawing_answer& answer, const std::string& bvh, int32_t build,
                       const std::string& name) {
    aplomb_figure_info info;
    aplomb_figure_info_init(&info, sizeof info);
    aplomb_figure_describe(answer.figure, &info, nullptr);
    aplomb_character_options options;
    aplomb_character_options_init(&options, sizeof options);
    options.metres_per_unit = 1, options.total_mass = info.total_mass;
    options.up_axis = APLOMB_AXIS_Y, options.forward_axis = APLOMB_AXIS_Z;
    options.mass_table = build == APLOMB_BUILD_ADULT ? APLOMB_MASS_DE_LEVA_MALE : APLOMB_MASS_CHILD;
    options.stand_clip = "none";
    aplomb_memory_file file{};
    file.bytes = bvh.data(), file.size = bvh.size(), file.name = "drawing.bvh";
    return Character(file, options, name);
}

} // namespace aplomb::cli

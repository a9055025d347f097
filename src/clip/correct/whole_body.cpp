// SPDX-License-Identifier: MIT
#include "clip/correct/whole_body.h"

#include <cstring>

#include "clip/check.h"

namespace aplomb {

void WholeBody::lay_out(Layout& layout, const Figure& figure) {
    const size_t joints = static_cast<size_t>(figure.joint_count);
    carries_ = layout.take<uint8_t>(joints);
    numbers_ = layout.take<double>(23 * joints);
}

/// A joint that does not hang on a moved one has to be moved itself, if what it is rigid with is the body.
void WholeBody::set_up(const Figure& figure) {
    for (int j = 0; j < figure.joint_count; ++j) {
        int carrier = j;
        while (carrier >= 0 && carrier != figure.hips)
            carrier = figure.joints[carrier].carrier;
        carries_[j] = carrier >= 0;
    }
}

aplomb_status WholeBody::move(const Shot& shot, int t, const Vec3& way, unsigned char* all_translations,
                              const unsigned char* all_rotations, aplomb_error* error) const {
    const Figure& figure = *shot.figure;
    const size_t joints = static_cast<size_t>(figure.joint_count), number = shot.number_size();
    unsigned char* places = all_translations + 3 * joints * number * static_cast<size_t>(t);
    const unsigned char* turns = all_rotations + 4 * joints * number * static_cast<size_t>(t);
    double *translations = numbers_, *rotations = translations + 3 * joints, *worlds = rotations + 4 * joints;
    const auto type = shot.given.floats ? APLOMB_FLOAT : APLOMB_DOUBLE;
    aplomb_status s = aplomb_gather(places, type, 3 * number, 3, figure.joint_count, translations, error);
    if (s == APLOMB_OK) s = aplomb_gather(turns, type, 4 * number, 4, figure.joint_count, rotations, error);
    if (s == APLOMB_OK)
        s = aplomb_pose_to_matrices(shot.figure, translations, rotations, worlds, APLOMB_DOUBLE,
                                    16 * sizeof(double), APLOMB_WORLD, error);
    if (s) return at_frame(s, shot.given.first_number + t, error);
    for (size_t j = 0; j < joints; ++j) {
        const int parent = figure.joints[j].parent;
        if (carries_[j] == 0 || (parent >= 0 && carries_[parent] != 0)) continue;
        const Vec3 host = way / shot.unit;
        double* place = translations + 3 * j;
        put(place, Vec3{place[0], place[1], place[2]} +
                       (parent < 0 ? host : transposed_times(turn_of(worlds + 16 * parent), host)));
        for (size_t a = 0; a < 3; ++a) {
            unsigned char* to = places + (3 * j + a) * number;
            const float rounded = static_cast<float>(place[a]);
            std::memcpy(to, shot.given.floats ? static_cast<const void*>(&rounded) : &place[a], number);
        }
    }
    return APLOMB_OK;
}

} // namespace aplomb

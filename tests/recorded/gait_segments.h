// SPDX-License-Identifier: MIT
// The recorded gait's segments, each by its own place and attitude; rows are uneven in time.
#pragma once

#include "gait_figure.h"

namespace recorded {

inline const char* const segments_file = "subject01_walk1_BodyKinematics_pos_global.sto";

/// A segment's attitude in the .sto: body-fixed X-Y-Z angles, as its header says.
inline Quat attitude(const Table& table, std::size_t row, const std::string& name) {
    const Vec3 o = table.vector_at(row, name + "_Ox", name + "_Oy", name + "_Oz") * aplomb::degree;
    return aplomb::exp_rotation({o.x, 0, 0}) * aplomb::exp_rotation({0, o.y, 0}) *
           aplomb::exp_rotation({0, 0, o.z});
}
inline Vec3 centre(const Table& table, std::size_t row, const std::string& name) {
    return table.vector_at(row, name + "_X", name + "_Y", name + "_Z");
}

/// Segments where the file has their centres.
inline std::vector<Frame> by_centres(const Model& model, const Table& table, std::size_t row) {
    std::vector<Frame> frames;
    for (const Segment& s : model.segments) {
        const Quat turn = attitude(table, row, s.name);
        frames.push_back({centre(table, row, s.name) - rotate(turn, s.centre), turn});
    }
    return frames;
}

} // namespace recorded

// SPDX-License-Identifier: MIT
// What the fuzz targets of both formats do with a character once it is open.
#pragma once

#include <string>

#include "io/corrected_frames.h"
#include "io/fault.h"
#include "io/figure_from_file.h"
#include "io/orientation.h"
#include "io/skin.h"

namespace fuzz {

inline void write_again(const aplomb::io::CharacterFile& file, int clip, const aplomb::io::Pose& pose) {
    std::vector<aplomb::io::Change> changes;
    for (std::size_t i = 0; i < file.joints().size(); ++i)
        changes.push_back({static_cast<int>(i), true, true});
    std::vector<aplomb::io::CorrectedFrame> frames = {{0.25, pose, changes, 0}};
    if (clip >= 0) frames.insert(frames.end(), {{0.75, pose, changes, 1}, {0.5, pose, {}, 2}});
    try {
        file.rewritten(clip, frames, "again");
    } catch (const aplomb::io::Fault&) {
    }
}

inline void make_figure(const aplomb::io::CharacterFile& file) {
    aplomb::io::Description description;
    description.metres_per_unit = 1;
    description.mass_table = APLOMB_MASS_DE_LEVA_MALE;
    description.joints.resize(file.joints().size());
    const aplomb::io::Orientation found = aplomb::io::find_orientation(file, description);
    description.up = found.up.value;
    description.forward = found.forward.value;
    aplomb::io::make_figure(file, description, found.pose);
}

/// Poses, writes and figure; every Fault is an answer.
inline void use(const aplomb::io::CharacterFile& file) {
    const auto tried = [](auto action) {
        try {
            action();
        } catch (const aplomb::io::Fault&) {
        }
    };
    for (int clip = -1; clip < file.clip_count() && clip < 2; ++clip) {
        tried([&] {
            const aplomb::io::Pose pose = file.pose(clip, 0.25);
            write_again(file, clip, pose);
            if (const aplomb::io::Skin* skin = file.skin()) aplomb::io::skinned(*skin, file.joints(), pose);
        });
        for (int camera = 0; camera < file.camera_count() && camera < 2; ++camera)
            tried([&] { file.camera(camera, clip, 0.25); });
    }
    tried([&] { make_figure(file); });
}

} // namespace fuzz

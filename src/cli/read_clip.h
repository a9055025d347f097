// SPDX-License-Identifier: MIT
// Many frames of a clip, as the command line names them, read.
#pragma once

#include "cli/clip_text.h"
#include "cli/situation.h"

namespace aplomb::cli {

void refuse_options_of_one_frame(const MomentArguments& moment);
/// Of one moment: what only many frames know.
void refuse_reading_of_frames(const MomentArguments& moment);

/// A line that grows on a terminal, and nothing where nobody looks.
int32_t show_progress(double part, void*);

/// Of all of its clip: its keys, or as --own-keys says.
std::vector<double> moments_of(const Character& character, const Arguments& arguments, const Moment& moment);
Shot open_shot(const Character& character, const Arguments& arguments, const Moment& moment,
               const Options& options);
/// The same shot with other poses on the same stances, read anew.
Shot with_poses(const Shot& shot, const Options& options, std::vector<double> translations,
                std::vector<double> rotations);
/// The ground's velocity as --belt says it, or as it is found.
void set_ground_velocity(const Character& character, const std::string& belt, aplomb_clip& clip);
/// Which file and clip.
std::string shot_heading(const Shot& shot, const Arguments& arguments);

} // namespace aplomb::cli

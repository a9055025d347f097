// SPDX-License-Identifier: MIT
// Groups of options that several commands share.
#pragma once

#include "cli/arguments.h"

namespace aplomb::cli {

/// Which file, and how its figure is to be understood.
void add_file(CLI::App& command, FileArguments& file, const char* name = "FILE",
              const char* about = "A character: glTF 2.0 (.gltf, .glb) or BVH (.bvh)");
void add_moment(CLI::App& command, MomentArguments& moment);
void add_carrying(CLI::App& command, MomentArguments& moment);
void add_margin(CLI::App& command, Arguments& arguments);
void add_frames(CLI::App& command, MomentArguments& moment);
void add_ranges(CLI::App& command, MomentArguments& moment);
void add_csv(CLI::App& command, MomentArguments& moment);
void add_correction_of_frames(CLI::App& command, BalanceArguments& balance);
void add_picture(CLI::App& command, MomentArguments& moment);
/// `manner`: what is said of the file of options.
void add_table(CLI::App& command, Arguments& arguments, const char* group, const char* manner);
void add_correction(CLI::App& command, Arguments& arguments);

} // namespace aplomb::cli

// SPDX-License-Identifier: MIT
// What may stand on the command line, and the options that subcommands share.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace CLI {
class App;
}

namespace aplomb::cli {

/// Which character, and how its file is to be understood.
struct FileArguments {
    std::string file, skin, description;
    double stature = 0, unit = 0, mass = 0; // 0: as the library finds it
    int32_t up = 0, facing = 0;             // aplomb_axis
    int32_t table = -1;                     // aplomb_mass_table
    std::string stand;                      // CLIP:SECONDS or none, as given
    std::string stand_clip;                 // its parts
    double stand_seconds = 0;
    bool json = false;
};

/// Which moment of it, what it stands on and what it carries.
struct MomentArguments {
    std::string clip;
    std::optional<int32_t> frame;
    std::optional<double> time;
    std::vector<std::string> loads, pulls, stance, shares, holds;
    std::string gravity;
    std::string margin;
    std::string picture, page;
    bool lines = false;
    std::string frames; // read: all, or FIRST..LAST
    std::string belt;
    bool csv = false;
};

/// How it may be corrected.
struct BalanceArguments {
    std::string out, amount;
    std::optional<double> rest;
    std::vector<std::string> keep, options;
    bool exact = false, thorough = false;
};

/// What follows from weight in a clip.
struct FollowArguments {
    std::vector<std::string> chains;
    std::string keyed, fps, swing;
    int32_t view = 1; // aplomb_view
    bool loop = false;
};

/// How long something takes; numbers as given, empty: not given.
struct TimingArguments {
    std::string what;
    std::string height, restitution, count, length, angle, leg, frames, other, frequency, damping, part, fps,
        gravity;
    bool json = false;
};

struct Arguments {
    FileArguments file;
    MomentArguments moment;
    BalanceArguments balance;
    FollowArguments follow;
    TimingArguments timing;
    std::string write; // inspect: where the figure description goes
};

void add_inspect_arguments(CLI::App& command, Arguments& arguments);
void add_read_arguments(CLI::App& command, Arguments& arguments);
void add_balance_arguments(CLI::App& command, Arguments& arguments);
void add_follow_arguments(CLI::App& command, Arguments& arguments);
void add_timing_arguments(CLI::App& command, Arguments& arguments);

} // namespace aplomb::cli

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
    std::string picture, page;
    bool lines = false;
    std::string frames; // all, or FIRST..LAST
    std::string belt, ranges;
    bool csv = false;
    bool blocking = false; // each key a pose of its own
};

/// How it may be corrected.
struct BalanceArguments {
    std::string out;
    std::vector<std::string> keep;
    bool move_foot = false;
    // Of many frames.
    bool loop = false;
    std::vector<std::string> exempt;
    std::string flow, key_acceleration;
    std::string flights; // "found", or ranges
    bool held = false;
    bool layer = false;
    std::string own_keys; // frames a second
};

/// A line of the table of options with its value, by --option or by a name of its own.
struct GivenOption {
    std::string words;       // as they were given: "--margin 8%", "--option margin=8%"
    std::string name, value; // no name: the words lack a =
};

/// What follows from weight in a clip.
struct FollowArguments {
    std::vector<std::string> chains;
    std::string keyed, fps, swing;
    int32_t view = 1; // aplomb_view
    bool loop = false, balance = false, landings = false;
};

/// How long something takes; numbers as given, empty: not given.
struct TimingArguments {
    std::string what;
    std::string height, restitution, count, length, angle, leg, frames, other, frequency, damping, part, fps,
        gravity;
    bool json = false;
};

/// A figure under the dots of a drawing.
struct DotsArguments {
    std::string image, figure;
    int32_t answer = 1;
};

struct Arguments {
    FileArguments file;
    MomentArguments moment;
    BalanceArguments balance;
    std::vector<GivenOption> options;
    FollowArguments follow;
    TimingArguments timing;
    DotsArguments dots;
    std::string manner; // a file of options that are set first
    std::string write;  // inspect: where the figure description goes
};

void add_inspect_arguments(CLI::App& command, Arguments& arguments);
void add_read_arguments(CLI::App& command, Arguments& arguments);
void add_balance_arguments(CLI::App& command, Arguments& arguments);
void add_fit_arguments(CLI::App& command, Arguments& arguments);
void add_follow_arguments(CLI::App& command, Arguments& arguments);
void add_timing_arguments(CLI::App& command, Arguments& arguments);
void add_dots_arguments(CLI::App& command, Arguments& arguments);

} // namespace aplomb::cli

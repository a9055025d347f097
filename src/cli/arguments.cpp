// SPDX-License-Identifier: MIT
#include "cli/arguments.h"

#include "aplomb/files.h"
#include "cli/argument_checks.h"
#include "cli/argument_groups.h"
#include "cli/help_texts.h"

namespace aplomb::cli {

void add_inspect_arguments(CLI::App& command, Arguments& arguments) {
    add_file(command, arguments.file);
    command.add_option("--write", arguments.write, "Write the figure description (JSON)")->type_name("PATH");
    command.footer(inspect_text);
}

void add_read_arguments(CLI::App& command, Arguments& arguments) {
    add_file(command, arguments.file);
    add_moment(command, arguments.moment);
    add_frames(command, arguments.moment);
    add_carrying(command, arguments.moment);
    add_ranges(command, arguments.moment);
    add_picture(command, arguments.moment);
    add_csv(command, arguments.moment);
    add_margin(command, arguments);
    command.footer(std::string(syntax_text) + read_text + read_exit_text);
}

void add_balance_arguments(CLI::App& command, Arguments& arguments) {
    add_file(command, arguments.file);
    add_moment(command, arguments.moment);
    add_frames(command, arguments.moment);
    add_carrying(command, arguments.moment);
    add_ranges(command, arguments.moment);
    add_margin(command, arguments);
    add_correction(command, arguments);
    add_correction_of_frames(command, arguments.balance);
    add_picture(command, arguments.moment);
    add_csv(command, arguments.moment);
    command.footer(std::string(syntax_text) + keep_text + balance_text + balance_exit_text);
}

void add_fit_arguments(CLI::App& command, Arguments& arguments) {
    add_file(command, arguments.file, "PAIRS",
             "A list of keyed poses and the same corrected by hand, see below");
    add_table(command, arguments, "The manner", "Where it starts, and what is not told stays [the defaults]");
    command.add_option("--out", arguments.balance.out, "Write the manner; without it only print")
        ->type_name("FILE.json")
        ->group("Results");
    command.footer(fit_text);
}

void add_follow_arguments(CLI::App& command, Arguments& arguments) {
    FollowArguments& follow = arguments.follow;
    add_file(command, arguments.file);
    command.add_option("--clip", arguments.moment.clip, "By name or number [the first]")
        ->type_name("NAME")
        ->group("The shot");
    command.add_option("--frames", arguments.moment.frames, "all, or FIRST..LAST, such as 12..96 [all]")
        ->type_name("FRAMES")
        ->group("The shot");
    command.add_option("--fps", follow.fps, "Frames a second, evenly from the clip's start [its keys]")
        ->type_name("RATE")
        ->check(positive("a bare number of frames a second above 0, such as 24"))
        ->group("The shot");
    command
        .add_option(
            "--keyed", follow.keyed,
            "The file before a correction: what it differs by drives chains that have keys of their own")
        ->type_name("FILE")
        ->group("The shot");
    command.add_flag("--loop", follow.loop, "The last frame is the first again; it swings on across them")
        ->group("The shot");
    command
        .add_option("--belt", arguments.moment.belt,
                    "The ground's velocity in m/s along the file's axes, for walks on the spot; or find [0]")
        ->type_name("X,Y,Z")
        ->group("The shot");
    command
        .add_option("--chain", follow.chains,
                    "WHICH[,NAME=VALUE...]; once for each chain, see below [all found]")
        ->type_name("CHAIN")
        ->allow_extra_args(false)
        ->group("What follows");
    command
        .add_option("--load", arguments.moment.loads,
                    "MASS,PLACE[,WAY=METRES...]: what hangs swings, what arrives makes arms and knees give")
        ->type_name("LOAD")
        ->allow_extra_args(false)
        ->group("What follows");
    command.add_option("--swing", follow.swing, "Damping of what hangs, as a part of critical [20%]")
        ->type_name("PART")
        ->group("What follows");
    command
        .add_flag("--landings", follow.landings,
                  "A body that lands gives in its knees, by what its keys lack of it")
        ->group("What follows");
    command
        .add_flag("--balance", follow.balance,
                  "Balance the clip first, let it follow, and balance it again with what swings")
        ->group("What follows");
    command
        .add_option(
            "--out", arguments.balance.out,
            "Write the character: in glTF with a further clip of the tracks that moved alone, a layer to be "
            "switched on and off; in BVH into its motion")
        ->type_name("FILE")
        ->group("Results");
    command
        .add_option("--page", arguments.moment.page,
                    "A page with the moving picture and eight moments of it side by side")
        ->type_name("FILE.html")
        ->group("Results");
    command.add_option("--view", follow.view, "Of the page: front, side or top [side]")
        ->type_name("VIEW")
        ->transform(words<aplomb_view>(
            "a view: front, side or top",
            {{"front", APLOMB_VIEW_FRONT}, {"side", APLOMB_VIEW_SIDE}, {"top", APLOMB_VIEW_TOP}}))
        ->group("Results");
    command.add_flag("--csv", arguments.moment.csv, "Print curves, degrees from the key, as a table")
        ->group("Results");
    command.footer(follow_text);
}

void add_timing_arguments(CLI::App& command, Arguments& arguments) {
    TimingArguments& t = arguments.timing;
    command.add_option("THING", t.what, "fall, bounce, pendulum, step or settle")
        ->type_name("THING")
        ->option_text(" ");
    const auto number = [&](const char* name, std::string& target, const char* about, const char* type) {
        command.add_option(name, target, about)->type_name(type)->group("What it needs");
    };
    number("--height", t.height, "Of a fall or a drop", "METRES");
    number("--restitution", t.restitution,
           "Part of the speed that comes back: a light ball 80%, a heavy dead one 20%", "PART");
    number("--count", t.count, "How many bounces [5]", "N");
    number("--length", t.length, "From where it hangs to its middle", "METRES");
    number("--angle", t.angle, "Degrees to either side [0: small]", "DEGREES");
    number("--leg", t.leg, "Length of a leg", "METRES");
    number("--frames", t.frames, "Of a step", "FRAMES");
    number("--other", t.other, "Length of the other's leg", "METRES");
    number("--frequency", t.frequency, "Swings a second", "HZ");
    number("--damping", t.damping, "Part of critical", "PART");
    number("--part", t.part, "That may be left [10%]", "PART");
    number("--fps", t.fps, "Frames a second [24]", "RATE");
    number("--gravity", t.gravity, "m/s2 [9.80665]", "NUMBER");
    command.add_flag("--json", t.json, "Print JSON: seconds and metres");
    command.footer(timing_text);
}

void add_dots_arguments(CLI::App& command, Arguments& arguments) {
    command.add_option("FILE", arguments.file.file, "Dots on a drawing: .json or .csv, see below")
        ->required()
        ->type_name("FILE")
        ->option_text(" ");
    command
        .add_option("--image", arguments.dots.image,
                    "The drawing: PNG, JPEG or SVG [the one that FILE names, or none]")
        ->type_name("PICTURE");
    command
        .add_option("--answer", arguments.dots.answer,
                    "Which answer is shown and corrected, from 1 [the likeliest]")
        ->type_name("N")
        ->check(whole());
    command.add_flag("--json", arguments.file.json, "Print JSON: metres, radians");
    add_carrying(command, arguments.moment);
    add_margin(command, arguments);
    const char* group = "Results";
    command
        .add_option("--picture", arguments.moment.picture,
                    "Draw the figure over the drawing: thin as it was drawn, bold corrected")
        ->type_name("FILE.svg")
        ->group(group);
    command.add_option("--page", arguments.moment.page, "The same on a page, with all that is said")
        ->type_name("FILE.html")
        ->group(group);
    command
        .add_option("--figure", arguments.dots.figure,
                    "The figure in the pose that was drawn, for other commands")
        ->type_name("FILE.bvh")
        ->group(group);
    command.footer(std::string(syntax_text) + dots_text);
}

} // namespace aplomb::cli

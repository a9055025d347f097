// SPDX-License-Identifier: MIT
#include "cli/argument_groups.h"

#include "cli/argument_checks.h"
#include "cli/numbers.h"
#include "cli/options.h"

namespace aplomb::cli {
namespace {

void split_stand(const std::string& text, FileArguments& file) {
    const std::size_t colon = text.rfind(':');
    file.stand_clip = text.substr(0, colon);
    if (colon != std::string::npos)
        file.stand_seconds = parse_number(std::string_view(text).substr(colon + 1)).value_or(0);
}

/// A line of the table of options that has a name of its own on the command line, as long as the table has it.
void add_named_option(CLI::App& command, Arguments& arguments, const char* name, const char* group,
                      const char* type, const std::string& words) {
    if (!has_option(name)) return;
    const std::string flag = "--" + std::string(name);
    command
        .add_option_function<std::string>(
            flag,
            [&arguments, flag, name](const std::string& value) {
                arguments.options.push_back({flag + ' ' + value, name, value});
            },
            words + " [" + usual_text(name) + ']')
        ->type_name(type)
        ->group(group);
}

/// The same for a line that is 0 or 1.
void add_named_flag(CLI::App& command, Arguments& arguments, const char* name, const char* group,
                    const char* words) {
    if (!has_option(name)) return;
    const std::string flag = "--" + std::string(name);
    command
        .add_flag_callback(
            flag,
            [&arguments, flag, name] {
                arguments.options.push_back({flag, name, "1"});
            },
            words)
        ->group(group);
}

} // namespace

void add_file(CLI::App& command, FileArguments& file, const char* name, const char* about) {
    command.add_option(name, file.file, about)->required()->type_name(name)->option_text(" ");
    const char* group = "The figure";
    command.add_option("--skin", file.skin, "glTF: which skin, by name or number [the first]")
        ->type_name("NAME")
        ->group(group);
    command.add_option("--stature", file.stature, "Height in metres; scales a BVH without a unit")
        ->type_name("METRES")
        ->check(positive("a bare number of metres above 0, such as 1.75"))
        ->group(group);
    command.add_option("--unit", file.unit, "Metres per unit of the file, such as 0.01 for centimetres")
        ->type_name("METRES")
        ->check(positive("a bare number of metres above 0, such as 0.01 for centimetres"))
        ->group(group);
    command.add_option("--up", file.up, "Axis that points up: x, y, z, or as --up=-z")
        ->type_name("AXIS")
        ->transform(axis())
        ->group(group);
    command.add_option("--facing", file.facing, "Axis that the figure at rest faces")
        ->type_name("AXIS")
        ->transform(axis())
        ->group(group);
    command
        .add_option("--stand", file.stand,
                    "A frame that stands, CLIP:SECONDS, to measure the figure in; none: the rest pose "
                    "[the rest pose, or where it is nothing like a stand, the most upright frame]")
        ->type_name("MOMENT")
        ->each([&file](const std::string& text) { split_stand(text, file); })
        ->check(stand_check())
        ->group(group);
    command.add_option("--mass", file.mass, "Mass of the body without loads")
        ->type_name("KG")
        ->check(positive("a bare number of kg above 0, such as 75"))
        ->group(group);
    command
        .add_option("--table", file.table,
                    "Body-segment table: male, female, dempster, child; or skin: its volumes "
                    "[male; skin for big heads, four feet, heavy tails]")
        ->type_name("NAME")
        ->transform(mass_table())
        ->group(group);
    command
        .add_option("--description", file.description,
                    "Figure description [FILE.figure.json where it exists]")
        ->type_name("PATH")
        ->group(group);
    command.add_flag("--json", file.json,
                     "Print JSON: lengths in the file's own unit and axes, angles in radians");
}

void add_moment(CLI::App& command, MomentArguments& moment) {
    const char* group = "The moment";
    command
        .add_option("--clip", moment.clip,
                    "By name or number; none: the file's pose without motion [the first]")
        ->type_name("NAME")
        ->group(group);
    command.add_option("--frame", moment.frame, "Which frame, from 0; in glTF the clip's key times [0]")
        ->type_name("N")
        ->check(whole())
        ->group(group);
    command.add_option("--time", moment.time, "Seconds from the clip's start")
        ->type_name("S")
        ->check(not_negative("a bare number of seconds, 0 or more"))
        ->group(group);
}

void add_carrying(CLI::App& command, MomentArguments& moment) {
    const char* group = "What it carries and stands on";
    command.add_option("--load", moment.loads, "MASS,PLACE[,WAY=METRES...]; once for each load, see below")
        ->type_name("LOAD")
        ->allow_extra_args(false)
        ->group(group);
    command
        .add_option("--pull", moment.pulls, "FORCE,PLACE,WAY[=PART...]; a rope, a cart, a wind, see below")
        ->type_name("PULL")
        ->allow_extra_args(false)
        ->group(group);
    command
        .add_option("--stance", moment.stance,
                    "PART=WORD[,...]; what limb ends and other parts do, see below [from the pose]")
        ->type_name("STANCE")
        ->allow_extra_args(false)
        ->group(group);
    command
        .add_option("--hold", moment.holds, "This limb keeps its keyed place; the same as --stance LIMB=held")
        ->type_name("LIMB")
        ->allow_extra_args(false)
        ->group(group);
    command.add_option("--gravity", moment.gravity, "m/s2 along the file's axes [9.80665 against up]")
        ->type_name("X,Y,Z")
        ->group(group);
}

void add_margin(CLI::App& command, Arguments& arguments) {
    add_named_option(command, arguments, "margin", "What it carries and stands on", "PART",
                     "Asked for inside the support area's edge, in parts of the sole's length");
}

void add_frames(CLI::App& command, MomentArguments& moment) {
    command
        .add_option("--frames", moment.frames,
                    "Many frames of the clip, in motion: all, or FIRST..LAST, such as 12..96")
        ->type_name("FRAMES")
        ->group("The moment");
    command
        .add_option(
            "--belt", moment.belt,
            "With --frames: the ground's velocity in m/s along the file's axes, for walks on the spot; or "
            "find [0]")
        ->type_name("X,Y,Z")
        ->group("The moment");
}

void add_ranges(CLI::App& command, MomentArguments& moment) {
    command
        .add_option("--ranges", moment.ranges,
                    "With --frames: stances over time from a file, lines as --frames prints them")
        ->type_name("FILE")
        ->group("What it carries and stands on");
    command
        .add_flag("--blocking", moment.blocking,
                  "With --frames: a blocking pass, each key a pose of its own that is held until the next")
        ->group("The moment");
}

void add_csv(CLI::App& command, MomentArguments& moment) {
    command.add_flag("--csv", moment.csv, "With --frames: print a table of all frames, as --json does")
        ->group("Results");
}

void add_correction_of_frames(CLI::App& command, BalanceArguments& balance) {
    const char* group = "The correction of many frames (--frames)";
    command.add_flag("--loop", balance.loop, "The first frame follows the last one")->group(group);
    command
        .add_option("--exempt", balance.exempt,
                    "FIRST..LAST[:PART]=REASON; left out on purpose, wholly or in part")
        ->type_name("RANGE")
        ->allow_extra_args(false)
        ->group(group);
    command
        .add_option("--flow", balance.flow,
                    "How far the body's own swing carries it, 0 to 100%; less is more held [100%]")
        ->type_name("PART")
        ->group(group);
    command
        .add_option("--key-acceleration", balance.key_acceleration,
                    "How much the keyed acceleration counts, 0 to 100%; hips that ease hard take 50% [100%]")
        ->type_name("PART")
        ->group(group);
    command
        .add_flag("--held", balance.held,
                  "Poses that the file holds for some frames, as on twos, are one moment each and stay held")
        ->group(group);
    command
        .add_option(
            "--flights", balance.flights,
            "Where nothing stands the centre of mass follows a free-fall arc, the whole body moved: found "
            "(what reads as a free fall), or FIRST..LAST,.. from push-off to landing, both outside; with "
            "--loop over the seam, too: 40..5")
        ->type_name("FRAMES")
        ->group(group);
    command
        .add_option(
            "--own-keys", balance.own_keys,
            "With --out, glTF: correct the clip at so many frames a second, and write it on the keys that "
            "it has; legs that stand get further ones where they need them")
        ->type_name("FPS")
        ->group(group);
    command
        .add_flag(
            "--layer", balance.layer,
            "With --out, glTF: leave the clip as it is, and write the tracks that change into a further "
            "clip, a layer over it")
        ->group(group);
}

void add_picture(CLI::App& command, MomentArguments& moment) {
    const char* group = "Results";
    command.add_option("--picture", moment.picture, "Draw front, side and top view")
        ->type_name("FILE.svg")
        ->group(group);
    command.add_option("--page", moment.page, "The same with all numbers on a page, to be read or printed")
        ->type_name("FILE.html")
        ->group(group);
    command.add_flag("--lines", moment.lines, "With pelvis line, shoulder line and line of action")
        ->group(group);
}

void add_table(CLI::App& command, Arguments& arguments, const char* group, const char* manner) {
    command.add_option("--manner", arguments.manner, manner)->type_name("FILE.json")->group(group);
    command
        .add_option_function<std::vector<std::string>>(
            "--option",
            [&arguments](const std::vector<std::string>& texts) {
                for (const std::string& text : texts)
                    arguments.options.push_back(split_option(text));
            },
            "NAME=VALUE: any option of the table in the manual, angles in degrees")
        ->type_name("OPTION")
        ->allow_extra_args(false)
        ->group(group);
}

void add_correction(CLI::App& command, Arguments& arguments) {
    BalanceArguments& balance = arguments.balance;
    const char* group = "The correction";
    add_named_option(command, arguments, "amount", group, "PART",
                     "Part of the correction that is written, " + range_text("amount"));
    add_named_option(command, arguments, "rest", group, "WEIGHT",
                     "Weight of coming to rest over the feet; 0: only do not fall");
    command
        .add_option("--share", arguments.moment.shares,
                    "Wished part of the weight: LIMB=PART, as left-foot=70%")
        ->type_name("SHARE")
        ->allow_extra_args(false)
        ->group(group);
    command
        .add_option("--keep", balance.keep,
                    "Stays as keyed: hips, turn, spine, neck or a joint of the spine, see below")
        ->type_name("PART")
        ->allow_extra_args(false)
        ->group(group);
    add_table(command, arguments, group, "A studio's own stiffness and style, as aplomb fit writes it");
    add_named_flag(command, arguments, "exact", group,
                   "Solve to rounding instead of to a tenth of a per cent");
    add_named_flag(command, arguments, "thorough", group,
                   "Slower, for pipelines: solve from a fixed list of starts, keep the best");
    command
        .add_flag("--move-foot", balance.move_foot,
                  "Move the foot that is suggested, if one is, and balance that pose")
        ->group(group);
    command
        .add_option("--out", balance.out,
                    "Write the character with the corrected pose; without it only print")
        ->type_name("FILE")
        ->group("Results");
}

} // namespace aplomb::cli

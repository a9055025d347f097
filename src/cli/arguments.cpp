// SPDX-License-Identifier: MIT
#include "cli/arguments.h"

#include <CLI/CLI.hpp>

#include <map>

#include "aplomb/files.h"
#include "cli/numbers.h"

namespace aplomb::cli {
namespace {

/// The library's own checks print bounds of 300 digits.
CLI::Validator number_check(const char* wanted, bool (*allowed)(double)) {
    return CLI::Validator(
        [=](std::string& text) {
            const auto value = parse_number(text);
            return value && allowed(*value) ? std::string() : "'" + text + "' is not " + wanted;
        },
        "");
}

CLI::Validator positive(const char* wanted) {
    return number_check(wanted, [](double v) { return v > 0; });
}
CLI::Validator not_negative(const char* wanted) {
    return number_check(wanted, [](double v) { return v >= 0; });
}
CLI::Validator whole() {
    return number_check("a whole number from 0",
                        [](double v) { return v >= 0 && v <= 1e9 && v == static_cast<int32_t>(v); });
}

/// A fixed list of words, each with its number.
template<class T>
CLI::Validator words(const char* wanted, std::map<std::string, T> meanings) {
    return CLI::Validator(
        [=](std::string& text) {
            const auto found = meanings.find(text);
            if (found == meanings.end()) return "'" + text + "' is not " + wanted;
            text = std::to_string(static_cast<int>(found->second));
            return std::string();
        },
        "");
}

CLI::Validator axis() {
    return words<aplomb_axis>("an axis: x, y, z, -x, -y or -z", {{"x", APLOMB_AXIS_X},
                                                                 {"y", APLOMB_AXIS_Y},
                                                                 {"z", APLOMB_AXIS_Z},
                                                                 {"-x", APLOMB_AXIS_MINUS_X},
                                                                 {"-y", APLOMB_AXIS_MINUS_Y},
                                                                 {"-z", APLOMB_AXIS_MINUS_Z}});
}

CLI::Validator mass_table() {
    return words<aplomb_mass_table>("a mass table: male, female, dempster, child or skin",
                                    {{"male", APLOMB_MASS_DE_LEVA_MALE},
                                     {"female", APLOMB_MASS_DE_LEVA_FEMALE},
                                     {"dempster", APLOMB_MASS_DEMPSTER},
                                     {"skin", APLOMB_MASS_SKIN},
                                     {"child", APLOMB_MASS_CHILD}});
}

/// The last colon parts the clip's name, which may hold others, from the seconds.
CLI::Validator stand_check() {
    return CLI::Validator(
        [](std::string& text) {
            const std::size_t colon = text.rfind(':');
            const auto seconds = colon == std::string::npos
                                     ? std::nullopt
                                     : parse_number(std::string_view(text).substr(colon + 1));
            const bool sound =
                text == "none" || (colon != std::string::npos && colon > 0 && seconds && *seconds >= 0);
            return sound ? std::string()
                         : "'" + text + "' is not CLIP:SECONDS, such as idle:0.5, and not none";
        },
        "");
}

void split_stand(const std::string& text, FileArguments& file) {
    const std::size_t colon = text.rfind(':');
    file.stand_clip = text.substr(0, colon);
    if (colon != std::string::npos)
        file.stand_seconds = parse_number(std::string_view(text).substr(colon + 1)).value_or(0);
}

void add_file(CLI::App& command, FileArguments& file) {
    command.add_option("FILE", file.file, "A character: glTF 2.0 (.gltf, .glb) or BVH (.bvh)")
        ->required()
        ->type_name("FILE")
        ->option_text(" ");
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
                    "[male; skin for big heads, four feet]")
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
    command
        .add_option("--margin", moment.margin,
                    "Asked for inside the support area's edge, in parts of the sole's length [8%]")
        ->type_name("PART")
        ->group(group);
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

void add_correction(CLI::App& command, Arguments& arguments) {
    BalanceArguments& balance = arguments.balance;
    const char* group = "The correction";
    command
        .add_option("--amount", balance.amount, "Part of the correction that is written, 0 to 200% [100%]")
        ->type_name("PART")
        ->group(group);
    command
        .add_option("--rest", balance.rest, "Weight of coming to rest over the feet; 0: only do not fall [1]")
        ->type_name("WEIGHT")
        ->check(not_negative("a bare number of 0 or more"))
        ->group(group);
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
    command
        .add_option("--option", balance.options,
                    "NAME=VALUE: any option of the table in the manual, angles in degrees")
        ->type_name("OPTION")
        ->allow_extra_args(false)
        ->group(group);
    command.add_flag("--exact", balance.exact, "Solve to rounding instead of to a tenth of a per cent")
        ->group(group);
    command
        .add_flag("--thorough", balance.thorough,
                  "Slower, for pipelines: solve from a fixed list of starts, keep the best")
        ->group(group);
    command
        .add_option("--out", balance.out,
                    "Write the character with the corrected pose; without it only print")
        ->type_name("FILE")
        ->group("Results");
}

const char* const syntax_text = R"(
LOAD is one word, its parts set apart by commas:
  MASS        20kg, or 30% of the body's mass
  PLACE       left-hand, right-hand, hands (midway between the palms), back
              (the chest joint), or the name of a joint
  WAY=METRES  left, right, up, down, forward, behind: from there to the load's
              middle, as the hips face. hang=0.35: it hangs from there instead,
              its middle so far below
  level=PART  of the chest's turn that the arms give back under it
  frames=FIRST..LAST, pick-up=SECONDS, put-down=SECONDS
              with --frames: in which it is carried [all], and how long its
              weight takes to come over and to go [by its mass]. One of the same
              mass that starts on the frame after is the same, handed over

PULL is one word, too:
  FORCE       150N, steady, as a rope or a wind has it
  PLACE       as for a load; hands take half each
  WAY[=PART]  left, right, up, down, forward, behind: where it pulls to, as the
              hips face; of several the parts are added, as in forward,up=0.2

STANCE is PART=WORD, or several with commas between:
  PART        left-foot, right-foot, left-hand, right-hand, fore-left,
              fore-right, or the name of the joint at the limb's end
  WORD        bearing, held (keeps its place while its joints allow), free; or, for
              a foot that bears, flat, ball, heel
  WORD:FIRST..LAST
              with --frames: in these frames, as left-foot=flat:12..40. A limb
              that is spoken of stands in the given ranges alone
  PART        seat, left-knee, right-knee, left-elbow, right-elbow, or the name of
              any other joint: what is under it
  WORD        bearing: where its skin is lowest, or as thick as a body's part is; or
              so many METRES below its joint, as left-knee=0.06. A seat or a knee
              that bears keeps the hips where they are
)";

const char* const keep_text = R"(
--keep may be given several times. hips: no shift of the hips; turn: no turn of
the hips; spine; neck: the head rides along with the chest instead of being
kept level.
)";

const char* const read_exit_text = R"(
Exit status: 0 in balance, 1 out of balance, 2 wrong use or a file that cannot
be used.)";

const char* const balance_exit_text = R"(
Exit status: 0 brought into balance, 1 balance is out of reach or the solver
stopped before it was sure, 2 wrong use or a file that cannot be used.)";

const char* const inspect_text = R"(
Examples:
  What the beekeeper's figure is made of:
    aplomb inspect beekeeper.bvh
  The same as a file that can be edited and is found again beside the character:
    aplomb inspect beekeeper.bvh --mass 82 --write beekeeper.bvh.figure.json

Exit status: 0, 1 for a figure that cannot stand, 2 for wrong use or a file
that cannot be used.)";

const char* const read_text = R"(
Examples:
  Does the beekeeper stand with a full honey box at the belly?
    aplomb read beekeeper.bvh --frame 0 --load 22kg,hands
  What does the pose with the bucket of syrup read as?
    aplomb read beekeeper.bvh --frame 1 --load 12kg,right-hand,hang=0.35
  A shot: what stands, what falls, what the honey box reads as, on a page:
    aplomb read beekeeper_shots.glb --clip carry --frames all \
        --load 22kg,hands,frames=66..208 --page carry.html
  A hive on a back frame, drawn:
    aplomb read beekeeper.bvh --load 25kg,back,behind=0.25 --picture hive.svg
  The same on a page, with what the hive could weigh:
    aplomb read beekeeper.bvh --load 25kg,back,behind=0.25 --page hive.html
)";

const char* const balance_text = R"(
Examples:
  A full honey box at the belly, before and after in one picture:
    aplomb balance beekeeper.bvh --frame 0 --load 22kg,hands \
        --out box.bvh --picture box.svg
  A bucket of syrup that weighs a fifth of its carrier, hips as keyed:
    aplomb balance beekeeper.bvh --frame 1 \
        --load 20%,right-hand,hang=0.35 --keep hips --out bucket.bvh
  A hive on a back frame while the left foot is over a log:
    aplomb balance beekeeper.bvh --frame 2 --load 25kg,back,behind=0.25 \
        --out hive.bvh --picture hive.svg --page hive.html
  The bucket again, with seven tenths of the weight on the left foot:
    aplomb balance beekeeper.bvh --frame 1 --load 12kg,right-hand,hang=0.35 \
        --share left-foot=70%
  A whole shot, written once, with the control values of every frame as a table:
    aplomb balance beekeeper_shots.glb --clip carry --frames all \
        --load 22kg,hands,frames=66..208 --out carried.glb --csv > carried.csv
)";

} // namespace

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
    command.footer(std::string(syntax_text) + read_text + read_exit_text);
}

void add_balance_arguments(CLI::App& command, Arguments& arguments) {
    add_file(command, arguments.file);
    add_moment(command, arguments.moment);
    add_frames(command, arguments.moment);
    add_carrying(command, arguments.moment);
    add_ranges(command, arguments.moment);
    add_correction(command, arguments);
    add_correction_of_frames(command, arguments.balance);
    add_picture(command, arguments.moment);
    add_csv(command, arguments.moment);
    command.footer(std::string(syntax_text) + keep_text + balance_text + balance_exit_text);
}

} // namespace aplomb::cli

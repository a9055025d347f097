// SPDX-License-Identifier: MIT
#include "cli/arguments.h"

#include <CLI/CLI.hpp>

#include <map>

#include "aplomb/files.h"
#include "cli/numbers.h"
#include "cli/options.h"

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

void add_file(CLI::App& command, FileArguments& file, const char* name = "FILE",
              const char* about = "A character: glTF 2.0 (.gltf, .glb) or BVH (.bvh)") {
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
            "--loop over "
            "the seam, too: 40..5")
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

const char* const syntax_text = R"(
LOAD is one word, its parts set apart by commas:
  MASS        20kg, or 30% of the body's mass
  PLACE       left-hand, right-hand, hands (midway between the palms), back
              (the chest joint), or the name of a joint
  WAY=METRES  left, right, up, down, forward, behind: from there to the load's
              middle, as the hips face. hang=0.35: it hangs from there instead,
              its middle so far below
  size=AxBxC  metres across, high and deep [a third of the leg's length]
  level=PART  of the chest's turn that an arm gives back under it
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
kept level; or the name of a joint of spine, neck, head or shoulder girdle.
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
  Wind from the left; and a stool under the seat that bears, too:
    aplomb read beekeeper.bvh --pull 80N,back,right
    aplomb read beekeeper.bvh --stance seat=bearing --picture stool.svg
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
  A cart that both hands draw, and a rope that pulls the right one back:
    aplomb balance beekeeper.bvh --pull 120N,hands,behind,down=0.2 --page cart.html
    aplomb balance beekeeper.bvh --pull 150N,right-hand,behind --page rope.html
  A whole shot, written once, with the control values of every frame as a table:
    aplomb balance beekeeper_shots.glb --clip carry --frames all \
        --load 22kg,hands,frames=66..208 --out carried.glb --csv > carried.csv
  The same as a blocking pass, each key alone:
    aplomb balance beekeeper_shots.glb --clip carry --frames all --blocking \
        --load 22kg,hands,frames=66..208 --page blocked.html
)";

const char* const fit_text = R"(
PAIRS is a JSON file:
  { "aplomb_pairs": 1,
    "keyed": { "file": "keys.glb" }, "by_hand": { "file": "corrected.glb" },
    "pairs": [ { "clip": "honey box", "load": "22kg,hands" },
               { "keyed": { "clip": "lift", "frame": 3 },
                 "by_hand": { "clip": "lift by hand", "frame": 3 },
                 "load": ["5kg,left-hand", "5kg,right-hand"] } ] }
file, clip, frame and time of the keyed pose and of the one by hand: in "keyed" and
"by_hand" of a pair, else in the pair, else in those of the list, else in the list.
load, pull, stance, hold, share and gravity: as 'aplomb balance' takes them, of a
pair, else of the list. Files are named from the list's folder; all of them hold
the same figure. Pairs count from 0.

Examples:
  What eight corrected poses tell, and the next shot in that manner:
    aplomb fit pairs.json --out manner.json
    aplomb balance shot.glb --manner manner.json --load 22kg,hands --out done.glb

Exit status: 0, 1 where the pairs tell nothing, 2 for wrong use or a file that
cannot be used.)";

const char* const follow_text = R"(
CHAIN is one word, its parts set apart by commas:
  WHICH          tail, arm, neck, strap, antenna, ear, hair, belly: those that the
                 figure has; or JOINT..JOINT: the joints on the way out from the
                 first to the last
  kind=KIND      one of these words; its numbers hold where none are given
  stiffness=S    held out level it would sag by 1/S radians: tail 4, loose 2
  damping=PART   of critical: tail 35%
  limit=DEGREES  that a joint turns from its key
  own=PART       how much of the keyed motion drives it; 0: what --keyed differs
                 by alone [0 for chains with keys of their own, else 100%]
  rigid          driven as if it were stiff: for arms that are keyed stiff

LOAD is one word, as 'aplomb read --help' says. hang=METRES in one hand: it swings,
and that arm stays quiet. frames=FIRST..LAST: it arrives and leaves, and knees and
hips give; drop=METRES: it falls so far into the arms, which give first.

Examples:
  A fox's tail, loose, as tracks of its own in a further clip of the file:
    aplomb follow fox.glb --unit 0.01 --clip Walk --loop \
        --chain tail,stiffness=2,own=100%,rigid --out swings.glb --page swings.html
  A bucket of syrup on a walk, drawn:
    aplomb follow walk.bvh --load 12kg,right-hand,hang=0.35 --page bucket.html
  The same, over the feet, with the pull that the bucket really has:
    aplomb follow walk.bvh --load 12kg,right-hand,hang=0.35 --balance --out walks.bvh
  A box that falls 0.3 m into the arms in frame 24 and stays:
    aplomb follow standing.bvh --load 15kg,hands,frames=24..95,drop=0.3 --page box.html
  What a correction does to head and arms, as curves:
    aplomb follow corrected.bvh --keyed beekeeper.bvh --csv

Exit status: 0, 2 for wrong use or a file that cannot be used.)";

const char* const dots_text = R"(
Dots:
  crown, chin, neck, and left and right shoulder, elbow, wrist, hip, knee, ankle, toe: 6 or more of them, in pixels of
  the drawing, y down; left and right are the figure's own. A CSV has a line NAME,X,Y for each. A JSON has
    {"image": "lift.png", "build": "adult", "dots": {"crown": [412, 96], "left knee": [398, 640], ...}}
  and beside them, where they are known: build adult, child or toddler; stature in metres; mass in kg; size of the picture
  [width, height]; noise, how far a dot may be off, of the stature [0.01]; keep, how many answers at most [8]; camera: tilt
  (degrees that it looks down), angle (of view from top to bottom, degrees; without it parallel) and height in metres.
  A picture has no depth: both ways of each limb are tried, and what the answers leave open is said.

Examples:
  aplomb dots lift.json --image lift.png --picture over.svg
  aplomb dots lift.csv --load 15kg,hands --page lift.html --figure lift.bvh

Exit status: 0 in balance as drawn, 1 not, 2 wrong use.)";

const char* const timing_text = R"(
THING and what it needs:
  fall      --height. sqrt(2 height / gravity): free fall from rest
  bounce    --height --restitution [--count]. Each landing gives back this part of
            the speed, so its square of the height (Newton's law of restitution)
  pendulum  --length [--angle] [--frames]. 2 pi sqrt(length / gravity) / M(1,
            cos(angle / 2)), M the arithmetic-geometric mean (NIST Digital Library
            of Mathematical Functions, 19.8). --frames of a step: says when steps
            would feed the swing
  step      --leg --frames --other. frames sqrt(other / leg): equal Froude numbers
            (R. McN. Alexander and A. Jayes, J. Zool. 201, 1983)
  settle    --frequency --damping [--part]. The last time that a damped swing is so
            far out, of where it was let go from (by its last crossing)

Examples:
  A bucket that falls from a table, at 24 frames a second:
    aplomb timing fall --height 0.75
  A giant of 3.1 m legs walks as a man does in 24 frames a step:
    aplomb timing step --leg 0.9 --frames 24 --other 3.1

Exit status: 0, 2 for wrong use.)";

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

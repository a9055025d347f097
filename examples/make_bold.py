#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Six of the beekeeper's carries as an invented studio corrects them: boldly, and by hand, so unevenly by half a degree
and some millimetres. Writes bold.glb and the list of pairs, bold-pairs.json, for `aplomb fit`.

Usage: make_bold.py FOLDER, with the shared libraries beside the module or in APLOMB_LIBRARY."""

import json
import math
import os
import random
import sys

FOLDER = os.path.dirname(os.path.abspath(__file__))
# In the source, and as installed.
sys.path[:0] = [os.path.join(FOLDER, "..", "src", "python"), os.path.join(FOLDER, "..", "..", "..", "aplomb", "python")]
import aplomb

KEYED = os.path.join(FOLDER, "beekeeper.glb")
BOLD = {"trunk_fore": math.radians(17), "trunk_side": math.radians(20), "hips_side": 0.045, "give": 1.6, "hip_drop": 1.5,
        "free_arm": 1.7}
CARRIES = {  # per clip: kg, where, and from there up and forward in metres, or how far below it hangs
    "honey box": (22, "hands", (0, 0.03, 0.06), 0),
    "syrup bucket": (15, "right-hand", (0, 0, 0), 0.38),
    "hive": (20, "back", (0, 0.05, -0.28), 0),
    "over a log": (20, "back", (0, 0.05, -0.28), 0),
    "comb": (8, "hands", (0, 0.03, 0.06), 0),
    "standing": (12, "left-hand", (0, 0, 0), 0.3),
}


def word(kg, place, offset, hang):
    ways = "".join(",%s=%g" % (way, abs(value)) for way, value in (
        ("up", offset[1]), ("forward" if offset[2] > 0 else "behind", offset[2]), ("hang", hang)) if value)
    return "%gkg,%s%s" % (kg, place, ways)


def unsettle(character, pose, dice):
    """As a hand would: a little in the joints that a correction moves."""
    figure = character.figure
    for joint in range(figure.joint_count):
        info = figure.joint(joint)
        if info.role not in (aplomb.Role.HIPS, aplomb.Role.SPINE, aplomb.Role.UPPER_ARM, aplomb.Role.GIRDLE):
            continue
        half = [math.radians(dice.uniform(-0.5, 0.5)) / 2 for _ in range(3)]
        x, y, z, w = pose.rotations[4 * joint:4 * joint + 4]
        a, b, c = half
        turned = (x + a * w + b * z - c * y, y + b * w + c * x - a * z, z + c * w + a * y - b * x,
                  w - a * x - b * y - c * z)
        length = math.sqrt(sum(v * v for v in turned))
        pose.rotations[4 * joint:4 * joint + 4] = [v / length for v in turned]
    return pose


def main(folder):
    dice = random.Random(20)
    bold = aplomb.Options(**BOLD)
    out = os.path.join(folder, "bold.glb")
    pairs = []
    for name, (kg, place, offset, hang) in CARRIES.items():
        character = aplomb.Character(out if pairs else KEYED)
        clip = character.clips().index(name)
        seconds = character.key_times(clip)[0]
        load = character.figure.load(kg, place)
        load.offset = tuple(offset)
        load.hanging, load.hang = int(hang > 0), hang
        made = aplomb.Solver(character.figure).balance(aplomb.Situation(character.pose(clip, seconds), [load]), bold)
        character.write(out, unsettle(character, made.pose, dice), clip, seconds)
        pairs.append({"clip": name, "load": word(kg, place, offset, hang)})
    listed = {"aplomb_pairs": 1, "keyed": {"file": os.path.relpath(KEYED, folder)}, "by_hand": {"file": "bold.glb"},
              "pairs": pairs}
    with open(os.path.join(folder, "bold-pairs.json"), "w", encoding="utf-8") as file:
        json.dump(listed, file, indent=1)
        file.write("\n")


if __name__ == "__main__":
    if len(sys.argv) != 2:
        print(__doc__, file=sys.stderr)
        sys.exit(2)
    main(sys.argv[1])

#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Balances the first key of a character file under a load, writes the file, and checks what was written.

    APLOMB_LIBRARY=build/src python3 examples/balance_file.py CHARACTER KG HOLDER OUT
    APLOMB_LIBRARY=build/src python3 examples/balance_file.py examples/beekeeper.bvh 22 hands out/box.bvh

HOLDER: hands, left-hand, right-hand, or the name of a joint. Exit status: 0 the written pose carries the load in
balance, 1 it does not, 2 wrong use or a bad file."""

import difflib
import os
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "src", "python"))
import aplomb
from aplomb import Role, Side

SIDES = {"hands": (Side.LEFT, Side.RIGHT), "left-hand": (Side.LEFT,), "right-hand": (Side.RIGHT,)}


def holders(figure, word):
    """The joints that this word means."""
    if word in SIDES:
        joints = [figure.find_role(Role.HAND, side) for side in SIDES[word]]
    else:
        joints = [figure.find_joint(word)]
    if min(joints) < 0:
        names = list(SIDES) + [figure.name(joint) for joint in range(figure.joint_count)]
        near = difflib.get_close_matches(word, names, 3) or names
        raise LookupError("The figure has no '%s'; it has: %s." % (word, ", ".join(near)))
    return (joints + [-1])[:2]


def first_moment(character):
    """The first key of the first clip, or the pose without motion."""
    if not character.clips():
        return None, 0.0
    return 0, character.key_times(0)[0]


def kilograms(word):
    try:
        return float(word)
    except ValueError:
        raise ValueError("KG is '%s'; it must be a number." % word) from None


def main(path, mass, holder, out):
    character = aplomb.Character(path)
    solver = aplomb.Solver(character.figure)
    clip, seconds = first_moment(character)
    keyed = character.pose(clip, seconds)
    load = aplomb.Load(kilograms(mass), holders(character.figure, holder))
    situation = aplomb.Situation(keyed, [load])
    made = solver.balance(situation)
    print(made.explain())
    character.write(out, made.pose, clip, seconds)

    written = aplomb.Character(out).pose(clip, seconds)
    check = aplomb.Correction(character.figure, made.status, written, made.result)
    reading = solver.read_corrected(situation, check)
    print("%s: margin %.4f, %.4f was asked for; %s" % (
        out, reading.margin, reading.margin_asked, made.status.name.lower().replace("_", " ")))
    for sentence in reading.sentences():
        print("  " + sentence)
    return 0 if made.status == aplomb.Status.OK and reading.in_balance else 1


if __name__ == "__main__":
    if len(sys.argv) != 5:
        print(__doc__, file=sys.stderr)
        sys.exit(2)
    try:
        sys.exit(main(*sys.argv[1:]))
    except (aplomb.Error, LookupError, ValueError) as error:
        print(error, file=sys.stderr)
        sys.exit(2)

#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Balances the first key of a character file under a load, writes the file, and checks what was written.

    APLOMB_LIBRARY=build/src python3 examples/balance_file.py CHARACTER KG HOLDER OUT
    APLOMB_LIBRARY=build/src python3 examples/balance_file.py examples/beekeeper.bvh 22 hands out/box.bvh

HOLDER: hands, left-hand, right-hand, back, or the name of a joint. Exit status: 0 the written pose carries the load in
balance, 1 it does not, 2 wrong use or a bad file."""

import os
import sys

FOLDER = os.path.dirname(os.path.abspath(__file__))
# In the source, and as installed.
sys.path[:0] = [os.path.join(FOLDER, "..", "src", "python"), os.path.join(FOLDER, "..", "..", "..", "aplomb", "python")]
import aplomb


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
    load = character.figure.load(kilograms(mass), holder)
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
    except (aplomb.Error, ValueError) as error:
        print(error, file=sys.stderr)
        sys.exit(2)

#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""How far a figure leans against a hive on its back, for hives of 0 to 60 % of its weight. Needs Python 3.8 only.

    APLOMB_LIBRARY=build/src python3 examples/lean_table.py

Exit status: 0 if every heavier hive gets a deeper lean in balance, else 1. All numbers are invented."""

import math
import os
import sys

FOLDER = os.path.dirname(os.path.abspath(__file__))
# In the source, and as installed.
sys.path[:0] = [os.path.join(FOLDER, "..", "src", "python"), os.path.join(FOLDER, "..", "..", "..", "aplomb", "python")]
import aplomb

# name, parent, translation from the parent in metres; +Y is up, the figure faces +Z
JOINTS = [("hips", -1, (0, .93, .05)), ("spine", 0, (0, .12, 0)), ("chest", 1, (0, .2, 0)), ("head", 2, (0, .35, 0)),
          ("left_upper_arm", 2, (.19, .18, 0)), ("left_lower_arm", 4, (0, -.28, 0)), ("left_hand", 5, (0, -.27, 0)),
          ("right_upper_arm", 2, (-.19, .18, 0)), ("right_lower_arm", 7, (0, -.28, 0)),
          ("right_hand", 8, (0, -.27, 0)), ("left_thigh", 0, (.09, 0, 0)), ("left_shank", 10, (0, -.43, -.02)),
          ("left_foot", 11, (0, -.43, -.03)), ("right_thigh", 0, (-.09, 0, 0)), ("right_shank", 13, (0, -.43, -.02)),
          ("right_foot", 14, (0, -.43, -.03))]
BODY_MASS = 75.0


def lean_against(solver, keyed, mass):
    """The correction for a hive of this mass, and by how many degrees the trunk leans forward in it."""
    hives = [aplomb.Load(mass, solver.figure.find_joint("chest"), offset=(0, .05, -.25))] if mass > 0 else []
    situation = aplomb.Situation(keyed, hives)
    made = solver.balance(situation)
    return made, math.degrees(solver.read_corrected(situation, made).trunk_fore)


def main():
    names, parents, translations = zip(*JOINTS)
    figure = aplomb.Figure(parents, translations, names=names, total_mass=BODY_MASS)
    solver = aplomb.Solver(figure)
    keyed = figure.rest_pose()

    print("hive         lean forward   hips forward")
    leans, in_balance = [], True
    for part in range(0, 61, 10):
        made, lean = lean_against(solver, keyed, BODY_MASS * part / 100)
        forward = 100 * made.result.controls.hips_shift[2]
        print("%2d %% %4.1f kg   %6.1f degrees  %6.1f cm   %s" % (
            part, BODY_MASS * part / 100, round(lean, 1) + 0.0, round(forward, 1) + 0.0,  # no -0.0
            made.status.name.lower().replace("_", " ")))
        leans.append(lean)
        in_balance = in_balance and made.status == aplomb.Status.OK
    grows = all(lighter < heavier for lighter, heavier in zip(leans, leans[1:]))
    if not (grows and in_balance):
        print("The leans do not grow with the mass, or a pose is out of balance.", file=sys.stderr)
    return 0 if grows and in_balance else 1


if __name__ == "__main__":
    sys.exit(main())

#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Writes beekeeper_shots.glb: the lay figure of make_beekeeper.py in motion, 24 frames a second; and beekeeper_follow.glb,
for what follows from weight. Same bytes on every run.

    python3 examples/make_shots.py [FILE [FILE]]      # default: both beside this script

"carry": walks up to a hive, lifts a honey box off it, carries it over a log and sets it down on another. Keyed as one
does without thinking of weight: hips midway between the feet, trunk upright, the box as light as air.
"walk": two steps on the spot, heel first, that close to a loop.
In beekeeper_follow.glb, whose figure has an empty skep strapped to its back as a joint of its own:
"stroll": four steps, then it stands: a bucket swings and steadies, the skep lags and settles. Right arm straight down.
"catch": it stands with its arms out; a box falls into them at frame 24.
"""
import math
import pathlib
import sys

import make_beekeeper as figure
from make_beekeeper import ANKLE, BALL, HALF_STANCE, SIDES, add, product, scale, sub, turn, turned

RATE = 24
HEEL = (0, -ANKLE, -.042)  # where the foot's back edge meets the ground, from the ankle


def ease(part):
    part = min(1.0, max(0.0, part))
    return part ** 3 * (10 - 15 * part + 6 * part * part)


def mix(a, b, part):
    return a + (b - a) * part


class Step:
    """A foot in the air from frame `first` to `last`, to the place `to`; heel off before it and heel strike after."""

    def __init__(self, first, last, to, lift=.10, push=38.0, strike=18.0, roll=5):
        self.first, self.last, self.to, self.lift = first, last, to, lift
        self.push, self.strike, self.roll = push, strike, roll


class Foot:
    """Where one foot is in every frame: ankle, and how far its heel is up (degrees; below zero: its toes)."""

    def __init__(self, side, start, steps):
        self.side, self.start, self.steps = side, start, steps

    def about(self, z, pivot, pitch):
        """The ankle of a foot that stands at z and is pitched about a point of its sole."""
        flat = turn("y", SIDES[self.side] * 7.0)
        ankle = (SIDES[self.side] * HALF_STANCE, ANKLE, z)
        return add(add(ankle, turned(flat, pivot)), turned(product(flat, turn("x", pitch)), scale(pivot, -1.0)))

    def at(self, frame):
        z = self.start
        for step in self.steps:
            if frame <= step.first:
                pitch = step.push * ease((frame - step.first + step.roll) / step.roll) if step.push else 0.0
                return self.about(z, BALL, pitch), pitch
            if frame < step.last:
                part = (frame - step.first) / (step.last - step.first)
                moved = ease(part)
                start = self.about(z, BALL, step.push)
                end = self.about(step.to, HEEL, -step.strike)
                ankle = tuple(mix(a, b, moved) for a, b in zip(start, end))
                up = step.lift * (4 * part * (1 - part)) ** 2
                return add(ankle, (0, up, 0)), mix(step.push, -step.strike, moved)
            z = step.to
            landing = 4
            if frame < step.last + landing and step.strike:
                pitch = -step.strike * (1 - ease((frame - step.last) / landing))
                return self.about(z, HEEL, pitch), pitch
        return self.about(z, HEEL, 0.0), 0.0

    def ground(self, frame):
        """Where it is on its way, for what is to be midway between the feet."""
        z = self.start
        for step in self.steps:
            if frame <= step.first:
                return z
            if frame < step.last:
                return mix(z, step.to, (frame - step.first) / (step.last - step.first))
            z = step.to
        return z


def smoothed(values, reach, close=False):
    """The mean of so many frames on either side; a loop goes on at its ends, others stand still there."""
    count = len(values)

    def at(k):
        return values[k % count] if close else values[min(count - 1, max(0, k))]
    return [sum(at(k + d) for d in range(-reach, reach + 1)) / (2 * reach + 1) for k in range(count)]


def lowered(values, reach, close=False):
    """The lowest nearby, smoothed: never above what is given."""
    count = len(values)

    def at(k):
        return values[k % count] if close else values[min(count - 1, max(0, k))]
    low = [min(at(k + d) for d in range(-2 * reach, 2 * reach + 1)) for k in range(count)]
    return smoothed(smoothed(low, reach, close), reach, close)


def legs_allow(feet, frame, ahead):
    """The height of hips at which no knee is straighter than 8 degrees."""
    return min(figure.hips_height(8.0, (HALF_STANCE, foot.at(frame)[0][1], foot.at(frame)[0][2]), ahead)
               for foot in feet.values())


def set_feet(pose, feet, frame):
    for side, foot in feet.items():
        ankle, pitch = foot.at(frame)
        airborne = any(step.first < frame < step.last for step in foot.steps)
        pose.foot(side, ankle, heel_up=pitch, toes_flat=pitch > 0 and not airborne)
        if airborne and pitch > 0:  # the toes come along as the foot leaves
            step = next(step for step in foot.steps if step.first < frame < step.last)
            part = (frame - step.first) / (step.last - step.first)
            pose.turns[side + "_toe"] = product(turn("y", SIDES[side] * 7.0), turn("x", pitch * ease(3 * part)))


def swing_arms(pose, lead):
    """`lead`: how far the left foot is ahead of the right one, metres; arms swing against it."""
    for side, sign in SIDES.items():
        turned_forward = .07 - .6 * sign * lead
        figure.arm_hangs(pose, side, ahead=.530 * math.sin(turned_forward), down=.530 * math.cos(turned_forward))


# ---- A honey box over a log -------------------------------------------------------------------------

LIFT, LOG_HEIGHT = 51, .20
# Frames at which: hands are on the box; it is at the belly; it is lowered again; it stands; arms hang.
REACHED, HELD, LOWERS, STANDS, AWAY = 66, 84, 190, 208, 226
CARRY_FRAMES = 241
HANDS = {"left": 1, "right": 1}


def carry_feet():
    gentle = {"push": 30.0, "strike": 10.0}
    over = {"lift": .26, "push": 34.0, "strike": 0.0}
    left = [Step(10, 21, .32), Step(34, 45, .64, strike=8.0),
            Step(102, 115, 1.42, **gentle), Step(140, 158, 1.98, **over)]
    right = [Step(22, 33, .64, strike=12.0),
             Step(88, 101, 1.04, **gentle), Step(116, 129, 1.42, **gentle), Step(160, 178, 1.98, **over)]
    return {"left": Foot("left", 0.0, left), "right": Foot("right", 0.0, right)}


def squat_at(frame):
    """0 upright, 1 down at the hive."""
    down = ease((frame - LIFT) / (REACHED - 2 - LIFT)) * (1 - ease((frame - REACHED - 2) / (HELD - REACHED)))
    again = ease((frame - LOWERS) / (STANDS - LOWERS)) * (1 - ease((frame - STANDS - 4) / (AWAY - STANDS)))
    return down + again


def carry():
    feet = carry_feet()
    frames = range(CARRY_FRAMES)
    middle = [sum(foot.ground(f) for foot in feet.values()) / 2 for f in frames]
    hips = [figure.AHEAD + z for z in smoothed(smoothed(middle, 4), 3)]
    height = lowered([legs_allow(feet, f, hips[f]) for f in frames], 3)
    lead = smoothed([feet["left"].ground(f) - feet["right"].ground(f) for f in frames], 3)
    poses = []
    for f in frames:
        squat = squat_at(f)
        pose = figure.Pose((0, height[f] - .270 * squat, hips[f] - .090 * squat), 28.0 * squat)
        set_feet(pose, feet, f)
        at_hive = STANDS if f > HELD else REACHED
        hive = (.170, .700, middle[at_hive] + .380)  # where the hands take hold of the box
        belly = (.170, pose.hips[1] + .085, pose.hips[2] + .205)
        there = ease((f - LIFT - 4) / (REACHED - LIFT - 4)) * (1 - ease((f - REACHED - 2) / (HELD - REACHED)))
        there += ease((f - LOWERS) / (STANDS - LOWERS)) * (1 - ease((f - STANDS - 2) / (AWAY - STANDS)))
        wrist = tuple(mix(a, b, there) for a, b in zip(belly, hive))
        holds = ease((f - LIFT) / (REACHED - LIFT)) * (1 - ease((f - STANDS - 2) / (AWAY - STANDS - 2)))
        swing_arms(pose, lead[f] if f < LIFT else 0.0)
        hangs = {side: pose.place_of(side + "_hand") for side in SIDES}
        hanging = {side: pose.turn_of(side + "_hand") for side in SIDES}
        figure.hold_before(pose, wrist)
        if holds < 1:
            blend_hands(pose, hangs, hanging, holds)
        poses.append(pose)
    return poses


def blend_hands(pose, hangs, hanging, holds):
    """Hands on their way between hanging and the box."""
    for side in SIDES:
        held = pose.place_of(side + "_hand")
        place = tuple(mix(a, b, holds) for a, b in zip(hangs[side], held))
        turns = figure.blended(hanging[side], pose.turn_of(side + "_hand"), holds)
        elbow = (mix(.3, .45, holds), -.3 * holds, -1)
        pose.hand(side, (SIDES[side] * place[0], place[1], place[2]), (0, -1, 0), (-1, 0, 0), elbow)
        pose.turns[side + "_hand"] = turns
        closing = turn("z", -SIDES[side] * mix(22, 10, holds))
        pose.turns[side + "_fingers"] = product(turns, closing)


# ---- A walk on the spot -----------------------------------------------------------------------------

STRIDE, STEP_FRAMES = 1.20, 14  # metres of two steps; frames of one
STRIKES_AHEAD = .27


def walk():
    """Frame 0 is where the left heel strikes; the ground runs back under the figure."""
    count = 2 * STEP_FRAMES
    air = 11  # frames in which a foot is off the ground

    def steps(shift):
        return [Step(shift + k * count - air, shift + k * count, (shift / count + k) * STRIDE) for k in range(-1, 4)]
    feet = {side: Foot(side, (shift / count - 2) * STRIDE, steps(shift))
            for side, shift in (("left", 0), ("right", STEP_FRAMES))}
    speed = STRIDE / count

    def on_the_spot(f):
        moved = {}
        for side, foot in feet.items():
            ankle, pitch = foot.at(f)
            moved[side] = (sub(ankle, (0, 0, speed * f - STRIKES_AHEAD)), pitch)
        return moved

    class Still:
        def __init__(self, side):
            self.side, self.steps = side, feet[side].steps

        def at(self, f):
            return on_the_spot(f)[self.side]
    still = {side: Still(side) for side in SIDES}
    height = lowered([legs_allow(still, f, figure.AHEAD) for f in range(count)], 2, close=True)
    poses = []
    for f in list(range(count)) + [0]:
        pose = figure.Pose((0, height[f], figure.AHEAD))
        set_feet(pose, still, f)
        swing_arms(pose, .30 * math.cos(2 * math.pi * f / count))
        poses.append(pose)
    return poses


# ---- What follows from weight ------------------------------------------------------------------------

STROLL_STEP, STROLL_FRAMES, CATCH_FRAMES = .50, 121, 73


def stroll():
    """A second of standing, then four steps of 13 frames and back to standing."""
    rolls = {"push": 30.0, "strike": 12.0}
    left = [Step(24, 35, STROLL_STEP, **rolls), Step(50, 61, 3 * STROLL_STEP, **rolls)]
    right = [Step(37, 48, 2 * STROLL_STEP, **rolls), Step(63, 74, 3 * STROLL_STEP, push=24.0, strike=0.0)]
    feet = {"left": Foot("left", 0.0, left), "right": Foot("right", 0.0, right)}
    frames = range(STROLL_FRAMES)
    middle = [sum(foot.ground(f) for foot in feet.values()) / 2 for f in frames]
    hips = [figure.AHEAD + z for z in smoothed(smoothed(middle, 4), 3)]
    height = lowered([legs_allow(feet, f, hips[f]) for f in frames], 3)
    lead = smoothed([feet["left"].ground(f) - feet["right"].ground(f) for f in frames], 3)
    poses = []
    for f in frames:
        pose = figure.Pose((0, height[f], hips[f]))
        set_feet(pose, feet, f)
        swing_arms(pose, lead[f])
        figure.arm_hangs(pose, "right", out=.190, ahead=.02, down=.505)
        poses.append(pose)
    return poses


def catch():
    """It looks up to what comes and holds its arms out for it, stiff."""
    poses = []
    for f in range(CATCH_FRAMES):
        out = ease((f - 2) / 14)
        pose = figure.stand()
        figure.hold_before(pose, (.170, mix(pose.hips[1] + .02, pose.hips[1] + .13, out), mix(.14, .30, out)))
        pose.turns["head"] = turn("x", -14.0 * out * (1 - .6 * ease((f - 26) / 12)))
        poses.append(pose)
    return poses


def with_skep():
    """The lay figure once more, with a beehive of coiled straw on its back that hangs by its straps."""
    figure.REST["skep"] = ("spine_3", (0, 1.400, -.125))
    figure.REST["skep_end"] = ("skep", (0, 1.020, -.235))
    figure.JOINTS = [name for name in figure.REST if not name.endswith("_end")]
    plain = figure.lay_figure

    def lay_figure():
        mesh = plain()
        coil, profile = 9, [(0, 0), (0.005, .150)]
        for k in range(coil):
            wide = .172 * math.sqrt(1 - (.86 * k / coil) ** 2)
            profile += [((k + .15) / coil * .98 + .01, wide), ((k + .5) / coil * .98 + .01, wide + .008),
                        ((k + .85) / coil * .98 + .01, wide)]
        profile.append((1, 0))
        figure.turned_piece(mesh, (0, .990, -.300), (0, 1.440, -.275), profile, figure.on("skep"), 22)
        return mesh
    figure.lay_figure = lay_figure


# ---- The file ---------------------------------------------------------------------------------------


def channel(file, joint, path, kind, rows, times):
    """One key where nothing moves."""
    rows = rows if any(row != rows[0] for row in rows) else rows[:1]
    return {"joint": joint, "path": path, "input": times(len(rows)), "output": file.numbers(kind, figure.FLOAT, rows)}


def continuous(turns):
    """Signs such that a quaternion never jumps to its opposite."""
    for before, now in zip(turns, turns[1:]):
        if sum(a * b for a, b in zip(before, now)) < 0:
            now[:] = [-x for x in now]
    return turns


def animation(file, name, poses):
    made = {}

    def times(count):
        if count not in made:
            made[count] = file.numbers("SCALAR", figure.FLOAT, [(k / RATE,) for k in range(count)], True)
        return made[count]
    rows = [channel(file, "hips", "translation", "VEC3", [pose.hips for pose in poses], times)]
    for joint in figure.JOINTS[1:]:
        turns = continuous([figure.quaternion(pose.local(joint)) for pose in poses])
        rows.append(channel(file, joint, "rotation", "VEC4", [tuple(q) for q in turns], times))
    names = list(figure.REST)
    return {"name": name,
            "samplers": [{"input": row["input"], "output": row["output"]} for row in rows],
            "channels": [{"sampler": k, "target": {"node": names.index(row["joint"]), "path": row["path"]}}
                         for k, row in enumerate(rows)]}


def write(target, shots):
    size = figure.write(target, lambda mesh, file: [animation(file, name, poses) for name, poses in shots.items()],
                        "make_shots.py of Aplomb")
    print("%s: %s frames, %d bytes" %
          (target.name, ", ".join("%s %d" % (name, len(poses)) for name, poses in shots.items()), size))


def main():
    beside = pathlib.Path(__file__)
    targets = [pathlib.Path(argument) for argument in sys.argv[1:3]]
    write(targets[0] if targets else beside.with_name("beekeeper_shots.glb"), {"carry": carry(), "walk": walk()})
    if len(targets) == 1:
        return
    with_skep()
    write(targets[1] if targets else beside.with_name("beekeeper_follow.glb"), {"stroll": stroll(), "catch": catch()})


if __name__ == "__main__":
    main()

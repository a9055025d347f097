#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Writes beekeeper.glb: an artist's wooden lay figure in a beekeeper's hat, 1.72 m without it, with a skin, a
camera and keyed poses. Every measure is invented for this project, by eye. Same bytes on every run.

    python3 examples/make_beekeeper.py [FILE]      # default: beekeeper.glb beside this script

The poses are keyed as one does without thinking of weight: trunk upright, feet on y = 0. Metres, +Y up, +Z forward,
left is +X. At rest all joints are unturned and the arms hang.
"""
import json
import math
import pathlib
import struct
import sys

# ---- Vectors and turns (3x3, rows) ------------------------------------------------------------------


def add(a, b):
    return tuple(x + y for x, y in zip(a, b))


def sub(a, b):
    return tuple(x - y for x, y in zip(a, b))


def scale(a, s):
    return tuple(x * s for x in a)


def dot(a, b):
    return sum(x * y for x, y in zip(a, b))


def cross(a, b):
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def unit(a):
    return scale(a, 1 / math.sqrt(dot(a, a)))


def across(a, axis):
    """The unit vector nearest to `a` that stands square on the unit vector `axis`."""
    return unit(sub(a, scale(axis, dot(a, axis))))


def turned(m, v):
    return tuple(dot(row, v) for row in m)


def product(a, b):
    return tuple(tuple(dot(row, column) for column in zip(*b)) for row in a)


def transposed(m):
    return tuple(zip(*m))


def turn(axis, degrees):
    """About X, Y or Z, right-handed; about X positive bends forward."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return {"x": ((1, 0, 0), (0, c, -s), (0, s, c)), "y": ((c, 0, s), (0, 1, 0), (-s, 0, c)),
            "z": ((c, -s, 0), (s, c, 0), (0, 0, 1))}[axis]


UNTURNED = turn("x", 0)


def carry(from_axis, from_side, to_axis, to_side):
    """The turn that takes one axis and side to another."""
    def frame(axis, side):
        axis = unit(axis)
        side = across(side, axis)
        return transposed((axis, side, cross(axis, side)))
    return product(frame(to_axis, to_side), transposed(frame(from_axis, from_side)))


def quaternion(m):
    """x, y, z, w; largest component first, so that no half turn divides by nothing."""
    trace = m[0][0] + m[1][1] + m[2][2]
    squares = [1 + 2 * m[i][i] - trace for i in range(3)] + [1 + trace]
    k = max(range(4), key=lambda i: squares[i])
    if k == 3:
        q = [m[2][1] - m[1][2], m[0][2] - m[2][0], m[1][0] - m[0][1], squares[3]]
    else:
        i, j = (k + 1) % 3, (k + 2) % 3
        q = [0.0] * 4
        q[k], q[i], q[j] = squares[k], m[i][k] + m[k][i], m[j][k] + m[k][j]
        q[3] = m[j][i] - m[i][j]
    size = math.copysign(math.sqrt(sum(x * x for x in q)), q[3] if q[3] != 0 else 1)
    return [x / size for x in q]


def blended(a, b, part):
    """The turn that lies so far on the shortest way from one to the other."""
    way = quaternion(product(b, transposed(a)))
    half = math.acos(min(1.0, way[3]))
    if half < 1e-9:
        return a
    axis = unit(way[:3])
    c, s = math.cos(2 * half * part), math.sin(2 * half * part)
    rows = []
    for column in ((1, 0, 0), (0, 1, 0), (0, 0, 1)):
        along = scale(axis, dot(axis, column) * (1 - c))
        rows.append(add(add(scale(column, c), scale(cross(axis, column), s)), along))
    return product(transposed(rows), a)


# ---- Joints -----------------------------------------------------------------------------------------

UPPER_ARM, LOWER_ARM, THIGH, SHANK, ANKLE = .283, .262, .420, .415, .075
BALL = (0, -.049, .130)  # of the foot, from the ankle
ARM = unit((.12, -1, 0))  # the left one at rest
SIDES = {"left": 1, "right": -1}


def joints():
    """name: (parent, place at rest in the world); those in *_end mark where a last segment ends."""
    rest = {"root": (None, (0, 0, 0)), "hips": ("root", (0, .955, 0)), "spine_1": ("hips", (0, 1.03, -.005)),
            "spine_2": ("spine_1", (0, 1.14, 0)), "spine_3": ("spine_2", (0, 1.26, -.005)),
            "neck": ("spine_3", (0, 1.465, -.010)), "head": ("neck", (0, 1.555, .010)),
            "head_end": ("head", (0, 1.72, .010))}
    for side, sign in SIDES.items():
        def limb(first, *rows):
            parent, place = first, None
            for name, step in rows:
                step = (sign * step[0], step[1], step[2])
                place = step if place is None else add(place, step)
                rest[side + name] = (parent, place)
                parent = side + name
        limb("spine_3", ("_clavicle", (.03, 1.425, .015)), ("_upper_arm", (.15, -.015, -.025)),
             ("_lower_arm", scale(ARM, UPPER_ARM)), ("_hand", scale(ARM, LOWER_ARM)),
             ("_fingers", scale(ARM, .095)), ("_fingers_end", scale(ARM, .090)))
        limb("hips", ("_thigh", (.092, ANKLE + SHANK + THIGH, 0)), ("_shank", (0, -THIGH, 0)),
             ("_foot", (0, -SHANK, 0)), ("_toe", BALL), ("_toe_end", (0, -.016, .072)))
    return rest


REST = joints()
JOINTS = [name for name in REST if not name.endswith("_end")]

# ---- The turned pieces ------------------------------------------------------------------------------


class Mesh:
    """Closed pieces; each vertex has a place, a normal and up to four (joint, weight)."""

    def __init__(self):
        self.places, self.normals, self.weights, self.triangles = [], [], [], []

    def piece(self, rings, poles, weigh):
        """Rings of the same count from one pole to the other; outside is made counter-clockwise."""
        first, count = len(self.places), len(rings[0])
        places = [poles[0]] + [place for ring in rings for place in ring] + [poles[1]]
        last = len(places) - 1
        faces = []
        for i in range(count):
            j = (i + 1) % count
            faces.append((0, 1 + j, 1 + i))
            for r in range(len(rings) - 1):
                a, b = 1 + r * count, 1 + (r + 1) * count
                faces += [(a + i, a + j, b + i), (a + j, b + j, b + i)]
            faces.append((last, last - count + i, last - count + j))
        self.closed(first, places, faces, weigh)

    def ring(self, radius, thickness, centre, weigh, count=24, around=8):
        """A torus about the vertical."""
        places, faces = [], []
        for i in range(count):
            for k in range(around):
                a, b = 2 * math.pi * i / count, 2 * math.pi * k / around
                out = radius + thickness * math.cos(b)
                places.append(add(centre, (out * math.sin(a), thickness * math.sin(b), out * math.cos(a))))
                p, q = i * around, (i + 1) % count * around
                n = (k + 1) % around
                faces += [(p + k, q + k, p + n), (q + k, q + n, p + n)]
        self.closed(len(self.places), places, faces, weigh)

    def closed(self, first, places, faces, weigh):
        volume = sum(dot(places[a], cross(places[b], places[c])) for a, b, c in faces)
        if volume < 0:
            faces = [(a, c, b) for a, b, c in faces]
        normals = [(0, 0, 0)] * len(places)
        for face in faces:
            a, b, c = (places[k] for k in face)
            square = cross(sub(b, a), sub(c, a))  # as long as twice the area: large faces count more
            for k in face:
                normals[k] = add(normals[k], square)
        self.places += places
        self.normals += [unit(n) for n in normals]
        self.weights += [weigh(place) for place in places]
        self.triangles += [tuple(first + k for k in face) for face in faces]


def on(joint):
    return lambda place: [(joint, 1.0)]


def between(*steps):
    """Blends along the height: (height, joint) from low to high."""
    def weigh(place):
        for (low, below), (high, above) in zip(steps, steps[1:]):
            if place[1] < high:
                part = max(0.0, (place[1] - low) / (high - low))
                part = part * part * (3 - 2 * part)
                return [(below, 1 - part), (above, part)]
        return [(steps[-1][1], 1.0)]
    return weigh


def turned_piece(mesh, start, end, profile, weigh, count=16, flat=(1, 1), side=(1, 0, 0), bow=(0, 0, 0)):
    """Turned on the line from start to end: profile of (part of the length, radius); `flat` scales the radius along
    `side` and square to it; `bow` moves each ring, most in the middle."""
    axis = unit(sub(end, start))
    length = math.sqrt(dot(sub(end, start), sub(end, start)))
    u = across(side, axis)
    v = cross(axis, u)

    def centre(part):
        return add(add(start, scale(axis, part * length)), scale(bow, 4 * part * (1 - part)))
    rings = []
    for part, radius in profile[1:-1]:
        angles = [2 * math.pi * k / count for k in range(count)]
        rings.append([add(centre(part), add(scale(u, radius * flat[0] * math.cos(a)),
                                            scale(v, radius * flat[1] * math.sin(a)))) for a in angles])
    mesh.piece(rings, (centre(profile[0][0]), centre(profile[-1][0])), weigh)


def egg(mesh, centre, radii, weigh, count=16, rings=7, lean=0.0):
    """An ellipsoid; `lean` moves its foot forward and its crown back (a chin)."""
    def row(k):
        a = math.pi * k / (rings + 1)
        y, r = -math.cos(a), math.sin(a)
        return [add(centre, (radii[0] * r * math.cos(b), radii[1] * y, radii[2] * r * math.sin(b) - lean * y))
                for b in (2 * math.pi * i / count for i in range(count))]
    low, high = add(centre, (0, -radii[1], lean)), add(centre, (0, radii[1], -lean))
    mesh.piece([row(k) for k in range(1, rings + 1)], (low, high), weigh)


def layered(mesh, rows, weigh, count=20):
    """Level ellipses: (height, half breadth, half depth, forward); the first and last row are points."""
    angles = [2 * math.pi * k / count for k in range(count)]
    rings = [[(x * math.cos(a), y, z * math.sin(a) + ahead) for a in angles] for y, x, z, ahead in rows[1:-1]]
    poles = [(0, rows[k][0], rows[k][3]) for k in (0, -1)]
    mesh.piece(rings, poles, weigh)


def wedge(mesh, ankle, rows, ends, weigh, count=16):
    """A foot: sections across it, (forward, half breadth, lowest, highest), flat below and round above."""
    rings = []
    for ahead, half, low, high in rows:
        ring = []
        for k in range(count):
            c, s = (f(2 * math.pi * (k + .5) / count) for f in (math.cos, math.sin))
            middle = low + .35 * (high - low)
            if s > 0:
                y = middle + (high - middle) * s
            else:  # a flattened curve, cut off by the ground
                y = max(low, middle - 1.2 * (middle - low) * math.sqrt(-s))
            ring.append(add(ankle, (half * math.copysign(abs(c) ** .7, c), y - ANKLE, ahead)))
        rings.append(ring)
    mesh.piece(rings, [add(ankle, (0, y - ANKLE, ahead)) for ahead, y in ends], weigh)


BAR = [(0, 0), (.015, .6), (.06, .9), (.2, 1), (.4, 1), (.6, .95), (.8, .85), (.94, .75), (.985, .5), (1, 0)]


def bar(mesh, start, end, thick, thin, weigh, **more):
    """A rounded limb piece that tapers from thick to thin."""
    profile = [(part, shape * (thick + (thin / .8 - thick) * part)) for part, shape in BAR]
    turned_piece(mesh, start, end, profile, weigh, **more)


def trunk(mesh):
    layered(mesh, [(.835, 0, 0, 0), (.842, .06, .05, 0), (.865, .115, .085, 0), (.905, .155, .108, -.004),
                   (.945, .163, .112, -.006), (.985, .150, .102, -.004), (1.015, .118, .080, 0),
                   (1.030, .060, .045, 0), (1.034, 0, 0, 0)],
            between((.985, "hips"), (1.10, "spine_1")), 22)
    layered(mesh, [(.955, 0, 0, 0), (.962, .06, .05, 0), (.985, .105, .080, 0), (1.03, .124, .092, 0),
                   (1.08, .128, .095, 0), (1.13, .126, .093, 0), (1.175, .112, .084, 0), (1.205, .07, .055, 0),
                   (1.212, 0, 0, 0)],
            between((.970, "hips"), (1.055, "spine_1"), (1.14, "spine_2"), (1.21, "spine_3")), 22)
    layered(mesh, [(1.120, 0, 0, 0), (1.127, .055, .045, 0), (1.150, .100, .076, .002), (1.20, .140, .102, .006),
                   (1.265, .164, .116, .010), (1.33, .174, .118, .008), (1.38, .166, .106, .002),
                   (1.42, .135, .084, -.004), (1.448, .085, .062, -.008), (1.465, .04, .034, -.010),
                   (1.469, 0, 0, -.010)],
            between((1.10, "spine_2"), (1.22, "spine_3")), 22)


def head(mesh):
    turned_piece(mesh, (0, 1.425, -.016), (0, 1.585, .014),
                 [(0, 0), (.02, .04), (.15, .056), (.4, .050), (.7, .049), (.97, .045), (1, 0)],
                 between((1.435, "spine_3"), (1.49, "neck"), (1.56, "head")))
    egg(mesh, (0, 1.605, .026), (.076, .115, .094), on("head"), 20, 9, .022)
    egg(mesh, (0, 1.598, .121), (.011, .024, .014), on("head"), 8, 3, .006)
    # The hat: a broad brim that droops a little, a low crown, and the veil rolled up on it.
    brim = [(1.652, 0, 0), (1.652, .06, .07), (1.652, .110, .122), (1.641, .205, .218), (1.645, .213, .226),
            (1.651, .207, .220), (1.668, .112, .124), (1.690, .101, .114), (1.738, .095, .106),
            (1.775, .080, .090), (1.790, .045, .052), (1.793, 0, 0)]
    layered(mesh, [row + (.008,) for row in brim], on("head"), 28)
    mesh.ring(.116, .017, (0, 1.683, .008), on("head"))


def arm(mesh, side, sign):
    def at(joint, part=0.0):
        _, place = REST[side + joint]
        return add(place, scale((sign * ARM[0], ARM[1], 0), part))
    bar(mesh, add(at("_clavicle"), (0, -.012, -.01)), add(at("_upper_arm"), (sign * -.01, 0, 0)), .050, .048,
        on(side + "_clavicle"), count=12)
    egg(mesh, at("_upper_arm"), (.056, .058, .056), on(side + "_upper_arm"), 14, 6)
    bar(mesh, at("_upper_arm", .010), at("_upper_arm", UPPER_ARM - .010), .050, .036, on(side + "_upper_arm"),
        count=14)
    egg(mesh, at("_lower_arm"), (.039, .040, .040), on(side + "_lower_arm"), 12, 5)
    bar(mesh, at("_lower_arm", .012), at("_lower_arm", LOWER_ARM - .008), .042, .026, on(side + "_lower_arm"),
        count=14)
    egg(mesh, at("_hand"), (.026, .027, .028), on(side + "_hand"), 10, 4)
    mitten = [(0, 0), (.03, .45), (.2, .85), (.5, 1), (.8, .95), (.96, .55), (1, 0)]
    for joint, start, end in (("_hand", .008, .112), ("_fingers", -.010, .090)):
        turned_piece(mesh, at(joint, start), at(joint, end), [(p, .043 * r) for p, r in mitten], on(side + joint), 12,
                     flat=(.40, 1))
    thumb = at("_hand", .030)
    bar(mesh, add(thumb, (0, 0, .022)), add(thumb, (sign * -.012, -.060, .058)), .014, .011, on(side + "_hand"),
        count=8)


def leg(mesh, side):
    def at(joint, *step):
        return add(REST[side + joint][1], step or (0, 0, 0))
    egg(mesh, at("_thigh"), (.078, .080, .082), on(side + "_thigh"), 14, 6)
    bar(mesh, at("_thigh", 0, -.008, 0), at("_shank", 0, .012, 0), .083, .052, on(side + "_thigh"), bow=(0, 0, .008))
    egg(mesh, at("_shank"), (.052, .056, .056), on(side + "_shank"), 14, 6)
    bar(mesh, at("_shank", 0, -.015, 0), at("_foot", 0, .012, 0), .057, .034, on(side + "_shank"), bow=(0, 0, -.012))
    egg(mesh, at("_foot"), (.037, .038, .040), on(side + "_foot"), 12, 5)
    # The foot's front end is round about the ball, so that it rolls there on tiptoe.
    wedge(mesh, at("_foot"), [(-.052, .020, .004, .034), (-.042, .031, 0, .056), (-.022, .037, 0, .082),
                              (.012, .039, 0, .098), (.050, .043, 0, .086), (.090, .049, 0, .066),
                              (.130, .052, 0, .052), (.145, .047, .006, .046)], ((-.057, .018), (.155, .026)),
          on(side + "_foot"))
    wedge(mesh, at("_foot"), [(.110, .040, .006, .040), (.122, .048, 0, .046), (.150, .051, 0, .045),
                              (.178, .045, 0, .038), (.196, .029, .002, .030)], ((.104, .022), (.203, .014)),
          on(side + "_toe"))


def lay_figure():
    mesh = Mesh()
    trunk(mesh)
    head(mesh)
    for side, sign in SIDES.items():
        arm(mesh, side, sign)
        leg(mesh, side)
    return mesh


# ---- Poses ------------------------------------------------------------------------------------------


class Pose:
    """Turns in the world and the place of the hips; what is not set goes with its parent."""

    def __init__(self, hips, bend=0.0):
        self.hips = hips
        self.turns = {"hips": turn("x", .4 * bend)}
        for k in (1, 2, 3):
            self.turns["spine_%d" % k] = turn("x", (.4 + .2 * k) * bend)
        self.turns["neck"] = turn("x", .5 * bend)
        self.turns["head"] = turn("x", .2 * bend)

    def turn_of(self, joint):
        if joint in self.turns:
            return self.turns[joint]
        parent = REST[joint][0]
        return self.turn_of(parent) if parent else UNTURNED

    def place_of(self, joint):
        if joint in ("root", "hips"):
            return self.hips if joint == "hips" else (0, 0, 0)
        parent, place = REST[joint]
        return add(self.place_of(parent), turned(self.turn_of(parent), sub(place, REST[parent][1])))

    def reach(self, names, end, pole, hinge):
        """Sets both spans of a limb so that its end is at a place and its middle points to `pole`. At rest the left
        axis is the limb's hinge; `hinge` is 1 where the middle points back from it (elbows), -1 forward (knees)."""
        upper, lower, last = names
        start, rest = self.place_of(upper), [REST[name][1] for name in names]
        spans = [sub(rest[1], rest[0]), sub(rest[2], rest[1])]
        a, b = (math.sqrt(dot(s, s)) for s in spans)
        line = sub(end, start)
        d = math.sqrt(dot(line, line))
        assert abs(a - b) < d < a + b, (names, "cannot reach", d)
        along = (a * a - b * b + d * d) / (2 * d)
        aside = math.sqrt(a * a - along * along)
        axis = unit(line)
        middle = add(start, add(scale(axis, along), scale(across(pole, axis), aside)))
        side = scale(cross(axis, across(pole, axis)), hinge)
        self.turns[upper] = carry(spans[0], (1, 0, 0), sub(middle, start), side)
        self.turns[lower] = carry(spans[1], (1, 0, 0), sub(end, middle), side)
        assert math.dist(self.place_of(last), end) < 1e-9
        assert self.turns[upper][0][0] > .5, (upper, "is twisted round")

    def foot(self, side, ankle, toe_out=7.0, heel_up=0.0, toes_flat=False):
        flat = turn("y", SIDES[side] * toe_out)
        self.reach([side + n for n in ("_thigh", "_shank", "_foot")], ankle, turned(flat, (0, 0, 1)), -1)
        self.turns[side + "_foot"] = product(flat, turn("x", heel_up))
        if toes_flat:
            self.turns[side + "_toe"] = flat

    def hand(self, side, wrist, fingers, palm, elbow, grip=10.0):
        """Where wrist, fingers, palm and elbow of the left hand point; the right one mirrors it."""
        def mirrored(v):
            return (SIDES[side] * v[0], v[1], v[2])
        self.reach([side + n for n in ("_upper_arm", "_lower_arm", "_hand")], mirrored(wrist), mirrored(elbow), 1)
        rest = mirrored(ARM)
        self.turns[side + "_hand"] = carry(rest, mirrored((-1, 0, 0)), mirrored(fingers), mirrored(palm))
        closing = turn("z", -SIDES[side] * grip)
        self.turns[side + "_fingers"] = product(self.turns[side + "_hand"], closing)

    def local(self, joint):
        parent = REST[joint][0]
        above = self.turn_of(parent) if parent else UNTURNED
        return product(transposed(above), self.turn_of(joint))


HALF_STANCE, AHEAD = .105, .025  # feet from the middle; hips before the ankles


def hips_height(knee, ankle=(HALF_STANCE, ANKLE, 0), ahead=AHEAD):
    """So that a knee over this ankle bends by so many degrees (hips upright)."""
    reach = THIGH ** 2 + SHANK ** 2 + 2 * THIGH * SHANK * math.cos(math.radians(knee))
    level = (ankle[0] - .092) ** 2 + (ahead - ankle[2]) ** 2
    return ankle[1] + math.sqrt(reach - level) + REST["hips"][1][1] - REST["left_thigh"][1][1]


def stand(knee=7.0, ahead=AHEAD, bend=0.0):
    pose = Pose((0, hips_height(knee, ahead=ahead), ahead), bend)
    for side, sign in SIDES.items():
        pose.foot(side, (sign * HALF_STANCE, ANKLE, 0))
    return pose


def arm_hangs(pose, side, out=.07, ahead=.035, down=.530):
    shoulder = pose.place_of("left_upper_arm")
    pose.hand(side, add(shoulder, (out, -down, ahead)), (.05, -1, .08), (-1, 0, -.15), (.3, 0, -1), 22)


def hold_before(pose, wrist, fingers=(-.10, .05, 1), elbow=(.45, -.3, -1)):
    for side in SIDES:
        pose.hand(side, wrist, fingers, (-1, .25, 0), elbow)


def standing():
    pose = stand()
    for side in SIDES:
        arm_hangs(pose, side)
    return pose


def honey_box(pose=None):
    pose = pose or stand()
    waist = pose.hips[1]
    hold_before(pose, (.170, waist + .085, .225))
    return pose


def syrup_bucket():
    pose = stand()
    arm_hangs(pose, "left")
    arm_hangs(pose, "right", out=.190, ahead=.02, down=.505)
    return pose


def straps(pose):
    for side in SIDES:
        pose.hand(side, add(pose.place_of("left_upper_arm"), (-.035, -.110, .150)), (-.35, .75, -.25), (-.25, -.2, -1),
                  (.5, -1, -.2), 45)
    return pose


def over_a_log():
    pose = Pose((0, hips_height(7.0), AHEAD))
    pose.foot("right", (-HALF_STANCE, ANKLE, 0))
    pose.foot("left", (HALF_STANCE, ANKLE + .30, .20), toe_out=4, heel_up=14)
    return straps(pose)


def comb():
    pose = stand()
    hold_before(pose, (.130, pose.hips[1] + .350, .455), fingers=(-.05, .03, 1), elbow=(.5, -1, -.2))
    return pose


def squat_lift():
    pose = stand(knee=72, ahead=-.150, bend=28)
    hold_before(pose, add(pose.place_of("left_upper_arm"), (.005, -.430, .170)), fingers=(-.10, -.35, 1))
    return pose


def tiptoe():
    """On the balls of both feet; the ball's joint stays where it is when the foot is flat."""
    rise = turn("x", 32)
    step = sub(BALL, turned(rise, BALL))
    ankle = add((HALF_STANCE, ANKLE, 0), step)
    ahead = ankle[2] + .105  # over the balls
    pose = Pose((0, hips_height(10, ankle, ahead), ahead))
    for side, sign in SIDES.items():
        foot = turn("y", sign * 7)
        ball = add((sign * HALF_STANCE, ANKLE, 0), turned(foot, BALL))
        pose.foot(side, sub(ball, turned(product(foot, rise), BALL)), heel_up=32, toes_flat=True)
    hold_before(pose, (.170, pose.hips[1] + .085, ahead + .200))
    return pose


POSES = {"standing": standing, "honey box": honey_box, "syrup bucket": syrup_bucket,
         "hive": lambda: straps(stand()), "over a log": over_a_log, "comb": comb, "squat lift": squat_lift,
         "tiptoe": tiptoe}


def lowest(mesh, pose, joints):
    """Of the vertices that ride on these joints alone."""
    heights = []
    for place, weights in zip(mesh.places, mesh.weights):
        joint = weights[0][0]
        if joint in joints:
            heights.append(add(pose.place_of(joint), turned(pose.turn_of(joint), sub(place, REST[joint][1])))[1])
    return min(heights)


def check(mesh, name, pose):
    for side in SIDES:
        low = lowest(mesh, pose, (side + "_foot", side + "_toe"))
        lifted = name == "over a log" and side == "left"
        assert low > .2 if lifted else abs(low) < 1e-9, (name, side, low)


# ---- The file ---------------------------------------------------------------------------------------

FLOAT, SHORT, BYTE = 5126, 5123, 5121


class File:
    def __init__(self):
        self.data = bytearray()
        self.views, self.accessors = [], []

    def numbers(self, kind, component, rows, bounds=False, target=None, normalized=False):
        """Adds an accessor; numbers are rounded first, so that another machine's sine changes no byte."""
        rows = [tuple(round(x, 6) + 0.0 for x in row) if component == FLOAT else row for row in rows]
        code = {FLOAT: "f", SHORT: "H", BYTE: "B"}[component]
        raw = b"".join(struct.pack("<%d%s" % (len(row), code), *row) for row in rows)
        self.data += bytes(-len(self.data) % 4)
        view = {"buffer": 0, "byteOffset": len(self.data), "byteLength": len(raw)}
        if target:
            view["target"] = target
        accessor = {"bufferView": len(self.views), "componentType": component, "count": len(rows), "type": kind}
        if normalized:
            accessor["normalized"] = True
        if bounds:
            width = len(rows[0])
            stored = [struct.unpack("<%d%s" % (width, code), struct.pack("<%d%s" % (width, code), *row))
                      for row in rows]
            accessor["min"] = [min(column) for column in zip(*stored)]
            accessor["max"] = [max(column) for column in zip(*stored)]
        self.data += raw
        self.views.append(view)
        self.accessors.append(accessor)
        return len(self.accessors) - 1


def skin_columns(mesh):
    """Four joints and weights in 255ths per vertex; the second makes up what the first lacks."""
    numbers, parts = [], []
    for weights in mesh.weights:
        weights = sorted(weights, key=lambda w: -w[1])
        first = round(255 * weights[0][1])
        used = [JOINTS.index(weights[0][0]), 0, 0, 0]
        if first < 255:
            used[1] = JOINTS.index(weights[1][0])
        numbers.append(tuple(used))
        parts.append((first, 255 - first, 0, 0))
    return numbers, parts


def nodes():
    """The joints in the order of REST, so that a node's number is its row."""
    names = list(REST)
    rows = []
    for name, (parent, place) in REST.items():
        step = sub(place, REST[parent][1]) if parent else place
        row = {"name": name, "translation": [round(x, 6) + 0.0 for x in step]}
        children = [names.index(other) for other in names if REST[other][0] == name]
        if children:
            row["children"] = children
        rows.append(row)
    return rows


def camera_node(eye, target):
    back = unit(sub(eye, target))
    side = unit(cross((0, 1, 0), back))
    looks = transposed((side, cross(back, side), back))
    return {"name": "three-quarter view", "camera": 0, "translation": list(eye),
            "rotation": [round(x, 6) + 0.0 for x in quaternion(looks)]}


def animation(file, name, pose, time):
    names = list(REST)
    samplers, channels = [], []

    def channel(joint, path, kind, value):
        samplers.append({"input": time, "output": file.numbers(kind, FLOAT, [value]), "interpolation": "STEP"})
        channels.append({"sampler": len(samplers) - 1, "target": {"node": names.index(joint), "path": path}})
    channel("hips", "translation", "VEC3", pose.hips)
    for joint in JOINTS[1:]:
        channel(joint, "rotation", "VEC4", quaternion(pose.local(joint)))
    return {"name": name, "samplers": samplers, "channels": channels}


def poses(mesh, file):
    time = file.numbers("SCALAR", FLOAT, [(0,)], True)
    animations = []
    for name, make in POSES.items():
        pose = make()
        check(mesh, name, pose)
        animations.append(animation(file, name, pose, time))
    return animations


def document(mesh, file, animate, generator):
    array, elements = 34962, 34963
    numbers, parts = skin_columns(mesh)
    attributes = {"POSITION": file.numbers("VEC3", FLOAT, mesh.places, True, array),
                  "NORMAL": file.numbers("VEC3", FLOAT, mesh.normals, target=array),
                  "JOINTS_0": file.numbers("VEC4", BYTE, numbers, target=array),
                  "WEIGHTS_0": file.numbers("VEC4", BYTE, parts, target=array, normalized=True)}
    corners = [(k,) for triangle in mesh.triangles for k in triangle]
    indices = file.numbers("SCALAR", SHORT, corners, target=elements)
    binds = [(1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0) + scale(REST[joint][1], -1.0) + (1,) for joint in JOINTS]
    rows = nodes()
    rows += [{"name": "lay figure", "mesh": 0, "skin": 0}, camera_node((2.1, 1.45, 3.6), (0, .93, .05))]
    animations = animate(mesh, file)
    joint_nodes = [list(REST).index(joint) for joint in JOINTS]
    return {
        "asset": {"version": "2.0", "generator": generator,
                  "extras": {"note": "An invented lay figure and invented poses; no measured person."}},
        "scene": 0,
        "scenes": [{"nodes": [0, len(rows) - 2, len(rows) - 1]}],
        "nodes": rows,
        "meshes": [{"name": "lay figure", "primitives": [{"attributes": attributes, "indices": indices,
                                                          "material": 0}]}],
        "materials": [{"name": "wood", "pbrMetallicRoughness": {"baseColorFactor": [.80, .62, .40, 1],
                                                                "metallicFactor": 0, "roughnessFactor": .7}}],
        "skins": [{"name": "lay figure", "joints": joint_nodes, "skeleton": 0,
                   "inverseBindMatrices": file.numbers("MAT4", FLOAT, binds)}],
        "cameras": [{"name": "three-quarter view", "type": "perspective",
                     "perspective": {"yfov": .52, "aspectRatio": .8, "znear": .1, "zfar": 50}}],
        "animations": animations,
    }


def chunk(kind, data, filler):
    data += filler * (-len(data) % 4)
    return struct.pack("<II", len(data), kind) + data


def write(target, animate, generator):
    """`animate(mesh, file)` makes the animations. Returns the size."""
    mesh, file = lay_figure(), File()
    made = document(mesh, file, animate, generator)
    made["buffers"] = [{"byteLength": len(file.data)}]
    made["bufferViews"], made["accessors"] = file.views, file.accessors
    text = json.dumps(made, separators=(",", ":")).encode()
    body = chunk(0x4E4F534A, text, b" ") + chunk(0x004E4942, bytes(file.data), b"\0")
    target.write_bytes(struct.pack("<III", 0x46546C67, 2, 12 + len(body)) + body)
    return 12 + len(body)


def main():
    target = pathlib.Path(sys.argv[1]) if len(sys.argv) > 1 else pathlib.Path(__file__).with_name("beekeeper.glb")
    size = write(target, poses, "make_beekeeper.py of Aplomb")
    print("%s: %d joints, %d poses, %d bytes" % (target.name, len(JOINTS), len(POSES), size))


if __name__ == "__main__":
    main()

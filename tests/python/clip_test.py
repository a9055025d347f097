# SPDX-License-Identifier: MIT
"""Clips from Python: the beekeeper stands, is given back its stances, and a caller ends the work."""
import math
import os
import unittest

import aplomb

BEEKEEPER = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..", "examples", "beekeeper.bvh")


class Clips(unittest.TestCase):
    def setUp(self):
        self.character = aplomb.Character(BEEKEEPER)
        self.figure = self.character.figure
        pose = self.character.pose(0, 0.0)
        self.frames = 20
        self.shot = ([k / 24.0 for k in range(self.frames)], list(pose.translations) * self.frames,
                     list(pose.rotations) * self.frames)
        self.solver = aplomb.Solver(self.figure)
        self.one = self.solver.read(aplomb.Situation(pose))

    def test_a_still_clip_reads_as_the_pose(self):
        reading = aplomb.read_clip(self.figure, *self.shot)
        self.assertEqual(len(reading.frames), self.frames)
        for frame in reading.frames:
            self.assertEqual(frame.margin, self.one.margin)
            self.assertEqual(tuple(frame.point), tuple(self.one.balance_point))

    def test_stances_are_given_back(self):
        found = aplomb.read_clip(self.figure, *self.shot)
        again = aplomb.read_clip(self.figure, *self.shot, stances=found.stances)
        self.assertEqual([f.margin for f in again.frames], [f.margin for f in found.frames])
        with self.assertRaises(aplomb.Error) as caught:
            aplomb.read_clip(self.figure, *self.shot, stances=[])
        self.assertEqual(caught.exception.status, aplomb.Status.NO_SUPPORT)

    def test_arms_give_where_a_load_lands_in_them(self):
        box = aplomb.Carry(self.figure.load(15, "hands"), 4, self.frames - 1, pick_up=0.0)
        given = aplomb.give_clip(self.figure, *self.shot, carries=[box], falls=[0.3])
        unit = self.figure.info().metres_per_unit
        deepest = max(range(self.frames), key=lambda k: given.frames[k].arms)
        self.assertEqual(deepest, 6)
        self.assertAlmostEqual(given.frames[deepest].arms * unit, .08, delta=.01)
        self.assertGreater(given.frames[10].hips, 0)
        self.assertNotEqual(list(given.rotations), self.shot[2])
        gentle = aplomb.give_clip(self.figure, *self.shot, carries=[box], held=True)
        self.assertEqual(list(gentle.rotations), list(self.shot[2]))
        with self.assertRaises(aplomb.Error) as caught:
            aplomb.give_clip(self.figure, *self.shot, carries=[box], falls=[-1.0])
        self.assertEqual(caught.exception.message, "options.falls[0] is -1; it must be 0 to 1e9.")
        pose = self.character.pose(0, 0.0)
        held = aplomb.Situation(pose, [box.load])
        self.assertGreater(self.solver.give_rest(held), 0)
        lower = self.solver.give(held, 0.05 / unit)
        self.assertNotEqual(list(lower.translations), list(pose.translations))
        self.assertEqual(list(self.solver.give(held, 0.0).rotations), list(pose.rotations))

    def test_a_swing_has_frames_of_its_own(self):
        bucket = aplomb.Carry(self.figure.load(8, "right-hand", hanging=1, hang=.3), 0, self.frames - 1)
        level = aplomb.balance_clip(self.figure, *self.shot, carries=[bucket])
        pull = [0.0, -8 * 9.80665, 0.0] * self.frames
        same = aplomb.balance_clip(self.figure, *self.shot, carries=[bucket], tensions={0: pull})
        for a, b in zip(level.frames, same.frames):
            self.assertAlmostEqual(a.margin_after, b.margin_after, places=9)
        with self.assertRaises(aplomb.Error):
            aplomb.balance_clip(self.figure, *self.shot, carries=[bucket], tensions={1: pull})

    def test_the_ground_is_found(self):
        self.assertEqual(aplomb.find_ground_velocity(self.figure, *self.shot), (0, 0, 0))

    def test_a_load_weighs(self):
        load = aplomb.Load(20, self.figure.find_role(aplomb.Role.HAND, aplomb.Side.LEFT))
        frames = aplomb.read_clip(self.figure, *self.shot, carries=[aplomb.Carry(load, 5, 14)]).frames
        self.assertEqual(tuple(frames[4].centre), tuple(frames[0].centre))
        self.assertNotEqual(tuple(frames[9].centre), tuple(frames[0].centre))

    def test_a_page_has_its_parts(self):
        reading = aplomb.read_clip(self.figure, *self.shot)
        pose = self.character.pose(0, 0.0)
        picture = aplomb.Picture(self.figure, aplomb.Situation(pose), aplomb.DrawnPose(pose, self.one))
        page = reading.page_to_bytes("A shot", strip=[aplomb.DrawnMoment(4, picture)]).decode("utf-8")
        for part in ("A shot", "in balance in 20", "frame 4, ", "Share of the weight", "What stands", "to 19"):
            self.assertIn(part, page)
        with self.assertRaises(aplomb.Error) as caught:
            reading.page_to_bytes(strip=[aplomb.DrawnMoment(20, picture)])
        self.assertEqual(str(caught.exception), "strip[0] goes from frame 20 to 20; the clip has frames 0 to 19.")

    def test_the_caller_ends_it(self):
        with self.assertRaises(aplomb.Error) as caught:
            aplomb.read_clip(self.figure, *self.shot, progress=lambda part: True)
        self.assertEqual(caught.exception.status, aplomb.Status.CANCELLED)

    def test_a_stand_out_of_balance_is_brought_back(self):
        times, translations, rotations = self.shot
        joint = self.figure.find_role(aplomb.Role.SPINE)
        at = 4 * joint
        x, y, z, w = rotations[at:at + 4]
        half = 0.5 * 0.9  # a bow
        sine, cosine = math.sin(half), math.cos(half)
        bowed = [x * cosine + w * sine, y * cosine - z * sine, z * cosine + y * sine, w * cosine - x * sine]
        for frame in range(self.frames):
            start = frame * 4 * self.figure.joint_count + at
            rotations[start:start + 4] = bowed
        keyed = aplomb.read_clip(self.figure, times, translations, rotations)
        out = aplomb.balance_clip(self.figure, times, translations, rotations)
        self.assertEqual(len(out.frames), self.frames)
        changed = list(out.rotations) != rotations
        self.assertEqual(changed, len(out.ranges) > 0)
        again = aplomb.read_clip(self.figure, times, out.translations, out.rotations, stances=keyed.stances)
        self.assertGreaterEqual(min(f.margin for f in again.frames), min(f.margin for f in keyed.frames))
        same = aplomb.balance_clip(self.figure, times, translations, rotations,
                                   exempt=[aplomb.ExemptRange(0, self.frames - 1, "he greets", ease=0)])
        self.assertEqual(list(same.rotations), rotations)
        self.assertEqual(len(same.ranges), 0)

    def test_a_blocked_key_is_the_single_pose(self):
        bucket = self.figure.load(12, "left-hand")
        single = self.solver.balance(aplomb.Situation(self.character.pose(0, 0.0), [bucket]))
        carry = aplomb.Carry(bucket, 0, self.frames - 1)
        out = aplomb.balance_clip(self.figure, *self.shot, carries=[carry], blocking=True)
        joints = self.figure.joint_count
        for frame in (0, self.frames - 1):
            self.assertEqual(list(out.translations[3 * joints * frame:3 * joints * (frame + 1)]),
                             list(single.pose.translations))
            self.assertEqual(list(out.rotations[4 * joints * frame:4 * joints * (frame + 1)]),
                             list(single.pose.rotations))
        reading = aplomb.read_clip(self.figure, *self.shot, blocking=True)
        self.assertEqual(reading.frames[3].margin, self.one.margin)

    def test_a_flight_falls_freely(self):
        legs = sorted({stance.limb for stance in aplomb.read_clip(self.figure, *self.shot).stances})
        times, translations, rotations = self.shot
        up = 3 * self.figure.find_role(aplomb.Role.HIPS) + 1
        for frame in range(6, 14):
            height = 0.5 * 6.0 * (frame - 5) * (14 - frame) / 24.0 ** 2
            translations[3 * self.figure.joint_count * frame + up] += height
        stances = [aplomb.StanceRange(limb, first, last) for limb in legs for first, last in ((0, 5), (14, self.frames - 1))]
        out = aplomb.balance_clip(self.figure, times, translations, rotations, stances=stances,
                                  flights=[aplomb.FlightRange(6, 13)])
        self.assertEqual(len(out.arcs), 1)
        arc = out.arcs[0]
        self.assertEqual((arc.first, arc.last, arc.given), (6, 13, 1))
        self.assertAlmostEqual(arc.gravity, 6, places=6)
        self.assertLess(arc.slack, 1e-6)
        self.assertIn("Frames 6 to 13 fall freely", arc.text.decode("utf-8"))
        plain = aplomb.balance_clip(self.figure, times, translations, rotations, stances=stances)
        self.assertEqual(len(plain.arcs), 0)
        with self.assertRaises(aplomb.Error) as caught:
            aplomb.balance_clip(self.figure, times, translations, rotations, stances=stances,
                                flights=[aplomb.FlightRange(5, 13)])
        self.assertIn("foot stands in frames 0 to 5", str(caught.exception))

    def test_the_caller_ends_a_balance(self):
        with self.assertRaises(aplomb.Error) as caught:
            aplomb.balance_clip(self.figure, *self.shot, progress=lambda part: True)
        self.assertEqual(caught.exception.status, aplomb.Status.CANCELLED)


if __name__ == "__main__":
    unittest.main()

# SPDX-License-Identifier: MIT
"""Follow-through from Python: the beekeeper's arms and head swing behind a turn, a bucket swings, and how long things take."""
import math
import os
import tempfile
import unittest

import aplomb

BEEKEEPER = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..", "examples", "beekeeper.bvh")


class Chains(unittest.TestCase):
    def setUp(self):
        self.character = aplomb.Character(BEEKEEPER)
        self.figure = self.character.figure
        self.pose = self.character.pose(0, 0.0)
        self.chains = aplomb.find_chains(self.figure)
        for chain in self.chains:
            chain.own_motion = 1
        self.follow = aplomb.Follow(self.figure, self.chains, frame_time=1 / 30)

    def moved(self, frame):
        by = 30 * math.sin(frame / 4.0)  # centimetres
        places = list(self.pose.translations)
        places[0] += by * (1 if self.figure.info().metres_per_unit < 0.1 else 0.01)
        return aplomb.Pose.over(places, self.pose.rotations, writable=False)

    def test_neck_and_arms_are_found(self):
        self.assertEqual(sorted(chain.kind for chain in self.chains),
                         sorted([aplomb.ChainKind.NECK, aplomb.ChainKind.ARM, aplomb.ChainKind.ARM]))
        self.assertGreater(self.follow.frequency(0), 0.5)
        self.assertGreater(self.follow.settling_time, 0.1)

    def test_it_swings_settles_and_can_be_put_back(self):
        one = self.follow.character()
        self.assertTrue(one.at_rest)
        self.assertEqual(list(one.step(self.pose, 1 / 30).rotations), list(self.pose.rotations))
        for frame in range(1, 30):
            last = one.step(self.moved(frame), 1 / 30)
        self.assertNotEqual(list(last.rotations), list(self.pose.rotations))
        saved = list(one.state)
        after = one.step(self.moved(30), 1 / 30)
        other = self.follow.character()
        other.state[:] = saved
        self.assertEqual(list(other.step(self.moved(30), 1 / 30).rotations), list(after.rotations))
        for _ in range(300):
            last = one.step(self.moved(30), 1 / 30)
        self.assertTrue(one.at_rest)
        self.assertEqual(list(last.rotations), list(self.pose.rotations))

    def test_a_shot_is_its_steps(self):
        poses = [self.moved(frame) for frame in range(20)]
        places = [x for pose in poses for x in pose.translations]
        turns = [x for pose in poses for x in pose.rotations]
        written = self.follow.frames([k / 30 for k in range(20)], places, turns)
        one = self.follow.character()
        width = len(self.pose.rotations)
        for k, pose in enumerate(poses):
            for a, b in zip(one.step(pose, 1 / 30).rotations, written[k * width:(k + 1) * width]):
                self.assertAlmostEqual(a, b, 9)
        # Of a correction alone, with no motion of its own.
        for chain in self.chains:
            chain.own_motion = 0
        still = aplomb.Follow(self.figure, self.chains).frames([k / 30 for k in range(20)], places, turns)
        self.assertEqual(list(still), turns)
        aplomb.Follow(self.figure).frames([k / 30 for k in range(20)], places, turns, keyed=(places, turns), closed=True)

    def test_what_is_wrong_is_told(self):
        with self.assertRaises(aplomb.Error) as caught:
            aplomb.Follow(self.figure, [aplomb.Chain(aplomb.ChainKind.TAIL, 3, 1)])
        self.assertIn("does not hang on its first", caught.exception.message)
        with self.assertRaises(aplomb.Error) as caught:
            self.follow.character().step(self.pose, -1)
        self.assertIn("seconds is -1", caught.exception.message)


GLTF = os.path.join(os.path.dirname(BEEKEEPER), "beekeeper.glb")


class Files(unittest.TestCase):
    def test_a_layer_is_a_clip_of_its_own(self):
        character = aplomb.Character(GLTF)
        pose = character.pose(0, 0.0)
        turned = pose.copy()
        joint = character.figure.find_joint("head")
        turned.rotations[4 * joint:4 * joint + 4] = [0.6, 0, 0, 0.8]
        with tempfile.TemporaryDirectory() as folder:
            path = os.path.join(folder, "layer.glb")
            character.write_frames(path, turned.translations, turned.rotations, seconds=[0.0], layer="head nods")
            again = aplomb.Character(path)
            self.assertEqual(list(again.clips()), list(character.clips()) + ["head nods"])
            self.assertEqual(list(again.pose(0, 0.0).rotations), list(pose.rotations))
            nods = again.pose("head nods", 0.0).rotations[4 * joint:4 * joint + 4]
            for a, b in zip(nods, [0.6, 0, 0, 0.8]):
                self.assertAlmostEqual(a, b, 6)
        with self.assertRaises(aplomb.Error) as caught:
            one = aplomb.Character(BEEKEEPER)
            bvh = one.pose(0, 0.0)
            one.write_frames("unused.bvh", bvh.translations, bvh.rotations, seconds=[0.0], layer="head nods")
        self.assertIn("no room for a layer", caught.exception.message)

    def test_a_motion_page(self):
        character = aplomb.Character(BEEKEEPER)
        solver = aplomb.Solver(character.figure)
        pictures = []
        for seconds in (0.0, 1.0, 2.0):
            situation = aplomb.Situation(character.pose(0, seconds))
            pictures.append(aplomb.Picture(character.figure, situation, aplomb.DrawnPose(situation.pose, solver.read(situation))))
        with tempfile.TemporaryDirectory() as folder:
            path = os.path.join(folder, "shot.html")
            aplomb.write_motion(pictures, 24, path, title="At work")
            with open(path, encoding="utf-8") as file:
                page = file.read()
            self.assertIn("<title>At work</title>", page)
            self.assertIn("frame 0 of 0 to 2", page)
            for rate, wrong in ((0, "frames_per_second is 0"), (float("nan"), "frames_per_second is nan")):
                with self.assertRaises(aplomb.Error) as caught:
                    aplomb.write_motion(pictures, rate, path)
                self.assertIn(wrong, caught.exception.message)
            with self.assertRaises(aplomb.Error) as caught:
                aplomb.write_motion([], 24, path)
            self.assertIn("picture_count is 0", caught.exception.message)


class Motion(unittest.TestCase):
    def test_a_bucket_swings(self):
        bucket = aplomb.Hanging(0.5, 12, damping=0.05, give=0)
        first = bucket.step(0, (0, 1, 0))
        self.assertEqual(list(first.place), [0, 0.5, 0])
        self.assertAlmostEqual(first.tension[1], -12 * 9.80665)
        angles = [bucket.step(1 / 60, (min(k, 10) * 0.02, 1, 0)).angle for k in range(120)]
        self.assertGreater(max(angles), 0.1)
        self.assertIn("stride", aplomb.hanging_remark(0.18, 0.43))
        with self.assertRaises(aplomb.Error):
            aplomb.hanging_remark(-1, 0.5)

    def test_how_long_things_take(self):
        self.assertAlmostEqual(aplomb.fall_time(1.22583125), 0.5)
        self.assertAlmostEqual(aplomb.bounce_time(1, 0.5, 1).height, 0.0625)
        self.assertAlmostEqual(aplomb.pendulum_time(1, math.pi / 2) / aplomb.pendulum_time(1), 1.180340599, 8)
        self.assertAlmostEqual(aplomb.step_time(1, 24, 4), 48)
        self.assertAlmostEqual(aplomb.settle_time(1, 0.01, 0.5), 10.5, delta=1)

    def test_arms_give(self):
        arms = aplomb.Give(aplomb.GiveKind.ARMS, 0.56)
        arms.velocity = 2.4
        self.assertAlmostEqual(arms.step(2 / 24), 0.08, delta=0.01)
        self.assertAlmostEqual(arms.rate, math.sqrt(14 * 9.80665 / 0.56))
        self.assertEqual(arms.damping, 0.5)


if __name__ == "__main__":
    unittest.main()

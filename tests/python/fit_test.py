# SPDX-License-Identifier: MIT
"""Fits by the module: a studio's manner is learnt from pairs, written, read and taken by a correction; a figure is laid under a
drawing's dots."""

import json
import os
import tempfile
import unittest

import aplomb

BEEKEEPER = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..", "examples", "beekeeper.glb")


class MannerTest(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.character = aplomb.Character(BEEKEEPER)
        cls.figure = cls.character.figure
        cls.bold = aplomb.Options(trunk_fore=0.28, give=1.5)
        solver = aplomb.Solver(cls.figure)
        cls.pairs = []
        for clip, kg, place in (("honey box", 22, "hands"), ("hive", 20, "back"), ("comb", 8, "hands")):
            situation = aplomb.Situation(cls.character.pose(clip), [cls.figure.load(kg, place)])
            cls.pairs.append((situation, solver.balance(situation, cls.bold).pose))

    def test_learnt_written_and_read(self):
        manner = aplomb.learn_manner(self.figure, self.pairs)
        self.assertEqual(manner.info.pair_count, 3)
        self.assertEqual(len(manner.pairs), 3)
        self.assertEqual(len(manner.numbers), manner.info.number_count)
        self.assertLess(manner.info.error, 0.2 * manner.info.usual_error)
        self.assertAlmostEqual(manner.options.give, 1.5, delta=0.1)
        self.assertEqual(manner.options.trunk_twist, aplomb.Options().trunk_twist)
        self.assertTrue(manner.text.startswith("3 pairs tell "))
        told = {aplomb.option_table()[n.option].name.decode(): n for n in manner.numbers if n.told}
        self.assertAlmostEqual(told["give"].value, manner.options.give)
        with tempfile.TemporaryDirectory() as folder:
            path = os.path.join(folder, "manner.json")
            manner.write(path)
            read = aplomb.read_manner(path)
        for info in aplomb.option_table():
            name = info.name.decode()
            self.assertEqual(getattr(read, name), getattr(manner.options, name))

    def test_ended_and_refused(self):
        with self.assertRaises(aplomb.Error) as ended:
            aplomb.learn_manner(self.figure, self.pairs, progress=lambda part: part > 0)
        self.assertEqual(ended.exception.status, aplomb.Status.CANCELLED)
        with self.assertRaisesRegex(aplomb.Error, "1 pair is given; a manner takes 2 to 1000."):
            aplomb.learn_manner(self.figure, self.pairs[:1])
        with self.assertRaisesRegex(aplomb.Error, "Pair 1: nothing was changed"):
            keyed = self.character.pose("hive")
            aplomb.learn_manner(self.figure, [self.pairs[0], (self.pairs[1][0], keyed)])

    def test_the_start_stays_where_nothing_is_told(self):
        manner = aplomb.learn_manner(self.figure, self.pairs, aplomb.Options(trunk_twist=0.2))
        self.assertEqual(manner.options.trunk_twist, 0.2)


class DrawingTest(unittest.TestCase):
    def test_answers_and_what_dots_leave_open(self):
        with open(BEEKEEPER.replace("beekeeper.glb", "beekeeper_drawing.json"), encoding="utf-8") as file:
            drawing = aplomb.fit_drawing(json.load(file)["dots"])
        best = drawing.answers[0]
        self.assertLess(best.misfit, 0.01)
        holds = [contact.hold for contact in best.contacts[:best.contact_count]]
        self.assertEqual(holds.count(aplomb.Hold.BEARING), 2)
        variants = drawing.variants()
        self.assertEqual(len(variants), 64)
        self.assertEqual({answer for answer, _ in variants} - set(range(len(drawing.answers))), set())
        solver = aplomb.Solver(drawing.figure(0))
        inside = sum(solver.read(aplomb.Situation(pose)).margin > 0 for answer, pose in variants if answer == 0)
        self.assertGreater(inside, 16)


if __name__ == "__main__":
    unittest.main()

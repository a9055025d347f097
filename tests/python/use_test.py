# SPDX-License-Identifier: MIT
"""Reading and balancing from Python, with numpy where it is there."""
import array
import gc
import math
import os
import shutil
import subprocess
import sys
import tempfile
import threading
import unittest

import aplomb
from aplomb import Axis, Contact, Error, Figure, Hold, Load, Options, Pose, Role, Side, Situation, Solver, Status

try:
    import numpy
except ImportError:
    numpy = None

ROOT = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..")
BEEKEEPER = os.path.join(ROOT, "examples", "beekeeper.bvh")

# The figure of examples/balance.c.
NAMES = ["hips", "spine", "chest", "head", "left_upper_arm", "left_lower_arm", "left_hand", "right_upper_arm",
         "right_lower_arm", "right_hand", "left_thigh", "left_shank", "left_foot", "right_thigh", "right_shank",
         "right_foot"]
PARENTS = [-1, 0, 1, 2, 2, 4, 5, 2, 7, 8, 0, 10, 11, 0, 13, 14]
OFFSETS = [(0, .93, .05), (0, .12, 0), (0, .2, 0), (0, .35, 0), (.19, .18, 0), (0, -.28, 0), (0, -.27, 0),
           (-.19, .18, 0), (0, -.28, 0), (0, -.27, 0), (.09, 0, 0), (0, -.43, -.02), (0, -.43, -.03), (-.09, 0, 0),
           (0, -.43, -.02), (0, -.43, -.03)]


def lay_figure(**members):
    return Figure(PARENTS, OFFSETS, names=NAMES, total_mass=75, **members)


def bucket(figure):
    return Load(15, figure.find_joint("right_hand"), hang=0.35)


class Using(unittest.TestCase):
    def setUp(self):
        self.figure = lay_figure()
        self.solver = Solver(self.figure)

    def test_figure(self):
        self.assertEqual(self.figure.joint_count, 16)
        self.assertEqual(self.figure.find_role(Role.HAND, Side.RIGHT), 9)
        self.assertEqual(self.figure.name(9), "right_hand")
        self.assertAlmostEqual(self.figure.info().total_mass, 75)
        self.assertAlmostEqual(sum(self.figure.joint(j).mass for j in range(16)), 75)
        self.assertEqual(len(self.figure.limbs()), 4)
        self.assertTrue(all(isinstance(remark, str) for remark in self.figure.remarks()))
        self.assertEqual(self.figure.doubts(), [])
        self.assertEqual(tuple(self.figure.rest_pose().translations[0:3]), (0, .93, .05))

    def test_a_bucket(self):
        made = self.solver.balance(Situation(self.figure.rest_pose(), [bucket(self.figure)]))
        self.assertEqual(made.status, Status.OK)
        self.assertGreater(made.result.controls.hips_shift[0], 0.005)  # away from the bucket
        self.assertIn("Hips:", made.explain())
        keyed = self.figure.rest_pose()
        self.assertEqual(made.pose.rotations[36:40], keyed.rotations[36:40])  # the hand: bit for bit
        self.assertNotEqual(list(made.pose.rotations), list(keyed.rotations))

    def test_loads_by_place(self):
        for place, holder in (("hands", [6, 9]), ("left-hand", [6, -1]), ("right-hand", [9, -1]), ("back", [2, -1]),
                              ("head", [3, -1])):
            load = self.figure.load(20, place, offset=(0, 0, .1), hang=.3)
            self.assertEqual((load.mass, list(load.holder), list(load.offset), load.hanging, load.hang),
                             (20, holder, [0, 0, .1], 1, .3), place)
        for told, place in (("There is no joint 'rigth_hand'; near: 'right_hand', 'right-hand', 'right_shank'.",
                             "rigth_hand"),
                            ("place is 9; it must be a word: hands, left-hand, right-hand, back or the name of a "
                             "joint.", 9)):
            with self.assertRaises(Error) as caught:
                self.figure.load(20, place)
            self.assertEqual(str(caught.exception), told)
        legs = [joint for joint in range(16) if not 4 <= joint <= 9]
        handless = Figure([-1 if j == 0 else legs.index(PARENTS[j]) for j in legs], [OFFSETS[j] for j in legs],
                          names=[NAMES[j] for j in legs])
        with self.assertRaises(Error) as caught:
            handless.load(20, "hands")
        self.assertEqual(str(caught.exception),
                         'place is "hands", but the figure has no left hand; name the joint that carries.')

    def test_results_say_how_they_ended(self):
        result = self.solver.balance(Situation(self.figure.rest_pose(), [bucket(self.figure)])).result
        self.assertEqual(result.status, Status.OK)
        self.assertEqual(result.holds_that_gave_way(), [])
        contacts = [Contact(limb, Hold.BEARING if info.side == Side.RIGHT else Hold.HELD)
                    for limb, info in enumerate(self.figure.limbs()) if info.kind == 0]
        pose = self.figure.rest_pose()
        pose.rotations[40:44] = [0, 0, math.sin(-.5), math.cos(.5)]  # the left leg straight out to the side
        made = self.solver.balance(Situation(pose, contacts=contacts))
        held, = made.result.holds_that_gave_way()
        self.assertEqual(self.figure.limbs()[held.limb].side, Side.LEFT)
        self.assertGreater(held.place, 0.02)
        self.assertIn("The hold of the left foot gave way: %.1f cm from its place" % (100 * held.place),
                      made.explain())

    def test_left_handed(self):
        figure = Figure(PARENTS, [(-x, y, z) for x, y, z in OFFSETS], names=NAMES, total_mass=75, left_handed=1)
        self.assertEqual(figure.info().left_handed, 1)
        made = Solver(figure).balance(Situation(figure.rest_pose(), [bucket(figure)]))
        usual = self.solver.balance(Situation(self.figure.rest_pose(), [bucket(self.figure)]))
        self.assertGreater(abs(usual.pose.translations[0]), 0.005)
        self.assertAlmostEqual(made.pose.translations[0], -usual.pose.translations[0], places=9)
        self.assertAlmostEqual(made.pose.rotations[6], -usual.pose.rotations[6], places=7)

    def test_steps(self):
        empty = Situation(self.figure.rest_pose())
        loaded = Situation(self.figure.rest_pose(), [bucket(self.figure)])
        still = self.solver.balance(loaded)
        state = aplomb.StepState()
        self.assertEqual(self.solver.step(state, empty, 1 / 60, pace=aplomb.Pace(hips=0.1)).result.changed, 0)
        first = self.solver.step(state, loaded, 1 / 60)
        self.assertGreater(first.result.lag, 0)
        saved = bytes(state)
        second = self.solver.step(state, loaded, 1 / 60)
        restored = aplomb.StepState.from_buffer_copy(saved)
        again = Solver(self.figure).step(restored, loaded, 1 / 60)
        self.assertEqual(list(again.pose.rotations), list(second.pose.rotations))
        self.assertEqual(bytes(restored), bytes(state))
        for _ in range(180):
            settled = self.solver.step(state, loaded, 1 / 60)
        self.assertEqual(settled.status, Status.OK)
        self.assertAlmostEqual(settled.pose.translations[0], still.pose.translations[0], places=3)
        ahead = self.solver.step(aplomb.StepState(), empty, 0, ahead=self.figure.rest_pose(),
                                 ahead_contacts=self.figure.stance(self.figure.rest_pose()))
        self.assertEqual(ahead.result.changed, 0)
        with self.assertRaisesRegex(aplomb.Error, "frame.ahead_seconds is -1"):
            self.solver.step(state, empty, 0, ahead=self.figure.rest_pose(), ahead_seconds=-1)
        with self.assertRaisesRegex(aplomb.Error, "state is None; it must be a StepState"):
            self.solver.step(None, empty, 0)

    def test_reading(self):
        situation = Situation(self.figure.rest_pose(), [bucket(self.figure)])
        reading = self.solver.read(situation)
        self.assertEqual(reading.load_count, 1)
        self.assertEqual(len(reading.corners()), reading.edge_count)
        self.assertAlmostEqual(reading.total_mass, 90)
        self.assertAlmostEqual(sum(contact.share for contact in reading.contacts[:reading.contact_count]), 1)
        made = self.solver.balance(situation)
        after = self.solver.read_corrected(situation, made)
        self.assertTrue(after.in_balance)
        self.assertAlmostEqual(after.margin, made.result.margin_after)
        self.assertTrue(all(sentence.endswith("(common practice)") for sentence in after.sentences()))

    def test_a_foot_is_suggested_never_applied(self):
        keyed = self.figure.rest_pose()
        box = Load(40, self.figure.info().chest, offset=(0, -0.1, 0.4))
        foot, pose = self.solver.suggest_foot(Situation(keyed, [box]))
        self.assertEqual(foot.found, 1)
        self.assertIn(b"foot", foot.text)
        self.assertGreater(foot.ahead, 0.1)
        self.assertLess(foot.lean_after, foot.lean_before)
        self.assertGreaterEqual(len(foot.corners()), 3)
        self.assertEqual(list(keyed.rotations), list(self.figure.rest_pose().rotations))
        self.assertNotEqual(list(pose.rotations), list(keyed.rotations))
        none, same = self.solver.suggest_foot(Situation(keyed))
        self.assertEqual(none.found, 0)
        self.assertEqual(list(same.rotations), list(keyed.rotations))

    def test_what_a_carry_does(self):
        keyed = self.figure.rest_pose()
        load = Load(30, self.figure.info().chest, offset=(0, -0.1, 0.3))
        situation = Situation(keyed, [load])
        made = self.solver.balance(situation)
        knees = made.result.knees[:made.result.knee_count]
        self.assertEqual(len(knees), 2)
        for knee in knees:
            self.assertGreater(knee.bend, knee.keyed + math.radians(5))
        before, after = self.solver.read(situation), self.solver.read(Situation(made.pose, [load]))
        self.assertGreater(after.knees, before.knees)
        self.assertGreater(after.knees_mass, before.knees_mass)

    def test_pose_is_changed_where_it_lies(self):
        pose = self.figure.rest_pose()
        situation = Situation(pose, [bucket(self.figure)])
        first = self.solver.read(situation).balance_point[0]
        pose.translations[0] += 1
        self.assertAlmostEqual(self.solver.read(situation).balance_point[0], first + 1)
        made = self.solver.balance(situation, out=pose)
        self.assertIs(made.pose, pose)
        self.assertGreater(pose.translations[0], 1.005)

    def test_sequences_and_buffers_give_the_same(self):
        keyed = self.figure.rest_pose()
        expected = list(self.solver.balance(Situation(keyed, [bucket(self.figure)])).pose.rotations)
        lists = Situation(Pose.over(list(keyed.translations), list(keyed.rotations), False), [bucket(self.figure)])
        rows = Pose.over(OFFSETS, [(0, 0, 0, 1)] * 16, False)
        arrays = Pose.over(array.array("d", keyed.translations), array.array("d", keyed.rotations))
        floats = Pose.over(memoryview(array.array("d", keyed.translations)), array.array("f", keyed.rotations), False)
        for situation in (lists, *(Situation(pose, [bucket(self.figure)]) for pose in (rows, arrays, floats))):
            self.assertEqual(list(self.solver.balance(situation).pose.rotations), expected)

    def test_what_it_is_given_stays_alive(self):
        def passing():
            keyed = self.figure.rest_pose()
            knees = [Contact(joint=self.figure.find_joint("left_shank"), points=[0, 0, .05, 0, 0, -.05, .05, 0, 0])]
            return Situation(keyed, [bucket(self.figure)], self.figure.stance(keyed) + knees)
        situation = passing()
        first = self.solver.read(situation)
        gc.collect()
        trash = [Pose(16) for _ in range(200)]
        self.assertEqual(bytes(first), bytes(self.solver.read(situation)))
        self.assertEqual(first.contact_count, 3)  # both feet and the knee
        del trash

    def test_a_figure_outlives_its_name(self):
        solver = Solver(lay_figure())
        gc.collect()
        made = solver.balance(Situation(self.figure.rest_pose(), [bucket(self.figure)]))
        self.assertEqual(made.status, Status.OK)

    def test_the_table_of_options(self):
        table = {info.name.decode(): info for info in aplomb.option_table()}
        self.assertEqual(table["hips_side"].usual, Options().hips_side)
        self.assertEqual(table["trunk_fore"].unit, b"radians")
        self.assertEqual((table["amount"].lowest, table["amount"].highest), (0, 2))

    def test_options(self):
        situation = Situation(self.figure.rest_pose(), [bucket(self.figure)])
        whole = self.solver.balance(situation).result.controls.hips_shift[0]
        self.assertAlmostEqual(Options().margin, 0.08)
        half = self.solver.balance(situation, Options(amount=0.5)).result.controls.hips_shift[0]
        self.assertAlmostEqual(half, whole / 2, places=3)
        kept = self.solver.balance(situation, Options(locked=[1] * 16)).result.controls.chest
        self.assertLess(max(abs(turn) for turn in kept), 1e-12)
        with self.assertRaises(TypeError):
            Options(sturdiness=3)
        with self.assertRaises(Error) as caught:
            self.solver.balance(situation, Options(locked=[1]))
        self.assertEqual(caught.exception.field, "locked")

    def test_contacts_and_gravity(self):
        keyed = self.figure.rest_pose()
        contacts = self.figure.stance(keyed)
        self.assertEqual([contact.hold for contact in contacts].count(Hold.BEARING), 2)
        for contact in contacts:
            if self.figure.limbs()[contact.limb].side == Side.RIGHT and contact.hold == Hold.BEARING:
                contact.hold = Hold.HELD
        made = self.solver.balance(Situation(keyed, contacts=contacts))
        self.assertGreater(made.pose.translations[0], 0.05)  # over the left foot
        still = self.solver.read(Situation(keyed, gravity=(0, -1.6, 0), ground_normal=(0, 1, 0)))
        self.assertTrue(still.in_balance)
        pulled = self.solver.read(Situation(keyed, pulls=[aplomb.Pull(2, (400, 0, 0))]))
        self.assertGreater(pulled.balance_point[0], 0.2)
        height = still.centre[1] - still.balance_point[1]
        started = self.solver.read(Situation(keyed, com_acceleration=(0.5, 0, 0), angular_momentum_rate=(0, 0, 30)))
        self.assertAlmostEqual(started.balance_point[0] - still.balance_point[0],
                               (30 / started.total_mass - 0.5 * height) / 9.80665, places=9)

    def test_out_of_reach_is_no_failure(self):
        made = self.solver.balance(Situation(self.figure.rest_pose(), [Load(300, self.figure.info().chest, offset=(-1, 0, 0))]))
        self.assertEqual(made.status, Status.OUT_OF_REACH)
        self.assertTrue(made.result.limits())

    def test_errors_name_what_was_wrong(self):
        keyed = self.figure.rest_pose()
        keyed.rotations[5] = math.nan
        for field, status, act in (
                ("rotations", Status.BAD_POSE, lambda: self.solver.read(Situation(keyed))),
                ("translations", Status.BAD_ARGUMENT, lambda: self.solver.read(Situation(Pose(15)))),
                ("rotations", Status.BAD_ARGUMENT, lambda: Pose.over([0] * 48, [0] * 60, False)),
                ("translations", Status.BAD_ARGUMENT, lambda: Pose.over([0] * 48, [0] * 64)),
                ("translations", Status.BAD_ARGUMENT, lambda: Figure(PARENTS, [0] * 5)),
                ("names", Status.BAD_ARGUMENT, lambda: Figure(PARENTS, OFFSETS, names=["hips"])),
                ("parents", Status.BAD_FIGURE, lambda: Figure([-1, 5], [0] * 6)),
                ("translations", Status.BAD_ARGUMENT, lambda: Figure(PARENTS, ["a"] * 48))):
            with self.assertRaises(Error) as caught:
                act()
            self.assertEqual((caught.exception.field, caught.exception.status), (field, status))
            self.assertIn(field, str(caught.exception))

    def test_errors_say_what_is_wanted(self):
        keyed = self.figure.rest_pose()
        for told, act in (
                ("holder is 'right_hand'; it must be a joint number, or two: see Figure.find_joint and "
                 "Figure.find_role.", lambda: Load(15, "right_hand")),
                ("holder is [1, 2, 3]; it must be a joint number, or two: see Figure.find_joint and "
                 "Figure.find_role.", lambda: Load(15, [1, 2, 3])),
                ("figure is None; it must be a Figure.", lambda: Solver(None)),
                ("situation is None; it must be a Situation: Situation(pose, loads).",
                 lambda: self.solver.balance(None)),
                ("situation is a Pose; it must be a Situation: Situation(pose, loads).",
                 lambda: self.solver.read(keyed))):
            with self.assertRaises(Error) as caught:
                act()
            self.assertEqual(str(caught.exception), told)
        with self.assertRaises(TypeError) as caught:
            Figure(PARENTS, OFFSETS, names=NAMES, mass=75)
        self.assertEqual(str(caught.exception),
                         "Figure has no member 'mass'; near: 'masses', 'total_mass', 'mass_table'")

    def test_axes_and_units(self):
        centimetres = Figure(PARENTS, [(100 * x, -100 * z, 100 * y) for x, y, z in OFFSETS], names=NAMES,
                             total_mass=75, metres_per_unit=0.01, up_axis=Axis.Z, forward_axis=Axis.MINUS_Y)
        made = Solver(centimetres).balance(Situation(centimetres.rest_pose(), [Load(15, 9, hang=35)]))
        usual = self.solver.balance(Situation(self.figure.rest_pose(), [bucket(self.figure)]))
        self.assertAlmostEqual(made.result.controls.hips_shift[0], 100 * usual.result.controls.hips_shift[0], places=6)

    def test_threads_share_a_figure(self):
        situation = Situation(self.figure.rest_pose(), [bucket(self.figure)])
        poses = []

        def work():
            solver = Solver(self.figure)
            for _ in range(50):
                made = solver.balance(situation)
            poses.append(list(made.pose.rotations))
        threads = [threading.Thread(target=work) for _ in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        self.assertEqual(len(poses), 4)
        self.assertTrue(all(pose == poses[0] for pose in poses))

    @unittest.skipIf(numpy is None, "numpy is not there")
    def test_numpy_is_used_where_it_lies(self):
        keyed = self.figure.rest_pose()
        view = numpy.frombuffer(keyed.rotations).reshape(-1, 4)
        self.assertEqual(view.shape, (16, 4))
        translations = numpy.array(OFFSETS)
        rotations = numpy.tile([0.0, 0, 0, 1], (16, 1))
        situation = Situation((translations, rotations), [bucket(self.figure)])
        first = self.solver.read(situation).balance_point[0]
        translations[0, 0] += 2
        self.assertAlmostEqual(self.solver.read(situation).balance_point[0], first + 2)
        self.solver.balance(situation, out=(translations, rotations))
        self.assertGreater(translations[0, 0], 2.005)
        with self.assertRaises(Error):
            self.solver.balance(situation, out=(translations.astype(numpy.float32), rotations))
        columns = numpy.asfortranarray(numpy.array(OFFSETS))
        self.assertEqual(list(Pose.over(columns, rotations, False).translations)[:3], [0, .93, .05])
        with self.assertRaises(Error):
            Pose.over(columns, rotations)


class Loading(unittest.TestCase):
    """In processes of their own, since a library stays loaded."""

    def run_python(self, code, **environment):
        kept = {name: value for name, value in os.environ.items() if name not in ("APLOMB_LIBRARY", "PYTHONPATH")}
        kept.update(environment)
        return subprocess.run([sys.executable, "-c", code], env=kept, stdout=subprocess.PIPE,
                              stderr=subprocess.STDOUT, universal_newlines=True)

    def setUp(self):
        self.module = os.path.dirname(os.path.abspath(aplomb.__file__))
        self.library = os.environ["APLOMB_LIBRARY"]

    def test_places(self):
        asked = "import aplomb; print(aplomb.build_info())"
        named = self.run_python(asked, PYTHONPATH=self.module, APLOMB_LIBRARY=self.library)
        self.assertTrue(named.stdout.startswith("aplomb 0.1."), named.stdout)
        by_argument = self.run_python("import aplomb; aplomb.load(%r); print(aplomb.build_info())" % (
            os.path.join(self.library, "libaplomb.so.0.1")), PYTHONPATH=self.module)
        self.assertEqual(by_argument.stdout, named.stdout)
        with tempfile.TemporaryDirectory() as folder:
            for name in ("libaplomb.so.0.1", "libaplomb_files.so.0.1"):
                shutil.copy(os.path.join(self.library, name), folder)
            shutil.copy(aplomb.__file__, folder)
            beside = self.run_python(asked + "; print(aplomb.Character(%r).clips())" % BEEKEEPER, PYTHONPATH=folder)
            self.assertEqual(beside.stdout, named.stdout + "['motion']\n")
            system = self.run_python(asked, PYTHONPATH=self.module, LD_LIBRARY_PATH=folder)
            self.assertEqual(system.stdout, named.stdout)

    def test_import_alone_loads_nothing(self):
        self.assertEqual(self.run_python("import aplomb; print(aplomb.Status.OK == 0)", PYTHONPATH=self.module,
                                         APLOMB_LIBRARY="/nowhere").stdout, "True\n")

    def test_what_cannot_be_loaded_is_named(self):
        for place, word in (("/nowhere/libaplomb.so", "/nowhere/libaplomb.so"), (BEEKEEPER, "beekeeper.bvh")):
            found = self.run_python("import aplomb; aplomb.build_info()", PYTHONPATH=self.module, APLOMB_LIBRARY=place)
            self.assertIn("cannot be loaded", found.stdout)
            self.assertIn(word, found.stdout)

    def test_another_version_is_refused(self):
        with tempfile.TemporaryDirectory() as folder:
            other = os.path.join(folder, "other.so")
            subprocess.run([os.environ.get("CC", "cc"), "-shared", "-x", "c", "-", "-o", other], check=True,
                           input="unsigned aplomb_version(void) { return 205; }", universal_newlines=True)
            found = self.run_python("import aplomb; aplomb.build_info()", PYTHONPATH=self.module, APLOMB_LIBRARY=other)
            self.assertIn("is version 0.2.5; this module is for 0.1", found.stdout)

    def test_a_missing_function_hurts_only_those_who_call_it(self):
        with tempfile.TemporaryDirectory() as folder:
            other = os.path.join(folder, "other.so")
            subprocess.run([os.environ.get("CC", "cc"), "-shared", "-x", "c", "-", "-o", other], check=True,
                           input="unsigned aplomb_version(void) { return 199; }", universal_newlines=True)
            found = self.run_python("import aplomb; aplomb.load(); print('loaded'); aplomb.build_info()",
                                    PYTHONPATH=self.module, APLOMB_LIBRARY=other)
            self.assertTrue(found.stdout.startswith("loaded"))
            self.assertIn("has no aplomb_build_info", found.stdout)

    def test_without_numpy(self):
        found = self.run_python("import sys; sys.modules['numpy'] = None\n"
                                "import aplomb; print(aplomb.Pose(2).joint_count)", PYTHONPATH=self.module,
                                APLOMB_LIBRARY=self.library)
        self.assertEqual(found.stdout, "2\n")


if __name__ == "__main__":
    unittest.main()

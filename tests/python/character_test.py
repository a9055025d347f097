# SPDX-License-Identifier: MIT
"""Characters in files, pictures, pages and sheets from Python."""
import os
import tempfile
import unittest

import aplomb
from aplomb import Character, Error, Load, Role, Side, Situation, Solver, Status

EXAMPLES = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..", "examples")
BEEKEEPER = os.path.join(EXAMPLES, "beekeeper.bvh")


def is_there(name):
    try:
        return bool(getattr(aplomb._library(), name))
    except Error:
        return False


def box_of_honey(figure):
    return Load(22, [figure.find_role(Role.HAND, side) for side in (Side.LEFT, Side.RIGHT)])


class Files(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.addCleanup(self.folder.cleanup)
        self.character = Character(BEEKEEPER)
        self.figure = self.character.figure
        self.keyed = self.character.pose("motion", 0)
        self.situation = Situation(self.keyed, [box_of_honey(self.figure)])
        self.solver = Solver(self.figure)
        self.made = self.solver.balance(self.situation)

    def path(self, name):
        return os.path.join(self.folder.name, name)

    def picture(self):
        before = self.solver.read(self.situation)
        after = self.solver.read_corrected(self.situation, self.made)
        return aplomb.Picture(self.figure, self.situation, aplomb.DrawnPose(self.keyed, before, "keyed"),
                              aplomb.DrawnPose(self.made.pose, after, "corrected"), title="H\u00f6nigkiste",
                              text=self.made.explain(), lines=True, result=self.made.result)

    def text(self, name):
        with open(self.path(name), encoding="utf-8") as file:
            return file.read()

    def test_how_it_was_understood(self):
        info = self.character.understood()
        self.assertEqual((info.up_axis, info.forward_axis), (aplomb.Axis.Y, aplomb.Axis.Z))
        self.assertEqual(info.up_source, aplomb.Source.SHAPE)
        self.assertIn(b"stand along it", info.up_why)
        self.assertEqual((info.stand_clip, self.character.remarks()), (-1, []))
        stand = Character(BEEKEEPER, stand=("motion", 1)).understood()
        self.assertEqual((stand.stand_clip, stand.stand_seconds, stand.stand_source), (0, 1, aplomb.Source.GIVEN))
        self.assertEqual(Character(BEEKEEPER, stand="none").understood().stand_source, aplomb.Source.GIVEN)
        with self.assertRaises(Error) as caught:
            Character(BEEKEEPER, stand=("moton", 1))
        self.assertEqual(caught.exception.field, "stand_clip")

    def test_clips(self):
        self.assertEqual(self.character.clips(), ["motion"])
        self.assertEqual(self.character.key_times(), [0, 1, 2])
        with self.assertRaises(Error) as caught:
            self.character.pose("no such clip")
        self.assertEqual(caught.exception.field, "clip")
        self.assertEqual(str(caught.exception), "There is no clip 'no such clip'; there is: 'motion'.")
        with self.assertRaises(Error) as caught:
            self.character.pose("moton")
        self.assertEqual(str(caught.exception), "There is no clip 'moton'; near: 'motion'.")

    def test_figure_outlives_its_character(self):
        figure = Character(BEEKEEPER).figure
        self.assertEqual(figure.name(0), "hips")

    def test_options(self):
        self.assertAlmostEqual(Character(BEEKEEPER, total_mass=90).figure.info().total_mass, 90)
        with self.assertRaises(TypeError):
            Character(BEEKEEPER, weight=90)

    def test_write_and_read_again(self):
        self.assertEqual(self.made.status, Status.OK)
        path = self.path("b\u00f6x.bvh")
        self.character.write(path, self.made.pose, 0, 0.0)
        pose = Character(path).pose(0, 0.0)
        self.assertLess(max(abs(a - b) for a, b in zip(pose.translations, self.made.pose.translations)), 1e-5)
        self.assertGreater(abs(pose.translations[1] - self.keyed.translations[1]), 0.004)  # the knees give
        self.character.write_description(self.path("figure.json"))
        again = Character(BEEKEEPER, description=self.path("figure.json"))
        self.assertAlmostEqual(again.figure.info().total_mass, self.figure.info().total_mass, places=4)

    def test_many_frames_at_once(self):
        for frame_times, places in (({"seconds": [2.0, 0.0]}, (2, 0)), ({"keys": [2, 0]}, (2, 0))):
            translations, rotations = [], []
            for seconds in places:
                pose = self.character.pose(0, seconds)
                pose.translations[0] += 3
                translations += pose.translations
                rotations += pose.rotations
            self.character.write_frames(self.path("many.bvh"), translations, rotations, **frame_times)
            written = Character(self.path("many.bvh"))
            for seconds, moved in ((0, 3), (1, 0), (2, 3)):
                before, after = self.character.pose(0, seconds), written.pose(0, seconds)
                self.assertAlmostEqual(after.translations[0], before.translations[0] + moved, places=5)
            data = self.character.frames_to_bytes(translations, rotations, **frame_times)
            with open(self.path("many.bvh"), "rb") as file:
                self.assertEqual(file.read(), data)
        with self.assertRaises(Error) as caught:
            self.character.write_frames(self.path("no.bvh"), translations, rotations[1:], keys=[2, 0])
        self.assertEqual(caught.exception.field, "rotations")
        with self.assertRaises(Error) as caught:
            self.character.write_frames(self.path("no.bvh"), translations, rotations, keys=[0, 3])
        self.assertEqual((caught.exception.field, caught.exception.index), ("keys", 1))
        self.assertFalse(os.path.exists(self.path("no.bvh")))

    def test_on_its_own_keys(self):
        shots = Character(os.path.join(os.path.dirname(BEEKEEPER), "beekeeper_shots.glb"))
        walk = shots.clips().index("walk")
        seconds = [k / 24 for k in range(29)]
        translations, rotations = [], []
        for moment in seconds:
            pose = shots.pose(walk, moment)
            pose.translations[3] += .01  # of the hips: joint 1
            translations += pose.translations
            rotations += pose.rotations
        planted = [limb for limb, info in enumerate(shots.figure.limbs()) if info.kind == aplomb.LimbKind.LEG][:1]
        told = shots.write_own_keys(self.path("own.glb"), translations, rotations, seconds,
                                    [aplomb.StanceRange(planted[0], 0, 4)], walk)
        self.assertEqual((told.added_count, told.keys), (0, []))  # there is a key in every frame
        self.assertLess(told.drift, 1e-9)
        written = Character(self.path("own.glb"))
        for moment in seconds:
            self.assertAlmostEqual(written.pose(walk, moment).translations[3],
                                   shots.pose(walk, moment).translations[3] + .01, places=5)
        with self.assertRaises(Error) as caught:
            shots.write_own_keys(self.path("no.glb"), translations, rotations, seconds[::-1], [], walk)
        self.assertEqual((caught.exception.field, caught.exception.index), ("seconds", 1))
        self.assertFalse(os.path.exists(self.path("no.glb")))

    def test_from_bytes(self):
        with open(BEEKEEPER, "rb") as file:
            data = file.read()
        description = Character(BEEKEEPER, total_mass=90).description_to_bytes()
        asked = []

        def find(name):
            asked.append(name)
            return description if name == "b.bvh.figure.json" else None

        self.assertAlmostEqual(Character.from_bytes(data, "b.bvh", find).figure.info().total_mass, 90, places=4)
        self.assertEqual(set(asked), {"b.bvh.figure.json"})
        plain = Character.from_bytes(data)
        self.assertEqual(plain.clips(), ["motion"])
        self.assertAlmostEqual(plain.figure.info().total_mass, self.figure.info().total_mass)
        self.assertEqual(plain.frames_to_bytes([], [], seconds=[]), data)
        with self.assertRaises(Error) as caught:
            Character.from_bytes(b"nothing", "c.bvh")
        self.assertEqual((caught.exception.status, caught.exception.field), (Status.BAD_FILE, "bytes"))
        self.assertIn("c.bvh", str(caught.exception))

    def test_bad_files_are_named(self):
        for name, status in (("missing.bvh", Status.CANNOT_OPEN), ("empty.bvh", Status.BAD_FILE)):
            if status == Status.BAD_FILE:
                open(self.path(name), "w").close()
            with self.assertRaises(Error) as caught:
                Character(self.path(name))
            self.assertEqual(caught.exception.status, status)
            self.assertIn(name, str(caught.exception))

    def test_picture(self):
        self.picture().write(self.path("box.svg"))
        self.assertIn("H\u00f6nigkiste", self.text("box.svg"))
        self.assertEqual(self.picture().to_bytes().decode("utf-8"), self.text("box.svg"))

    def test_page_and_sheets(self):
        if not is_there("aplomb_page_write") or not is_there("aplomb_sheets_write"):
            self.skipTest("this library has no pages yet")
        picture = self.picture()
        picture.write_page(self.path("box.html"))
        self.assertIn("H\u00f6nigkiste", self.text("box.html"))
        cells = [aplomb.Cell(picture, aplomb.View.SIDE, True, "22 kg"), aplomb.Cell()]
        aplomb.write_sheets([aplomb.Sheet("Honey", cells, 2, column_names=["full", "empty"])], self.path("sheet.html"))
        self.assertIn("22 kg", self.text("sheet.html"))
        self.assertEqual(picture.page_to_bytes().decode("utf-8"), self.text("box.html"))
        parts = picture.page_parts(450)
        self.assertEqual(set(parts["before"]["views"]), {"front", "side", "top"})
        self.assertIn(parts["before"]["verdict"], self.text("box.html"))
        self.assertNotIn("views", picture.page_parts()["before"])
        sheets = [aplomb.Sheet("Honey", cells, 2, column_names=["full", "empty"])]
        self.assertEqual(aplomb.sheets_to_bytes(sheets).decode("utf-8"), self.text("sheet.html"))
        with self.assertRaises(Error):
            aplomb.Sheet("Honey", cells, 2, column_names=["full"])

    def test_skin_and_cameras(self):
        if not is_there("aplomb_character_mesh"):
            self.skipTest("this library has no meshes yet")
        with self.assertRaises(Error) as caught:
            self.character.mesh()
        self.assertEqual(caught.exception.status, Status.BAD_FILE)
        self.assertEqual(self.character.camera_count(), 0)
        path = os.path.join(EXAMPLES, "beekeeper.glb")
        if not os.path.exists(path):
            self.skipTest("examples/beekeeper.glb is not there")
        character = Character(path)
        mesh = character.mesh()
        self.assertGreater(mesh.vertex_count, 100)
        self.assertLess(max(mesh.triangles[:3 * mesh.triangle_count]), mesh.vertex_count)
        positions = character.skin(character.pose())
        self.assertEqual(len(positions), 3 * mesh.vertex_count)
        stature = character.figure.info().stature
        height = max(positions[1::3]) - min(positions[1::3])
        self.assertTrue(0.8 * stature < height < 1.3 * stature, (height, stature))


if __name__ == "__main__":
    unittest.main()

# SPDX-License-Identifier: MIT
"""The module agrees with the C headers: every struct, member, offset, number and function."""
import ctypes
import os
import subprocess
import tempfile
import unittest

import aplomb
import headers

ENUMERATIONS = {"aplomb_doubt": aplomb.Doubt, "aplomb_status": aplomb.Status, "aplomb_role": aplomb.Role, "aplomb_side": aplomb.Side,
                "aplomb_axis": aplomb.Axis, "aplomb_mass_table": aplomb.MassTable, "aplomb_origin": aplomb.Origin,
                "aplomb_source": aplomb.Source,
                "aplomb_limb_kind": aplomb.LimbKind, "aplomb_hold": aplomb.Hold, "aplomb_footing": aplomb.Footing, "aplomb_ride": aplomb.Ride, "aplomb_front": aplomb.Front,
                "aplomb_chain_kind": aplomb.ChainKind, "aplomb_give_kind": aplomb.GiveKind,
                "aplomb_free": aplomb.Free, "aplomb_view": aplomb.View,
                "aplomb_dot": aplomb.Dot, "aplomb_build": aplomb.Build, "aplomb_manner_part": aplomb.MannerPart}
PREFIXES = {"aplomb_ride": "APLOMB_RIDE_", "aplomb_front": "APLOMB_FRONT_", "aplomb_doubt": "APLOMB_DOUBT_", "aplomb_role": "APLOMB_ROLE_", "aplomb_side": "APLOMB_SIDE_", "aplomb_axis": "APLOMB_AXIS_",
            "aplomb_mass_table": "APLOMB_MASS_", "aplomb_origin": "APLOMB_ORIGIN_",
            "aplomb_chain_kind": "APLOMB_CHAIN_", "aplomb_give_kind": "APLOMB_GIVE_",
            "aplomb_source": "APLOMB_SOURCE_", "aplomb_free": "APLOMB_FREE_",
            "aplomb_view": "APLOMB_VIEW_",
            "aplomb_dot": "APLOMB_DOT_", "aplomb_build": "APLOMB_BUILD_",
            "aplomb_manner_part": "APLOMB_MANNER_"}
NOT_IN_PYTHON = {"aplomb_allocator", "aplomb_job"}  # memory is the library's own here, threads are the host's
NOT_BOUND = {"aplomb_number", "aplomb_space"}


def run_c(lines):
    """What a C program of these statements prints, as pairs of a name and a number."""
    with tempfile.TemporaryDirectory() as folder:
        source, program = os.path.join(folder, "print.c"), os.path.join(folder, "print")
        with open(source, "w", encoding="utf-8") as file:
            file.write("#include <aplomb/clip.h>\n#include <aplomb/files.h>\n#include <aplomb/follow.h>\n#include <aplomb/foot.h>\n#include <aplomb/fit.h>\n#include <aplomb/drawing.h>\n#include <stdio.h>\nint main(void) {\n%s\nreturn 0;\n}\n" %
                       "\n".join(lines))
        subprocess.run([os.environ.get("CC", "cc"), "-std=c11", "-I", headers.INCLUDE, source, "-o", program],
                       check=True)
        printed = subprocess.run([program], check=True, stdout=subprocess.PIPE, universal_newlines=True).stdout
    return {name: int(number) for name, number in (line.split() for line in printed.splitlines())}


class Binding(unittest.TestCase):
    def test_all_that_is_public_is_told(self):
        """`from aplomb import *` and help() show what __all__ names."""
        public = [name for name, thing in vars(aplomb).items()
                  if not name.startswith("_") and getattr(thing, "__module__", None) == "aplomb"]
        self.assertEqual(sorted(aplomb.__all__), sorted(public))

    def test_every_struct_is_there(self):
        known = {cls._c_name: [name for name, *_ in cls._fields_] for cls in aplomb.STRUCTURES}
        declared = headers.structures()
        self.assertGreater(len(declared), 20)
        for name, members in declared.items():
            if name not in NOT_IN_PYTHON:
                self.assertEqual(members, known.get(name), name)

    def test_sizes_and_offsets(self):
        expected, lines = {}, []
        for cls in aplomb.STRUCTURES:
            name = cls._c_name
            expected[name] = ctypes.sizeof(cls)
            lines.append('printf("%s %%zu\\n", sizeof(%s));' % (name, name))
            for member, *_ in cls._fields_:
                field = getattr(cls, member)
                for what, c_text, value in (("offset", "offsetof(%s, %s)", field.offset),
                                            ("size", "sizeof(((%s*)0)->%s)", field.size)):
                    key = "%s.%s.%s" % (name, member, what)
                    expected[key] = value
                    lines.append('printf("%s %%zu\\n", %s);' % (key, c_text % (name, member)))
        self.assertEqual(run_c(lines), expected)

    def test_every_number(self):
        expected, lines = {}, []
        for name, enumerators in headers.enumerations().items():
            if name in NOT_BOUND:
                continue
            named = {}
            for enumerator in enumerators:
                if not enumerator.endswith("FORCE_32"):
                    named[enumerator[len(PREFIXES.get(name, "APLOMB_")):]] = enumerator
            self.assertEqual(sorted(named), sorted(ENUMERATIONS[name].__members__), name)
            for short, enumerator in named.items():
                expected[enumerator] = int(ENUMERATIONS[name][short])
                lines.append('printf("%s %%d\\n", (int)%s);' % (enumerator, enumerator))
        for limit in ("CONTACTS", "LOADS", "EDGES", "CUES", "HOLD_BACKS", "KNEES", "LIMBS", "CLIP_NOTES",
                      "CHAINS", "CHAIN_JOINTS"):
            expected["APLOMB_MAX_" + limit] = getattr(aplomb, "_MAX_" + limit)
            lines.append('printf("APLOMB_MAX_%s %%d\\n", APLOMB_MAX_%s);' % (limit, limit))
        self.assertGreater(len(expected), 60)
        self.assertEqual(run_c(lines), expected)

    def test_every_function(self):
        declared = headers.functions()
        self.assertGreater(len(declared), 50)
        self.assertEqual({name: len(takes) for name, (_, takes) in aplomb.PROTOTYPES.items()}, declared)

    def test_handles_keep_all_their_bits(self):
        for name in ("aplomb_character_figure",):
            self.assertIs(aplomb.PROTOTYPES[name][0], ctypes.c_void_p)

    def test_version(self):
        found = run_c(['printf("major %d\\nminor %d\\n", APLOMB_VERSION_MAJOR, APLOMB_VERSION_MINOR);'])
        self.assertEqual((found["major"], found["minor"]), aplomb._VERSION)


if __name__ == "__main__":
    unittest.main()

#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Each folder of the library includes headers of, and links with, itself and the folders below it alone. Usage:
layers_test.py object file ... (all of src/core, src/clip and src/files)"""

import collections
import pathlib
import re
import subprocess
import sys

CORE = "base stance figure moment support model solve pose balance step reading capi".split()  # bottom up
FILES = "json io report".split()  # on the base and the C API
CLIP = ["base", "stance", "clip"]  # the same, and of the figure what its header says without linking
CORRECT = CLIP + "figure moment support model pose correct".split()  # the single pose's problem, never its solver

source = pathlib.Path(__file__).resolve().parents[2] / "src"
faults = []


def below(folder):
    """The folders whose headers and symbols `folder` may use."""
    if folder in CORE:
        return CORE[: CORE.index(folder) + 1]
    if folder == "clip":
        return CLIP
    if folder == "correct":
        return CORRECT
    return ["base"] + FILES[: FILES.index(folder) + 1]


def check_includes():
    for path in sorted(source.glob("core/*/*")) + sorted(source.glob("files/*/*")) + sorted(source.glob("clip/*.*")) + sorted(
            source.glob("clip/correct/*")):
        library, folder = path.parts[-3:-1]
        if folder not in {"core": CORE, "files": FILES, "clip": ["correct"]}.get(library, ["clip"]):
            sys.exit(f"src/{library}/{folder} has no place in the order; give it one here")
        for name in re.findall(r'^#include "(.*)"', path.read_text(), re.MULTILINE):
            public = name == "aplomb/aplomb.h" or library != "core" and name.startswith("aplomb/")
            public = public or folder == "clip" and name in ("figure/figure.h", "figure/frame.h")
            if not public and name.split("/")[0] not in below(folder):
                faults.append(f"{path.relative_to(source)} includes {name}")


def check_links(objects):
    defined = collections.defaultdict(set)  # folders by symbol
    wanted = []
    for path in objects:
        folder = re.search(r"/(?:core/|files/)?(\w+)/[^/]+$", path).group(1)
        listed = subprocess.run(["nm", "-P", path], check=True, capture_output=True, text=True).stdout
        for symbol, kind in (line.split()[:2] for line in listed.splitlines()):
            if kind in "Uvw":
                wanted.append((folder, path, symbol))
            elif kind.isupper():
                defined[symbol].add(folder)
    missing = set(CORE) - set().union(*defined.values())
    if missing:
        sys.exit(f"no object files of {', '.join(sorted(missing))}")
    for folder, path, symbol in wanted:
        public = folder in FILES + ["clip", "correct"] and symbol.startswith("aplomb_")
        if defined[symbol] and not public and not defined[symbol] & set(below(folder)):
            place = "/".join(sorted(defined[symbol]))
            faults.append(f"{folder}/{pathlib.Path(path).name} links with {place}: {symbol}")


check_includes()
check_links(sys.argv[1:])
for fault in faults:
    print("!! upwards:", fault)
print(f"{len(sys.argv) - 1} object files looked at.")
sys.exit(bool(faults))

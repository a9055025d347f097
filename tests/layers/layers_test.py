#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Each folder of the library includes headers of, and links with, itself and the folders below it alone, and
callers' structs are the C API's alone. Usage: layers_test.py object file ... (all of src/core, src/clip, src/fit and src/files).
The command, a program, is looked at for what it includes."""

import collections
import pathlib
import re
import subprocess
import sys

CORE = "base stance figure moment support carry model follow solve pose balance suggest step reading capi".split()  # bottom up
FILES = "json io report".split()  # on the base and the C API
CLIP = ["base", "stance", "clip"]  # the same, and of the figure what its headers say without linking
CORRECT = CLIP + "figure moment support carry model pose correct".split()  # the single pose's problem, never its solver

DOOR = "capi/situation"  # where callers' situations come in: a clip's frames, too

# Public structs that folders below the C API may see. All others are read and written in capi alone.
SEEN = {
    "aplomb_error": CORE, "aplomb_allocator": CORE,  # how a refusal is told, where memory comes from
    "aplomb_options": CORE,  # a value that capi has read, checked and completed: the options' own type
    # Read once, where it is understood, and kept by nobody: a figure is built from it.
    "aplomb_figure_desc": ["figure"], "aplomb_skin": ["figure"], "aplomb_patch": ["figure"],
    # Values without pointers.
    "aplomb_chain": ["follow"], "aplomb_hanging": ["follow"], "aplomb_hanging_state": ["follow"],
    "aplomb_hanging_result": ["follow"], "aplomb_bounce": ["follow"],
}

FIT = ["base", "fit"]  # the same, without the figure
DRAWING = FIT + ["drawing"]

source = pathlib.Path(__file__).resolve().parents[2] / "src"
faults = []


def below(folder):
    """The folders whose headers and symbols `folder` may use."""
    if folder in CORE:
        return CORE[: CORE.index(folder) + 1]
    if folder == "clip":
        return CLIP
    if folder == "fit":
        return FIT
    if folder == "drawing":
        return DRAWING
    if folder == "correct":
        return CORRECT
    return ["base"] + FILES[: FILES.index(folder) + 1]


def check_includes():
    for path in sorted(source.glob("core/*/*")) + sorted(source.glob("files/*/*")) + sorted(source.glob("clip/*.*")) + sorted(
            source.glob("clip/correct/*")) + sorted(source.glob("fit/*.*")) + sorted(source.glob("fit/drawing/*")):
        library, folder = path.parts[-3:-1]
        if folder not in {"core": CORE, "files": FILES, "clip": ["correct"], "fit": ["drawing"]}.get(library, ["clip", "fit"]):
            sys.exit(f"src/{library}/{folder} has no place in the order; give it one here")
        for name in re.findall(r'^#include "(.*)"', path.read_text(), re.MULTILINE):
            public = name in ("aplomb/aplomb.h", "aplomb/follow.h", "aplomb/foot.h") or library != "core" and name.startswith("aplomb/")
            public = public or folder == "clip" and name == "figure/frame.h"
            public = public or folder in ("clip", "correct") and name == "capi/handles.h"
            public = public or folder == "correct" and name == DOOR + ".h"
            if not public and name.split("/")[0] not in below(folder):
                faults.append(f"{path.relative_to(source)} includes {name}")


def check_structs():
    """The C API alone knows how long a caller's struct is, and what is behind its pointers."""
    headers = "".join(path.read_text() for path in sorted(source.parent.glob("include/aplomb/*.h")))
    structs = set(re.findall(r"^typedef struct (aplomb_\w+) {", headers, re.MULTILINE))
    if not {"aplomb_situation", "aplomb_reading"} | SEEN.keys() <= structs:
        sys.exit("the headers lack structs that this test knows")
    for path in sorted(source.glob("core/*/*")):
        folder = path.parent.name
        if folder == "capi":
            continue
        text = path.read_text()
        for name in sorted(structs & set(re.findall(r"\baplomb_\w+", text))):
            if folder not in SEEN.get(name, []):
                faults.append(f"{path.relative_to(source)} sees {name}")
        if path.name != "structs.h" and ("struct_size" in text or "base/structs.h" in text):
            faults.append(f"{path.relative_to(source)} goes by the size of a caller's struct")


def check_worksheet():
    """The desk stands on the public headers and the JSON values, as the command might; its page never sees a struct."""
    for path in sorted(source.glob("worksheet/*.*")):
        for name in re.findall(r'^#include "(.*)"', path.read_text(), re.MULTILINE):
            if name.split("/")[0] not in ("aplomb", "json", "worksheet"):
                faults.append(f"{path.relative_to(source)} includes {name}")


def check_disk():
    """One source of the library has a file system: another stands for it where there is none."""
    for path in sorted(source.glob("core/*/*")) + sorted(source.glob("files/*/*")) + sorted(
            source.glob("clip/**/*.*")) + sorted(source.glob("fit/**/*.*")):
        if path.name != "disk.cpp" and re.search(r"#include <(filesystem|fstream|iostream|sstream)>", path.read_text()):
            faults.append(f"{path.relative_to(source)} has a file system or streams")


def check_links(objects):
    defined = collections.defaultdict(set)  # folders by symbol
    door = set()  # its symbols
    wanted = []
    for path in objects:
        folder = re.search(r"/(?:core/|files/)?(\w+)/[^/]+$", path).group(1)
        listed = subprocess.run(["nm", "-P", path], check=True, capture_output=True, text=True).stdout
        for symbol, kind in (line.split()[:2] for line in listed.splitlines()):
            if kind in "Uvw":
                wanted.append((folder, path, symbol))
            elif kind.isupper():
                defined[symbol].add(folder)
                if f"/{DOOR}.cpp" in path:
                    door.add(symbol)
    missing = set(CORE) - set().union(*defined.values())
    if missing:
        sys.exit(f"no object files of {', '.join(sorted(missing))}")
    for folder, path, symbol in wanted:
        public = folder in FILES + ["clip", "correct", "fit", "drawing"] and symbol.startswith("aplomb_")
        public = public or folder == "correct" and symbol in door
        if defined[symbol] and not public and not defined[symbol] & set(below(folder)):
            place = "/".join(sorted(defined[symbol]))
            faults.append(f"{folder}/{pathlib.Path(path).name} links with {place}: {symbol}")


def check_command():
    """It sees public headers, the base, and of the file library its JSON and its words for names that are near."""
    for path in sorted(source.glob("cli/*")):
        for name in re.findall(r'^#include "(.*)"', path.read_text(), re.MULTILINE):
            if name.split("/")[0] not in ("aplomb", "base", "cli", "json", "io"):
                faults.append(f"{path.relative_to(source)} includes {name}")


check_includes()
check_structs()
check_command()
check_worksheet()
check_disk()
check_links(sys.argv[1:])
for fault in faults:
    print("!! upwards:", fault)
print(f"{len(sys.argv) - 1} object files looked at.")
sys.exit(bool(faults))

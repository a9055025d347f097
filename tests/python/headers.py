# SPDX-License-Identifier: MIT
"""What the public headers say, read from their text."""
import os
import re

INCLUDE = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..", "include")


def text():
    parts = []
    for name in ("aplomb.h", "files.h", "clip.h", "follow.h", "foot.h", "fit.h", "drawing.h"):
        with open(os.path.join(INCLUDE, "aplomb", name), encoding="utf-8") as file:
            parts.append(file.read())
    return re.sub(r"/\*.*?\*/", "", "\n".join(parts), flags=re.S)


def structures():
    """name: members, in order."""
    found = {}
    for body, name in re.findall(r"typedef struct aplomb_\w+ \{(.*?)\} (aplomb_\w+);", text(), flags=re.S):
        members = []
        for declaration in body.split(";"):
            if "(*" in declaration:
                members += re.findall(r"\(\*(\w+)\)", declaration)
            else:
                members += [re.sub(r"\[.*?\]", "", part).split()[-1].lstrip("*")
                            for part in declaration.split(",") if part.strip()]
        found[name] = members
    return found


def enumerations():
    """name: enumerators."""
    return {name: re.findall(r"(APLOMB_\w+)", body)
            for body, name in re.findall(r"typedef enum aplomb_\w+ \{(.*?)\} (aplomb_\w+);", text(), flags=re.S)}


def functions():
    """name: how many arguments."""
    return {name: 0 if arguments.strip() == "void" else arguments.count(",") + 1
            for name, arguments in re.findall(r"APLOMB_API[^;(]*?(aplomb_\w+)\(([^;]*?)\);", text(), flags=re.S)}

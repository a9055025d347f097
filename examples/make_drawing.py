#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Draws a beekeeper who carries a full honey box, beekeeper_drawing.svg, with the dots that somebody would set on it,
beekeeper_drawing.json. Invented, by eye: an upright carrier as one draws without thinking of weight. Same bytes on
every run.

    python3 examples/make_drawing.py [FOLDER]      # default: beside this script
"""
import json
import math
import pathlib
import sys

STATURE = 720.0  # pixels
GROUND = 840.0
INK = "#3b3a36"


def step(start, length, degrees):
    """From `start` so far, `degrees` from straight down towards the right."""
    angle = math.radians(degrees)
    return (start[0] + length * STATURE * math.sin(angle), start[1] + length * STATURE * math.cos(angle))


def pose():
    """Where the joints are: seen nearly from the side, facing the picture's right; the left is the far side."""
    p = {}
    hips = (430.0, GROUND - .525 * STATURE)
    neck = step(hips, .30, 180 - 4)
    p["neck"] = neck
    p["chin"] = (neck[0] + .052 * STATURE, neck[1] - .035 * STATURE)
    p["crown"] = step(neck, .172, 180 - 3)
    for side, way in (("left", 1), ("right", -1)):
        shoulder = (neck[0] + way * .030 * STATURE, neck[1] + .012 * STATURE)
        hip = (hips[0] + way * .014 * STATURE, hips[1])
        elbow = step(shoulder, .158, 14 if way > 0 else 8)
        wrist = step(elbow, .148, 78 if way > 0 else 74)
        knee = step(hip, .245, 6 if way > 0 else -3)
        ankle = step(knee, .242, -3 if way > 0 else -9)
        toe = (ankle[0] + .108 * STATURE, GROUND - .008 * STATURE)
        for name, place in (("shoulder", shoulder), ("elbow", elbow), ("wrist", wrist), ("hip", hip), ("knee", knee),
                            ("ankle", ankle), ("toe", toe)):
            p[side + " " + name] = place
    lowest = max(p["left ankle"][1], p["right ankle"][1])
    shift = GROUND - .040 * STATURE - lowest
    for name, (x, y) in p.items():
        if "toe" not in name:
            p[name] = (x, y + shift)
    return p, (hips[0], hips[1] + shift)


class Sheet:
    def __init__(self):
        self.parts = []

    def add(self, text):
        self.parts.append(text)

    def limb(self, a, b, wide, narrow, fill):
        """A sleeve or a trouser leg: rounded at both ends, narrower at the second."""
        dx, dy = b[0] - a[0], b[1] - a[1]
        long = math.hypot(dx, dy)
        nx, ny = -dy / long, dx / long
        self.add('<path d="M %.1f %.1f L %.1f %.1f A %.1f %.1f 0 0 0 %.1f %.1f L %.1f %.1f A %.1f %.1f 0 0 0 %.1f %.1f Z" '
                 'fill="%s" stroke="%s" stroke-width="3" stroke-linejoin="round"/>' %
                 (a[0] + nx * wide, a[1] + ny * wide, b[0] + nx * narrow, b[1] + ny * narrow, narrow, narrow,
                  b[0] - nx * narrow, b[1] - ny * narrow, a[0] - nx * wide, a[1] - ny * wide, wide, wide,
                  a[0] + nx * wide, a[1] + ny * wide, fill, INK))

    def arm(self, p, side, fill):
        x, y = p[side + " shoulder"]
        self.limb((x, y + 14), p[side + " elbow"], 25, 20, fill)
        self.limb(p[side + " elbow"], p[side + " wrist"], 21, 15, fill)

    def leg(self, p, side, fill, boot):
        ankle, toe = p[side + " ankle"], p[side + " toe"]
        self.limb(p[side + " hip"], p[side + " knee"], 40, 29, fill)
        self.limb(p[side + " knee"], ankle, 29, 21, fill)
        self.add('<path d="M %.1f %.1f q -14 14 -12 %.1f h %.1f q 10 -18 -34 -26 q -22 -10 -24 -22 z" fill="%s" stroke="%s" '
                 'stroke-width="3" stroke-linejoin="round"/>' %
                 (ankle[0] - 16, ankle[1] - 16, GROUND - ankle[1] + 14, toe[0] - ankle[0] + 32, boot, INK))


def draw(p, hips):
    s = Sheet()
    s.add('<svg xmlns="http://www.w3.org/2000/svg" width="900" height="920" viewBox="0 0 900 920">')
    s.add("<title>A beekeeper carries a honey box</title>")
    s.add('<rect width="900" height="920" fill="#fbf7ec"/>')
    s.add('<path d="M 0 790 Q 220 760 460 785 T 900 772 V 920 H 0 Z" fill="#e3ead0"/>')
    s.add('<path d="M 0 %g H 900 V 920 H 0 Z" fill="#d5dfbb"/>' % GROUND)
    for x, h in ((60, 24), (110, 16), (205, 20), (655, 22), (720, 15), (806, 26), (850, 17)):
        s.add('<path d="M %d %g q -4 -%d -9 -%d M %d %g q 2 -%d 8 -%d" fill="none" stroke="#8ea066" stroke-width="3" '
              'stroke-linecap="round"/>' % (x, GROUND + 26, h, h + 6, x, GROUND + 26, h, h + 2))
    # Two hives behind.
    for x, y in ((70, 690), (170, 702)):
        s.add('<g stroke="#9a8f7a" stroke-width="2.5"><rect x="%d" y="%d" width="80" height="40" fill="#efe3c4"/>'
              '<rect x="%d" y="%d" width="80" height="44" fill="#e6d8b2"/><rect x="%d" y="%d" width="92" height="12" '
              'fill="#cfc09a"/></g>' % (x, y, x, y + 40, x - 6, y - 12))
    far, near = "#e7e0cc", "#f7f2e2"
    s.arm(p, "left", far)
    s.leg(p, "left", far, "#5d5a4a")
    s.leg(p, "right", near, "#6d6a57")
    # The trunk, from the shoulders to the seat.
    n = p["neck"]
    s.add('<path d="M %.1f %.1f C %.1f %.1f %.1f %.1f %.1f %.1f L %.1f %.1f C %.1f %.1f %.1f %.1f %.1f %.1f Z" fill="%s" '
          'stroke="%s" stroke-width="3" stroke-linejoin="round"/>' %
          (n[0] - 44, n[1] + 4, n[0] - 78, n[1] + 70, hips[0] - 60, hips[1] - 80, hips[0] - 48, hips[1] + 28,
           hips[0] + 48, hips[1] + 26, hips[0] + 56, hips[1] - 70, n[0] + 78, n[1] + 90, n[0] + 46, n[1] + 4, near, INK))
    s.add('<path d="M %.1f %.1f q 46 12 96 -2" fill="none" stroke="%s" stroke-width="3"/>' %
          (hips[0] - 47, hips[1] - 18, INK))
    # The box, before the far arm and behind the near one.
    hand = p["right wrist"]
    bx, by = hand[0] - 4, hand[1] - 62
    s.add('<g stroke="%s" stroke-width="3" stroke-linejoin="round"><rect x="%.1f" y="%.1f" width="172" height="92" '
          'fill="#e2b25c"/><rect x="%.1f" y="%.1f" width="186" height="16" fill="#c9953f"/><path d="M %.1f %.1f h 46" '
          'stroke-width="9" stroke-linecap="round"/></g>' % (INK, bx, by, bx - 7, by - 14, bx + 64, by + 34))
    s.arm(p, "right", near)
    s.add('<circle cx="%.1f" cy="%.1f" r="21" fill="#d9b27c" stroke="%s" stroke-width="3"/>' % (hand[0] + 14, hand[1] + 2, INK))
    # Head, veil and hat.
    c, chin = p["crown"], p["chin"]
    hx, hy = (c[0] + chin[0] - 26) / 2, (c[1] + chin[1] - 6) / 2
    s.add('<ellipse cx="%.1f" cy="%.1f" rx="40" ry="51" fill="#e8c49a" stroke="%s" stroke-width="3"/>' % (hx, hy, INK))
    s.add('<path d="M %.1f %.1f l 9 14 l -10 3" fill="none" stroke="%s" stroke-width="3" stroke-linecap="round"/>' %
          (hx + 34, hy - 4, INK))
    s.add('<circle cx="%.1f" cy="%.1f" r="3.6" fill="%s"/>' % (hx + 20, hy - 10, INK))
    s.add('<path d="M %.1f %.1f q -26 70 -12 112 q 44 20 118 2 q 6 -50 -8 -114 Z" fill="#77766c" fill-opacity=".18" stroke="%s" '
          'stroke-width="2" stroke-dasharray="5 4"/>' % (hx - 46, hy - 22, INK))
    s.add('<path d="M %.1f %.1f q 20 -46 52 -46 q 34 0 46 44 Z" fill="#e9d8a6" stroke="%s" stroke-width="3" '
          'stroke-linejoin="round"/>' % (hx - 50, hy - 26, INK))
    s.add('<path d="M %.1f %.1f q 96 -24 176 2 q -84 26 -176 -2 Z" fill="#dcc88d" stroke="%s" stroke-width="3" '
          'stroke-linejoin="round"/>' % (hx - 90, hy - 24, INK))
    s.add("</svg>")
    return "\n".join(s.parts) + "\n"


def main():
    folder = pathlib.Path(sys.argv[1]) if len(sys.argv) > 1 else pathlib.Path(__file__).resolve().parent
    p, hips = pose()
    (folder / "beekeeper_drawing.svg").write_text(draw(p, hips), encoding="utf-8")
    dots = {"note": "Set by hand on an invented drawing.", "image": "beekeeper_drawing.svg", "build": "adult",
            "stature": 1.72, "dots": {name: [round(x), round(y)] for name, (x, y) in sorted(p.items())}}
    text = json.dumps(dots, indent=1).replace("[\n   ", "[").replace(",\n   ", ", ").replace("\n  ]", "]")
    (folder / "beekeeper_drawing.json").write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()

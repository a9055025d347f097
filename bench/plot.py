#!/usr/bin/env python3
# SPDX-License-Identifier: MIT
"""Draws times against sizes, both by their logarithms. Usage: peers_bench sizes | plot.py > times.svg, or with a title
and the names of both axes: read_bench csv | plot.py TITLE SIZES TIMES > read_times.svg"""
import csv
import math
import sys

WIDTH, HEIGHT = 640, 400
LEFT, RIGHT, TOP, BOTTOM = 70, 130, 20, 50
# Safe for colour-blind readers, and told apart by their dashes in print.
STYLES = [("#000000", "2 3"), ("#0072B2", ""), ("#009E73", "8 3"), ("#CC79A7", "8 3 2 3"), ("#D55E00", "4 3")]


def text(x, y, words, anchor="start"):
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}">{words}</text>'


def line(x1, y1, x2, y2, stroke="#cccccc"):
    return f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{stroke}"/>'


def scale(values, start, end):
    """From logarithms of values to places."""
    low, high = math.log10(min(values)), math.log10(max(values))
    return lambda value: start + (end - start) * (math.log10(value) - low) / (high - low)


def spread(labels, least=14):
    """Moves labels apart, from the top."""
    last = -math.inf
    for label in sorted(labels, key=lambda one: one[0]):
        label[0] = last = max(label[0], last + least)


def drawing(header, rows, title, sizes, unit):
    joints = [row[0] for row in rows]
    times = [time for row in rows for time in row[1:]]
    decades = range(math.floor(math.log10(min(times))), math.ceil(math.log10(max(times))) + 1)
    across = scale(joints, LEFT, WIDTH - RIGHT)
    up = scale([10.0**decades[0], 10.0 ** decades[-1]], HEIGHT - BOTTOM, TOP)
    out = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" '
           f'height="{HEIGHT}" font-family="sans-serif" font-size="12">',
           f"<title>{title}</title>",
           f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#ffffff"/>']
    for decade in decades:
        y = up(10.0**decade)
        out += [line(LEFT, y, WIDTH - RIGHT, y), text(LEFT - 8, y + 4, f"{10.0**decade:,g}", "end")]
    for count in joints:
        out += [line(across(count), TOP, across(count), HEIGHT - BOTTOM),
                text(across(count), HEIGHT - BOTTOM + 18, f"{count:g}", "middle")]
    out.append(text((LEFT + WIDTH - RIGHT) / 2, HEIGHT - 10, sizes, "middle"))
    middle = (TOP + HEIGHT - BOTTOM) / 2
    out.append(f'<text x="16" y="{middle}" text-anchor="middle" transform="rotate(-90 16 {middle})">'
               f"{unit}</text>")
    labels = []
    for column, name in enumerate(header[1:], 1):
        colour, dashes = STYLES[(column - 1) % len(STYLES)]
        points = " ".join(f"{across(row[0]):.1f},{up(row[column]):.1f}" for row in rows)
        out.append(f'<polyline points="{points}" fill="none" stroke="{colour}" stroke-width="2" '
                   f'stroke-dasharray="{dashes or "none"}"/>')
        labels.append([up(rows[-1][column]) + 4, name, colour])
    spread(labels)
    for y, name, colour in labels:
        out.append(f'<text x="{WIDTH - RIGHT + 8}" y="{y:.1f}" fill="{colour}">{name}</text>')
    return "\n".join(out + ["</svg>"])


def main():
    header, *rows = list(csv.reader(sys.stdin))
    names = sys.argv[1:] or ["Time of one correction against the figure's joints", "joints", "median time, microseconds"]
    print(drawing(header, [[float(number) for number in row] for row in rows if row], *names))


if __name__ == "__main__":
    main()

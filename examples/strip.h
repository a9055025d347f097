/* SPDX-License-Identifier: MIT
 * Draws a motion as an SVG strip: the figure from the side and from behind every half second, keyed as a thin outline,
 * corrected in blue, the box in orange, and the hips' shift over time. Nothing is drawn without a file. */
#ifndef STRIP_H
#define STRIP_H

#include "lay_figure.h"

#include <stdio.h>

enum { strip_most = 2000 };
static struct {
    FILE* file;
    const aplomb_figure* figure;
    double seconds, taken, next, time[strip_most], shift[strip_most][3];
    int count;
} strip;

static inline double strip_x(double time) {
    return 60 + 1080 * time / strip.seconds;
}

static inline void strip_begin(FILE* file, const aplomb_figure* figure, double seconds, double taken) {
    strip.file = file, strip.figure = figure, strip.seconds = seconds, strip.taken = taken;
    strip.next = 0, strip.count = 0;
    if (!file) return;
    fprintf(
        file,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"1200\" height=\"560\" font-family=\"sans-serif\" "
        "font-size=\"12\">\n<rect width=\"1200\" height=\"560\" fill=\"white\"/>\n"
        "<text x=\"10\" y=\"18\">from the side</text><text x=\"10\" y=\"198\">from behind</text>"
        "<text x=\"10\" y=\"378\">hips from the key, cm: left (blue), forward (orange)</text>\n");
}

/* Bones as lines; `side` 1: seen from the figure's right, 0: from behind. */
static inline void strip_figure(const double* pose, const double* matrices, int side, double x, double y,
                                const char* style) {
    for (int j = 1; j < joint_count; ++j) {
        aplomb_joint_info info;
        aplomb_joint_info_init(&info, sizeof info);
        aplomb_figure_joint(strip.figure, j, &info, NULL);
        const double *a = matrices + 16 * info.parent + 12, *b = matrices + 16 * j + 12;
        const double from = side ? a[2] - pose[2] : -a[0], to = side ? b[2] - pose[2] : -b[0];
        fprintf(strip.file, "<line x1=\"%.1f\" y1=\"%.1f\" x2=\"%.1f\" y2=\"%.1f\" %s/>", x + 90 * from,
                y - 90 * a[1], x + 90 * to, y - 90 * b[1], style);
    }
    fprintf(strip.file, "\n");
}

static inline void strip_frame(double time, const double* keyed, const double* balanced, int loaded,
                               const double* shift) {
    if (!strip.file || strip.count == strip_most) return;
    strip.time[strip.count] = time;
    for (int k = 0; k < 3; ++k)
        strip.shift[strip.count][k] = shift[k];
    strip.count++;
    if (time < strip.next) return;
    strip.next = time + 0.4999;
    for (int side = 0; side < 2; ++side) {
        const double x = strip_x(time + 0.25), y = side ? 180 : 360;
        const double* poses[2] = {keyed, balanced};
        const char* styles[2] = {"stroke=\"#888\" stroke-width=\"0.8\"",
                                 "stroke=\"#0072B2\" stroke-width=\"2.5\" stroke-linecap=\"round\""};
        fprintf(strip.file, "<line x1=\"%.1f\" x2=\"%.1f\" y1=\"%.1f\" y2=\"%.1f\" stroke=\"#ccc\"/>", x - 38,
                x + 38, y, y);
        for (int k = 0; k < 2; ++k) {
            double matrices[16 * joint_count];
            aplomb_pose_to_matrices(strip.figure, poses[k], poses[k] + 3 * joint_count, matrices,
                                    APLOMB_DOUBLE, 16 * sizeof(double), APLOMB_WORLD, NULL);
            strip_figure(keyed, matrices, side, x, y, styles[k]);
            if (!loaded || k == 0) continue;
            const double *a = matrices + 16 * left_hand + 12, *b = matrices + 16 * right_hand + 12;
            const double middle = side ? (a[2] + b[2]) / 2 - keyed[2] + 0.12 : -(a[0] + b[0]) / 2;
            fprintf(strip.file,
                    "<rect x=\"%.1f\" y=\"%.1f\" width=\"28\" height=\"22\" fill=\"#E69F00\" "
                    "fill-opacity=\"0.7\"/>\n",
                    x + 90 * middle - 14, y - 45 * (a[1] + b[1]) - 11);
        }
    }
}

static inline void strip_end(void) {
    if (!strip.file) return;
    for (int cm = -10; cm <= 10; cm += 5)
        fprintf(strip.file,
                "<line x1=\"60\" x2=\"1140\" y1=\"%d\" y2=\"%d\" stroke=\"#ddd\"/><text x=\"30\" "
                "y=\"%d\">%d</text>\n",
                470 - 8 * cm, 470 - 8 * cm, 474 - 8 * cm, cm);
    fprintf(strip.file,
            "<line x1=\"%.1f\" x2=\"%.1f\" y1=\"385\" y2=\"555\" stroke=\"black\" stroke-dasharray=\"4 3\"/>"
            "<text x=\"%.1f\" y=\"555\">the box is taken</text>\n",
            strip_x(strip.taken), strip_x(strip.taken), strip_x(strip.taken) + 4);
    for (int k = 0; k < 3; k += 2) {
        fprintf(strip.file, "<polyline fill=\"none\" stroke=\"%s\" stroke-width=\"2\" points=\"",
                k == 0 ? "#0072B2" : "#E69F00");
        for (int i = 0; i < strip.count; ++i)
            fprintf(strip.file, "%.1f,%.1f ", strip_x(strip.time[i]), 470 - 800 * strip.shift[i][k]);
        fprintf(strip.file, "\"/>\n");
    }
    for (double t = 0; t <= strip.seconds; t += 1)
        fprintf(strip.file, "<text x=\"%.1f\" y=\"540\">%.0f s</text>", strip_x(t), t);
    fprintf(strip.file, "\n</svg>\n");
    fclose(strip.file);
}

#endif

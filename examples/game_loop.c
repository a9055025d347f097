/* SPDX-License-Identifier: MIT
 * A game's frame loop: the pose is made up anew each frame, a foot is lifted and set down again, a bucket is
 * picked up. The solver lives in the game's own memory and the loop allocates nothing. A contact's `bearing` and
 * a load's mass are ramped over time, so the correction has no jump: checked at the end. */
#include "lay_figure.h"

#include <math.h>
#include <stdio.h>

enum { frame_count = 240 };                    /* 4 seconds at 60 a second */
static const double largest_hips_step = 0.015; /* metres a frame: two thirds of a walking pace */
static const double soft_knees = 0.15, lifted = 0.6;

/* The game's memory: taken from the front, never given back. */
static struct {
    size_t used;
    int calls;
    _Alignas(64) unsigned char bytes[1 << 19];
} arena;

static void* take(size_t size, size_t alignment, void* user) {
    const size_t start = (arena.used + alignment - 1) & ~(alignment - 1);
    (void)user;
    arena.calls++;
    if (start > sizeof arena.bytes || size > sizeof arena.bytes - start) return NULL;
    arena.used = start + size;
    return arena.bytes + start;
}
static void give_back(void* memory, size_t size, void* user) {
    (void)memory, (void)size, (void)user;
}

/* From 0 to 1 between two frames, smoothly. */
static double ramp(int frame, int from, int to) {
    const double part = fmin(1, fmax(0, (frame - from) / (double)(to - from)));
    return part * part * (3 - 2 * part);
}

/* Bends a leg by so many radians at hip and ankle, twice as much at the knee: the foot stays level. */
static void bend_leg(double* rotations, int thigh, double angle) {
    const double turns[] = {-angle, 2 * angle, -angle};
    for (int k = 0; k < 3; ++k) {
        double* rotation = rotations + 4 * (thigh + k);
        rotation[0] = sin(turns[k] / 2), rotation[1] = rotation[2] = 0, rotation[3] = cos(turns[k] / 2);
    }
}

/* First the weight goes, then the foot; first the foot is down, then it takes weight. */
static void animate(int frame, double* translations, double* rotations, double* bearing, double* mass) {
    const double lift = lifted * (ramp(frame, 60, 80) - ramp(frame, 100, 120));
    translations[1] = 0.93 - 0.86 * (1 - cos(soft_knees));
    bend_leg(rotations, left_thigh, soft_knees + lift);
    bend_leg(rotations, right_thigh, soft_knees);
    *bearing = 1 - ramp(frame, 20, 60) + ramp(frame, 120, 160);
    *mass = 15 * ramp(frame, 170, 200);
}

int main(void) {
    const aplomb_allocator allocator = {take, give_back, NULL};
    const aplomb_figure_desc desc = lay_figure();
    aplomb_figure* figure = NULL;
    aplomb_solver* solver = NULL;
    aplomb_error error;
    if (aplomb_figure_create(&desc, &allocator, &figure, &error) ||
        aplomb_solver_create(figure, &allocator, &solver, &error))
        return fprintf(stderr, "%s\n", error.message), 2;

    double keyed[7 * joint_count], balanced[7 * joint_count]; /* translations, then rotations */
    aplomb_figure_rest_pose(figure, keyed, keyed + 3 * joint_count);
    aplomb_contact feet[] = {aplomb_contact_make(left_leg, APLOMB_BEARING),
                             aplomb_contact_make(right_leg, APLOMB_BEARING)};
    aplomb_load bucket = aplomb_load_make(0, right_hand);
    bucket.hanging = 1, bucket.hang = 0.35;
    aplomb_situation situation;
    aplomb_situation_init(&situation, sizeof situation);
    situation.translations = keyed, situation.rotations = keyed + 3 * joint_count;
    situation.contacts = feet, situation.contact_count = 2;
    situation.loads = &bucket, situation.load_count = 1;

    const int calls_before = arena.calls;
    double last[3] = {0}, largest = 0;
    for (int frame = 0; frame < frame_count; ++frame) {
        animate(frame, keyed, keyed + 3 * joint_count, &feet[0].bearing, &bucket.mass);
        if (aplomb_balance(solver, &situation, NULL, balanced, balanced + 3 * joint_count, NULL, &error))
            return fprintf(stderr, "Frame %d is not in balance.\n", frame), 1;
        double step = 0;
        for (int k = 0; k < 3; ++k)
            step = hypot(step, balanced[k] - last[k]), last[k] = balanced[k];
        if (frame > 0) largest = fmax(largest, step);
        if (frame % 10 == 0)
            printf("frame %3d: left foot bears %3.0f %%, bucket %4.1f kg, hips %5.1f cm to the left\n", frame,
                   100 * feet[0].bearing, bucket.mass, 100 * last[0]);
    }
    const int calls = arena.calls - calls_before;
    printf("Largest step of the hips %.2f cm a frame. Allocations in the loop: %d.\n", 100 * largest, calls);
    aplomb_solver_destroy(solver);
    aplomb_figure_destroy(figure);
    return calls == 0 && largest < largest_hips_step ? 0 : 1;
}

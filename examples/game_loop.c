/* SPDX-License-Identifier: MIT
 * A game's frame loop: a beekeeper walks, keyed without a thought of weight, and takes a honey box half-way. aplomb_step
 * makes the walk sway and the body lean, never faster than its pace. Solver and state live in the game's own memory; the
 * loop allocates nothing. With a file's name as argument it draws what happened. */
#include "strip.h"
#include "walk.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { frame_count = 420, taken = 210 }; /* 7 seconds at 60 a second */
static const double seconds = 1.0 / 60, box_mass = 15;

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

int main(int argc, char** argv) {
    const aplomb_allocator allocator = {take, give_back, NULL};
    const aplomb_figure_desc desc = lay_figure();
    aplomb_figure* figure = NULL;
    aplomb_solver* solver = NULL;
    aplomb_error error;
    if (aplomb_figure_create(&desc, &allocator, &figure, &error) ||
        aplomb_solver_create(figure, &allocator, &solver, &error))
        return fprintf(stderr, "%s\n", error.message), 2;
    aplomb_figure_info info;
    aplomb_figure_info_init(&info, sizeof info);
    aplomb_figure_describe(figure, &info, NULL);

    double keyed[7 * joint_count], balanced[7 * joint_count],
        ahead[7 * joint_count]; /* translations, rotations */
    aplomb_load box = aplomb_load_make(box_mass, left_hand);
    box.holder[1] = right_hand, box.offset[2] = 0.12;
    aplomb_situation situation;
    aplomb_situation_init(&situation, sizeof situation);
    situation.translations = keyed, situation.rotations = keyed + 3 * joint_count;
    situation.loads = &box;
    aplomb_step_state state = {0}; /* one per character: all zero is a new one */
    aplomb_frame frame;
    aplomb_frame_init(&frame, sizeof frame);
    frame.seconds = seconds;
    frame.ahead_translations = ahead, frame.ahead_rotations = ahead + 3 * joint_count;

    FILE* drawing = argc > 1 ? fopen(argv[1], "w") : NULL;
    if (argc > 1 && !drawing) return fprintf(stderr, "%s cannot be written.\n", argv[1]), 2;
    strip_begin(drawing, figure, frame_count * seconds, taken * seconds);
    const int calls_before = arena.calls;
    double last[3] = {0}, largest = 0;
    for (int i = 0; i < frame_count; ++i) {
        const double time = i * seconds;
        walk_pose(figure, time, taken * seconds, keyed);
        walk_pose(figure, time + frame.ahead_seconds, taken * seconds, ahead);
        situation.load_count = i >= taken;
        const aplomb_status status = aplomb_step(solver, &state, &situation, NULL, NULL, &frame, balanced,
                                                 balanced + 3 * joint_count, NULL, &error);
        if (status < 0) return fprintf(stderr, "Frame %d: %s\n", i, error.message), 1;
        double step = 0, shift[3];
        for (int k = 0; k < 3; ++k) {
            shift[k] = balanced[k] - keyed[k];
            step = hypot(step, shift[k] - last[k]), last[k] = shift[k];
        }
        if (i > 0) largest = fmax(largest, step);
        strip_frame(time, keyed, balanced, situation.load_count > 0, shift);
        if (i % 30 == 0)
            printf("%.1f s: hips %5.1f cm to the left, %5.1f cm forward of the key%s\n", time, 100 * shift[0],
                   100 * shift[2], situation.load_count ? ", with the box" : "");
    }
    strip_end();
    const int calls = arena.calls - calls_before;
    const double pace = 0.6 * info.leg_length * seconds;
    printf("Largest step of the hips %.2f cm a frame, of %.2f that the pace allows. Allocations in the loop: "
           "%d.\n",
           100 * largest, 100 * pace, calls);
    aplomb_solver_destroy(solver);
    aplomb_figure_destroy(figure);
    return calls == 0 && largest <= pace * 1.000001 ? 0 : 1;
}

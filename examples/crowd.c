/* SPDX-License-Identifier: MIT
 * A crowd of 1,000 beekeepers that walk, each in its own time and with its own box: two solvers for two threads serve them
 * all, as what a character remembers is its own state. Run on one thread and on two, with the same bits. */
#include "walk.h"

#include <stdio.h>
#include <string.h>
#include <time.h>

enum { crowd_count = 1000, frame_count = 30, thread_count = 2 };
enum { numbers = 7 * joint_count };

typedef struct crowd {
    aplomb_step_state states[crowd_count];
    aplomb_load boxes[crowd_count];
    aplomb_situation situations[crowd_count];
    double keyed[crowd_count][numbers], balanced[crowd_count][numbers]; /* translations, then rotations */
    aplomb_job jobs[crowd_count];
} crowd;

static void begin(crowd* c, aplomb_solver* const* solvers, const aplomb_frame* frame) {
    memset(c->states, 0, sizeof c->states);
    for (int i = 0; i < crowd_count; ++i) {
        c->boxes[i] = aplomb_load_make(i % 20, left_hand);
        c->boxes[i].holder[1] = right_hand, c->boxes[i].offset[2] = 0.12;
        aplomb_situation* s = &c->situations[i];
        aplomb_situation_init(s, sizeof *s);
        s->translations = c->keyed[i], s->rotations = c->keyed[i] + 3 * joint_count;
        s->loads = &c->boxes[i], s->load_count = 1;
        aplomb_job* job = &c->jobs[i];
        memset(job, 0, sizeof *job);
        job->solver = solvers[i * thread_count / crowd_count]; /* a run of characters for each thread */
        job->state = &c->states[i], job->situation = s, job->frame = frame;
        job->translations = c->balanced[i], job->rotations = c->balanced[i] + 3 * joint_count;
    }
}

/* Returns microseconds per character and frame, or less than 0. */
static double run(crowd* c, const aplomb_figure* figure, aplomb_run_tasks threads, double seconds) {
    double spent = 0;
    int32_t count = thread_count;
    for (int f = 0; f < frame_count; ++f) {
        for (int i = 0; i < crowd_count; ++i)
            walk_pose(figure, f * seconds + 0.013 * i, 0, c->keyed[i]);
        struct timespec start, end;
        timespec_get(&start, TIME_UTC);
        aplomb_error error;
        if (aplomb_balance_many(c->jobs, crowd_count, threads, &count, &error) < 0)
            return fprintf(stderr, "%s\n", error.message), -1;
        timespec_get(&end, TIME_UTC);
        spent += 1e6 * (double)(end.tv_sec - start.tv_sec) + 1e-3 * (double)(end.tv_nsec - start.tv_nsec);
    }
    return spent / frame_count / crowd_count;
}

int main(void) {
    static crowd alone, together;
    const aplomb_figure_desc desc = lay_figure();
    aplomb_figure* figure = NULL;
    aplomb_solver* solvers[thread_count] = {NULL};
    if (aplomb_figure_create(&desc, NULL, &figure, NULL)) return 2;
    for (int k = 0; k < thread_count; ++k)
        if (aplomb_solver_create(figure, NULL, &solvers[k], NULL)) return 2;
    aplomb_frame frame;
    aplomb_frame_init(&frame, sizeof frame);
    frame.seconds = 1.0 / 60;
    begin(&alone, solvers, &frame), begin(&together, solvers, &frame);
    const double one = run(&alone, figure, NULL, frame.seconds);
    const double two = run(&together, figure, aplomb_run_on_threads, frame.seconds);
    const int same = memcmp(alone.balanced, together.balanced, sizeof alone.balanced) == 0 &&
                     memcmp(alone.states, together.states, sizeof alone.states) == 0;
    printf("%d characters, us per character and frame: %.1f on one thread, %.1f on two. %s bits.\n",
           crowd_count, one, two, same ? "The same" : "OTHER");
    for (int k = 0; k < thread_count; ++k)
        aplomb_solver_destroy(solvers[k]);
    aplomb_figure_destroy(figure);
    return one >= 0 && two >= 0 && same ? 0 : 1;
}

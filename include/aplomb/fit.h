/* SPDX-License-Identifier: MIT
 *
 * aplomb/fit.h: a studio's own manner, learnt from poses that its animators corrected by hand. Lives in the library
 * aplomb_fit, which the run-time library does not need and which is built where Ceres Solver is found.
 * Conventions, statuses and errors are those of aplomb.h.
 * Memory: all of it comes from the heap, as Ceres Solver's does, and answers OUT_OF_MEMORY where that is exhausted.
 */
#ifndef APLOMB_FIT_H
#define APLOMB_FIT_H

/* The comments are laid out by hand. */
/* clang-format off */
#include "aplomb/aplomb.h"
#include "aplomb/clip.h" /* aplomb_progress */

#ifdef __cplusplus
extern "C" {
#endif

/* ---- A manner: stiffness and style by a studio's own poses -------------------------------------------
 *
 * A pair is a keyed moment and the same moment as an animator corrected it. What is learnt: hips_side, hips_fore,
 * hips_height, hips_turn, trunk_fore, trunk_side, trunk_twist, neck, knee_bend, knee_straighten, aim, heft, give, hip_drop,
 * free_arm, and swivel where it is free. Each is learnt on a scale of factors, within the table's bounds and a tenth to ten
 * times what it was.
 * Least are the squares of what the library's answer and the animator's pose differ by, and of how far each number goes from
 * what it was: a factor of 1.5 counts as much as one difference of a hand's usual size. One odd pose hardly counts (Cauchy's loss over a
 * pair). What the pairs do not tell stays exactly as it was.
 * The same input gives the same answer on one machine. */

/** What is compared of a pose. */
typedef enum aplomb_manner_part {
    APLOMB_MANNER_HIPS = 0,    /* their place, by hips_side */
    APLOMB_MANNER_PELVIS = 1,  /* its turn, by hips_turn */
    APLOMB_MANNER_SPINE = 2,   /* the chest against the pelvis, by hips_turn */
    APLOMB_MANNER_HEAD = 3,    /* against the chest, by hips_turn */
    APLOMB_MANNER_KNEES = 4,   /* their bend, by knee_bend */
    APLOMB_MANNER_GIRDLES = 5, /* against the chest, by swivel */
    APLOMB_MANNER_ARMS = 6,    /* against the girdles, or the chest, and elbows' bend, by swivel */
    APLOMB_MANNER_FORCE_32 = 0x7fffffff
} aplomb_manner_part;
#define APLOMB_MANNER_PARTS 7
/** "hips", "pelvis", ...; static text, "unknown" for other values. */
APLOMB_API const char* aplomb_manner_part_text(aplomb_manner_part part);

/** A moment and its correction by hand. Frozen. */
typedef struct aplomb_pair {
    const aplomb_situation* situation; /* the keyed pose, what carries it and what it carries */
    const void* translations;          /* the animator's pose, in the type of the situation's own */
    const void* rotations;
} aplomb_pair;

#define APLOMB_MAX_PAIRS 1000

typedef struct aplomb_manner_options {
    uint32_t struct_size;
    int32_t reserved;
    const aplomb_options* options; /* where the numbers start and stay, and what is not learnt; NULL: the defaults */
    aplomb_progress progress;      /* or NULL */
    void* progress_user;
} aplomb_manner_options;
APLOMB_API void aplomb_manner_options_init(aplomb_manner_options* options, size_t size);

/** One number that was looked for. Frozen. */
typedef struct aplomb_manner_number {
    int32_t option;  /* its index in the table of options (aplomb_option_describe) */
    int32_t told;    /* 0: the pairs do not tell it, `value` is `usual` */
    int32_t bounded; /* 1: it lies at a bound of what is looked at */
    int32_t reserved;
    double value, usual;
    double factor;   /* one standard error, from value / factor to value * factor; what the pairs leave open of the
                        others is in it. Not told: what they leave open of this one */
} aplomb_manner_number;

/** How a pair fits. Errors are root mean squares over its parts, in standard deviations of the defaults. Frozen. */
typedef struct aplomb_manner_pair {
    int32_t fits;       /* 0: it counts less than a third */
    int32_t worst;      /* aplomb_manner_part that is furthest off */
    double weight;      /* 1: it counts in full; 0: not at all */
    double error;       /* of the manner */
    double usual_error; /* of where it started from */
    double left_out_error; /* of the manner that the other pairs alone give */
} aplomb_manner_pair;

typedef struct aplomb_manner_info {
    uint32_t struct_size;
    int32_t number_count, told_count;
    int32_t pair_count, misfit_count;
    int32_t solves;        /* poses that were balanced */
    double error, usual_error, left_out_error; /* root mean squares over the pairs, each by its weight */
    double noise[APLOMB_MANNER_PARTS]; /* what is left, per part: a hand's unevenness and what the library cannot do */
} aplomb_manner_info;
APLOMB_API void aplomb_manner_info_init(aplomb_manner_info* info, size_t size);

/** What pairs tell of a studio's manner. */
typedef struct aplomb_manner aplomb_manner;

/** Learns a manner from 2 to APLOMB_MAX_PAIRS pairs of one figure. `options` and `error` may be NULL. On failure *manner is
 *  NULL. A pair in which nothing was changed is BAD_ARGUMENT. */
APLOMB_API aplomb_status aplomb_manner_learn(const aplomb_figure* figure, const aplomb_pair* pairs, int32_t count,
                                             const aplomb_manner_options* options, aplomb_manner** manner,
                                             aplomb_error* error);
/** NULL is allowed. */
APLOMB_API void aplomb_manner_destroy(aplomb_manner* manner);

APLOMB_API aplomb_status aplomb_manner_describe(const aplomb_manner* manner, aplomb_manner_info* info,
                                                aplomb_error* error);
/** `count` may be NULL. They stay until the manner is destroyed. */
APLOMB_API const aplomb_manner_number* aplomb_manner_numbers(const aplomb_manner* manner, int32_t* count);
APLOMB_API const aplomb_manner_pair* aplomb_manner_pairs(const aplomb_manner* manner, int32_t* count);
/** Sets what was told and leaves everything else as it is. */
APLOMB_API aplomb_status aplomb_manner_apply(const aplomb_manner* manner, aplomb_options* options, aplomb_error* error);
/** What was learnt, in words, of at most `size` bytes with the closing 0. Returns the length of the whole text. */
APLOMB_API int32_t aplomb_manner_explain(const aplomb_manner* manner, char* text, size_t size);

#ifdef __cplusplus
}
#endif
/* clang-format on */
#endif

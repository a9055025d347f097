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

/* ---- A manner: stiffness and style by a studio's own poses ------------------------------------------- */

typedef struct aplomb_manner_options {
    uint32_t struct_size;
    const aplomb_options* options; /* what is not learnt, such as the margin; NULL: the defaults */
    aplomb_progress progress;      /* or NULL */
    void* progress_user;
} aplomb_manner_options;
APLOMB_API void aplomb_manner_options_init(aplomb_manner_options* options, size_t size);

#ifdef __cplusplus
}
#endif
/* clang-format on */
#endif

/* SPDX-License-Identifier: MIT
 *
 * A foot suggested, never applied: where moving one foot would change the body least under what it carries. Feet are the
 * first thing that an animator mends under a load (common practice).
 *
 *   aplomb_foot_suggestion foot;
 *   aplomb_foot_suggestion_init(&foot, sizeof foot);
 *   if (aplomb_suggest_foot(solver, &situation, NULL, NULL, NULL, &foot, &error) == APLOMB_OK && foot.found)
 *       puts(foot.text);
 */
#ifndef APLOMB_FOOT_H
#define APLOMB_FOOT_H

/* The comments are laid out by hand. */
/* clang-format off */
#include "aplomb/aplomb.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct aplomb_foot_suggestion {
    uint32_t struct_size;
    int32_t found;         /* 0: no foot moved would help, or the stance is not two feet that bear alone; the members
                              below are then 0 */
    int32_t limb;          /* the foot's */
    int32_t outline_count; /* corners of the sole's outline */
    double way[3];         /* of the foot, along the ground: world axes, host units */
    double ahead, out;     /* the same as the hips face: forward, and away from the other foot; host units */
    double drop;           /* by which the keyed hips sink for the leg to reach; host units */
    double lean_before, lean_after; /* of the chest from the key by the correction, as keyed and with the foot there;
                                       radians */
    double hips_before, hips_after; /* the hips' shift by the correction; host units */
    double outline[APLOMB_MAX_EDGES][3]; /* of the sole there, counter-clockwise seen from above; world, host units */
    char text[160]; /* "left foot 18 cm ahead: the lean falls from 20 to 12 degrees, the hips from 6 to 4 cm" */
} aplomb_foot_suggestion;
APLOMB_API void aplomb_foot_suggestion_init(aplomb_foot_suggestion* suggestion, size_t size);

/** Finds by some 20 to 50 corrections where one foot would change the body least (common practice): a heavy load in
 *  front asks for a foot ahead, a bucket for feet apart, a light one for nothing. Nothing is applied. Neither the lean
 *  nor the hips' shift is ever larger there. `options` as for aplomb_balance, NULL: the defaults; amounts, `exact` and
 *  `thorough` are left out. `translations` and `rotations`, both or neither NULL, get the keyed pose with that foot
 *  moved, not balanced, in the situation's own type; where nothing is found, the keyed pose as it is. They may be the
 *  inputs. Takes no memory; the solver is one thread's, as ever. OK where the question was answered; negative: nothing
 *  was written. */
APLOMB_API aplomb_status aplomb_suggest_foot(aplomb_solver* solver, const aplomb_situation* situation,
                                             const aplomb_options* options, void* translations, void* rotations,
                                             aplomb_foot_suggestion* suggestion, aplomb_error* error);

#ifdef __cplusplus
}
#endif

#endif

/* SPDX-License-Identifier: MIT
 *
 * aplomb: whole clips. Which foot stands when, where the weight goes, which moments fall.
 *
 * Conventions, statuses and errors are those of aplomb.h. Frames count from 0; a range holds both its ends.
 */
#ifndef APLOMB_CLIP_H
#define APLOMB_CLIP_H

/* The comments are laid out by hand. */
/* clang-format off */
#include "aplomb/aplomb.h"

#ifdef __cplusplus
extern "C" {
#endif

/** Frames in which one limb stands on one part of its sole. A stance is made of such ranges: heel strike is where one
 *  on the heel begins, heel off where one on the ball follows. Frozen. */
typedef struct aplomb_stance_range {
    int32_t limb;
    int32_t first, last; /* frames, both in it */
    int32_t footing;     /* aplomb_footing */
    double slip;         /* written: the furthest that the part slid over the ground from where it was set down, host
                            units. Not read */
} aplomb_stance_range;

/** A load and the frames in which it is carried, ramps included. Ranges with the same `which` are the same thing in
 *  other hands: they may not overlap, and one that starts on the frame after another's end is handed over without
 *  ramps. Frozen. */
typedef struct aplomb_carry {
    aplomb_load load;
    int32_t which;
    int32_t first, last;
    int32_t reserved;
    double pick_up;  /* seconds in which its weight comes over from the floor; NaN: by its mass, 0.1 s for 2 % of the
                        body's, 0.5 s for 40 % and more (common practice) */
    double put_down; /* and goes back */
} aplomb_carry;

/** A shot in the host's own arrays. All pointers are read during a call only. */
typedef struct aplomb_clip {
    uint32_t struct_size;
    int32_t frame_count;       /* 1 or more */
    double frame_time;         /* seconds from frame to frame; not read with `times` */
    const double* times;       /* of each frame, growing; or NULL: an even grid from 0 */
    const void* translations;  /* 3 per joint, one frame after another: double, or as `floats` says */
    const void* rotations;     /* 4 per joint, the same */
    size_t translations_stride;/* bytes from one frame to the next; 0: nothing between them */
    size_t rotations_stride;
    int32_t floats;            /* 1: both arrays are float [0: double] */
    int32_t stance_count;
    const aplomb_stance_range* stances; /* what bears; or NULL: legs are found from the motion, arms bear nothing */
    const aplomb_carry* carries;        /* or NULL */
    int32_t carry_count;
    int32_t first_number;      /* what the first frame is called in sentences, where a clip is a part of one [0] */
    double gravity[3];         /* as in a situation */
    double ground_normal[3];
    double ground_velocity[3]; /* of a belt or a deck, host units per second [0] */
} aplomb_clip;
APLOMB_API void aplomb_clip_init(aplomb_clip* clip, size_t size);

/** The level velocity of the ground, host units per second, on which soles that are low stand the stillest: of a walk on
 *  the spot its belt's; 0, 0, 0 where they stand on ground that rests, and where the body itself goes half as far as
 *  that ground or further, so that it is on no spot. The clip's own `ground_velocity` is not read.
 *  `allocator` and `error` may be NULL; on failure nothing is written. */
APLOMB_API aplomb_status aplomb_clip_find_ground_velocity(const aplomb_figure* figure, const aplomb_clip* clip,
                                                          const aplomb_allocator* allocator, double velocity[3],
                                                          aplomb_error* error);

/** Called on the caller's own thread, now and then, with the part that is done, 0 to 1. Not 0 ends the work. */
typedef int32_t (*aplomb_progress)(double part, void* user);

typedef struct aplomb_clip_options {
    uint32_t struct_size;
    int32_t blocking;              /* 1: each frame is a key of its own that is held until the next: it is read as if still,
                                      on the stance that it shows if none are given; there are no flights or steps [0] */
    const aplomb_options* reading; /* the margin asked for; or NULL: the defaults */
    aplomb_progress progress;      /* or NULL */
    void* progress_user;
    aplomb_run_tasks run;          /* or NULL: on this thread. The results are the same */
    void* run_user;
} aplomb_clip_options;
APLOMB_API void aplomb_clip_options_init(aplomb_clip_options* options, size_t size);

#define APLOMB_MAX_LIMBS 12

/** One frame. Lengths in host units, world axes. NaN without a contact: margins, lines on the ground, shares. Frozen. */
typedef struct aplomb_clip_frame {
    double time;
    int32_t contact_count; /* limbs that bear */
    int32_t in_balance;    /* the margin in motion is as asked for. Of a body that travels less is asked: recorded
                              people let the point ride up to 7.5 % of the leg outside */
    int32_t flight;        /* index of the flight, or -1 */
    int32_t near_end;      /* 1: of a clip that moves within 0.1 s of its ends, where accelerations are not known */
    double centre[3];      /* of mass, figure and loads */
    double velocity[3], acceleration[3]; /* of the figure's own centre, against the ground; below 6 Hz */
    double still_point[3]; /* balance point, were the body still */
    double still_margin;
    double point[3];       /* balance point in motion */
    double margin;
    double margin_asked;
    double extrapolated[3];/* centre of mass, A. Hof et al., J. Biomech. 38, 2005, with the height of the centre over
                              the ground as the pendulum's length */
    double extrapolated_margin;
    double trunk_fore, trunk_side;
    double share[APLOMB_MAX_LIMBS];      /* per limb */
    double give[APLOMB_MAX_LIMBS];       /* per limb, what its middle joint yields: how much nearer the limb's end is to
                                            its start than when straight */
    double reads_as[APLOMB_MAX_LOADS];   /* per `which`: the mass that the load reads as; NaN: not carried, or none */
} aplomb_clip_frame;

/** Frames out of balance. Frozen. */
typedef struct aplomb_fall_range {
    int32_t first, last, worst;
    int32_t reserved;
    double margin;    /* in motion, of the worst frame */
    double short_of;  /* of what was asked there */
} aplomb_fall_range;

/** Frames without contact for 0.1 s or more. Frozen. */
typedef struct aplomb_flight {
    int32_t first, last;
    int32_t free_fall; /* 1: the gravity implied is within 30 % of the clip's, over 0.15 s or more */
    int32_t reserved;
    double gravity;    /* that the centre's path implies, m/s^2; less than the clip's reads floaty */
    double scale;      /* the size, times which the figure would fall as the clip's gravity has it */
    double deviation;  /* root mean square from the free-fall arc, host units */
} aplomb_flight;

/** From one foot's setting down to the next of another. Frozen. */
typedef struct aplomb_foot_step {
    int32_t limb;       /* that is set down */
    int32_t frame;
    double seconds;     /* since the setting down before */
    double implied_leg; /* the leg's length, host units, that usually walks in this time: 0.9 m in 0.53 s, with the
                           square of the time (common practice; equal Froude numbers) */
} aplomb_foot_step;

/** One thing to look at. Frozen. */
typedef struct aplomb_clip_note {
    int32_t frame;
    int32_t reserved;
    double value;
    char text[240];
} aplomb_clip_note;

#define APLOMB_MAX_CLIP_NOTES 3

typedef struct aplomb_clip_reading aplomb_clip_reading;

/** Reads a clip. `options`, `allocator` and `error` may be NULL. On failure *reading is NULL; a clip in which nothing
 *  ever bears is NO_SUPPORT, one that `progress` ended CANCELLED. A clip of one pose reads in every frame as
 *  aplomb_read reads it, bit for bit. */
APLOMB_API aplomb_status aplomb_clip_read(const aplomb_figure* figure, const aplomb_clip* clip,
                                          const aplomb_clip_options* options, const aplomb_allocator* allocator,
                                          aplomb_clip_reading** reading, aplomb_error* error);
/** NULL is allowed. */
APLOMB_API void aplomb_clip_reading_destroy(aplomb_clip_reading* reading);

/** Arrays that the reading owns. `count` may be NULL. */
APLOMB_API const aplomb_clip_frame* aplomb_clip_frames(const aplomb_clip_reading* reading, int32_t* count);
/** Ordered by limb, then by frame; fit to be changed and given back. */
APLOMB_API const aplomb_stance_range* aplomb_clip_stances(const aplomb_clip_reading* reading, int32_t* count);
APLOMB_API const aplomb_fall_range* aplomb_clip_falls(const aplomb_clip_reading* reading, int32_t* count);
APLOMB_API const aplomb_flight* aplomb_clip_flights(const aplomb_clip_reading* reading, int32_t* count);
APLOMB_API const aplomb_foot_step* aplomb_clip_steps(const aplomb_clip_reading* reading, int32_t* count);
/** At most APLOMB_MAX_CLIP_NOTES, the worst first. */
APLOMB_API const aplomb_clip_note* aplomb_clip_notes(const aplomb_clip_reading* reading, int32_t* count);

/* ---- Balancing ----------------------------------------------------------------------------------------- */

/** Frames that are left out on purpose, wholly or in part, eased at both ends. Frozen. */
typedef struct aplomb_exempt_range {
    int32_t first, last;
    double part;        /* that is left out: 0 nothing, 1 all */
    double ease;        /* seconds, inwards from both ends */
    const char* reason; /* not NULL, not empty: whoever leaves out says why */
} aplomb_exempt_range;

/** What a load that swings pulls its hand with. Frozen. */
typedef struct aplomb_clip_tension {
    int32_t carry;        /* of the clip: a load that hangs */
    int32_t reserved;
    const double* forces; /* 3 per frame: newton, world axes; not read where it is not carried. To the tension of a load
                             that hangs from a corrected hand belongs its mass times what the correction added to that
                             hand's acceleration: so much a correction counts itself */
} aplomb_clip_tension;

/** Frames in which the body is to fall freely: those between the last that pushes off and the first that lands; of a loop
 *  `first` may come after `last`, for a flight over its seam. Frozen. */
typedef struct aplomb_flight_range {
    int32_t first, last;
} aplomb_flight_range;

typedef struct aplomb_clip_balance_options {
    uint32_t struct_size;
    int32_t loop;             /* 1: the first frame follows the last, a frame's time later [0] */
    const aplomb_options* correction; /* of the single pose; or NULL: the defaults. `thorough` is not looked at */
    double flow;              /* 0 to 1: how far the body's own swing carries it; 0 holds each moment more [1] */
    double key_acceleration;  /* 0 to 1: how much the keyed acceleration counts [1] */
    const double* amounts;    /* per frame, 0 to 2, times the options' amount; or NULL: 1 */
    const aplomb_exempt_range* exempt; /* or NULL */
    int32_t exempt_count;
    int32_t whole;            /* 1: all frames are one range, whatever their faults [0] */
    aplomb_progress progress; /* or NULL */
    void* progress_user;
    const aplomb_clip_tension* tensions; /* or NULL: loads that hang are in plumb. The rest point goes by that always: only
                                            the support's edge and margins know a swing, or hips would feed it */
    int32_t tension_count;
    int32_t reserved;
    aplomb_run_tasks run;     /* or NULL: on this thread. The results are the same */
    void* run_user;
    int32_t flights;          /* 1: in flights the centre of mass follows a free-fall arc from where the keys leave the
                                 ground to where they land; the whole body is moved there, nothing else [0] */
    int32_t flight_range_count;
    const aplomb_flight_range* flight_ranges; /* with `flights`: these alone; or NULL: those that read as a free fall,
                                                 without frames at their ends in which the body still pushes or lands */
    int32_t blocking;         /* 1: each frame is balanced alone as aplomb_balance does it, on the given stances or on the
                                 one that it shows; one that holds the pose before comes out as that one. Not with `loop`,
                                 `flights` or `tensions`; `flow`, `key_acceleration`, `whole` and `run` are not looked
                                 at, and of what is exempt the amount is less [0] */
    int32_t held;             /* 1: frames that hold the pose before bit for bit, as on twos, are one moment with it on an
                                 uneven grid, and stay held, but where a load or what is exempt begins or ends; a
                                 hold stands as its first frame does, and a flight begins and ends with holds [0] */
} aplomb_clip_balance_options;
APLOMB_API void aplomb_clip_balance_options_init(aplomb_clip_balance_options* options, size_t size);

/** One corrected frame. Lengths in host units. Margins are those of the balance point in motion; NaN without contact.
 *  Frozen. */
typedef struct aplomb_clip_balanced {
    double time;
    int32_t range;      /* index of the range that it is in; -1: it came back bit for bit, if no arc moved it */
    int32_t status;     /* aplomb_status of this frame */
    int32_t fault;      /* 1: it asked for a correction itself */
    int32_t exempt;     /* index of the exempt range that it is in, or -1 */
    double exempt_part; /* after easing */
    double margin_before, margin_after, margin_asked;
    double slack;       /* metres by which the support had to give */
    double due[3];      /* the way that the centre of mass was asked to go, world */
    double way[3];      /* and went, on the ground */
    aplomb_controls controls;
} aplomb_clip_balanced;

/** Frames that were corrected together. Frozen. */
typedef struct aplomb_clip_range {
    int32_t first, last;
    int32_t steps;     /* of the solver */
    int32_t converged; /* 1: proven to within the tolerance; or, where poses bend too hard for that, the cost fell by less
                          than its ten-millionth on five steps running, limits kept: `stationarity` is larger then */
    double cost;       /* of the whole range, each frame by the time that it stands for, over the mean of that time */
    double stationarity, violation, complementarity; /* what is left, as in an aplomb_result */
} aplomb_clip_range;

/** A flight that was made to fall freely. A jump of the speed is that after less that before; NaN: the clip has too few
 *  frames there to tell. Frozen. */
typedef struct aplomb_arc {
    int32_t first, last;    /* over a loop's seam `first` comes after `last` */
    int32_t given;          /* 1: by the caller */
    int32_t reserved;
    double gravity;         /* that the keys implied, m/s^2; NaN: too few frames to tell */
    double moved;           /* the furthest that the body was moved, host units */
    double slack;           /* m/s^2 by which it still departs from a free fall: soles may not sink into the ground, and
                               the body is moved by one leg's length at most */
    double take_off[3];     /* jump of the velocity where the body leaves the keys, host units per second, world axes */
    double landing[3];      /* and where it comes back to them */
    double seconds;         /* from the frame before to the frame after */
    double fitting_seconds; /* in which gravity turns the keyed speed upwards of before into that of after, so that there
                               need be no jump up or down; NaN: none */
    char text[240];         /* all this in a sentence or two */
} aplomb_arc;

typedef struct aplomb_clip_balance_result aplomb_clip_balance_result;

/** Corrects a clip, all frames of a range together. `translations` and `rotations` take the corrected poses, in numbers,
 *  strides and order those of the clip, whose own arrays they may be; they are written whole or not at all. `options`,
 *  `allocator`, `result` and `error` may be NULL. OK, OUT_OF_REACH where some frame that is not exempt could not be
 *  balanced, NOT_CONVERGED; of failures, as aplomb_clip_read. */
APLOMB_API aplomb_status aplomb_clip_balance(const aplomb_figure* figure, const aplomb_clip* clip,
                                             const aplomb_clip_balance_options* options,
                                             const aplomb_allocator* allocator, void* translations, void* rotations,
                                             aplomb_clip_balance_result** result, aplomb_error* error);
/** NULL is allowed. */
APLOMB_API void aplomb_clip_balance_result_destroy(aplomb_clip_balance_result* result);
/** Arrays that the result owns. `count` may be NULL. */
APLOMB_API const aplomb_clip_balanced* aplomb_clip_balanced_frames(const aplomb_clip_balance_result* result,
                                                                   int32_t* count);
APLOMB_API const aplomb_clip_range* aplomb_clip_ranges(const aplomb_clip_balance_result* result, int32_t* count);
/** In the order of their frames. */
APLOMB_API const aplomb_arc* aplomb_clip_arcs(const aplomb_clip_balance_result* result, int32_t* count);

/* ---- Give ---------------------------------------------------------------------------------------------- */

typedef struct aplomb_clip_give_options {
    uint32_t struct_size;
    int32_t landings;    /* 1: a body that lands gives, by what its keys lack of it [0] */
    int32_t held;        /* 1: the poses hold already what the knees give for good, as balanced ones do [0] */
    int32_t reserved;
    const double* falls; /* per carry: how far the thing falls before it is caught, host units, 0 or more; its weight then
                            comes at once. Or NULL: all are set down gently */
} aplomb_clip_give_options;
APLOMB_API void aplomb_clip_give_options_init(aplomb_clip_give_options* options, size_t size);

/** What a frame gave: host units downwards, below zero upwards. Frozen. */
typedef struct aplomb_clip_given {
    double hips;
    double arms; /* of what both hands carry, beyond the hips' way */
} aplomb_clip_given;

/** Where weight arrives or leaves, arms, hips and knees give and come back (aplomb_give_kind): arms first, by a thing's
 *  fall; then hips and knees, by what the arms pass on and towards what the load takes for good (aplomb_give_rest). A
 *  landing gives as its speed says, less by the part that its keys give themselves: their depth under the height of
 *  touchdown, or under that at which it stands in the end, if that is higher. Soles that stand stay where they are; in
 *  the air poses stay as keyed. What is carried in the first frame arrived before it. `translations` and `rotations` take
 *  the poses as those of aplomb_clip_balance do; `given` one item per frame, or NULL. `options`, `allocator` and `error`
 *  may be NULL. */
APLOMB_API aplomb_status aplomb_clip_give(const aplomb_figure* figure, const aplomb_clip* clip,
                                          const aplomb_clip_give_options* options,
                                          const aplomb_allocator* allocator, void* translations, void* rotations,
                                          aplomb_clip_given* given, aplomb_error* error);

#ifdef __cplusplus
}
#endif

#endif

/* SPDX-License-Identifier: MIT
 *
 * aplomb/drawing.h: a figure under a drawing. Named dots on a picture (crown, shoulders, knees ...) give pose, view and scale
 * of a figure of chosen proportions; what the library says of a pose then holds for a drawing, or for a frame of film.
 * Lives in the library aplomb_fit, which stands on Ceres Solver. Conventions as in aplomb.h. One thread, no output of
 * Ceres, the same answer for the same dots on one machine.
 *
 * A picture has no depth: that a forearm comes forward or goes back, dots alone do not tell. So both ways of each limb are
 * tried, and the answers that the joints allow are kept, the most likely first.
 */
#ifndef APLOMB_DRAWING_H
#define APLOMB_DRAWING_H

/* The comments are laid out by hand. */
/* clang-format off */
#include <aplomb/aplomb.h>

#ifdef __cplusplus
extern "C" {
#endif

/** What a dot marks. Left and right are the figure's own. */
typedef enum aplomb_dot {
    APLOMB_DOT_CROWN = 0, /* the highest place of the head, hair and hat left out */
    APLOMB_DOT_CHIN = 1,
    APLOMB_DOT_NECK = 2,  /* its base, level with the tops of the shoulders */
    APLOMB_DOT_LEFT_SHOULDER = 3, /* of shoulders to ankles the middle of the joint */
    APLOMB_DOT_RIGHT_SHOULDER = 4,
    APLOMB_DOT_LEFT_ELBOW = 5,
    APLOMB_DOT_RIGHT_ELBOW = 6,
    APLOMB_DOT_LEFT_WRIST = 7,
    APLOMB_DOT_RIGHT_WRIST = 8,
    APLOMB_DOT_LEFT_HIP = 9,
    APLOMB_DOT_RIGHT_HIP = 10,
    APLOMB_DOT_LEFT_KNEE = 11,
    APLOMB_DOT_RIGHT_KNEE = 12,
    APLOMB_DOT_LEFT_ANKLE = 13,
    APLOMB_DOT_RIGHT_ANKLE = 14,
    APLOMB_DOT_LEFT_TOE = 15, /* the tip of the foot; without toes, on which part a foot bears is told poorly */
    APLOMB_DOT_RIGHT_TOE = 16,
    APLOMB_DOT_FORCE_32 = 0x7fffffff
} aplomb_dot;

#define APLOMB_DOT_COUNT 17

/** "left shoulder"; static text, "unknown" for other values. */
APLOMB_API const char* aplomb_dot_text(aplomb_dot dot);
/** The dot of this name, blanks, underlines and hyphens alike; or -1. */
APLOMB_API int32_t aplomb_dot_find(const char* name);

/** Proportions that a fit starts from, and to which it keeps as far as the dots let it. */
typedef enum aplomb_build {
    APLOMB_BUILD_ADULT = 0, /* seven and a half heads: Drillis and Contini 1966, de Leva 1996 */
    APLOMB_BUILD_CHILD = 1, /* about six years: six heads (common practice) */
    APLOMB_BUILD_TODDLER = 2, /* about two years: four and a half heads (common practice) */
    APLOMB_BUILD_FORCE_32 = 0x7fffffff
} aplomb_build;

/** Dots on a picture, and what is known besides. */
typedef struct aplomb_dots {
    uint32_t struct_size;
    int32_t build;      /* aplomb_build [adult] */
    double places[APLOMB_DOT_COUNT][2]; /* pixels of the picture, x to the right, y down; NaN: not seen [NaN] */
    double width, height; /* of the picture, pixels; with `angle` alone [0] */
    double stature;     /* metres, 0.2 to 5 [1.70 for an adult, 1.15, 0.86] */
    double mass;        /* kg; 0: by the table of the build [0] */
    double noise;       /* 0.001 to 0.1: how far a dot may be off, of the stature: a standard deviation [0.01] */
    double spread;      /* 0.001 to 0.5: how far lengths may be off the build's, a standard deviation of their logarithm; twice
                           that for the breadths of shoulders and hips [0.08] */
    double tilt;        /* -1.2 to 1.2: how far the camera looks down, radians; NaN: about level [NaN] */
    double angle;       /* 0 to 2.5: vertical angle of view, radians; 0: parallel, as from very far [0] */
    double camera_height; /* with `angle` and `tilt`: of the camera above the ground, metres; NaN: not known [NaN] */
    int32_t keep;       /* 1 to 32: answers that are kept at most [8] */
    int32_t reserved;   /* 0 */
} aplomb_dots;
APLOMB_API void aplomb_dots_init(aplomb_dots* dots, size_t size);

/** What the dots gave: answers, each a figure in a pose, and a view. Never changes. */
typedef struct aplomb_drawing aplomb_drawing;

/** BAD_ARGUMENT where the dots are too few (under six, or none of hips, knees and ankles), on a line, more than 1e6 pixels
 *  from the picture's corner, or fit no figure: then the sentence says which dots are off, and whether left and right ones
 *  look swapped. Legs swapped whole are told where hips then lie against the shoulders, as from ahead or behind; from the side
 *  they make another walk, and with all dots swapped a body is seen from the other end: a picture does not tell that.
 *  On failure *drawing is NULL. */
APLOMB_API aplomb_status aplomb_drawing_fit(const aplomb_dots* dots, aplomb_drawing** drawing, aplomb_error* error);
/** NULL is allowed. */
APLOMB_API void aplomb_drawing_destroy(aplomb_drawing* drawing);

/** One answer. World axes: x to the right of the picture, y up, z at the viewer; metres; the ground, under the lower foot,
 *  is y = 0, the hips are over the origin. */
typedef struct aplomb_drawing_answer {
    uint32_t struct_size;
    int32_t joint_count;
    const aplomb_figure* figure;  /* of the lengths that were fitted; owned by the drawing */
    const double* translations;   /* 3 per joint; owned by the drawing */
    const double* rotations;      /* 4 per joint */
    double cost;        /* half the sum of squares, each over its standard deviation; the least of all comes first */
    double misfit;      /* root of the mean square of the dots' distances, of the stature */
    double worst_misfit;/* of the dot that is furthest off */
    int32_t worst_dot;  /* aplomb_dot */
    int32_t limits_met; /* joints that stand at a limit */
    double scale;       /* pixels per metre at the hips */
    double tilt;        /* radians, camera looking down */
    double facing;      /* radians: 0 at the viewer, positive: to the figure's left, +-pi away */
    double chance;      /* beside the other answers, going by the cost; they sum to 1 */
    double lengths[9];  /* over the build's: trunk, head and neck, breadth of shoulders, upper arm, lower arm, breadth of
                           hips, thigh, shank, foot */
    double tips[5][3];  /* where segments end, in the own frames of head, left and right hand, left and right toe; metres */
    const aplomb_contact* contacts; /* of its limbs: which feet bear, and on what, as most of the drawing's variants have it; the
                                       drawing owns them */
    int32_t contact_count;
    int32_t reserved;
} aplomb_drawing_answer;
APLOMB_API void aplomb_drawing_answer_init(aplomb_drawing_answer* answer, size_t size);
APLOMB_API int32_t aplomb_drawing_answer_count(const aplomb_drawing* drawing);
APLOMB_API aplomb_status aplomb_drawing_answer_at(const aplomb_drawing* drawing, int32_t index,
                                                  aplomb_drawing_answer* answer, aplomb_error* error);
/** Where a place of an answer's world is on the picture, pixels. */
APLOMB_API aplomb_status aplomb_drawing_project(const aplomb_drawing* drawing, int32_t index, const double* point,
                                                double* pixels, aplomb_error* error);

/** Another pose, drawn by how likely the dots' noise, lengths and customs make it: around an answer that has come by its chance.
 *  What is so in nine of ten of them is nine tenths likely; what is not is open. Frozen. */
typedef struct aplomb_drawing_variant {
    int32_t answer; /* whose figure it is a pose of */
    int32_t contact_count;
    const double* translations; /* its lengths are in them; on the ground as an answer is; owned by the drawing */
    const double* rotations;
    const aplomb_contact* contacts;
} aplomb_drawing_variant;
#define APLOMB_DRAWING_VARIANTS 64 /* of each drawing */
APLOMB_API aplomb_status aplomb_drawing_variant_at(const aplomb_drawing* drawing, int32_t index,
                                                   aplomb_drawing_variant* variant, aplomb_error* error);

/** What the answers do not agree in, one sentence each, such as "The left forearm comes forward in answers 1 and 2 and goes back
 *  in 3."; NULL past the last. Owned by the drawing. */
APLOMB_API const char* aplomb_drawing_difference(const aplomb_drawing* drawing, int32_t index);

#ifdef __cplusplus
}
#endif

#endif

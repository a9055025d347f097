/* SPDX-License-Identifier: MIT
 *
 * aplomb/files.h: characters in files, and pictures. Lives in the library aplomb_files, which the run-time
 * library does not need. Conventions as in aplomb.h. Paths are UTF-8. An existing file is replaced whole or
 * left alone: the new one is written beside it and renamed.
 */
#ifndef APLOMB_FILES_H
#define APLOMB_FILES_H

/* The comments are laid out by hand. */
/* clang-format off */
#include <aplomb/aplomb.h>

#ifdef __cplusplus
extern "C" {
#endif

/** A character file: glTF 2.0 (.gltf, .glb) or BVH (.bvh), its figure and its clips. */
typedef struct aplomb_character aplomb_character;

typedef struct aplomb_character_options {
    uint32_t struct_size;
    const char* description;  /* path of a figure description (JSON), or NULL: "<file>.figure.json" beside the
                                 file where it exists */
    const char* skin;         /* glTF: name or number of the skin; NULL: the first */
    double metres_per_unit;   /* 0: glTF 1 m; BVH: from `stature`, or 1 */
    double stature;           /* metres; BVH without a unit: scales the figure to this; 0: no wish */
    int32_t up_axis;          /* aplomb_axis; 0: glTF Y; BVH from the shape */
    int32_t forward_axis;     /* 0: glTF Z; BVH from the shape */
    int32_t mass_table;       /* aplomb_mass_table; -1: de Leva male, or the description's */
    double total_mass;        /* kg; 0: as aplomb_figure_desc */
} aplomb_character_options;
APLOMB_API void aplomb_character_options_init(aplomb_character_options* options, size_t size);

/** `options` may be NULL. On failure *character is NULL. */
APLOMB_API aplomb_status aplomb_character_open(const char* path, const aplomb_character_options* options,
                                               aplomb_character** character, aplomb_error* error);
APLOMB_API void aplomb_character_close(aplomb_character* character);

/** Owned by the character. Poses of this figure are in the file's unit and axes. */
APLOMB_API const aplomb_figure* aplomb_character_figure(const aplomb_character* character);

APLOMB_API int32_t aplomb_character_clip_count(const aplomb_character* character);
/** Owned by the character; NULL past the last. BVH has one clip, "motion". */
APLOMB_API const char* aplomb_character_clip_name(const aplomb_character* character, int32_t clip);
/** The clip of this name or number, or -1. */
APLOMB_API int32_t aplomb_character_find_clip(const aplomb_character* character, const char* name);
/** The moments at which the clip has keys (BVH: its frames), ascending. Returns their number; writes at most
 *  `capacity` of them, seconds. */
APLOMB_API int32_t aplomb_character_key_times(const aplomb_character* character, int32_t clip, double* seconds,
                                              int32_t capacity);

/** The pose at a moment of a clip, as the file's own interpolation gives it; clip -1: the pose of the nodes
 *  (glTF) or of zero angles (BVH). Outside the clip: its first or last pose. */
APLOMB_API aplomb_status aplomb_character_pose(const aplomb_character* character, int32_t clip, double seconds,
                                               double* translations, double* rotations, aplomb_error* error);

/** Writes the file again with this pose at that moment (BVH: the nearest frame; glTF: a key is replaced, or
 *  set where there is none; clip -1: the node transforms). Joints that equal aplomb_character_pose bit for bit
 *  are not touched; everything else in the file stays as it is. */
APLOMB_API aplomb_status aplomb_character_write(const aplomb_character* character, int32_t clip, double seconds,
                                                const double* translations, const double* rotations,
                                                const char* path, aplomb_error* error);

/** Writes the figure description (JSON) that would give this figure again. */
APLOMB_API aplomb_status aplomb_character_write_description(const aplomb_character* character, const char* path,
                                                            aplomb_error* error);

/* ---- Pictures -------------------------------------------------------------------------------------- */

/** One drawn pose. `reading` is of this pose. */
typedef struct aplomb_drawn_pose {
    const double* translations;
    const double* rotations;
    const aplomb_reading* reading;
    const char* caption;
} aplomb_drawn_pose;

typedef struct aplomb_picture {
    uint32_t struct_size;
    const aplomb_figure* figure;
    const aplomb_situation* situation; /* stance and loads, as solved */
    aplomb_drawn_pose before;
    aplomb_drawn_pose after;  /* translations NULL: only `before` is drawn */
    const char* title;        /* or NULL */
    const char* text;         /* the explanation, with line breaks; or NULL */
    int32_t lines;            /* 1: pelvis line, shoulder line and line of action are drawn [0] */
} aplomb_picture;
APLOMB_API void aplomb_picture_init(aplomb_picture* picture, size_t size);

/** An SVG: front, side and top view, before and after side by side. */
APLOMB_API aplomb_status aplomb_picture_write(const aplomb_picture* picture, const char* path,
                                              aplomb_error* error);

#ifdef __cplusplus
}
#endif

#endif

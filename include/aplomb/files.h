/* SPDX-License-Identifier: MIT
 *
 * aplomb/files.h: characters in files, and pictures. Lives in the library aplomb_files, which the run-time
 * library does not need. Conventions as in aplomb.h. Paths are UTF-8. An existing file is replaced whole or
 * left alone: the new one is written beside it and renamed.
 * Memory: all of it answers OUT_OF_MEMORY where the heap is exhausted (std::bad_alloc).
 */
#ifndef APLOMB_FILES_H
#define APLOMB_FILES_H

/* The comments are laid out by hand. */
/* clang-format off */
#include <aplomb/aplomb.h>
#include <aplomb/clip.h>
#include <aplomb/foot.h>

#ifdef __cplusplus
extern "C" {
#endif

/** A character file: glTF 2.0 (.gltf, .glb) or BVH (.bvh), its figure and its clips. */
typedef struct aplomb_character aplomb_character;

typedef struct aplomb_character_options {
    uint32_t struct_size;
    const char* description;  /* path of a figure description (JSON), or NULL: "<file>.figure.json" beside the
                                 file where it exists */
    const char* skin;         /* glTF: name or number of the skin; NULL: the first, or without one its nodes */
    double metres_per_unit;   /* 0: glTF 1 m; BVH: from `stature`, or 1 where that makes the figure 0.3 to 3 m
                                 tall, else such that it is 1.70 m tall (common practice) */
    double stature;           /* metres; BVH without a unit: scales the figure to this; 0: no wish */
    int32_t up_axis;          /* aplomb_axis; 0: glTF Y, unless rest pose and motion both stand along another; BVH from
                                 the rest pose, and where it disagrees with the motion from the motion */
    int32_t forward_axis;     /* 0: glTF Z, unless the shape clearly says otherwise; BVH from the shape. With a stand:
                                 which way along this axis it faces */
    int32_t mass_table;       /* aplomb_mass_table; -1: de Leva male, or the description's */
    double total_mass;        /* kg; 0: as aplomb_figure_desc */
    const char* stand_clip;   /* name or number of a clip with a frame in which the figure stands: it is measured in
                                 that frame, turned about up to face along its forward axis, where the rest pose is
                                 nothing like a stand. "none": in the rest pose. NULL: in the rest pose; where that is
                                 nothing like a stand, in the most upright frame */
    double stand_seconds;     /* of that clip */
} aplomb_character_options;
APLOMB_API void aplomb_character_options_init(aplomb_character_options* options, size_t size);

/** `options` may be NULL. On failure *character is NULL. */
APLOMB_API aplomb_status aplomb_character_open(const char* path, const aplomb_character_options* options,
                                               aplomb_character** character, aplomb_error* error);

/** Finds a file that another one in memory names: returns 1 with its bytes, which must stay until the next call or the
 *  end of the call that asked; or 0 where there is none. `name` is UTF-8 and as the file says it: it may hold folders
 *  and "..". */
typedef int32_t (*aplomb_find_file)(void* user, const char* name, const void** bytes, size_t* size);

/** A character file in memory, for hosts without a disk. Frozen. */
typedef struct aplomb_memory_file {
    const void* bytes;     /* copied: may be freed after the call */
    size_t size;
    const char* name;      /* for messages, and "<name>.figure.json" is looked for; or NULL */
    aplomb_find_file find; /* buffers that a .gltf names, and figure descriptions; NULL: nothing lies beside it, and a
                              file that needs what does is refused with CANNOT_OPEN */
    void* user;            /* goes to `find` */
} aplomb_memory_file;

/** As aplomb_character_open; options.description is a name that `find` is asked for. `find` is called in this call
 *  alone. */
APLOMB_API aplomb_status aplomb_character_open_memory(const aplomb_memory_file* file,
                                                      const aplomb_character_options* options,
                                                      aplomb_character** character, aplomb_error* error);
/** A character does not change while it is open: any number of threads may read and write it at once, as long as
 *  none closes it, and each writes to a path of its own. */
APLOMB_API void aplomb_character_close(aplomb_character* character);

/** Owned by the character. Poses of this figure are in the file's unit and axes. It is measured in the pose in
 *  which the skin is bound to its joints, or where there is no skin in that of the nodes; or in a frame that
 *  stands, see stand_clip. */
APLOMB_API const aplomb_figure* aplomb_character_figure(const aplomb_character* character);

/** Where a choice comes from. */
typedef enum aplomb_source {
    APLOMB_SOURCE_STANDARD = 0, /* the standard of the file's kind */
    APLOMB_SOURCE_GIVEN = 1,    /* an option or the figure description */
    APLOMB_SOURCE_SHAPE = 2,    /* found from the rest pose, the skin and the names */
    APLOMB_SOURCE_MOTION = 3,   /* found from the clips' frames */
    APLOMB_SOURCE_ASSUMED = 4,  /* by custom (common practice), as nothing tells */
    APLOMB_SOURCE_FORCE_32 = 0x7fffffff
} aplomb_source;
/** "file standard", "given", "from the shape", "from the motion", "assumed". */
APLOMB_API const char* aplomb_character_source_text(aplomb_source source);

/** How the file was understood. Each choice has a source (aplomb_source) and a reason: a phrase, owned by the
 *  character. */
typedef struct aplomb_character_info {
    uint32_t struct_size;
    int32_t up_axis, forward_axis; /* aplomb_axis */
    int32_t up_source, forward_source, unit_source, stand_source;
    int32_t stand_clip;            /* of the frame that the figure was measured in; -1: the rest pose */
    int32_t remark_count;
    double stand_seconds;
    double metres_per_unit;
    const char* up_why;
    const char* forward_why;
    const char* unit_why;
    const char* stand_why;
} aplomb_character_info;
APLOMB_API void aplomb_character_info_init(aplomb_character_info* info, size_t size);
APLOMB_API aplomb_status aplomb_character_describe(const aplomb_character* character, aplomb_character_info* info,
                                                   aplomb_error* error);
/** What of the file was left out or does not agree with itself, one sentence each; NULL past the last. What is said of
 *  the figure is in aplomb_figure_remark. */
APLOMB_API const char* aplomb_character_remark(const aplomb_character* character, int32_t index);

APLOMB_API int32_t aplomb_character_clip_count(const aplomb_character* character);
/** Owned by the character; NULL past the last. BVH has one clip, "motion". */
APLOMB_API const char* aplomb_character_clip_name(const aplomb_character* character, int32_t clip);
/** The clip of this name or number, or -1. */
APLOMB_API int32_t aplomb_character_find_clip(const aplomb_character* character, const char* name);
/** The moments at which the clip has keys (BVH: its frames), ascending. Returns their number; writes at most
 *  `capacity` of them, seconds. */
APLOMB_API int32_t aplomb_character_key_times(const aplomb_character* character, int32_t clip, double* seconds,
                                              int32_t capacity);

/** The stances over time that the figure description gives for a clip, frames being its key times. Returns their number;
 *  writes at most `capacity` of them. */
APLOMB_API int32_t aplomb_character_stances(const aplomb_character* character, int32_t clip, aplomb_stance_range* ranges,
                                            int32_t capacity);

/** The pose at a moment of a clip, as the file's own interpolation gives it; clip -1: the pose of the nodes
 *  (glTF) or of zero angles (BVH). Outside the clip: its first or last pose. */
APLOMB_API aplomb_status aplomb_character_pose(const aplomb_character* character, int32_t clip, double seconds,
                                               double* translations, double* rotations, aplomb_error* error);

/** Frames of one clip that shall have other poses. */
typedef struct aplomb_corrected_frames {
    uint32_t struct_size;
    int32_t clip;         /* -1: the pose without motion, as one frame [0] */
    int32_t count;        /* 0: the file comes out as it is */
    int32_t reserved;
    const double* seconds;      /* `count` moments, in any order; or NULL: `keys` */
    const int32_t* keys;        /* `count` numbers of aplomb_character_key_times, from 0 (BVH: frames), in any order;
                                   or NULL: `seconds`. Of clip -1 neither is read */
    const double* translations; /* [count][joints][3]: pose after pose, in the file's unit and axes */
    const double* rotations;    /* [count][joints][4] */
    const char* layer;          /* glTF: the clip stays as it is, and the tracks that change go into a further clip of
                                   this name, alone, to be switched on and off; NULL: into the clip */
} aplomb_corrected_frames;
APLOMB_API void aplomb_corrected_frames_init(aplomb_corrected_frames* frames, size_t size);

/** Writes the file again with these poses at those moments (BVH: the nearest frame; glTF: a key is replaced, or
 *  set where there is none; outside the clip: its first or last moment; clip -1: the node transforms). Joints that
 *  equal aplomb_character_pose bit for bit in every frame are not touched; everything else in the file stays as it
 *  is. A track of a joint that differs in any of the frames is edited as a whole and written once, so that the file
 *  has each of these poses at its moment, and grows by no more than the changed tracks, whatever the number of frames:
 *  16 bytes per key of a rotation, 12 of a translation (three times that in a cubic track), 4 of times where
 *  keys are put in, and the lines that name them; a third more in .gltf. Two frames that would be one key or row of
 *  the file are refused, the index is that of the second; a bad pose is told with its frame, the index is the joint. */
APLOMB_API aplomb_status aplomb_character_write_frames(const aplomb_character* character,
                                                       const aplomb_corrected_frames* frames, const char* path,
                                                       aplomb_error* error);
/** Takes a file that is written to memory: called once, with all its bytes, after all that can fail; they are gone
 *  when it returns. Returns 1, or 0 where it cannot take them (the call then returns CANNOT_OPEN). */
typedef int32_t (*aplomb_take_file)(void* user, const void* bytes, size_t size);
/** aplomb_character_write_frames to memory. Names of other files in it stay as they are, as if it lay beside the
 *  original. (Of a character opened from memory they stay in a written file, too.) */
APLOMB_API aplomb_status aplomb_character_write_frames_memory(const aplomb_character* character,
                                                              const aplomb_corrected_frames* frames,
                                                              aplomb_take_file take, void* user,
                                                              aplomb_error* error);
/** A key that a standing leg needed beyond the animator's own: on the turns of both its spans and its end. Frozen. */
typedef struct aplomb_added_key {
    int32_t limb;
    int32_t frame; /* of the list */
    double seconds;
} aplomb_added_key;

/** How a clip came out on its own keys. */
typedef struct aplomb_own_keys {
    uint32_t struct_size;
    int32_t capacity;                   /* of `added` [0] */
    aplomb_added_key* added;            /* takes so many of them, by limb and frame; or NULL */
    double *translations, *rotations;   /* written: the frames as the file now has them; or NULL */
    int32_t added_count;                /* written: of all */
    int32_t reserved;
    double drift;                       /* written: the furthest that a point of a standing foot is off, file's unit */
} aplomb_own_keys;
APLOMB_API void aplomb_own_keys_init(aplomb_own_keys* own_keys, size_t size);
/** aplomb_character_write_frames on the keys that the tracks have (glTF; no layer, `seconds` growing): values by least
 *  squares of all frames under each track's own interpolation, no key removed or moved in time, and those outside what
 *  changes as they were; a track with one key or none takes the clip's; legs follow the hips as these come out. While a
 *  point of a sole is off by more than 1e-3 of the leg in a frame in which it stands (`planted`, frames of the list), the
 *  leg gets a key more, there or next to it. */
APLOMB_API aplomb_status aplomb_character_write_own_keys(const aplomb_character* character,
                                                         const aplomb_corrected_frames* frames,
                                                         const aplomb_stance_range* planted, int32_t planted_count,
                                                         const char* path, aplomb_own_keys* own_keys,
                                                         aplomb_error* error);
/** aplomb_character_write_frames with one frame. */
APLOMB_API aplomb_status aplomb_character_write(const aplomb_character* character, int32_t clip, double seconds,
                                                const double* translations, const double* rotations,
                                                const char* path, aplomb_error* error);

/** Writes the figure description (JSON) that would give this figure again. */
APLOMB_API aplomb_status aplomb_character_write_description(const aplomb_character* character, const char* path,
                                                            aplomb_error* error);

APLOMB_API aplomb_status aplomb_character_write_description_memory(const aplomb_character* character,
                                                                   aplomb_take_file take, void* user,
                                                                   aplomb_error* error);

/** A studio's manner from a file (JSON): sets what the file names, in the library's own units, and leaves the rest. On
 *  failure nothing is set. */
APLOMB_API aplomb_status aplomb_manner_read(const char* path, aplomb_options* options, aplomb_error* error);
/** Writes what of the table of options differs from the defaults. `note`: a text for people, or NULL. */
APLOMB_API aplomb_status aplomb_manner_write(const char* path, const aplomb_options* options, const char* note,
                                             aplomb_error* error);

/* ---- Skin and camera (glTF) ------------------------------------------------------------------------ */

/** The triangles of the meshes that the character's skin moves. Owned by the character. Frozen. */
typedef struct aplomb_mesh {
    int32_t vertex_count;
    int32_t triangle_count;
    const int32_t* triangles; /* 3 vertices each, counter-clockwise seen from outside */
} aplomb_mesh;

/** Fails with BAD_FILE where the file has none (a BVH never has). */
APLOMB_API aplomb_status aplomb_character_mesh(const aplomb_character* character, aplomb_mesh* mesh,
                                               aplomb_error* error);
/** Where the vertices are in a pose (linear blend, glTF 2.0 section 3.7.3.3): 3 doubles per vertex, world,
 *  in the file's unit and axes. */
APLOMB_API aplomb_status aplomb_character_skin(const aplomb_character* character, const double* translations,
                                               const double* rotations, double* positions, aplomb_error* error);

/** A camera looks along its own -Z, +Y up (glTF 2.0 section 3.10). Frozen. */
typedef struct aplomb_camera {
    double position[3];    /* world, the file's unit */
    double rotation[4];    /* x, y, z, w */
    double vertical_angle; /* of view, radians; 0: parallel projection */
    double height;         /* of the view in parallel projection, the file's unit */
    double aspect;         /* width over height; 0: not stated */
} aplomb_camera;

APLOMB_API int32_t aplomb_character_camera_count(const aplomb_character* character);
/** The camera at a moment of a clip (clip -1: as its node stands). */
APLOMB_API aplomb_status aplomb_character_camera(const aplomb_character* character, int32_t camera, int32_t clip,
                                                 double seconds, aplomb_camera* result, aplomb_error* error);

/* ---- Pictures -------------------------------------------------------------------------------------- */

/** One drawn pose. `reading` is of this pose. */
typedef struct aplomb_drawn_pose {
    const double* translations;
    const double* rotations;
    const aplomb_reading* reading;
    const char* caption;
    const double* skin; /* 3 per vertex of the picture's mesh: aplomb_character_skin of this pose; NULL: drawn
                           as a lay figure */
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
    const aplomb_mesh* mesh;  /* the skin's triangles; or NULL: a lay figure is drawn */
    const aplomb_camera* camera; /* a further view, on pages; or NULL */
    const aplomb_result* result; /* of the correction: control values on pages; or NULL */
    const aplomb_foot_suggestion* foot; /* where the found one would go, from above, and in words; or NULL */
} aplomb_picture;
APLOMB_API void aplomb_picture_init(aplomb_picture* picture, size_t size);

/** An SVG: front, side and top view, before and after side by side. */
APLOMB_API aplomb_status aplomb_picture_write(const aplomb_picture* picture, const char* path,
                                              aplomb_error* error);

APLOMB_API aplomb_status aplomb_picture_write_memory(const aplomb_picture* picture, aplomb_take_file take,
                                                     void* user, aplomb_error* error);

/** A page: one self-contained HTML file, printable, no network. The picture's views, the camera's where there
 *  is one, the explanation, control values, readings before and after, what each load reads as against the
 *  mass asked for, and the cues. Pelvis line, shoulder line and line of action can be switched on it. */
APLOMB_API aplomb_status aplomb_page_write(const aplomb_picture* picture, const char* path, aplomb_error* error);
APLOMB_API aplomb_status aplomb_page_write_memory(const aplomb_picture* picture, aplomb_take_file take, void* user,
                                                  aplomb_error* error);

/** What a page shows, piece by piece, for hosts that lay out their own: one JSON document (RFC 8259), in the words of
 *  aplomb_page_write.
 *    before, after  heading, caption, verdict, out (of balance: true or false), and views: front, side and top, each with
 *                   words, width (CSS pixels) and svg
 *    loads          load, before and after (sentences), and bar: an SVG
 *    readings       rows: a name, before, after
 *    controls       rows: a name and three words; of the hips' shift (sideways, up or down, fore or aft), then of the
 *                   turns of pelvis, chest and head (bend, lean, twist). With a result alone
 *    cues, text     sentences; the explanation
 *    marks          an SVG that must stand in the document, as views refer to it
 *    legend, bar_legend, scale   samples of what is drawn, each with svg and words
 *  Pelvis line, shoulder line and line of action have the classes pelvis-line, shoulder-line and line-of-action.
 *  `room`: the width for the views of one pose, CSS pixels; 0: words alone. Texts are plain, to be escaped by the host;
 *  the SVGs are safe to put in. */
APLOMB_API aplomb_status aplomb_page_parts_memory(const aplomb_picture* picture, double room, aplomb_take_file take,
                                                  void* user, aplomb_error* error);

typedef enum aplomb_view {
    APLOMB_VIEW_FRONT = 0,
    APLOMB_VIEW_SIDE = 1, /* from the side that the loads are on; else from the right */
    APLOMB_VIEW_TOP = 2,
    APLOMB_VIEW_FORCE_32 = 0x7fffffff
} aplomb_view;

/** One pose of a sheet, in one view. Frozen. */
typedef struct aplomb_cell {
    const aplomb_picture* picture; /* `before` is drawn; with an `after`, that one, and the keyed outline thin */
    int32_t view;                  /* aplomb_view */
    int32_t marks;                 /* 0: the pose and its loads alone; 1: plumb line, support area, centre of
                                      mass, balance point too */
    const char* caption;           /* below the pose; line breaks are kept; or NULL */
} aplomb_cell;

/** Poses side by side, row by row, all at one scale. Frozen. */
typedef struct aplomb_sheet {
    const char* title;
    const char* text;             /* above the cells; or NULL */
    int32_t columns;              /* 1 to 12 */
    int32_t cell_count;
    const aplomb_cell* cells;     /* a cell without picture stays empty */
    const char* const* row_names; /* one per row; or NULL */
    const char* const* column_names; /* one per column; or NULL */
} aplomb_sheet;

/** One self-contained HTML file; every sheet starts a new printed page. */
APLOMB_API aplomb_status aplomb_sheets_write(const aplomb_sheet* sheets, int32_t sheet_count, const char* path,
                                             aplomb_error* error);
APLOMB_API aplomb_status aplomb_sheets_write_memory(const aplomb_sheet* sheets, int32_t sheet_count,
                                                    aplomb_take_file take, void* user, aplomb_error* error);

/** A moment of a clip, drawn. Frozen. */
typedef struct aplomb_drawn_moment {
    int32_t frame;                 /* of the clip, from 0 */
    int32_t reserved;
    const aplomb_picture* picture; /* its `before` is drawn */
} aplomb_drawn_moment;

/** A clip on a page, with what aplomb_clip_read found in it. */
typedef struct aplomb_shot_page {
    uint32_t struct_size;
    int32_t frame_count;              /* as in the clip */
    const char* title;                /* or NULL */
    const aplomb_figure* figure;
    const aplomb_clip* clip;          /* as it was read */
    const aplomb_clip_frame* frames;
    const aplomb_stance_range* stances;
    const aplomb_fall_range* falls;
    const aplomb_flight* flights;
    const aplomb_foot_step* steps;
    const aplomb_clip_note* notes;
    int32_t stance_count, fall_count, flight_count, step_count, note_count;
    int32_t worst_count;              /* 0 to 4 */
    int32_t strip_count;              /* 0 to 12 */
    int32_t arc_count;
    const aplomb_drawn_moment* worst; /* drawn large, with all marks; or NULL */
    const aplomb_drawn_moment* strip; /* drawn side by side, in their order; or NULL */
    const struct aplomb_shot_page* after; /* the same shot corrected, with moments of the same frames (their pictures may
                                             have an `after`: that is drawn, and the keyed outline thin); or NULL */
    const aplomb_clip_balanced* balanced; /* of each frame, with `after`; or NULL */
    const aplomb_arc* arcs;               /* of flights that were made to fall freely; or NULL */
} aplomb_shot_page;
APLOMB_API void aplomb_shot_page_init(aplomb_shot_page* page, size_t size);

/** A self-contained HTML file, printable: what to look at first, the worst moments, the strip, the path of the balance
 *  point among the feet from above, plots over time, tables of the ranges. With `after`: before and after beside each
 *  other, and what was changed. */
APLOMB_API aplomb_status aplomb_shot_page_write(const aplomb_shot_page* page, const char* path, aplomb_error* error);
APLOMB_API aplomb_status aplomb_shot_page_write_memory(const aplomb_shot_page* page, aplomb_take_file take, void* user,
                                                       aplomb_error* error);

/** A shot, drawn frame after frame from one side. */
typedef struct aplomb_motion {
    uint32_t struct_size;
    int32_t picture_count;          /* 1 to 10000 */
    const aplomb_picture* pictures; /* of one figure; `before` is drawn, or with an `after` that one and the keyed
                                       outline thin */
    double frames_per_second;       /* above 0, to 1000 */
    int32_t view;                   /* aplomb_view, as the first frame's hips face [front] */
    int32_t first_number;           /* what the first frame is called [0] */
    const char* title;              /* or NULL */
    const char* text;               /* or NULL */
} aplomb_motion;
APLOMB_API void aplomb_motion_init(aplomb_motion* motion, size_t size);

/** A page: one self-contained HTML file with the moving picture, a button that plays it and the frame's number, and eight
 *  moments of it side by side, which are what is printed. */
APLOMB_API aplomb_status aplomb_motion_write(const aplomb_motion* motion, const char* path, aplomb_error* error);
APLOMB_API aplomb_status aplomb_motion_write_memory(const aplomb_motion* motion, aplomb_take_file take, void* user,
                                                    aplomb_error* error);

#ifdef __cplusplus
}
#endif

#endif

/* SPDX-License-Identifier: MIT
 *
 * aplomb: posed figures that carry weight.
 *
 * Given a keyed pose, the loads that it carries and the feet that stand, aplomb_balance finds the smallest
 * change of hip shift and spine lean, inside the joint limits, that brings the common centre of mass back
 * over the middle of the feet. aplomb_read says how a pose stands and what it reads as, and changes nothing.
 *
 * Conventions, everywhere unless a line says otherwise:
 *   length      the host's own unit; a figure carries `metres_per_unit`
 *   axes        the host's own, right- or left-handed; a figure carries its up and forward axis, and whether they
 *               are left-handed: left is then forward x up and not up x forward (with +Y up and +Z forward -X and
 *               not +X). All places, directions and rotations that go in and come out are in these axes; a
 *               rotation by q turns v to q v q^-1 in either. A mirrored host gets the mirrored answer
 *   numbers     double; the poses of a situation may be float, and come out in what they came in
 *   mass kg, angle radian, force newton, energy joule, acceleration m/s^2
 *   quaternion  x, y, z, w; unit length within 1e-4 (it is normalised); local, that is relative to the parent
 *   pose        3 numbers of translation and 4 of rotation per joint, both relative to the parent joint;
 *               joint 0 is the root, its translation is relative to the world
 *   anatomical  (left, up, forward) of the figure itself; a positive turn about `left` bends forward,
 *               about `up` turns to the left, about `forward` leans to the right
 *   failure     one status: 0 in balance, > 0 a pose was written but read the value first, < 0 nothing was
 *               written. An aplomb_error, where given, names the argument, the index and the value
 *   threads     an aplomb_figure never changes and may be used by any number of threads at once;
 *               an aplomb_solver is one thread's working memory. A debug build refuses a call on a solver that
 *               another call is using
 *   structs     those with `struct_size` are set up by their _init function and may grow at the end;
 *               the others are frozen
 *
 * The library prints nothing, keeps no global state, changes no input and lets no exception out.
 * Results are about drawn and simulated figures; they say nothing about what a living person can lift.
 */
#ifndef APLOMB_H
#define APLOMB_H

/* The comments are laid out by hand. */
/* clang-format off */
#include <stddef.h>
#include <stdint.h>

#ifndef APLOMB_API
#if defined(_WIN32)
#define APLOMB_API
#else
#define APLOMB_API __attribute__((visibility("default")))
#endif
#endif

#ifdef __cplusplus
extern "C" {
#endif

#define APLOMB_VERSION_MAJOR 0
#define APLOMB_VERSION_MINOR 1
#define APLOMB_VERSION_PATCH 0
#define APLOMB_VERSION (APLOMB_VERSION_MAJOR * 10000 + APLOMB_VERSION_MINOR * 100 + APLOMB_VERSION_PATCH)

/** The version of the library in use, as APLOMB_VERSION. */
APLOMB_API uint32_t aplomb_version(void);
/** One line on how the library was built. Static text. */
APLOMB_API const char* aplomb_build_info(void);

/* ---- Status and errors --------------------------------------------------------------------------- */

typedef enum aplomb_status {
    APLOMB_OK = 0,                 /* done; for a correction: the pose is in balance */
    APLOMB_OUT_OF_REACH = 1,       /* the nearest pose was written; limits keep it from balance */
    APLOMB_NOT_CONVERGED = 2,      /* the best pose found was written, at worst the keyed one; see the residuals */
    APLOMB_SETTLING = 3,           /* aplomb_step: the correction is on its way, or the body in motion */
    APLOMB_BAD_ARGUMENT = -1,      /* an argument is missing, out of range or not finite */
    APLOMB_BAD_FIGURE = -2,        /* the description of a figure contradicts itself or lacks a part */
    APLOMB_BAD_POSE = -3,          /* a pose value is not finite, or a rotation is not of unit length */
    APLOMB_NO_SUPPORT = -4,        /* no contact bears weight, the figure does not press on the ground, or a contact
                                      or the balance point is more than 500 m from the hips */
    APLOMB_OUT_OF_MEMORY = -5,     /* the allocator returned NULL */
    APLOMB_WRONG_VERSION = -6,     /* a struct_size that this library does not know */
    APLOMB_BAD_FILE = -7,          /* a file is not what it claims to be, or lacks a part (files.h) */
    APLOMB_CANNOT_OPEN = -8,       /* a file cannot be read or written (files.h) */
    APLOMB_CANCELLED = -9,         /* the caller's progress function ended the work (clip.h) */
    APLOMB_STATUS_FORCE_32 = 0x7fffffff
} aplomb_status;

/** A short name for a status, such as "out of reach". Static text, never NULL. */
APLOMB_API const char* aplomb_status_text(aplomb_status status);

/** What was wrong. Frozen; written only when the status is negative. */
typedef struct aplomb_error {
    int32_t status;
    int32_t index;     /* which element of the named argument, or -1 */
    char field[56];    /* the argument or member, such as "rotations" */
    char message[448]; /* one sentence that names field, index and value */
} aplomb_error;

/** Where an object takes its memory from. `size` and `alignment` are in bytes, alignment a power of two of
 *  at most 64. `deallocate` gets the size that was asked for. Copied at creation; the functions must
 *  outlive the object. */
typedef struct aplomb_allocator {
    void* (*allocate)(size_t size, size_t alignment, void* user);
    void (*deallocate)(void* memory, size_t size, void* user);
    void* user;
} aplomb_allocator;

/* ---- Figure -------------------------------------------------------------------------------------- */

/** What a joint is for. */
typedef enum aplomb_role {
    APLOMB_ROLE_FROM_NAME = 0, /* in a description: found from the names and the shape */
    APLOMB_ROLE_ROOT,          /* travel, above the hips; never moved */
    APLOMB_ROLE_HIPS,
    APLOMB_ROLE_SPINE,
    APLOMB_ROLE_NECK,
    APLOMB_ROLE_HEAD,
    APLOMB_ROLE_GIRDLE, /* shoulder girdle */
    APLOMB_ROLE_UPPER_ARM,
    APLOMB_ROLE_LOWER_ARM,
    APLOMB_ROLE_HAND,
    APLOMB_ROLE_THIGH,
    APLOMB_ROLE_SHANK,
    APLOMB_ROLE_FOOT,
    APLOMB_ROLE_TOE,
    APLOMB_ROLE_TAIL,
    APLOMB_ROLE_PROP,
    APLOMB_ROLE_HELPER, /* twist, split, control, face, finger: rides with its parent */
    APLOMB_ROLE_FORCE_32 = 0x7fffffff
} aplomb_role;

typedef enum aplomb_side {
    APLOMB_SIDE_FROM_NAME = 0,
    APLOMB_SIDE_LEFT,
    APLOMB_SIDE_RIGHT,
    APLOMB_SIDE_MIDDLE,
    APLOMB_SIDE_FORCE_32 = 0x7fffffff
} aplomb_side;

/** "upper arm", "left"; static text, "unknown" for other values. */
APLOMB_API const char* aplomb_role_text(aplomb_role role);
APLOMB_API const char* aplomb_side_text(aplomb_side side);

typedef enum aplomb_axis {
    APLOMB_AXIS_X = 1,
    APLOMB_AXIS_Y = 2,
    APLOMB_AXIS_Z = 3,
    APLOMB_AXIS_MINUS_X = -1,
    APLOMB_AXIS_MINUS_Y = -2,
    APLOMB_AXIS_MINUS_Z = -3,
    APLOMB_AXIS_FORCE_32 = 0x7fffffff
} aplomb_axis;

/** Published body-segment tables, or the figure's own skin. With the default table a closed skin is taken where
 *  no table knows the body: four feet, a head of more than twice a grown man's part, a tail of over a twentieth. */
typedef enum aplomb_mass_table {
    APLOMB_MASS_DE_LEVA_MALE = 0, /* P. de Leva, J. Biomech. 29(9), 1996, table 4 */
    APLOMB_MASS_DE_LEVA_FEMALE = 1,
    APLOMB_MASS_DEMPSTER = 2, /* W. Dempster 1955, as in D. Winter, Biomechanics, 4th ed. 2009, table 4.1 */
    APLOMB_MASS_CHILD = 3,    /* R. Jensen 1989, age 6 */
    APLOMB_MASS_SKIN = 4,     /* from the skin: volume at one density */
    APLOMB_MASS_TABLE_FORCE_32 = 0x7fffffff
} aplomb_mass_table;

/** A patch of points that can touch something, on one joint's segment: a sole, a knee, a seat. */
typedef struct aplomb_patch {
    int32_t joint;
    int32_t point_count;  /* 1 to 16 */
    const double* points; /* 3 per point, in the joint's own frame, host units */
} aplomb_patch;

/** The figure's closed skin in its rest pose: soles and, where asked for, masses come from it. */
typedef struct aplomb_skin {
    int32_t vertex_count;
    int32_t triangle_count;
    const double* positions; /* 3 per vertex, world, host units, in the rest pose of the description */
    const int32_t* joints;   /* 4 per vertex; the joints that it moves with; -1: none */
    const double* weights;   /* 4 per vertex, 0 or more, summing to 1 within 0.01 (they are normalised) */
    const int32_t* triangles;/* 3 vertices per triangle, counter-clockwise seen from outside */
} aplomb_skin;

/** How to build a figure. All pointers are read during aplomb_figure_create only. */
typedef struct aplomb_figure_desc {
    uint32_t struct_size;
    int32_t joint_count;        /* 1 to 1024 */
    const int32_t* parents;     /* per joint; -1 for joint 0 alone; a parent comes before its children */
    const double* translations; /* 3 per joint: the rest pose, relative to the parent */
    const double* rotations;    /* 4 per joint, or NULL: all identity */
    const char* const* names;   /* UTF-8, or NULL; entries may be NULL */
    const int32_t* roles;       /* aplomb_role per joint, or NULL: all from names and shape */
    const int32_t* sides;       /* aplomb_side per joint, or NULL */
    const double* tips;         /* 3 per joint: where a last joint's segment ends, in its own frame; all three
                                   NaN: not known. Or NULL */

    double metres_per_unit; /* default 1 */
    int32_t up_axis;        /* aplomb_axis, default Y */
    int32_t forward_axis;   /* aplomb_axis, default Z: the way the figure faces in its rest pose */

    int32_t mass_table;     /* aplomb_mass_table, default de Leva male */
    double total_mass;      /* kg; 0: the table's reference body scaled with the cube of the stature */
    const double* masses;   /* kg per joint's segment, or NULL: from the table */
    const double* centres;  /* 3 per joint, own frame; with `masses`, or NULL: the middle of the segment */
    const double* inertias; /* 6 per joint, kg m^2 about the centre, own frame: xx yy zz xy xz yz; or NULL */

    const double* limits; /* 6 per joint: lowest and highest bend forward, lowest and highest twist left, lowest
                             and highest lean right, from the anatomical neutral; NaN: the published range for
                             the role. Or NULL */
    const aplomb_patch* soles; /* patches that replace the estimated sole of the foot above or at `joint` */
    int32_t sole_count;
    const aplomb_skin* skin; /* or NULL */
    int32_t left_handed;  /* 1: the host's axes are left-handed [0: right-handed] */
} aplomb_figure_desc;

typedef struct aplomb_figure aplomb_figure;

APLOMB_API void aplomb_figure_desc_init(aplomb_figure_desc* desc, size_t size);

/** Builds a figure. `allocator` and `error` may be NULL. On failure *figure is NULL.
 *  Fails with BAD_FIGURE where no hips and no limb that reaches the ground can be found. */
APLOMB_API aplomb_status aplomb_figure_create(const aplomb_figure_desc* desc, const aplomb_allocator* allocator,
                                              aplomb_figure** figure, aplomb_error* error);
/** NULL is allowed. No solver may use the figure any more. */
APLOMB_API void aplomb_figure_destroy(aplomb_figure* figure);

APLOMB_API int32_t aplomb_figure_joint_count(const aplomb_figure* figure);
/** The joint of this name, or -1. */
APLOMB_API int32_t aplomb_figure_find_joint(const aplomb_figure* figure, const char* name);
/** The first joint of a role and side (APLOMB_SIDE_FROM_NAME: any side), or -1. */
APLOMB_API int32_t aplomb_figure_find_role(const aplomb_figure* figure, aplomb_role role, aplomb_side side);

/** Where a number came from. */
typedef enum aplomb_origin {
    APLOMB_ORIGIN_GIVEN = 0,       /* by the caller */
    APLOMB_ORIGIN_PUBLISHED = 1,   /* a published table */
    APLOMB_ORIGIN_FROM_MEMORY = 2, /* common practice; not checked against a source */
    APLOMB_ORIGIN_SHAPE = 3,       /* estimated from the figure's own shape */
    APLOMB_ORIGIN_FORCE_32 = 0x7fffffff
} aplomb_origin;

typedef struct aplomb_joint_info {
    uint32_t struct_size;
    int32_t parent;
    int32_t role;         /* aplomb_role */
    int32_t side;         /* aplomb_side */
    const char* name;     /* owned by the figure; "" where none was given */
    double mass;          /* kg of this joint's own segment */
    double centre[3];     /* own frame, host units */
    double inertia[6];    /* kg m^2 about the centre, own frame: xx yy zz xy xz yz */
    double limits[6];     /* as in the description; +-infinity: free */
    int32_t mass_origin;  /* aplomb_origin */
    int32_t limit_origin; /* aplomb_origin */
    double spine_share[3];/* of the trunk's bend, twist and lean, for a spine joint; else 0 */
} aplomb_joint_info;
APLOMB_API void aplomb_joint_info_init(aplomb_joint_info* info, size_t size);
APLOMB_API aplomb_status aplomb_figure_joint(const aplomb_figure* figure, int32_t joint, aplomb_joint_info* info,
                                             aplomb_error* error);

typedef enum aplomb_limb_kind {
    APLOMB_LEG = 0,
    APLOMB_ARM = 1,
    APLOMB_FORE_LEG = 2,
    APLOMB_LIMB_FORCE_32 = 0x7fffffff
} aplomb_limb_kind;

typedef struct aplomb_limb_info {
    uint32_t struct_size;
    int32_t kind;  /* aplomb_limb_kind */
    int32_t side;  /* aplomb_side */
    int32_t upper; /* joint at the start of the first span */
    int32_t lower; /* joint at the start of the second span */
    int32_t end;   /* ankle, hock or wrist */
    int32_t toe;   /* the ball joint, or -1 */
    double length; /* of both spans, host units */
    double sole_length, sole_breadth; /* host units; 0 without a sole */
    int32_t sole_origin;              /* aplomb_origin */
    double palm[3];                   /* where the end grips, frame of joint `end`, host units */
    int32_t sole_point_count;         /* 0 to 16 */
    int32_t sole_joint[16];           /* the joint that each point rides on: `end` or `toe` */
    double sole_points[16][3];        /* in that joint's frame, host units */
} aplomb_limb_info;
APLOMB_API void aplomb_limb_info_init(aplomb_limb_info* info, size_t size);
APLOMB_API int32_t aplomb_figure_limb_count(const aplomb_figure* figure);
APLOMB_API aplomb_status aplomb_figure_limb(const aplomb_figure* figure, int32_t limb, aplomb_limb_info* info,
                                            aplomb_error* error);

typedef struct aplomb_figure_info {
    uint32_t struct_size;
    int32_t joint_count, limb_count;
    double total_mass;         /* kg */
    double stature;            /* host units, ground to crown in the anatomical neutral */
    double leg_length;         /* host units */
    double metres_per_unit;
    int32_t up_axis, forward_axis; /* aplomb_axis */
    int32_t hips, chest, head; /* joints; -1 where there is none */
    int32_t remark_count;
    const char* mass_source;   /* one line, owned by the figure */
    int32_t left_handed;       /* as in the description */
} aplomb_figure_info;
APLOMB_API void aplomb_figure_info_init(aplomb_figure_info* info, size_t size);
APLOMB_API aplomb_status aplomb_figure_describe(const aplomb_figure* figure, aplomb_figure_info* info,
                                                aplomb_error* error);
/** What was not found, found twice or taken from memory, one sentence each; NULL past the last. */
APLOMB_API const char* aplomb_figure_remark(const aplomb_figure* figure, int32_t index);
/** What a remark puts in doubt. */
typedef enum aplomb_doubt {
    APLOMB_DOUBT_NONE = 0,
    APLOMB_DOUBT_STANDING = 1, /* no leg or no sole: every pose of it bears on nothing */
    APLOMB_DOUBT_SIZE = 2,     /* a stature outside 0.2 to 5 m: the unit may be wrong */
    APLOMB_DOUBT_MASS = 3,     /* a mass outside 4 to 60 kg over the cube of the stature, or of a four-footed body's
                                  length, in metres (common practice) */
    APLOMB_DOUBT_LIMB = 4,     /* one span of a limb is five times as long as the other, or more */
    APLOMB_DOUBT_FORCE_32 = 0x7fffffff
} aplomb_doubt;
/** Of the remarks those that make the figure itself doubtful, as with a wrong unit: a host shows them without being
 *  asked. `kind`, or NULL, becomes an aplomb_doubt. NULL past the last. */
APLOMB_API const char* aplomb_figure_doubt(const aplomb_figure* figure, int32_t index, int32_t* kind);

/** Writes 3 and 4 doubles per joint. */
APLOMB_API aplomb_status aplomb_figure_rest_pose(const aplomb_figure* figure, double* translations,
                                                 double* rotations);
/** The anatomical neutral: upright, legs parallel and straight down, toes forward, arms hanging. */
APLOMB_API aplomb_status aplomb_figure_neutral_pose(const aplomb_figure* figure, double* translations,
                                                    double* rotations);

/* ---- Poses from the host's own arrays ------------------------------------------------------------- */

typedef enum aplomb_number {
    APLOMB_FLOAT = 0,
    APLOMB_DOUBLE = 1,
    APLOMB_NUMBER_FORCE_32 = 0x7fffffff
} aplomb_number;

typedef enum aplomb_space {
    APLOMB_LOCAL = 0, /* relative to the parent joint */
    APLOMB_WORLD = 1,
    APLOMB_SPACE_FORCE_32 = 0x7fffffff
} aplomb_space;

/** Copies a strided array of joints, `width` numbers each (3 or 4), to a dense one, or back. Strides are in
 *  bytes from one joint to the next. */
APLOMB_API aplomb_status aplomb_gather(const void* source, aplomb_number type, size_t stride, int32_t width,
                                       int32_t count, double* target, aplomb_error* error);
APLOMB_API aplomb_status aplomb_scatter(const double* source, int32_t width, int32_t count, void* target,
                                        aplomb_number type, size_t stride, aplomb_error* error);

/** 4x4 column-major matrices (translation in elements 12, 13, 14) to a pose, or back. Uniform scale is taken
 *  out; a left-handed, sheared or unevenly scaled matrix is refused by index. `stride` in bytes. */
APLOMB_API aplomb_status aplomb_pose_from_matrices(const aplomb_figure* figure, const void* matrices,
                                                   aplomb_number type, size_t stride, aplomb_space space,
                                                   double* translations, double* rotations, aplomb_error* error);
APLOMB_API aplomb_status aplomb_pose_to_matrices(const aplomb_figure* figure, const double* translations,
                                                 const double* rotations, void* matrices, aplomb_number type,
                                                 size_t stride, aplomb_space space, aplomb_error* error);

/* ---- Stance and loads ----------------------------------------------------------------------------- */

#define APLOMB_MAX_CONTACTS 16
#define APLOMB_MAX_LOADS 8
#define APLOMB_MAX_PULLS 8
#define APLOMB_MAX_EDGES 32

/** What a limb's end, or another part, does. */
typedef enum aplomb_hold {
    APLOMB_FREE = 0,    /* rides along with the body */
    APLOMB_HELD = 1,    /* keeps its keyed place and attitude as far as its joints allow, carries nothing. It gives
                           way before balance does, its attitude first: aplomb_result says by how much */
    APLOMB_BEARING = 2, /* keeps its keyed place and attitude and carries weight */
    APLOMB_HOLD_FORCE_32 = 0x7fffffff
} aplomb_hold;

/** Which part of a sole touches. */
typedef enum aplomb_footing {
    APLOMB_FLAT = 0,
    APLOMB_ON_BALL = 1,
    APLOMB_ON_HEEL = 2,
    APLOMB_FOOTING_FORCE_32 = 0x7fffffff
} aplomb_footing;

/** What a fixed end keeps its place to while the body is corrected. */
typedef enum aplomb_ride {
    APLOMB_RIDE_USUAL = 0, /* what bears rides on the ground, a HELD end stays at its place */
    APLOMB_RIDE_PLACE = 1, /* it stays at its keyed place; not for a FREE end */
    APLOMB_RIDE_HIP = 2,   /* it moves with its limb's start, by its height; for an end that is HELD */
    APLOMB_RIDE_FORCE_32 = 0x7fffffff
} aplomb_ride;

/** What one limb end, or one patch of another joint (knee, seat, elbow), does at this moment. Set up by
 *  aplomb_contact_make or zeroed; what is reserved stays zero, and becomes members as the library grows.
 *
 *  A patch that bears stays where it is keyed, and so does what it is on:
 *    on the hips (a seat), a thigh or a shank (a knee): hips shift and turn are locked, the trunk alone balances;
 *    on an arm (an elbow, a finger), a fore leg or a foot: that limb's end keeps its place as if it bore, too; an
 *      elbow still goes with shoulder and hand;
 *    on the trunk or the head: read as it is; a correction, which would move it, refuses it with BAD_ARGUMENT. */
typedef struct aplomb_contact {
    int32_t limb;    /* a limb of the figure; -1: a patch of `joint` */
    int32_t joint;   /* with limb -1 */
    int32_t hold;    /* aplomb_hold; a patch that is not BEARING is ignored */
    int32_t footing; /* aplomb_footing, for a limb with a sole */
    int32_t ride;    /* aplomb_ride */
    int32_t point_count;  /* with limb -1: 1 to 16 */
    const double* points; /* with limb -1: 3 per point, in the joint's own frame, host units; read during the call */
    double bearing;  /* 0 to 1: how much of the contact counts while it is set down or lifted */
    double share;    /* wished share of the weight, 0 to 1; NaN: none. The rest point goes where the
                        contacts bear it, by their evenest pressure */
    double friction; /* coefficient, only reported against */
    double normal[3];   /* of what it touches, pointing at the body, world axes, of any length above 1e-9; all 0: the
                           ground's. Only normals along the ground's are solved so far; another is BAD_ARGUMENT */
    double reserved[4]; /* 0 */
} aplomb_contact;

/** A contact of a limb: bearing flat, no wish, friction 0.6 (common practice), the usual ride, the ground's normal. */
APLOMB_API aplomb_contact aplomb_contact_make(int32_t limb, aplomb_hold hold);

/** A carried mass. Frozen. */
typedef struct aplomb_load {
    double mass;       /* kg, 0 or more */
    int32_t holder[2]; /* joints that carry it; a hand counts at its palm, others at their origin. The second
                          is -1 for one holder; with two the load is midway between them */
    double offset[3];  /* from there to the load's centre in the keyed pose: left, up, forward as the hips
                          face, host units */
    int32_t hanging;   /* 0 rigid: turns with its holder; 1: hangs straight down, `offset` is the point
                          that it hangs from and `hang` the length below it */
    double hang;       /* host units */
    double level;      /* 0 to 1: part of the chest's turn that the arms give back under a rigid load;
                          a hanging load takes 0.5 */
    double half_size[3]; /* from its centre to its sides: left, up, forward as the hips face, host units; 0: unknown,
                          a cube of a third of the leg's length */
} aplomb_load;
APLOMB_API aplomb_load aplomb_load_make(double mass, int32_t holder);
/** A load by the word for its place: "hands" (both, the load midway between the palms), "left-hand", "right-hand",
 *  "back" (the chest), or the name of a joint. BAD_ARGUMENT where the figure has no such place. */
APLOMB_API aplomb_status aplomb_load_at(const aplomb_figure* figure, double mass, const char* place,
                                        aplomb_load* load, aplomb_error* error);

/** An outside pull on a joint: a rope, a wind, a hand. Frozen. */
typedef struct aplomb_pull {
    int32_t joint;
    double point[3]; /* in the joint's own frame, host units */
    double force[3]; /* newton, world axes; stays the same while the pose changes */
} aplomb_pull;

/** One moment: the keyed pose, what carries it and what it carries. */
typedef struct aplomb_situation {
    uint32_t struct_size;
    const void* translations;       /* 3 per joint: double, or as `floats` says */
    const void* rotations;          /* 4 per joint, the same */
    const aplomb_contact* contacts; /* or NULL: the default stance (aplomb_stance_default) */
    int32_t contact_count;
    const aplomb_load* loads; /* or NULL */
    int32_t load_count;
    const aplomb_pull* pulls; /* or NULL */
    int32_t pull_count;
    double gravity[3];      /* m/s^2, world axes; all 0: 9.80665 against the up axis (ISO 80000-3). At least 0.001
                               of it must point against the ground's normal */
    double ground_normal[3];/* all 0: the up axis */
    int32_t floats;         /* 1: translations and rotations are float, and so are those that a call with this
                               situation writes or reads beside it [0: double]. The work inside is the same */
    double com_acceleration[3]; /* in motion: of the centre of mass of figure and loads, host units per s^2, world
                               axes; gravity less this presses the figure to the ground, and that is how a load
                               hangs and over which edge it tips. All 0: a still pose */
    double angular_momentum_rate[3]; /* in motion: how fast the angular momentum about that centre changes,
                               kg m^2/s^2 (newton metres), world axes, by the host's own rule of hands. All 0: none */
} aplomb_situation;
APLOMB_API void aplomb_situation_init(aplomb_situation* situation, size_t size);

/** The stance that a pose shows: a foot whose sole is within 4.5 % of the leg's length of the lowest bears, on
 *  the part that is as near; a lifted foot rides with its hip; hands are free. Returns the number of contacts, one per
 *  limb, or a negative status. `contacts` holds APLOMB_MAX_CONTACTS. The pose is in double; a situation without
 *  contacts takes this stance in floats, too. */
APLOMB_API int32_t aplomb_stance_default(const aplomb_figure* figure, const double* translations,
                                         const double* rotations, aplomb_contact* contacts, aplomb_error* error);

/* ---- Options --------------------------------------------------------------------------------------- */

/** What a correction may move. */
typedef enum aplomb_free {
    APLOMB_FREE_HIPS_SIDE = 1,
    APLOMB_FREE_HIPS_HEIGHT = 2,
    APLOMB_FREE_HIPS_FORE = 4,
    APLOMB_FREE_HIPS_TURN = 8,
    APLOMB_FREE_SPINE = 16,
    APLOMB_FREE_SWIVEL = 32, /* knees and elbows of fixed limbs turn about the line from start to end */
    APLOMB_FREE_DEFAULT = 31,
    APLOMB_FREE_FORCE_32 = 0x7fffffff
} aplomb_free;

/** How a load carried in front is answered. */
typedef enum aplomb_front {
    APLOMB_FRONT_ARCH = 0,     /* hips ahead under it, the spine extends */
    APLOMB_FRONT_STRAIGHT = 1, /* hips back, a straight trunk */
    APLOMB_FRONT_SIT_BACK = 2, /* hips back, trunk upright, the knees give more: as if the load were lowered */
    APLOMB_FRONT_FORCE_32 = 0x7fffffff
} aplomb_front;

/** The whole table of stiffness, bounds and aims. First what is allowed, defaults (common practice) in brackets; every
 *  length is a fraction, so the same table serves a mouse and a giant. */
typedef struct aplomb_options {
    uint32_t struct_size;
    uint32_t free;          /* aplomb_free bits [APLOMB_FREE_DEFAULT] */
    const uint8_t* locked;  /* per joint, nonzero: this joint of spine, neck, head or girdle stays as keyed; or NULL */
    double amount;          /* 0 to 2: part of the correction that is written [1] */
    double rest;            /* 0 to 1e6: weight of coming to rest at the rest point; 0: only keep it from falling [1] */
    double margin;          /* 0 to 1: asked for, of the sole's length [0.08] */
    double hips_side;       /* 1e-4 to 10: standard deviations; hips, of the leg's length [0.03] */
    double hips_fore;       /* 1e-4 to 10 [0.03] */
    double hips_height;     /* 1e-4 to 10 [0.05] */
    double hips_turn;       /* 1e-4 to 10: radians [6 degrees] */
    double trunk_fore;      /* 1e-4 to 10: the whole trunk, hips included; bend fore and aft [10 degrees] */
    double trunk_side;      /* 1e-4 to 10: lean to the side [12 degrees] */
    double trunk_twist;     /* 1e-4 to 10 [6 degrees] */
    double neck;            /* 0 to 1.3: times the part of the chest's turn that neck and head give back, three
                               quarters and less of it under a big head [1] */
    double knee_bend;       /* 1e-4 to 10: more bend of a fixed limb's middle joint [10 degrees] */
    double knee_straighten; /* 1e-4 to 10: less bend [4 degrees] */
    double swivel;          /* 1e-4 to 10 [10 degrees] */
    double aim;             /* 1e-5 to 10: the balance point about the rest point, of the leg's length [0.01] */
    double max_trunk;       /* 1e-3 to 3: bounds; turn of the chest from the key, and of the hips about each
                               axis [25 degrees] */
    double max_hips;        /* 1e-3 to 3: shift of the hips, of the leg's length [0.30] */
    int32_t exact;          /* 0 to 1: 0 objective within 0.1 %, 1 residual 1e-8 [0] */
    int32_t thorough;       /* 0 to 1: 1 a fixed list of up to 50 starts, for pipelines [0] */
    int32_t max_iterations; /* 1 to 1000: per start [200] */
    double amount_hips;     /* 0 to 2: times `amount`, for the hips' shift and turn [1] */
    double amount_spine;    /* 0 to 2: for the spine [1] */
    double heft;            /* 0 to 1: how much of what a load does to a body, beside what balance asks for, is shown:
                               knees that give, shoulders and pelvis that drop, a box drawn in, an arm that hangs [1] */
    double give;            /* 0 to 2: times what knees yield; 0 leaves them alone [1] */
    double hip_drop;        /* 0 to 2: times how far the pelvis drops on one side [1] */
    double free_arm;        /* 0 to 2: times how far a free arm goes out [1] */
    int32_t front;          /* 0 to 2: aplomb_front [0] */
    int32_t max_evaluations; /* 1 to 1e6: of the pose, over all starts: what a call can cost at most. Some 8 are usual,
                               300 the most of 20,000 random moments, 830 of `thorough` ones [2000] */
} aplomb_options;
APLOMB_API void aplomb_options_init(aplomb_options* options, size_t size);

/** One number of aplomb_options, for programs that list or set them by name. Texts are static. */
typedef struct aplomb_option_info {
    uint32_t struct_size;
    int32_t whole;       /* 1: a whole number */
    const char* name;    /* the member's */
    const char* unit;    /* "radians", "of the leg's length", "of the sole's length"; "": a bare number */
    const char* meaning; /* some words */
    double usual, lowest, highest;
} aplomb_option_info;
APLOMB_API void aplomb_option_info_init(aplomb_option_info* info, size_t size);
/** All but `free` and `locked` are in the table. Thread-safe. */
APLOMB_API int32_t aplomb_option_count(void);
/** APLOMB_BAD_ARGUMENT for an index that is none. Thread-safe. */
APLOMB_API aplomb_status aplomb_option_describe(int32_t index, aplomb_option_info* info, aplomb_error* error);
/** NaN for an index that is none and for a struct of another size than this library's. */
APLOMB_API double aplomb_option_value(const aplomb_options* options, int32_t index);
/** Checks the value as aplomb_balance would. APLOMB_BAD_ARGUMENT: nothing was set. */
APLOMB_API aplomb_status aplomb_option_set(aplomb_options* options, int32_t index, double value,
                                           aplomb_error* error);

/* ---- Solver, reading, correction ------------------------------------------------------------------ */

typedef struct aplomb_solver aplomb_solver;

/** Working memory for one thread and one figure, which must outlive it. */
APLOMB_API aplomb_status aplomb_solver_create(const aplomb_figure* figure, const aplomb_allocator* allocator,
                                              aplomb_solver** solver, aplomb_error* error);
/** NULL is allowed. */
APLOMB_API void aplomb_solver_destroy(aplomb_solver* solver);
/** Bytes that a solver of this figure takes. */
APLOMB_API size_t aplomb_solver_size(const aplomb_figure* figure);

/** How one contact carries. */
typedef struct aplomb_contact_reading {
    int32_t limb;        /* or -1 */
    int32_t joint;       /* the limb's end, or the patch's joint */
    double share;        /* best estimate of its part of the weight, 0 to 1 */
    double share_min;    /* the exact range that balance allows */
    double share_max;
    double place;        /* where along the sole the weight sits: 0 heel, 1 toe tip; NaN without weight */
    double centre[3];    /* of the weight on it, world, host units */
} aplomb_contact_reading;

/** What a load's mass could be, going by the pose alone; kg. An infinite bound is reported as infinite. */
typedef struct aplomb_load_reading {
    double stands_min, stands_max; /* masses with which the pose stands; min > max: none */
    double rests_min, rests_max;   /* masses with which it rests over the rest zone; min > max: none */
    double natural;                /* the mass that it reads as; 0: nothing; NaN: none of them */
    double countered;              /* against the rest point of the correction, where one was made; else NaN */
    int32_t tells;                 /* 0: balance does not tell here */
    int32_t reserved;
} aplomb_load_reading;

/** A plain observation. */
typedef struct aplomb_cue {
    double value;   /* the number that bears it out */
    char text[120]; /* one sentence, marked (common practice) */
} aplomb_cue;

#define APLOMB_MAX_CUES 8

/** Everything that can be said of a pose without changing it. Lengths in host units, world axes. */
typedef struct aplomb_reading {
    uint32_t struct_size;
    int32_t in_balance; /* `margin` is at least `margin_asked` */
    int32_t pressing;   /* 0: no balance point, the figure does not press on the ground */
    int32_t edge_count; /* corners of the support area */
    double body_mass, total_mass;
    double body_centre[3];  /* the figure alone */
    double centre[3];       /* figure and loads */
    double balance_point[3];
    double area[APLOMB_MAX_EDGES][3]; /* corners, counter-clockwise seen from above */
    double margin;          /* signed, positive inside */
    double margin_asked;    /* as capped by what the area can give */
    double edge[2][3];      /* the nearest edge; the pose tips over it */
    double tip_direction[3];/* unit, level, outwards over that edge */
    double tip_angle;       /* the turn about that edge that brings the centre of mass over it; negative: it
                               is past it */
    double tip_energy;      /* to lift the centre of mass over that edge */
    double friction_needed; /* tangential over normal force */
    double zone[APLOMB_MAX_EDGES][3]; /* corners of the rest zone */
    int32_t zone_count;
    int32_t contact_count, load_count, cue_count;
    double home[3], rest_point[3];
    double trunk_fore, trunk_side; /* lean of the trunk from upright, forward and right positive */
    double line_of_action[5][3];   /* bearing ankle, hips, middle of the spine, chest, head */
    aplomb_contact_reading contacts[APLOMB_MAX_CONTACTS];
    aplomb_load_reading loads[APLOMB_MAX_LOADS];
    double load_centre[APLOMB_MAX_LOADS][3];
    aplomb_cue cues[APLOMB_MAX_CUES];
    double knees;          /* bend of the knees that bear, by what each bears, radians; NaN where legs bear less than half */
    double pelvis_side, shoulders_side; /* lean of the lines of hip and shoulder joints from level, the right one lower:
                              positive, radians; NaN without a pair */
    double knees_mass;     /* what all loads together weigh going by the knees' bend alone (common practice), kg; NaN: they
                              do not tell, as of a crouch or of knees that differ by 15 degrees, or nothing is carried */
} aplomb_reading;
APLOMB_API void aplomb_reading_init(aplomb_reading* reading, size_t size);

/** Reads a pose. `options` gives the margin asked for; NULL: the defaults. */
APLOMB_API aplomb_status aplomb_read(aplomb_solver* solver, const aplomb_situation* situation,
                                     const aplomb_options* options, aplomb_reading* reading, aplomb_error* error);

/** Reads the pose that a correction of this situation gave: the situation stays the keyed one, its contacts stay
 *  where they are and its loads ride along. The rest point is the correction's own, and what each load reads as
 *  is measured against it too (`countered`). */
struct aplomb_result;
APLOMB_API aplomb_status aplomb_read_corrected(aplomb_solver* solver, const aplomb_situation* situation,
                                               const aplomb_options* options, const void* translations,
                                               const void* rotations, const struct aplomb_result* result,
                                               aplomb_reading* reading, aplomb_error* error);

/** What a correction was held by, or is made of: a limit with its multiplier. Frozen. */
typedef struct aplomb_hold_back {
    char name[72];     /* such as "the left knee, straight" */
    double multiplier; /* in units of the objective per unit of the row */
} aplomb_hold_back;

#define APLOMB_MAX_HOLD_BACKS 12

/** Hips, trunk and neck as a rig with its own legs would set them; anatomical axes (left, up, forward). */
typedef struct aplomb_controls {
    double hips_shift[3]; /* host units, along the ground as the hips face */
    double hips_turn[3];  /* rotation vectors */
    double chest[3];      /* the chest against the hips */
    double neck[3];       /* the head against the chest */
} aplomb_controls;

/** A held limb that gave way, and how far its end is from its keyed place and attitude. Frozen. */
typedef struct aplomb_gave_way {
    int32_t limb;
    int32_t reserved;
    double place;    /* metres */
    double attitude; /* radians */
} aplomb_gave_way;

/** A knee that bears, before and after; radians from straight. Frozen. */
typedef struct aplomb_knee {
    int32_t limb;
    int32_t reserved;
    double keyed, bend;
} aplomb_knee;

#define APLOMB_MAX_KNEES 4

typedef struct aplomb_result {
    uint32_t struct_size;
    int32_t changed;    /* 0: the pose came back bit for bit */
    int32_t iterations; /* of all starts */
    int32_t starts;
    int32_t capped;     /* 1: `amount` was cut back to what the limbs can reach */
    int32_t hold_back_count;
    double objective;   /* cost of the answer: half the sum of its squares, each over its stiffness, and 12 for
                           each 1 % of leg length that it falls short of the margin asked for */
    double other_objective; /* of the best start that lost but kept the limits; NaN without one */
    double slack;       /* metres by which the support had to give */
    double violation;   /* the largest left, metres or radians */
    double stationarity;    /* max |grad f + A' lambda| / (1 + max lambda), in x / sigma; of an `exact` answer,
                               otherwise of the point one step before it */
    double complementarity; /* max |lambda c| / (1 + max lambda) */
    double home[3], rest_point[3]; /* host units, world */
    double margin_before, margin_after, margin_asked;
    double moved[3];       /* the balance point's way */
    double moved_by[5][3]; /* what hips shift, hips turn, spine, arms and limbs contributed to it; they sum */
    aplomb_controls controls;
    aplomb_hold_back hold_backs[APLOMB_MAX_HOLD_BACKS];
    double trust;          /* aplomb_step: how far its answers are trusted, 0: the key, to 1 */
    int32_t status;        /* aplomb_status, as it was returned; BAD_ARGUMENT until a correction was made */
    int32_t gave_way_count;
    aplomb_gave_way gave_way[APLOMB_MAX_CONTACTS]; /* held limbs that gave way, by more than 1e-6 m or radians */
    double lag;            /* aplomb_step: how far the hips are from the answer of this frame, host units */
    int32_t knee_count;
    int32_t reserved;
    aplomb_knee knees[APLOMB_MAX_KNEES];
    double drawn_in, lowered; /* a load in both hands against the trunk: nearer to it, and lower; host units */
    double shoulders[2];      /* left, right: lower on the chest, negative: higher; host units */
    int32_t evaluations;   /* of all starts */
    int32_t cut_short;     /* 1: `max_evaluations` ended it: the best so far, of which `status` says whether it is done */
} aplomb_result;
APLOMB_API void aplomb_result_init(aplomb_result* result, size_t size);

/** Balances a pose. Writes 3 and 4 numbers per joint, in the type of the situation's own; the outputs may be the
 *  inputs. `options` and `result` may be NULL. Only hips, spine, neck, head and fixed limbs change, and with a load
 *  girdles and arms (a load in both hands is carried level); every other value comes back bit for bit.
 *  A pose that is in balance and carries nothing comes back bit for bit as a whole. */
APLOMB_API aplomb_status aplomb_balance(aplomb_solver* solver, const aplomb_situation* situation,
                                        const aplomb_options* options, void* translations, void* rotations,
                                        aplomb_result* result, aplomb_error* error);

/* ---- Run time: frame after frame ------------------------------------------------------------------
 *
 * aplomb_step corrects a character frame after frame. What it remembers stands in an aplomb_step_state of the
 * caller's, apart from the solver: one solver per thread and figure serves any number of characters, in any order.
 *
 *   aplomb_step_state state = {0};                      once per character
 *   frame.seconds = passed;                             every frame
 *   status = aplomb_step(solver, &state, &situation, NULL, NULL, &frame, translations, rotations, NULL, &error);
 *
 * What it promises:
 *   pace      hips and turns of a correction change no faster than the pace allows, whatever the poses do
 *   feet      a foot that bears stays where it is keyed. Where hips that are still on their way are beyond its reach
 *             they sink, as fast as the pace allows; what is missing even then the foot gives, and gave_way tells it
 *   stance    without contacts feet are found by height and speed, with a memory; a bearing that begins or ends, found
 *             or given, is ramped over 0.15 and 0.1 s. No contact bears: a flight, in which a correction is kept and then fades
 *   motion    a walk sways by its own speed: what a pose needs is filtered as an inverted pendulum of the body's height
 *             is. The filter looks ahead to what the last stride needed, or to a pose that the caller shows (`ahead`)
 *   load      what a load does to a body (`heft`) comes and goes with it, without a jump of hand or shoulder, of two arms
 *   budget    4 iterations a frame from the last frame's answer on, 2 more before one is doubted, 8 in a first frame; where it costs much, 5 from a
 *             start afresh beside them in every sixteenth. An answer that breaks limits, or is over 6 % of the leg's length
 *             outside, is not trusted: the last good one fades over 0.3 s
 *   rest      a pose that is held comes to the still answer of aplomb_balance (a body without loads and pulls to that at heft
 *             0, as its motion has a manner of its own), where that has one minimum: margin within 2 mm, hips within 1 %
 *             of the leg's length. Nothing to correct: the key, bit for bit
 * Times are those of a leg of 0.9 m and go with the square root of its length. */

/** How fast a correction may change from frame to frame. Defaults (common practice) in brackets. */
typedef struct aplomb_pace {
    uint32_t struct_size;
    double hips;      /* shift of the hips, of the leg's length per second [0.6] */
    double turns;     /* turn of the hips, or of the whole spine, radians per second [90 degrees] */
    double teleport;  /* keyed hips that are further than this from where their own speed takes them, of the leg's
                         length, start anew [1] */
} aplomb_pace;
APLOMB_API void aplomb_pace_init(aplomb_pace* pace, size_t size);

/** What has passed since the last call, and what is known of the motion beside the pose. */
typedef struct aplomb_frame {
    uint32_t struct_size;
    int32_t ahead_contact_count;
    double seconds;       /* since the last call, 0 or more; 0: nothing moves on [0] */
    double velocity[3];   /* of the character against the ground as far as the poses do not show it, host units per s,
                             world axes: of a clip that walks in place its travel, on a platform that carries
                             the character along the platform's own, reversed [0] */
    const void* ahead_translations; /* a pose that comes, 3 per joint in the situation's own type, or NULL: none is known */
    const void* ahead_rotations;    /* 4 per joint, or NULL */
    double ahead_seconds;           /* how far off it is, above 0, at most 2 [0.3] */
    const aplomb_contact* ahead_contacts; /* what will touch then, or NULL: what the pose shows */
    const double* tensions; /* 3 per load of the situation: newton, world axes, what a load that hangs pulls its hand with
                               (aplomb_hanging_step); of others not read; or NULL: they hang in plumb. The rest point goes
                               by that always: only the support's edge and margins know a swing, or hips would feed it */
} aplomb_frame;
APLOMB_API void aplomb_frame_init(aplomb_frame* frame, size_t size);

#define APLOMB_STEP_NUMBERS 511

/** All that aplomb_step remembers of one character: 4096 plain bytes that may be copied, saved and sent, and go on with
 *  the same bits on any solver of the figure. All zero: the next step starts anew. Frozen in size. */
typedef struct aplomb_step_state {
    uint32_t version; /* of what it holds; another library's is refused with WRONG_VERSION. 0: nothing */
    uint32_t figure;  /* a check of the figure that it was made with; another's is refused with BAD_ARGUMENT */
    double numbers[APLOMB_STEP_NUMBERS];
} aplomb_step_state;

/** As aplomb_balance, for a character that is corrected frame after frame. Returns OK where the pose is in balance now, SETTLING on the way and in motion,
 *  OUT_OF_REACH where the answer of this frame is, NOT_CONVERGED where it is not trusted. `pace` NULL: the defaults. A first
 *  step starts at its answer; without `velocity` or `ahead` it may be one of a walk, so hips answer the support only from then
 *  on. A situation's own motion is left out: the filter has it. On failure nothing is written, and the state stays as it was. */
APLOMB_API aplomb_status aplomb_step(aplomb_solver* solver, aplomb_step_state* state,
                                     const aplomb_situation* situation, const aplomb_options* options,
                                     const aplomb_pace* pace, const aplomb_frame* frame, void* translations,
                                     void* rotations, aplomb_result* result, aplomb_error* error);

/** Makes a solver in memory of the caller's, of at least aplomb_solver_size bytes and aligned to 64. Destroying
 *  it gives nothing back; the memory must outlive it. On failure *solver is NULL. */
APLOMB_API aplomb_status aplomb_solver_create_in(const aplomb_figure* figure, void* memory, size_t size,
                                                 aplomb_solver** solver, aplomb_error* error);
/** Gives the solver another figure, without taking memory. OUT_OF_MEMORY where the figure does
 *  not fit; the solver then stays as it was. */
APLOMB_API aplomb_status aplomb_solver_take(aplomb_solver* solver, const aplomb_figure* figure,
                                            aplomb_error* error);

/* ---- Many characters ------------------------------------------------------------------------------- */

/** One correction of many: the arguments of aplomb_balance, or with `frame` of aplomb_step, and what it
 *  returned. Frozen. A solver for each thread and figure is enough: give each a run of the characters, those of one
 *  figure next to each other. */
typedef struct aplomb_job {
    aplomb_solver* solver; /* jobs that share a solver are done by one thread, in their order */
    aplomb_step_state* state; /* with `frame` */
    const aplomb_situation* situation;
    const aplomb_options* options;
    const aplomb_pace* pace;
    const aplomb_frame* frame;
    void* translations;
    void* rotations;
    aplomb_result* result;
    aplomb_status status;
    int32_t reserved;
} aplomb_job;

/** One piece of work of several. */
typedef void (*aplomb_task)(void* work, int32_t index);
/** Runs `task(work, 0)` to `task(work, count - 1)`, in any order and on any threads, and returns when all are
 *  done. */
typedef void (*aplomb_run_tasks)(aplomb_task task, void* work, int32_t count, void* user);

/** Does all jobs. Jobs with the same solver must stand next to each other. `run` NULL: one after the other on
 *  this thread. Every job's bits are the same whatever runs it. Returns OK, or the most serious status of
 *  all. `error`: that of the first job that failed, its message led by the job, as in "jobs[3]: ". */
APLOMB_API aplomb_status aplomb_balance_many(aplomb_job* jobs, int32_t job_count, aplomb_run_tasks run,
                                             void* user, aplomb_error* error);

/** An aplomb_run_tasks over threads of its own, started and ended in the call. `user` points at an int32_t, how
 *  many threads in all, 1 to 64. A build without APLOMB_THREADS, as for WebAssembly, leaves it out. */
APLOMB_API void aplomb_run_on_threads(aplomb_task task, void* work, int32_t count, void* user);

/** The correction in the animator's words, with line breaks; first what its status says, where that is not OK, and
 *  holds that gave way by half a millimetre or a twentieth of a degree. Of the rest what does not show (under half a
 *  degree, or half a centimetre on a body of 1.70 m) is left out. Returns the length that the whole text needs
 *  without its end, as snprintf does. `figure` is the one that was solved. */
APLOMB_API int32_t aplomb_explain(const aplomb_figure* figure, const aplomb_result* result, char* text,
                                  size_t size);

#ifdef __cplusplus
}
#endif

#endif

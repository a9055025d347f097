/* SPDX-License-Identifier: MIT
 *
 * aplomb: follow-through. Tails, arms, heads and straps that drag and settle, loads that swing, and how long things take.
 *
 * All of it follows from size and mass. Conventions, statuses and errors are those of aplomb.h.
 */
#ifndef APLOMB_FOLLOW_H
#define APLOMB_FOLLOW_H

/* The comments are laid out by hand. */
/* clang-format off */
#include "aplomb/aplomb.h"

#ifdef __cplusplus
extern "C" {
#endif

/* ---- Chains ---------------------------------------------------------------------------------------- */

typedef enum aplomb_chain_kind {
    APLOMB_CHAIN_TAIL = 0,
    APLOMB_CHAIN_ARM = 1,
    APLOMB_CHAIN_NECK = 2,    /* and head */
    APLOMB_CHAIN_STRAP = 3,   /* ribbons, belts, cloth */
    APLOMB_CHAIN_ANTENNA = 4,
    APLOMB_CHAIN_EAR = 5,
    APLOMB_CHAIN_HAIR = 6,
    APLOMB_CHAIN_BELLY = 7,
    APLOMB_CHAIN_FORCE_32 = 0x7fffffff
} aplomb_chain_kind;
/** "tail", "arm", ...; static text, "unknown" for other values. */
APLOMB_API const char* aplomb_chain_text(aplomb_chain_kind kind);

#define APLOMB_MAX_CHAINS 32
#define APLOMB_MAX_CHAIN_JOINTS 24

/** Joints that hang on each other and swing together. They swing across their segments and never twist; the middle
 *  joint of an arm about its hinge alone. A chain that stands for itself weighs as the figure says; where a part of it
 *  has no mass, its segments count as rods of one thickness. Frozen. */
typedef struct aplomb_chain {
    int32_t first, last; /* joints: the chain is all joints on the way from `first` out to `last` */
    int32_t kind;        /* aplomb_chain_kind: tells its words alone once the numbers below are set */
    int32_t on;          /* 0: it stays as keyed */
    int32_t rigid;       /* 1: what drives it is how it would move if it were rigid on what carries it, in its rest
                            shape: for arms that are keyed stiff */
    int32_t reserved;    /* 0 */
    double stiffness;    /* under its own weight, held out level, it would sag by 1/stiffness radians; 0.01 to 10000 */
    double damping;      /* of its slowest swing, as a part of critical, 0.01 to 1; quicker ones in proportion */
    double limit;        /* a joint turns from its key by less than this, radians, 0 to 3; and never past half of the
                            way to its own limit without being slowed */
    double own_motion;   /* 0 to 1: how much of the keyed motion drives it; 0: a correction and the character's place
                            and turn alone */
} aplomb_chain;

/** A chain with the kind's numbers, on, not rigid. Stiffness and damping (common practice; tail, arm and neck looked at,
 *  the others guessed): tail 4, 0.35; arm 4, 0.4; neck 8, 0.45; strap 1.5, 0.2; antenna 25, 0.1; ear 12, 0.3; hair 2,
 *  0.25; belly 12, 0.3. Limit 1, belly 0.2. Own motion 1, of arms and necks 0: they are keyed with their overlap. */
APLOMB_API aplomb_chain aplomb_chain_make(aplomb_chain_kind kind, int32_t first, int32_t last);

/** The chains of a figure: tail, neck and head, arms, and of its helpers those whose names say what they are (ear, hair,
 *  strap, belt, antenna, ...). Returns their number; writes at most `capacity`. */
APLOMB_API int32_t aplomb_figure_chains(const aplomb_figure* figure, aplomb_chain* chains, int32_t capacity);

typedef struct aplomb_follow_desc {
    uint32_t struct_size;
    int32_t chain_count;        /* 1 to APLOMB_MAX_CHAINS */
    const aplomb_chain* chains; /* no joint in two of them, none of a leg or of the trunk */
    double gravity;             /* m/s^2, above 0 [9.80665]: what stiffness is measured by */
    double frame_time;          /* seconds, of steps that shall be quickest; 0: none [0]. It changes no bit */
} aplomb_follow_desc;
APLOMB_API void aplomb_follow_desc_init(aplomb_follow_desc* desc, size_t size);

/** Chains made ready to step. Never changes; any number of characters and threads may share it. The figure must outlive
 *  it. */
typedef struct aplomb_follow aplomb_follow;

/** `allocator` and `error` may be NULL. On failure *follow is NULL. */
APLOMB_API aplomb_status aplomb_follow_create(const aplomb_figure* figure, const aplomb_follow_desc* desc,
                                              const aplomb_allocator* allocator, aplomb_follow** follow,
                                              aplomb_error* error);
/** NULL is allowed. */
APLOMB_API void aplomb_follow_destroy(aplomb_follow* follow);

/** The slowest swing of a chain, Hz; 0 for no such chain. */
APLOMB_API double aplomb_follow_frequency(const aplomb_follow* follow, int32_t chain);
/** Seconds after which a swing of 5 degrees of the slowest chain is under half a degree. */
APLOMB_API double aplomb_follow_settling_time(const aplomb_follow* follow);

/** A character's state is so many doubles of the caller's: it may be copied, saved and put back. */
APLOMB_API int32_t aplomb_follow_state_size(const aplomb_follow* follow);
/** At rest; the next step comes back as keyed. Also how fresh memory becomes a state. */
APLOMB_API aplomb_status aplomb_follow_reset(const aplomb_follow* follow, double* state, aplomb_error* error);
/** The character is somewhere else at the next step: it swings on as it did, and the jump itself does not drive it. */
APLOMB_API aplomb_status aplomb_follow_teleport(const aplomb_follow* follow, double* state, aplomb_error* error);
/** 1: nothing swings, and poses come back bit for bit. */
APLOMB_API int32_t aplomb_follow_at_rest(const aplomb_follow* follow, const double* state);

/** One frame of one character. */
typedef struct aplomb_follow_frame {
    uint32_t struct_size;
    int32_t floats;           /* 1: all four arrays, and what is written, are float [0: double] */
    double seconds;           /* since the last step: 0 (the last answer again), or 0.0001 to 10 */
    const void* translations; /* 3 per joint: the pose that is followed, keyed or corrected */
    const void* rotations;    /* 4 per joint */
    const void* keyed_translations; /* the same before a correction; or NULL: there was none */
    const void* keyed_rotations;
    double place[3];          /* of the character where the pose does not hold it, host units, world [0] */
    double turn[4];           /* likewise, unit [0 0 0 1] */
} aplomb_follow_frame;
APLOMB_API void aplomb_follow_frame_init(aplomb_follow_frame* frame, size_t size);

/** Moves a character on by one frame. Writes 4 numbers per joint, which may be the frame's own `rotations`: the chains'
 *  joints turned, all others, and all of a chain at rest, bit for bit. The first step, and the first after a reset,
 *  comes back as keyed. On failure neither pose nor state is written. */
APLOMB_API aplomb_status aplomb_follow_step(const aplomb_follow* follow, double* state,
                                            const aplomb_follow_frame* frame, void* rotations, aplomb_error* error);

/** A shot. Arrays of doubles, frame after frame. */
typedef struct aplomb_follow_shot {
    uint32_t struct_size;
    int32_t frame_count;  /* 1 or more */
    int32_t closed;       /* 1: it is a loop of 4 frames or more, and its last frame the first again but for where the
                             character is; it then swings on across its ends */
    int32_t reserved;
    double frame_time;    /* seconds; not read with `times` */
    const double* times;  /* of each frame, growing; or NULL */
    const double* translations;
    const double* rotations;
    const double* keyed_translations; /* or NULL */
    const double* keyed_rotations;
} aplomb_follow_shot;
APLOMB_API void aplomb_follow_shot_init(aplomb_follow_shot* shot, size_t size);

/** All frames of a shot, by the same step. `state` is working memory of aplomb_follow_state_size doubles; writes 4
 *  numbers per joint and frame, which may be the shot's own `rotations`. On failure nothing is written. */
APLOMB_API aplomb_status aplomb_follow_frames(const aplomb_follow* follow, double* state,
                                              const aplomb_follow_shot* shot, double* rotations,
                                              aplomb_error* error);

/* ---- Hanging loads --------------------------------------------------------------------------------- */

/** A load on a string: a point that swings in space. Lengths in metres, world axes. */
typedef struct aplomb_hanging {
    uint32_t struct_size;
    int32_t reserved;
    double length;     /* from the hand to the load's centre, metres, above 0 */
    double mass;       /* kg, above 0 */
    double damping;    /* as a part of critical, 0 to 1 [0.2] */
    double gravity[3]; /* m/s^2 [0, -9.80665, 0] */
    double give;       /* Hz with which the hand gives like an arm, 0 to 20 [3]; 0: it goes as told, for smooth paths */
    double stop[3];    /* the way from the hand towards the body, as long as the load may come that way, metres, before
                          it meets the thigh [0: no stop] */
} aplomb_hanging;
APLOMB_API void aplomb_hanging_init(aplomb_hanging* hanging, size_t size);

/** All that is remembered from frame to frame. Frozen; zero it to start anew, hanging still and plumb. */
typedef struct aplomb_hanging_state {
    int32_t running; /* 0: the next step starts anew; else the frames seen, up to 3 */
    int32_t slack;   /* 1: the string is slack, the load flies */
    double away[3];  /* from the hand to the load, metres */
    double spin[3];  /* of that line, radians per second; while slack: the velocity against the hand, m/s */
    double hand[3];  /* the last one */
    double seconds;  /* the last frame's */
    double velocity[3];     /* of the hand, mean over the last frame */
    double end_velocity[3]; /* at its end */
    double given[3], given_velocity[3]; /* of the hand that gives, against the hand */
} aplomb_hanging_state;

/** Frozen. */
typedef struct aplomb_hanging_result {
    double place[3];   /* of the load's centre */
    double tension[3]; /* force on the hand, newton; 0 while slack */
    double angle;      /* between the string and gravity, radians */
    int32_t slack;
    int32_t caught;    /* 1: the string came taut in this frame */
} aplomb_hanging_result;

/** Moves a load on by one frame, in which its hand goes to `hand`; 0 seconds give the last answer again. On failure
 *  nothing is written. */
APLOMB_API aplomb_status aplomb_hanging_step(const aplomb_hanging* hanging, aplomb_hanging_state* state, double seconds,
                                             const double hand[3], aplomb_hanging_result* result,
                                             aplomb_error* error);

/** What is to be said of a load that hangs from somebody who takes a step in `step_seconds`: where its swing lies within
 *  15 % of the stride, or of the step that bobs it, one sentence; else "". Returns the length that the whole text needs
 *  without its end, as snprintf does; -1 for a length, a gravity or a time that is not above 0. */
APLOMB_API int32_t aplomb_hanging_remark(double length, double gravity, double step_seconds, char* text, size_t size);

/* ---- Give ------------------------------------------------------------------------------------------ */

/** What yields and comes back: x'' = -rate^2 (x - rest) - 2 damping rate x'. Frozen. */
typedef struct aplomb_give {
    double rate;    /* radians per second */
    double damping; /* as a part of critical */
} aplomb_give;

typedef enum aplomb_give_kind {
    APLOMB_GIVE_ARMS = 0,    /* that catch a load; `length` is the arm's */
    APLOMB_GIVE_LEGS = 1,    /* under a load that arrives or leaves; `length` is the leg's */
    APLOMB_GIVE_LANDING = 2, /* of a body, on its legs */
    APLOMB_GIVE_FORCE_32 = 0x7fffffff
} aplomb_give_kind;

/** Rate squared (common practice, fitted to recordings): arms 14 g / length, damping 0.5; legs 20 g / (length (1 + r)), r
 *  the load over the body, damping 0.4; a landing 4 g / length, damping 0.5. */
APLOMB_API aplomb_status aplomb_give_make(aplomb_give_kind kind, double length, double gravity, double load_over_body,
                                          aplomb_give* give, aplomb_error* error);
/** Moves `*place` and `*velocity` on by `seconds`, exactly, towards `rest`. */
APLOMB_API aplomb_status aplomb_give_step(const aplomb_give* give, double rest, double seconds, double* place,
                                          double* velocity, aplomb_error* error);

/** How far the hips of a situation come to rest below the pose under what it carries: as far as the knees of a correction
 *  give, by what the pose lacks (`heft` and `give` 1). Host units, 0 or more. */
APLOMB_API aplomb_status aplomb_give_rest(aplomb_solver* solver, const aplomb_situation* situation, double* hips,
                                          aplomb_error* error);
/** Lowers the hips of a pose by `hips`, and what both hands carry by `arms` beyond that, host units along the ground's
 *  normal: limbs that bear, are held or carry follow, and soles stay where they are. Below zero the body comes up, as far
 *  as its legs reach. Writes a whole pose, in numbers and order those of the situation, whose own arrays they may be; on
 *  failure nothing. 0 and 0 give the pose bit for bit. */
APLOMB_API aplomb_status aplomb_give_pose(aplomb_solver* solver, const aplomb_situation* situation, double hips,
                                          double arms, void* translations, void* rotations, aplomb_error* error);

/* ---- How long things take -------------------------------------------------------------------------- */

/* Pure functions. Lengths in metres, or in any unit that `gravity` is told in, too. What must be above 0 is said by the
 * error. */

/** A fall from rest: sqrt(2 height / gravity). */
APLOMB_API aplomb_status aplomb_fall_time(double height, double gravity, double* seconds, aplomb_error* error);

/** One bounce of something dropped. Frozen. */
typedef struct aplomb_bounce {
    double landing; /* seconds from letting go to the landing that it starts with */
    double height;  /* that it reaches after that landing */
    double air;     /* seconds until the next one */
} aplomb_bounce;
/** Bounce `index`, from 0: each landing gives back `restitution`, 0 to 1, of its speed. */
APLOMB_API aplomb_status aplomb_bounce_time(double height, double restitution, double gravity, int32_t index,
                                            aplomb_bounce* bounce, aplomb_error* error);

/** There and back, from `angle` radians to either side, below pi: 2 pi sqrt(length / gravity) / M(1, cos(angle / 2)), M the
 *  arithmetic-geometric mean. */
APLOMB_API aplomb_status aplomb_pendulum_time(double length, double angle, double gravity, double* seconds,
                                              aplomb_error* error);

/** A step of another size at equal Froude number: seconds sqrt(other / leg). */
APLOMB_API aplomb_status aplomb_step_time(double leg, double seconds, double other, double* other_seconds,
                                          aplomb_error* error);

/** From letting go to the last moment at which what swings with `frequency` (Hz, undamped) is `part` of where it was let
 *  go from; damping above 0 to 1, part above 0 and below 1. */
APLOMB_API aplomb_status aplomb_settle_time(double frequency, double damping, double part, double* seconds,
                                            aplomb_error* error);

#ifdef __cplusplus
}
#endif

#endif

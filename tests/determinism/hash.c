/* SPDX-License-Identifier: MIT
 * Seeded random moments on a figure of ours, and hashes (FNV-1a, 64 bits) of all numbers and of all words that come
 * back. Plain C with sums, products and square roots only, so that the input is the same bits everywhere, too. */
#include "hash.h"

#include <aplomb/aplomb.h>
#include <aplomb/follow.h>
#include <math.h>
#include <stddef.h>
#include <string.h>

enum { body_joints = 22, finger_joints = 30, joints = body_joints + finger_joints };
enum { left_hand = 9, right_hand = 13, left_foot = 16, right_foot = 20 };

static const char* const names[body_joints] = {
    "hips",           "spine_1",         "spine_2",         "spine_3",        "neck",
    "head",           "left_shoulder",   "left_upper_arm",  "left_lower_arm", "left_hand",
    "right_shoulder", "right_upper_arm", "right_lower_arm", "right_hand",     "left_thigh",
    "left_shank",     "left_foot",       "left_toe",        "right_thigh",    "right_shank",
    "right_foot",     "right_toe"};
static const int32_t body_parents[body_joints] = {-1, 0,  1,  2, 3,  4,  3,  6, 7,  8,  3,
                                                  10, 11, 12, 0, 14, 15, 16, 0, 18, 19, 20};
static const double body_offsets[3 * body_joints] = {
    0, .93,  0,   0,    .09,  0, 0,    .12,  0,    0,    .12,  0,    0,    .18,  0,   0,    .10,
    0, .04,  .12, 0,    .15,  0, 0,    0,    -.28, 0,    0,    -.27, 0,    -.04, .12, 0,    -.15,
    0, 0,    0,   -.28, 0,    0, -.27, 0,    .09,  -.02, 0,    0,    -.43, 0,    0,   -.42, 0,
    0, -.05, .13, -.09, -.02, 0, 0,    -.43, 0,    0,    -.42, 0,    0,    -.05, .13};

typedef struct dice {
    uint64_t state;
} dice;

/* SplitMix64 (G. Steele et al., OOPSLA 2014). */
static uint64_t roll(dice* d) {
    uint64_t z = (d->state += UINT64_C(0x9e3779b97f4a7c15));
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}
static double between(dice* d, double low, double high) {
    return low + (high - low) * ((double)(roll(d) >> 11) / 9007199254740992.0);
}

typedef struct scene {
    aplomb_figure* figure;
    aplomb_solver* solver;
    aplomb_step_state state;
    double translations[3 * joints], rotations[4 * joints];
    double out_translations[3 * joints], out_rotations[4 * joints];
    aplomb_contact contacts[APLOMB_MAX_CONTACTS];
    int32_t contact_count;
    uint64_t hash; /* of all that was taken in */
} scene;

static void take_in(scene* s, const void* bytes, size_t size) {
    const unsigned char* b = bytes;
    for (size_t i = 0; i < size; ++i)
        s->hash = (s->hash ^ b[i]) * UINT64_C(0x100000001b3);
}
static void take_in_numbers(scene* s, const double* values, size_t count) {
    for (size_t i = 0; i < count; ++i) {
        double value = values[i];
        if (value != value) value = 0; /* the bits of NaN differ from machine to machine */
        take_in(s, &value, sizeof value);
    }
}
/* Numbers that follow each other in a struct as members of their own, from byte `offset` on. */
static void take_in_members(scene* s, const void* members, size_t offset, size_t count) {
    for (size_t i = 0; i < count; ++i) {
        double value;
        memcpy(&value, (const char*)members + offset + i * sizeof value, sizeof value);
        take_in_numbers(s, &value, 1);
    }
}
static void take_in_text(scene* s, const char* text) {
    if (text) take_in(s, text, strlen(text) + 1);
}

/* `place` has axes left, up and forward: (1, 2, 3). */
static void put_along(const int32_t axes[3], const double* place, double* target) {
    for (int k = 0; k < 3; ++k) {
        const int32_t axis = axes[k] < 0 ? -axes[k] : axes[k];
        target[axis - 1] = axes[k] < 0 ? -place[k] : place[k];
    }
}

static int make_figure(const int32_t axes[3], double unit, aplomb_figure** figure) {
    const char* all_names[joints] = {0};
    int32_t parents[joints];
    double offsets[3 * joints], turned[3 * joints];
    memcpy(all_names, names, sizeof names);
    memcpy(parents, body_parents, sizeof body_parents);
    memcpy(offsets, body_offsets, sizeof body_offsets);
    for (int i = 0; i < finger_joints; ++i) { /* three joints a finger, five fingers a hand */
        const int joint = body_joints + i, finger = i / 3, hand = finger < 5 ? left_hand : right_hand;
        parents[joint] = i % 3 == 0 ? hand : joint - 1;
        offsets[3 * joint] = 0;
        offsets[3 * joint + 1] = i % 3 == 0 ? -.09 : -.03;
        offsets[3 * joint + 2] = i % 3 == 0 ? .02 * (finger % 5 - 2) : 0;
    }
    for (int i = 0; i < 3 * joints; ++i)
        offsets[i] /= unit;
    for (int i = 0; i < joints; ++i)
        put_along(axes, offsets + 3 * i, turned + 3 * i);
    aplomb_figure_desc desc;
    aplomb_figure_desc_init(&desc, sizeof desc);
    desc.joint_count = joints;
    desc.parents = parents;
    desc.names = all_names;
    desc.translations = turned;
    desc.total_mass = 72;
    desc.metres_per_unit = unit;
    desc.up_axis = axes[1];
    desc.forward_axis = axes[2];
    return aplomb_figure_create(&desc, NULL, figure, NULL) == APLOMB_OK;
}

static int make_scene(scene* s) {
    static const int32_t axes[3] = {APLOMB_AXIS_X, APLOMB_AXIS_Y, APLOMB_AXIS_Z};
    memset(s, 0, sizeof *s);
    if (!make_figure(axes, 1, &s->figure)) return 0;
    s->hash = UINT64_C(0xcbf29ce484222325);
    return aplomb_solver_create(s->figure, NULL, &s->solver, NULL) == APLOMB_OK;
}

/* A turn of the joint with these parts of a unit quaternion. */
static void turn(scene* s, int joint, double x, double y, double z) {
    double* q = s->rotations + 4 * joint;
    q[0] = x, q[1] = y, q[2] = z, q[3] = sqrt(1 - x * x - y * y - z * z);
}

/* The same between bounds; one after the other, as C leaves the order of arguments open. */
typedef struct range {
    double low, high;
} range;
static void turn_within(scene* s, dice* d, int joint, range bend, range twist, range lean) {
    const double x = between(d, bend.low, bend.high);
    const double y = between(d, twist.low, twist.high);
    const double z = between(d, lean.low, lean.high);
    turn(s, joint, x, y, z);
}

static void pose(scene* s, dice* d) {
    aplomb_figure_rest_pose(s->figure, s->translations, s->rotations);
    s->translations[0] = between(d, -2, 2);
    s->translations[2] = between(d, -2, 2);
    turn_within(s, d, 0, (range){-.05, .08}, (range){-.7, .7}, (range){-.04, .04});
    for (int joint = 1; joint <= 5; ++joint)
        turn_within(s, d, joint, (range){-.04, .07}, (range){-.05, .05}, (range){-.04, .04});
    for (int side = 0; side < 2; ++side) {
        const range none = {0, 0}, small = {-.05, .05};
        turn_within(s, d, 7 + 4 * side, (range){-.5, .1}, (range){-.1, .1}, (range){-.1, .1});
        turn_within(s, d, 8 + 4 * side, (range){-.6, -.02}, none, none);
        const double bend = between(d, .0, .22);
        turn_within(s, d, 14 + 4 * side, (range){-bend - .05, -bend + .05}, small, (range){-.06, .06});
        turn(s, 15 + 4 * side, bend * 1.9, 0, 0);
        turn(s, 16 + 4 * side, -bend * .9, 0, 0);
    }
    s->contact_count = aplomb_stance_default(s->figure, s->translations, s->rotations, s->contacts, NULL);
    for (int32_t i = 0; i < s->contact_count; ++i) { /* both feet, or one */
        aplomb_limb_info limb;
        aplomb_limb_info_init(&limb, sizeof limb);
        aplomb_figure_limb(s->figure, i, &limb, NULL);
        if (limb.kind != APLOMB_LEG) continue;
        s->contacts[i].hold = roll(d) % 8 ? APLOMB_BEARING : APLOMB_HELD;
        s->contacts[i].bearing = roll(d) % 6 ? 1 : between(d, .1, 1);
    }
}

static void choose(aplomb_options* o, dice* d) {
    aplomb_options_init(o, sizeof *o);
    if (roll(d) % 4 == 0) o->free |= APLOMB_FREE_SWIVEL;
    if (roll(d) % 5 == 0) o->exact = 1;
    if (roll(d) % 9 == 0) o->thorough = 1;
    if (roll(d) % 4 == 0) o->rest = between(d, 0, 2);
    if (roll(d) % 6 == 0) o->amount = between(d, 0, 1.5);
    if (roll(d) % 7 == 0) o->amount_spine = between(d, 0, 1);
}

static aplomb_load load(dice* d) {
    const double mass = between(d, 0, 60);
    aplomb_load l = aplomb_load_make(mass, roll(d) % 2 ? right_hand : left_hand);
    if (roll(d) % 2) l.holder[0] = left_hand, l.holder[1] = right_hand;
    if (roll(d) % 3 == 0) l.hanging = 1, l.hang = .3;
    l.offset[2] = between(d, 0, .2);
    return l;
}

static void take_in_result(scene* s, const aplomb_result* r) {
    const int32_t counts[] = {r->changed, r->iterations, r->starts, r->capped, r->hold_back_count};
    take_in(s, counts, sizeof counts);
    take_in_members(s, r, offsetof(aplomb_result, objective), 6);
    take_in_members(s, r, offsetof(aplomb_result, home), 6);
    take_in_members(s, &r->controls, 0, 12);
    take_in_numbers(s, s->out_translations, 3 * joints);
    take_in_numbers(s, s->out_rotations, 4 * joints);
}

static void take_in_reading(scene* s, const aplomb_reading* r) {
    const int32_t counts[] = {r->in_balance, r->edge_count, r->zone_count, r->contact_count, r->cue_count};
    take_in(s, counts, sizeof counts);
    take_in_members(s, r, offsetof(aplomb_reading, centre), 6);
    take_in_members(s, r, offsetof(aplomb_reading, margin), 2);
    take_in_members(s, r, offsetof(aplomb_reading, tip_angle), 3);
    take_in_members(s, r, offsetof(aplomb_reading, trunk_fore), 17);
    for (int32_t i = 0; i < r->contact_count; ++i)
        take_in_members(s, &r->contacts[i], offsetof(aplomb_contact_reading, share), 7);
    for (int32_t i = 0; i < r->load_count; ++i)
        take_in_members(s, &r->loads[i], 0, 6);
}

/* One seed's moment; the load and the options are what it points at. */
typedef struct moment {
    dice d;
    aplomb_load load;
    aplomb_options options;
    aplomb_situation situation;
} moment;

static void make_moment(scene* s, uint32_t seed, moment* m) {
    m->d.state = seed * UINT64_C(0x9e3779b97f4a7c15) + 7;
    pose(s, &m->d);
    m->load = load(&m->d);
    choose(&m->options, &m->d);
    aplomb_situation_init(&m->situation, sizeof m->situation);
    m->situation.translations = s->translations, m->situation.rotations = s->rotations;
    m->situation.contacts = s->contacts, m->situation.contact_count = s->contact_count;
    m->situation.loads = &m->load, m->situation.load_count = roll(&m->d) % 8 ? 1 : 0;
}

static void run_case(scene* s, uint32_t seed) {
    moment m;
    make_moment(s, seed, &m);
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);

    int32_t status = aplomb_balance(s->solver, &m.situation, &m.options, s->out_translations,
                                    s->out_rotations, &result, NULL);
    take_in(s, &status, sizeof status);
    if (status < 0) return;
    take_in_result(s, &result);
    status = aplomb_read_corrected(s->solver, &m.situation, &m.options, s->out_translations, s->out_rotations,
                                   &result, &reading, NULL);
    take_in(s, &status, sizeof status);
    if (status >= 0) take_in_reading(s, &reading);
    aplomb_frame frame;
    aplomb_frame_init(&frame, sizeof frame);
    frame.seconds = 1.0 / 30;
    frame.velocity[0] = between(&m.d, -1, 1);
    frame.velocity[2] = between(&m.d, -1, 1);
    aplomb_pace pace;
    aplomb_pace_init(&pace, sizeof pace);
    pace.teleport = 1e6; /* one long shot, whatever the poses */
    status = aplomb_step(s->solver, &s->state, &m.situation, NULL, &pace, &frame, s->out_translations,
                         s->out_rotations, &result, NULL);
    take_in(s, &status, sizeof status);
    if (status >= 0) take_in_result(s, &result);
}

static void take_in_reading_words(scene* s, const aplomb_reading* r) {
    const int32_t counts[] = {r->in_balance, r->pressing, r->load_count};
    take_in(s, counts, sizeof counts);
    take_in_members(s, r, offsetof(aplomb_reading, body_mass), 2);
    take_in_numbers(s, r->body_centre, 3);
    for (int32_t i = 0; i < r->edge_count; ++i)
        take_in_numbers(s, r->area[i], 3);
    take_in_members(s, r, offsetof(aplomb_reading, edge), 9);
    for (int32_t i = 0; i < r->zone_count; ++i)
        take_in_numbers(s, r->zone[i], 3);
    take_in_members(s, r, offsetof(aplomb_reading, home), 6);
    for (int32_t i = 0; i < r->load_count; ++i) {
        take_in(s, &r->loads[i].tells, sizeof r->loads[i].tells);
        take_in_numbers(s, r->load_centre[i], 3);
    }
    for (int32_t i = 0; i < r->cue_count; ++i) {
        take_in_numbers(s, &r->cues[i].value, 1);
        take_in_text(s, r->cues[i].text);
    }
}

/* How the keyed pose and the corrected one read, and the explanation of the way between them. */
static void say_case(scene* s, uint32_t seed) {
    moment m;
    make_moment(s, seed, &m);
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    aplomb_error error;
    memset(&error, 0, sizeof error);
    if (aplomb_read(s->solver, &m.situation, &m.options, &reading, &error) >= 0)
        take_in_reading(s, &reading), take_in_reading_words(s, &reading);
    if (aplomb_balance(s->solver, &m.situation, &m.options, s->out_translations, s->out_rotations, &result,
                       &error) >= 0) {
        char text[4096];
        aplomb_explain(s->figure, &result, text, sizeof text);
        take_in_text(s, text);
        for (int32_t i = 0; i < result.hold_back_count; ++i)
            take_in_text(s, result.hold_backs[i].name);
        if (aplomb_read_corrected(s->solver, &m.situation, &m.options, s->out_translations, s->out_rotations,
                                  &result, &reading, &error) >= 0)
            take_in_reading_words(s, &reading);
    }
    take_in_text(s, error.message);
}

static void describe_joint(scene* s, const aplomb_figure* figure, int32_t joint) {
    aplomb_joint_info info;
    aplomb_joint_info_init(&info, sizeof info);
    aplomb_figure_joint(figure, joint, &info, NULL);
    const int32_t numbers[] = {info.parent, info.role, info.side, info.mass_origin, info.limit_origin};
    take_in(s, numbers, sizeof numbers);
    take_in_text(s, info.name);
    take_in_members(s, &info, offsetof(aplomb_joint_info, mass), 16);
    take_in_numbers(s, info.spine_share, 3);
}

static void describe_limb(scene* s, const aplomb_figure* figure, int32_t limb) {
    aplomb_limb_info info;
    aplomb_limb_info_init(&info, sizeof info);
    aplomb_figure_limb(figure, limb, &info, NULL);
    const int32_t numbers[] = {info.kind, info.side, info.upper,      info.lower,
                               info.end,  info.toe,  info.sole_origin};
    take_in(s, numbers, sizeof numbers);
    take_in_members(s, &info, offsetof(aplomb_limb_info, length), 3);
    take_in_numbers(s, info.palm, 3);
    for (int32_t i = 0; i < info.sole_point_count; ++i) {
        take_in(s, &info.sole_joint[i], sizeof info.sole_joint[i]);
        take_in_numbers(s, info.sole_points[i], 3);
    }
}

static void describe(scene* s, const aplomb_figure* figure) {
    aplomb_figure_info info;
    aplomb_figure_info_init(&info, sizeof info);
    aplomb_figure_describe(figure, &info, NULL);
    const int32_t numbers[] = {info.joint_count,  info.limb_count, info.up_axis, info.forward_axis,
                               info.remark_count, info.hips,       info.chest,   info.head};
    take_in(s, numbers, sizeof numbers);
    take_in_members(s, &info, offsetof(aplomb_figure_info, total_mass), 4);
    take_in_text(s, info.mass_source);
    for (int32_t i = 0; i < info.remark_count; ++i)
        take_in_text(s, aplomb_figure_remark(figure, i));
    for (int32_t i = 0; i < info.joint_count; ++i)
        describe_joint(s, figure, i);
    for (int32_t i = 0; i < info.limb_count; ++i)
        describe_limb(s, figure, i);
    aplomb_figure_rest_pose(figure, s->out_translations, s->out_rotations);
    take_in_numbers(s, s->out_translations, 3 * joints);
    take_in_numbers(s, s->out_rotations, 4 * joints);
    aplomb_figure_neutral_pose(figure, s->out_translations, s->out_rotations);
    take_in_numbers(s, s->out_translations, 3 * joints);
    take_in_numbers(s, s->out_rotations, 4 * joints);
}

/* The same figure, in centimetres, with every right-handed triple of axes as its left, up and forward. Returns how
 * many are described as having the up and forward axis that they were given. */
static int describe_along_all_axes(scene* s) {
    int right = 0;
    for (int32_t up = -3; up <= 3; ++up) {
        for (int32_t forward = -3; forward <= 3; ++forward) {
            if (up == 0 || forward == 0 || up == forward || up == -forward) continue;
            const int32_t u = up < 0 ? -up : up, f = forward < 0 ? -forward : forward;
            const int32_t even = f == u % 3 + 1 ? 1 : -1; /* up x forward = left, as y x z = x */
            const int32_t left = even * (6 - u - f) * (up < 0 ? -1 : 1) * (forward < 0 ? -1 : 1);
            const int32_t axes[3] = {left, up, forward};
            aplomb_figure* figure = NULL;
            if (!make_figure(axes, .01, &figure)) continue;
            describe(s, figure);
            aplomb_figure_info info;
            aplomb_figure_info_init(&info, sizeof info);
            aplomb_figure_describe(figure, &info, NULL);
            right += info.up_axis == up && info.forward_axis == forward;
            aplomb_figure_destroy(figure);
        }
    }
    return right;
}

static void end_scene(scene* s) {
    aplomb_solver_destroy(s->solver);
    aplomb_figure_destroy(s->figure);
}

uint64_t hash_of_solves(uint32_t count) {
    scene s;
    if (!make_scene(&s)) return 0;
    for (uint32_t seed = 1; seed <= count; ++seed)
        run_case(&s, seed);
    end_scene(&s);
    return s.hash;
}

uint64_t hash_of_words(uint32_t count) {
    scene s;
    if (!make_scene(&s)) return 0;
    describe(&s, s.figure);
    const int all_axes = 24;
    if (describe_along_all_axes(&s) != all_axes) return 0;
    for (uint32_t seed = 1; seed <= count; ++seed)
        say_case(&s, seed);
    end_scene(&s);
    return s.hash;
}

/* Neck and arms with numbers of their own, some steps of a character that goes astray, and its bucket. */
static void follow_case(scene* s, uint32_t seed) {
    enum { steps = 6, most_state = 512 };
    dice d = {seed * UINT64_C(0x9e3779b97f4a7c15) + 3};
    aplomb_chain chains[APLOMB_MAX_CHAINS];
    aplomb_follow_desc desc;
    aplomb_follow_desc_init(&desc, sizeof desc);
    desc.chains = chains, desc.chain_count = aplomb_figure_chains(s->figure, chains, APLOMB_MAX_CHAINS);
    for (int32_t i = 0; i < desc.chain_count; ++i) {
        chains[i].stiffness = between(&d, .5, 20);
        chains[i].damping = between(&d, .01, 1);
        chains[i].own_motion = between(&d, 0, 1);
        chains[i].rigid = roll(&d) % 4 == 0;
    }
    desc.frame_time = roll(&d) % 2 ? 1. / 32 : 0;
    aplomb_follow* follow = NULL;
    aplomb_hanging hanging;
    aplomb_hanging_init(&hanging, sizeof hanging);
    hanging.length = between(&d, .1, 1), hanging.mass = between(&d, 1, 30),
    hanging.damping = between(&d, 0, .3);
    aplomb_hanging_state swing;
    memset(&swing, 0, sizeof swing);
    double state[most_state];
    if (aplomb_follow_create(s->figure, &desc, NULL, &follow, NULL) != APLOMB_OK) return;
    const size_t size = (size_t)aplomb_follow_state_size(follow);
    if (size <= most_state) {
        aplomb_follow_reset(follow, state, NULL);
        for (int k = 0; k < steps; ++k) {
            pose(s, &d);
            aplomb_follow_frame frame;
            aplomb_follow_frame_init(&frame, sizeof frame);
            frame.translations = s->translations, frame.rotations = s->rotations;
            frame.seconds = roll(&d) % 2 ? 1. / 32 : between(&d, .004, .1);
            aplomb_follow_step(follow, state, &frame, s->out_rotations, NULL);
            take_in_numbers(s, s->out_rotations, 4 * joints);
            take_in_numbers(s, state, size);
            aplomb_hanging_result result;
            aplomb_hanging_step(&hanging, &swing, frame.seconds, s->translations, &result, NULL);
            take_in_members(s, &result, 0, 7);
        }
        take_in_numbers(s, &(double){aplomb_follow_settling_time(follow)}, 1);
    }
    aplomb_follow_destroy(follow);
    double seconds = 0;
    aplomb_pendulum_time(hanging.length, between(&d, 0, 3), 9.80665, &seconds, NULL);
    take_in_numbers(s, &seconds, 1);
}

uint64_t hash_of_motion(uint32_t count) {
    scene s;
    if (!make_scene(&s)) return 0;
    for (uint32_t seed = 1; seed <= count; ++seed)
        follow_case(&s, seed);
    end_scene(&s);
    return s.hash;
}

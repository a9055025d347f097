/* SPDX-License-Identifier: MIT
 * Seeded random moments on a figure of ours, and a hash (FNV-1a, 64 bits) of all numbers that come back. Plain C
 * with sums, products and square roots only, so that the input is the same bits everywhere, too. */
#include "hash.h"

#include <aplomb/aplomb.h>
#include <math.h>
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
    aplomb_solver *solver, *stepper;
    double translations[3 * joints], rotations[4 * joints];
    double out_translations[3 * joints], out_rotations[4 * joints];
    aplomb_contact contacts[APLOMB_MAX_CONTACTS];
    int32_t contact_count;
    uint64_t hash;
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

static int make_scene(scene* s) {
    const char* all_names[joints] = {0};
    int32_t parents[joints];
    double offsets[3 * joints];
    memset(s, 0, sizeof *s);
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
    aplomb_figure_desc desc;
    aplomb_figure_desc_init(&desc, sizeof desc);
    desc.joint_count = joints;
    desc.parents = parents;
    desc.names = all_names;
    desc.translations = offsets;
    desc.total_mass = 72;
    if (aplomb_figure_create(&desc, NULL, &s->figure, NULL)) return 0;
    s->hash = UINT64_C(0xcbf29ce484222325);
    return aplomb_solver_create(s->figure, NULL, &s->solver, NULL) == APLOMB_OK &&
           aplomb_solver_create(s->figure, NULL, &s->stepper, NULL) == APLOMB_OK;
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
    take_in_numbers(s, &r->objective, 6);
    take_in_numbers(s, r->home, 6);
    take_in_numbers(s, r->controls.hips_shift, 12);
    take_in_numbers(s, s->out_translations, 3 * joints);
    take_in_numbers(s, s->out_rotations, 4 * joints);
}

static void take_in_reading(scene* s, const aplomb_reading* r) {
    const int32_t counts[] = {r->in_balance, r->edge_count, r->zone_count, r->contact_count, r->cue_count};
    take_in(s, counts, sizeof counts);
    take_in_numbers(s, r->centre, 6);
    take_in_numbers(s, &r->margin, 2);
    take_in_numbers(s, &r->tip_angle, 3);
    take_in_numbers(s, &r->trunk_fore, 17);
    for (int32_t i = 0; i < r->contact_count; ++i)
        take_in_numbers(s, &r->contacts[i].share, 7);
    for (int32_t i = 0; i < r->load_count; ++i)
        take_in_numbers(s, &r->loads[i].stands_min, 6);
}

static void run_case(scene* s, uint32_t seed) {
    dice d = {seed * UINT64_C(0x9e3779b97f4a7c15) + 7};
    pose(s, &d);
    const aplomb_load l = load(&d);
    aplomb_options options;
    choose(&options, &d);
    aplomb_situation situation;
    aplomb_situation_init(&situation, sizeof situation);
    situation.translations = s->translations, situation.rotations = s->rotations;
    situation.contacts = s->contacts, situation.contact_count = s->contact_count;
    situation.loads = &l, situation.load_count = roll(&d) % 8 ? 1 : 0;
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);

    int32_t status =
        aplomb_balance(s->solver, &situation, &options, s->out_translations, s->out_rotations, &result, NULL);
    take_in(s, &status, sizeof status);
    if (status < 0) return;
    take_in_result(s, &result);
    status = aplomb_read_corrected(s->solver, &situation, &options, s->out_translations, s->out_rotations,
                                   &result, &reading, NULL);
    take_in(s, &status, sizeof status);
    if (status >= 0) take_in_reading(s, &reading);
    aplomb_frame frame = {1.0 / 30, {0, 0, 0}};
    frame.acceleration[0] = between(&d, -1, 1);
    frame.acceleration[2] = between(&d, -1, 1);
    aplomb_pace pace;
    aplomb_pace_init(&pace, sizeof pace);
    pace.teleport = 1e6; /* one long shot, whatever the poses */
    status = aplomb_step(s->stepper, &situation, NULL, &pace, &frame, s->out_translations, s->out_rotations,
                         &result, NULL);
    take_in(s, &status, sizeof status);
    if (status >= 0) take_in_result(s, &result);
}

uint64_t hash_of_solves(uint32_t count) {
    scene s;
    if (!make_scene(&s)) return 0;
    for (uint32_t seed = 1; seed <= count; ++seed)
        run_case(&s, seed);
    aplomb_solver_destroy(s.solver);
    aplomb_solver_destroy(s.stepper);
    aplomb_figure_destroy(s.figure);
    return s.hash;
}

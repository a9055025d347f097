// SPDX-License-Identifier: MIT
#include "fit/drawing/build.h"

#include <algorithm>
#include <limits>
#include <vector>

namespace aplomb::drawing {
namespace {

constexpr Proportions adult = {.hips = .530,
                               .spine = {.570, .640, .720},
                               .neck = .830,
                               .head = .910,
                               .chin = .870,
                               .chin_ahead = .045,
                               .shoulder_half = .108,
                               .shoulder_height = .818,
                               .upper_arm = .1618,
                               .lower_arm = .1545,
                               .hand = .108,
                               .hip_half = .050,
                               .knee = .285,
                               .foot = .152,
                               .stature = 1.70};
constexpr Proportions child = {.hips = .490,
                               .spine = {.535, .605, .685},
                               .neck = .800,
                               .head = .875,
                               .chin = .833,
                               .chin_ahead = .055,
                               .shoulder_half = .107,
                               .shoulder_height = .785,
                               .upper_arm = .158,
                               .lower_arm = .145,
                               .hand = .106,
                               .hip_half = .050,
                               .knee = .262,
                               .foot = .155,
                               .stature = 1.15};
constexpr Proportions toddler = {.hips = .440,
                                 .spine = {.475, .540, .620},
                                 .neck = .750,
                                 .head = .820,
                                 .chin = .778,
                                 .chin_ahead = .065,
                                 .shoulder_half = .105,
                                 .shoulder_height = .735,
                                 .upper_arm = .150,
                                 .lower_arm = .130,
                                 .hand = .105,
                                 .hip_half = .052,
                                 .knee = .235,
                                 .foot = .160,
                                 .stature = .86};

struct Named {
    const char* name;
    aplomb_role role;
    aplomb_side side;
};
constexpr Named joints[joint_count] = {
    {"hips", APLOMB_ROLE_HIPS, APLOMB_SIDE_MIDDLE},
    {"spine_1", APLOMB_ROLE_SPINE, APLOMB_SIDE_MIDDLE},
    {"spine_2", APLOMB_ROLE_SPINE, APLOMB_SIDE_MIDDLE},
    {"spine_3", APLOMB_ROLE_SPINE, APLOMB_SIDE_MIDDLE},
    {"neck", APLOMB_ROLE_NECK, APLOMB_SIDE_MIDDLE},
    {"head", APLOMB_ROLE_HEAD, APLOMB_SIDE_MIDDLE},
    {"left_girdle", APLOMB_ROLE_GIRDLE, APLOMB_SIDE_LEFT},
    {"left_upper_arm", APLOMB_ROLE_UPPER_ARM, APLOMB_SIDE_LEFT},
    {"left_lower_arm", APLOMB_ROLE_LOWER_ARM, APLOMB_SIDE_LEFT},
    {"left_hand", APLOMB_ROLE_HAND, APLOMB_SIDE_LEFT},
    {"right_girdle", APLOMB_ROLE_GIRDLE, APLOMB_SIDE_RIGHT},
    {"right_upper_arm", APLOMB_ROLE_UPPER_ARM, APLOMB_SIDE_RIGHT},
    {"right_lower_arm", APLOMB_ROLE_LOWER_ARM, APLOMB_SIDE_RIGHT},
    {"right_hand", APLOMB_ROLE_HAND, APLOMB_SIDE_RIGHT},
    {"left_thigh", APLOMB_ROLE_THIGH, APLOMB_SIDE_LEFT},
    {"left_shank", APLOMB_ROLE_SHANK, APLOMB_SIDE_LEFT},
    {"left_foot", APLOMB_ROLE_FOOT, APLOMB_SIDE_LEFT},
    {"left_toe", APLOMB_ROLE_TOE, APLOMB_SIDE_LEFT},
    {"right_thigh", APLOMB_ROLE_THIGH, APLOMB_SIDE_RIGHT},
    {"right_shank", APLOMB_ROLE_SHANK, APLOMB_SIDE_RIGHT},
    {"right_foot", APLOMB_ROLE_FOOT, APLOMB_SIDE_RIGHT},
    {"right_toe", APLOMB_ROLE_TOE, APLOMB_SIDE_RIGHT},
};

void put(double* out, const Point<double>& p) {
    out[0] = p.x, out[1] = p.y, out[2] = p.z;
}

} // namespace

int parent_of(int joint) {
    if (joint <= head) return joint - 1;
    const int part = (joint - arm_joints) % 4;
    if (part > 0) return joint - 1;
    return joint < leg_joints ? spine_3 : hips;
}

const char* joint_name(int joint) {
    return joints[joint].name;
}

const Proportions& proportions_of(int32_t build) {
    return build == APLOMB_BUILD_CHILD ? child : build == APLOMB_BUILD_TODDLER ? toddler : adult;
}

aplomb_status make_figure(int32_t build, const Skeleton<double>& skeleton, double mass, Figure& figure,
                          aplomb_error* error) {
    int32_t parents[joint_count], roles[joint_count], sides[joint_count];
    const char* names[joint_count];
    double translations[3 * joint_count], tips[3 * joint_count];
    std::fill(std::begin(tips), std::end(tips), std::numeric_limits<double>::quiet_NaN());
    for (int j = 0; j < joint_count; ++j) {
        parents[j] = parent_of(j);
        roles[j] = joints[j].role, sides[j] = joints[j].side, names[j] = joints[j].name;
        put(&translations[3 * j], skeleton.offset[static_cast<std::size_t>(j)]);
    }
    put(&tips[3 * head], skeleton.crown);
    for (int side = 0; side < 2; ++side) {
        put(&tips[3 * arm_joint(side, hand)], skeleton.finger_tip);
        put(&tips[3 * leg_joint(side, toe)], skeleton.toe_tip);
    }
    aplomb_figure_desc desc;
    aplomb_figure_desc_init(&desc, sizeof desc);
    desc.joint_count = joint_count;
    desc.parents = parents, desc.names = names, desc.roles = roles, desc.sides = sides;
    desc.translations = translations, desc.tips = tips;
    desc.mass_table = build == APLOMB_BUILD_ADULT ? APLOMB_MASS_DE_LEVA_MALE : APLOMB_MASS_CHILD;
    desc.total_mass = mass;
    aplomb_figure* made = nullptr;
    const aplomb_status status = aplomb_figure_create(&desc, nullptr, &made, error);
    figure.reset(made);
    return status;
}

} // namespace aplomb::drawing

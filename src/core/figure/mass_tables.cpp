// SPDX-License-Identifier: MIT
// P. de Leva, "Adjustments to Zatsiorsky-Seluyanov's segment inertia parameters", J. Biomech. 29(9), 1996,
// table 4. Rows: head VERT-CERV, upper trunk CERV-XYPH, middle XYPH-OMPH, lower OMPH-MIDH (his centres run
// from the upper end; here they are taken from the lower one), shank KJC-AJC, hand WJC-MET3, foot HEEL-TTIP.
//
// Dempster 1955, as in D. Winter, "Biomechanics and Motor Control of Human Movement", 4th ed. 2009,
// table 4.1. Head and neck: C7 to ear canal with the centre at the ear; the ear lies .0748 of the stature
// below the crown, C7 at .8639 (ANSUR II 2012, men), so at 1 - .0748/.1361 = .450 from C7 to crown. Trunk:
// hip to shoulder, of which Winter gives no radius. The radii that he does not give (trunk, and all about the
// long axis), the lengths of trunk and hand and the reference body are de Leva's men's.
//
// R. Jensen 1989, age 6: mass parts only (they sum to 1.002 and are brought to 1); centres, radii and lengths
// are de Leva's men's. Reference body, 20.7 kg at 1.15 m: common practice, not checked against a source.
#include "figure/mass_tables.h"

namespace aplomb {
namespace {

constexpr MassTable de_leva_male = {
    .source = "P. de Leva, J. Biomech. 29(9), 1996, table 4, men",
    .reference_mass = 73.0,
    .reference_stature = 1.741,
    .reference_trunk = 0.6033,
    .head = {.0694, 1 - .5002, .303, .315, .261},
    .trunk_count = 3,
    .trunk = {{0, 145.7 / 603.3, {.1117, 1 - .6115, .615, .551, .587}},
              {145.7 / 603.3, 361.2 / 603.3, {.1633, 1 - .4502, .482, .383, .468}},
              {361.2 / 603.3, 1, {.1596, 1 - .5066, .505, .320, .465}}},
    .upper_arm = {.0271, .5772, .285, .269, .158},
    .forearm = {.0162, .4574, .276, .265, .121},
    .hand = {.0061, .7900, .628, .513, .401},
    .hand_per_forearm = 86.2 / 268.9,
    .thigh = {.1416, .4095, .329, .329, .149},
    .shank = {.0433, .4395, .251, .246, .102},
    .foot = {.0137, .4415, .257, .245, .124},
    .foot_from_ankle = false,
    .shoulder_to_neck = 603.3 / 515.5,
};

constexpr MassTable de_leva_female = {
    .source = "P. de Leva, J. Biomech. 29(9), 1996, table 4, women",
    .reference_mass = 61.9,
    .reference_stature = 1.735,
    .reference_trunk = 0.6148,
    .head = {.0668, 1 - .4841, .271, .295, .261},
    .trunk_count = 3,
    .trunk = {{0, 181.5 / 614.8, {.1247, 1 - .4920, .433, .402, .444}},
              {181.5 / 614.8, 386.8 / 614.8, {.1465, 1 - .4512, .433, .354, .415}},
              {386.8 / 614.8, 1, {.1545, 1 - .5050, .466, .314, .449}}},
    .upper_arm = {.0255, .5754, .278, .260, .148},
    .forearm = {.0138, .4559, .261, .257, .094},
    .hand = {.0056, .7474, .531, .454, .335},
    .hand_per_forearm = 78.0 / 264.3,
    .thigh = {.1478, .3612, .369, .364, .162},
    .shank = {.0481, .4352, .267, .263, .092},
    .foot = {.0129, .4014, .299, .279, .139},
    .foot_from_ankle = false,
    .shoulder_to_neck = 614.8 / 497.9,
};

constexpr MassTable dempster = {
    .source = "W. Dempster 1955, in D. Winter, Biomechanics, 4th ed. 2009, table 4.1",
    .reference_mass = 73.0,
    .reference_stature = 1.741,
    .reference_trunk = 0.6033,
    .head = {.081, .450, .495 * .450, .495 * .450, .261},
    .trunk_count = 1,
    .trunk = {{0, 515.5 / 603.3, {.497, .50, .384, .358, .197}}},
    .upper_arm = {.028, .436, .322, .322, .158},
    .forearm = {.016, .430, .303, .303, .121},
    .hand = {.006, .506, .297, .297, .297},
    .hand_per_forearm = 86.2 / 268.9,
    .thigh = {.100, .433, .323, .323, .149},
    .shank = {.0465, .433, .302, .302, .102},
    .foot = {.0145, .50, .475, .475, .124},
    .foot_from_ankle = true,
    .shoulder_to_neck = 603.3 / 515.5,
};

constexpr SegmentRow with_mass(SegmentRow row, double mass) {
    row.mass = mass;
    return row;
}

constexpr MassTable child = {
    .source = "R. Jensen 1989, age 6 (masses); P. de Leva 1996, men (centres and radii)",
    .reference_mass = 20.7,
    .reference_stature = 1.15,
    .reference_trunk = 0.6033 / 1.741 * 1.15,
    .head = with_mass(de_leva_male.head, .182),
    .trunk_count = 1,
    .trunk = {{0, 1, {.430, 1 - .5138, .328, .306, .169}}},
    .upper_arm = with_mass(de_leva_male.upper_arm, .024),
    .forearm = with_mass(de_leva_male.forearm, .013),
    .hand = with_mass(de_leva_male.hand, .008),
    .hand_per_forearm = de_leva_male.hand_per_forearm,
    .thigh = with_mass(de_leva_male.thigh, .085),
    .shank = with_mass(de_leva_male.shank, .046),
    .foot = with_mass(de_leva_male.foot, .019),
    .foot_from_ankle = false,
    .shoulder_to_neck = de_leva_male.shoulder_to_neck,
};

} // namespace

const MassTable& mass_table(aplomb_mass_table table) {
    switch (table) {
    case APLOMB_MASS_DE_LEVA_FEMALE:
        return de_leva_female;
    case APLOMB_MASS_DEMPSTER:
        return dempster;
    case APLOMB_MASS_CHILD:
        return child;
    default:
        return de_leva_male;
    }
}

} // namespace aplomb

// SPDX-License-Identifier: MIT
// Published body-segment tables, with the end points mapped to joints as mass.cpp uses them.
#pragma once

#include "aplomb/aplomb.h"

namespace aplomb {

/// One segment. Every length is a part of the segment's own length.
struct SegmentRow {
    double mass;   // of the whole body; one of the two where there are two
    double centre; // from the near end, as named in MassTable
    // Radii of gyration about axes through the centre: fore and aft, sideways, along the segment.
    double radius_fore, radius_side, radius_long;
};

/// A piece of the trunk, from the line's low end (middle of the hips) towards its high end (C7).
struct TrunkRow {
    double from, to; // of the line
    SegmentRow row;  // centre from the low end of the piece
};

inline constexpr int max_trunk_rows = 3;

struct MassTable {
    const char* source;
    double reference_mass, reference_stature; // kg, m
    double reference_trunk;                   // m, middle of the hips to C7
    SegmentRow head;                          // C7 to crown
    int trunk_count;
    TrunkRow trunk[max_trunk_rows];
    SegmentRow upper_arm;    // shoulder to elbow
    SegmentRow forearm;      // elbow to wrist
    SegmentRow hand;         // wrist to third knuckle
    double hand_per_forearm; // lengths
    SegmentRow thigh;        // hip to knee
    SegmentRow shank;        // knee to ankle
    SegmentRow foot;         // heel to toe tip, or ankle to ball
    bool foot_from_ankle;
    double
        shoulder_to_neck; // C7 over the middle of the hips, per height of the middle of the shoulders over it
};

const MassTable& mass_table(aplomb_mass_table table);

} // namespace aplomb

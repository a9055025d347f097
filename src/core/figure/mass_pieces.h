// SPDX-License-Identifier: MIT
// One segment of a table shared out among the joints that lie along it.
//
// The rule: the segment's mass lies along the straight line between its end points, with a density that rises
// or falls evenly so that its centre is the table's. (A centre outside the middle third cannot be met so;
// then the density is even over the longest stretch that has this centre.) A joint gets what lies between it
// and the next one. So mass and first moment of all pieces together are the table's, whatever the number of
// joints.
#pragma once

#include "figure/description.h"
#include "figure/figure.h"
#include "figure/mass_tables.h"

namespace aplomb {

/// A joint's part of a line, 0 to 1 from its near end.
struct Piece {
    int32_t joint;
    double from, to;
};

struct Line {
    Vec3 near_end, far_end; // world, in the neutral
};

/// Pieces along a line, in the order in which the joints follow each other; each reaches to the next one.
struct Pieces {
    Piece items[max_joints];
    int count = 0;

    /// `place`: where on the line the joint sits. The first starts at 0 whatever its place.
    void add(int32_t joint, double place);
};

/// Where a point falls on a line, 0 to 1.
double place_on(const Line& line, const Vec3& point);

/// Mass, first and second moment of every joint about the world's origin, in parts of the whole body.
class MassSums {
public:
    /// Shares out `row` over [from, to] of the line.
    void spread(const Line& line, double from, double to, const SegmentRow& row, const Pieces& pieces);
    /// Scaled so that all masses sum to `total`; fills mass, centre and inertia of every joint.
    void finish(Figure& figure, double total) const;
    double sum(int32_t joint_count) const;

private:
    void add(int32_t joint, double mass, const Vec3& centre, const Mat3& about_centre);

    struct Sum {
        double mass = 0;
        Vec3 moment;
        Mat3 second = {};
    } sums_[max_joints];
};

} // namespace aplomb

// SPDX-License-Identifier: MIT
// The convex outline of points in a plane, with few corners. Hull: A. Andrew, "Another efficient algorithm for
// convex hulls in two dimensions", Information Processing Letters 9(5), 1979.
#pragma once

namespace aplomb {

struct PlanePoint {
    double x = 0, z = 0;
};

/// Puts the corners first, in order around, counter-clockwise as x turns to z, none of them on a straight edge.
/// Sorts `points`; `work` holds one more than `count`. Returns the number of corners.
int convex_outline(PlanePoint* points, int count, PlanePoint* work);

/// Leaves out, one by one, the corner whose loss costs least area, until there are at most `most` (3 or more).
int with_fewer_corners(PlanePoint* corners, int count, int most);

/// The area of a convex outline.
double area_of(const PlanePoint* corners, int count);

/// The part of a convex outline with z <= line or, with `front`, z >= line. `part` holds two more than `count`.
int part_of_outline(const PlanePoint* corners, int count, double line, bool front, PlanePoint* part);

} // namespace aplomb

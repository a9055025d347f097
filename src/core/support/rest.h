// SPDX-License-Identifier: MIT
// Where the weight belongs: support area, rest zone, home and the rest point that a correction aims at.
//
// Home h is the point of the centre lines' hull nearest to p_u, the balance point without loads and with the
// trunk upright. q is the point of the segment p0 p1 (without and with loads) nearest to h; the rest point is
// q + phi (h - q), where phi rises smoothly from 0 to 1 as q's margin falls from the margin asked for to 8 %
// of the leg's length below it. So a load is countered in proportion and an unloaded pose in balance stays.
// As far as `heft` asks for it, a part of what a load asks for is let go (q' for q): the balance point of a long stance
// need not come all the way back. And the aim keeps the margin: phi' is at least about the part of the way home with it.
#pragma once

#include "moment/key.h"
#include "support/area.h"
#include "support/half_planes.h"

namespace aplomb {

struct Support {
    HalfPlanes bounds; // for solvers
    Area area;         // for readings
    Area home_area;
    double margin_asked = 0; // capped at half the greatest that the area can give
    double margin = 0;       // of the keyed pose
};

struct Rest {
    Vec2 home;
    Vec2 q, countered; // q and q'
    double phi = 0;    // at q
    Vec2 aim;          // the rest point
    Vec2 hips_way;     // the part of the way that the hips answer, phi' (h - q') or the wished shares' shift
};

/// The rest zone; only a reading asks for it.
Area make_zone(const Figure& figure, const Key& s);
Support make_support(const Figure& figure, const Key& s, double margin_of_sole);
/// Along its travel a body need not come home: it is on its way to the next foot.
struct Travel {
    Vec2 way;        // unit
    double part = 0; // 0: at rest, 1: well on its way
};

Rest make_rest(const Figure& figure, const BodyPlan& plan, const Key& s, const Support& support, double heft,
               const Travel& travel = {});

} // namespace aplomb

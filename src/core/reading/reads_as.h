// SPDX-License-Identifier: MIT
// What a load's mass could be, going by the pose alone.
//
// All forces but the load's press like a mass M at p0, so that the balance point is p(m) = (M p0 + m l)/(M +
// m), with l the load's own point on the ground. A half-plane a.p <= b then allows m (a.l - b) <= M (b -
// a.p0).
#pragma once

#include "moment/key.h"
#include "support/aim.h"

namespace aplomb {

/// The rest of the figure as one load sees it.
struct Bearer {
    Vec2 point;      // p0
    double mass = 0; // M: pulls count as the mass that presses as much
    Vec2 load_point; // l
};

/// The other loads count as given.
Bearer bearer_of(const Key& s, int load);

/// Lowest and highest mass; lowest infinite and highest 0 where there is none.
struct MassRange {
    double lowest = 0, highest = 0;
    bool empty() const { return lowest > highest; }
};
MassRange masses_inside(const Bearer& bearer, const Area& area);

/// The mass of the range that brings the balance point nearest to `target`; the smallest on a tie, infinite
/// where more is always nearer, NaN for an empty range.
double mass_towards(const Bearer& bearer, const Vec2& target, const MassRange& range);

/// A load's mass, going by the pose alone.
struct ReadsAs {
    MassRange stands, rests; // masses with which the pose stands, and rests over the rest zone
    double natural = 0;      // the one that it reads as; 0: nothing; NaN: none of them
    double countered = 0;
    bool tells = false; // else balance does not tell here
};

/// `countered` is NaN unless `corrected`: then it is measured against aim.rest_point.
ReadsAs read_load(const Figure& figure, const Key& s, const Support& support, const Area& zone,
                  const Aim& aim, bool corrected, int load);

} // namespace aplomb

// SPDX-License-Identifier: MIT
// Loads that swing pull their hands with another force than their weight in plumb.
#pragma once

#include "moment/key.h"

namespace aplomb {

/// The plumb line's moment about the ground's origin is known by where it meets the ground, n x tau = (p - o) (n.F): for the
/// weight of a load in plumb its tension goes in, where it hangs from.
class Swung {
public:
    explicit Swung(const Key& key);
    /// A load of the key pulls so, in newton and anatomical world axes.
    void add(int load, const Vec3& pull);
    /// The way of the keyed balance point; none where nothing would press on the ground.
    Vec2 way() const;

private:
    const Key& key_;
    Vec3 turning_;
    double pressing_;
    bool any_ = false;
};

} // namespace aplomb

// SPDX-License-Identifier: MIT
#include "moment/tension.h"

namespace aplomb {

Swung::Swung(const Key& key)
    : key_(key),
      turning_((key.ground.fore * key.balance_point.fore + key.ground.left * key.balance_point.left) *
               key.pressing.normal_force),
      pressing_(key.pressing.normal_force) {}

void Swung::add(int load, const Vec3& pull) {
    const Ground& g = key_.ground;
    const Load& l = key_.load[load];
    const Vec3 in_plumb = g.felt * l.mass;
    turning_ +=
        cross(g.normal, cross(l.centre - l.hang - g.origin, pull) - cross(l.centre - g.origin, in_plumb));
    pressing_ += dot(g.normal, pull - in_plumb);
    any_ = true;
}

Vec2 Swung::way() const {
    if (!any_ || !(pressing_ < 0)) return {};
    const Vec3 point = turning_ / pressing_;
    return Vec2{dot(key_.ground.fore, point), dot(key_.ground.left, point)} - key_.balance_point;
}

} // namespace aplomb

// SPDX-License-Identifier: MIT
#include "io/bvh_axes.h"

#include "aplomb/aplomb.h"

#include <algorithm>
#include <cmath>
#include <utility>

namespace aplomb::io {
namespace {

/// The zero-angle skeleton as points, tips left out.
struct Shape {
    std::vector<Vec3> places;
    std::vector<std::vector<int>> children;
    std::vector<int> sizes; // joints at and below
};

Shape measure(const BvhFile& file) {
    const std::size_t count = file.joints.size();
    Shape shape{std::vector<Vec3>(count), std::vector<std::vector<int>>(count), std::vector<int>(count, 1)};
    for (std::size_t i = 1; i < count; ++i) {
        const auto parent = static_cast<std::size_t>(file.joints[i].parent);
        shape.places[i] = shape.places[parent] + file.joints[i].offset;
        shape.children[parent].push_back(static_cast<int>(i));
    }
    for (std::size_t i = count; i-- > 1;)
        shape.sizes[static_cast<std::size_t>(file.joints[i].parent)] += shape.sizes[i];
    return shape;
}

std::vector<int> joints_below(const Shape& shape, int joint) {
    std::vector<int> found = {joint};
    for (std::size_t i = 0; i < found.size(); ++i)
        for (const int child : shape.children[static_cast<std::size_t>(found[i])])
            found.push_back(child);
    return found;
}

Vec3 middle(const Shape& shape, const std::vector<int>& joints) {
    Vec3 sum;
    for (const int joint : joints)
        sum += shape.places[static_cast<std::size_t>(joint)];
    return joints.empty() ? sum : sum / static_cast<double>(joints.size());
}

/// At the first joint that branches, the trunk with head and arms is the largest branch that no other one is like:
/// legs come in pairs. The others are legs.
std::vector<int> leg_joints(const Shape& shape, int& trunk) {
    std::size_t hips = 0;
    while (shape.children[hips].size() == 1)
        hips = static_cast<std::size_t>(shape.children[hips][0]);
    const std::vector<int>& branches = shape.children[hips];
    trunk = static_cast<int>(hips);
    std::vector<int> legs;
    if (branches.empty()) return legs;
    const auto size = [&](int branch) { return shape.sizes[static_cast<std::size_t>(branch)]; };
    const auto rank = [&](int branch) {
        const auto alike = [&](int other) { return size(other) == size(branch); };
        return std::pair(std::count_if(branches.begin(), branches.end(), alike) == 1, size(branch));
    };
    trunk =
        *std::max_element(branches.begin(), branches.end(), [&](int a, int b) { return rank(a) < rank(b); });
    for (const int branch : branches) {
        if (branch == trunk) continue;
        const std::vector<int> below = joints_below(shape, branch);
        legs.insert(legs.end(), below.begin(), below.end());
    }
    return legs;
}

int longest_axis(const Vec3& v) {
    const Vec3 size = {std::fabs(v.x), std::fabs(v.y), std::fabs(v.z)};
    const int axis = size.y >= size.x && size.y >= size.z ? 1 : size.z >= size.x ? 2 : 0;
    return v[axis] < 0 ? -(axis + 1) : axis + 1;
}

/// From the ankle to the end of the foot, summed over the legs: the last span and the one before it.
Vec3 foot_direction(const BvhFile& file, const Shape& shape, const std::vector<int>& legs) {
    Vec3 sum;
    for (const int leg : legs) {
        const auto i = static_cast<std::size_t>(leg);
        if (!shape.children[i].empty()) continue;
        sum += file.joints[i].offset;
        if (!std::isnan(file.joints[i].tip.x)) sum += file.joints[i].tip;
    }
    return sum;
}

/// How far the joints reach out along an axis.
double breadth(const Shape& shape, int axis) {
    double low = 0, high = 0;
    for (const Vec3& place : shape.places) {
        low = std::min(low, place[axis]);
        high = std::max(high, place[axis]);
    }
    return high - low;
}

} // namespace

BvhAxes find_axes(const BvhFile& file, int up) {
    const Shape shape = measure(file);
    int trunk = 0;
    const std::vector<int> legs = leg_joints(shape, trunk);
    BvhAxes axes;
    axes.up = up != 0 ? up : longest_axis(middle(shape, joints_below(shape, trunk)) - middle(shape, legs));
    const int vertical = std::abs(axes.up) - 1;

    // The arms reach to the sides: of the two level axes, the figure faces along the narrower one.
    const int first = (vertical + 1) % 3, second = (vertical + 2) % 3;
    const int depth = breadth(shape, first) < breadth(shape, second) ? first : second;
    const double feet = foot_direction(file, shape, legs)[depth];
    if (feet != 0) {
        axes.forward = feet > 0 ? depth + 1 : -(depth + 1);
        return axes;
    }
    // Feet without a length: by custom, +Z where Y is up and -Y where Z is up.
    axes.forward = vertical == 1 ? APLOMB_AXIS_Z : vertical == 2 ? APLOMB_AXIS_MINUS_Y : APLOMB_AXIS_Z;
    return axes;
}

} // namespace aplomb::io

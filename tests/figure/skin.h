// SPDX-License-Identifier: MIT
// A skin that owns its arrays; every vertex moves with one joint.
#pragma once

#include <vector>

#include "figures.h"

struct Skin {
    std::vector<double> positions, weights;
    std::vector<int32_t> joints, triangles;

    int32_t add(lay::Point p, int32_t joint) {
        positions.insert(positions.end(), {p.x, p.y, p.z});
        joints.insert(joints.end(), {joint, -1, -1, -1});
        weights.insert(weights.end(), {1, 0, 0, 0});
        return static_cast<int32_t>(joints.size() / 4) - 1;
    }
    void add_triangle(int32_t a, int32_t b, int32_t c) { triangles.insert(triangles.end(), {a, b, c}); }
    aplomb_skin view() const {
        return {static_cast<int32_t>(positions.size() / 3),
                static_cast<int32_t>(triangles.size() / 3),
                positions.data(),
                joints.data(),
                weights.data(),
                triangles.data()};
    }
};

// SPDX-License-Identifier: MIT
// The measured situations: the lay figure with 22, 60 and 300 joints, both feet planted, a box of 15 kg held
// at the belly, in many poses so that no branch and no cache line is always the same.
#pragma once

#include <limits>
#include <memory>
#include <random>
#include <stdexcept>
#include <string>
#include <vector>

#include "poses.h"

namespace bench {

inline constexpr size_t input_count = 64;

struct DestroySolver {
    void operator()(aplomb_solver* solver) const { aplomb_solver_destroy(solver); }
};

/// Chains of helper joints on the head, until there are `count` joints.
inline lay::LayFigure with_helpers(lay::LayFigure figure, int32_t count) {
    constexpr int chain = 12;
    const int32_t head = figure.find("head");
    for (int32_t i = 0; figure.count() < count; ++i) {
        const int32_t parent = i % chain == 0 ? head : figure.count() - 1;
        const lay::Point offset = {0, i % chain == 0 ? .1 : -.03, -.01};
        figure.names.push_back("helper_" + std::to_string(i));
        figure.parents.push_back(parent);
        figure.roles.push_back(APLOMB_ROLE_HELPER);
        figure.sides.push_back(APLOMB_SIDE_MIDDLE);
        figure.positions.push_back(figure.position(parent) + offset);
        figure.translations.insert(figure.translations.end(), {offset.x, offset.y, offset.z});
        figure.tips.insert(figure.tips.end(), 3, std::numeric_limits<double>::quiet_NaN());
    }
    return figure;
}

inline lay::LayFigure figure_of(int32_t joints) {
    if (joints == 22) return lay::LayFigure::adult();
    return with_helpers(lay::LayFigure::detailed(), joints);
}

struct Scene {
    explicit Scene(int32_t joints) : shape(figure_of(joints)), figure(shape.create()) {
        if (shape.count() != joints) throw std::runtime_error("the figure has another number of joints");
        aplomb_solver* made = nullptr;
        if (aplomb_solver_create(figure.get(), nullptr, &made, nullptr))
            throw std::runtime_error("no solver");
        solver.reset(made);
        std::mt19937 random(1);
        for (size_t i = 0; i < input_count; ++i) {
            poses.push_back(make_pose(random));
            loads.push_back(make_box(15));
            other_loads.push_back(make_box(5 + 20.0 * static_cast<double>(i) / input_count));
        }
        heavy_load = make_box(45);
    }

    aplomb_situation situation(size_t pose, const aplomb_load& load) const {
        aplomb_situation s = poses[pose].situation();
        s.loads = &load, s.load_count = 1;
        return s;
    }

    lay::LayFigure shape;
    lay::FigureHandle figure;
    std::unique_ptr<aplomb_solver, DestroySolver> solver;
    std::vector<lay::Pose> poses;
    std::vector<aplomb_load> loads, other_loads;
    aplomb_load heavy_load; // asks for a foot

private:
    lay::Pose make_pose(std::mt19937& random) const {
        // By hand, as distributions differ from one standard library to the next.
        const auto within = [&random](double low, double high) {
            return low + (high - low) * static_cast<double>(random()) / 4294967296.0;
        };
        lay::Pose pose(figure.get(), shape);
        for (const char* joint : {"spine_1", "spine_2", "spine_3", "neck"})
            pose.turn(joint, within(-4, 8), within(-4, 4), within(-3, 3));
        for (const char* side : {"left_", "right_"}) {
            pose.turn(side + std::string("upper_arm"), within(-25, -5));
            pose.turn(side + std::string("lower_arm"), within(-95, -75));
        }
        pose.turn("hips", within(-5, 5), within(-8, 8), within(-3, 3));
        return pose.soft_knees(within(8, 35));
    }
    aplomb_load make_box(double mass) const {
        aplomb_load box = aplomb_load_make(mass, shape.find("left_hand"));
        box.holder[1] = shape.find("right_hand");
        box.offset[2] = .10;
        return box;
    }
};

} // namespace bench

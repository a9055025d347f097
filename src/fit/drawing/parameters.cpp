// SPDX-License-Identifier: MIT
// What is usual, and how usual, is common practice: poses that people stand, walk, lift and carry in.
#include "fit/drawing/parameters.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/trig.h"

namespace aplomb::drawing {
namespace {

constexpr double free_range = std::numeric_limits<double>::infinity();
constexpr double least_bend = 1 * degree; // of elbow and knee: a straight limb has no plane

struct Limits {
    Point<double> lowest, highest;
};
Limits limits_of(const aplomb_figure* figure, int joint) {
    aplomb_joint_info info;
    aplomb_joint_info_init(&info, sizeof info);
    aplomb_figure_joint(figure, joint, &info, nullptr);
    return {{info.limits[0], info.limits[2], info.limits[4]},
            {info.limits[1], info.limits[3], info.limits[5]}};
}

class Table {
public:
    explicit Table(Ranges& ranges) : r_(ranges) {}
    void set(int parameter, double lowest, double highest, double usual, double sigma) {
        const auto k = static_cast<std::size_t>(parameter);
        r_.lowest[k] = lowest, r_.highest[k] = highest, r_.usual[k] = usual;
        r_.sigma[k] = r_.sigma_down[k] = sigma;
    }
    /// Lower values are rarer.
    void rarer_down(int parameter, double sigma) {
        r_.sigma_down[static_cast<std::size_t>(parameter)] = sigma;
    }
    /// Sets a turn from degrees as on the left side; the right one is its mirror image.
    void turn(int side, int parameter, double lowest, double highest, double usual, double sigma) {
        if (side == 0)
            set(parameter, lowest * degree, highest * degree, usual * degree, sigma * degree);
        else
            set(parameter, -highest * degree, -lowest * degree, -usual * degree, sigma * degree);
    }

private:
    Ranges& r_;
};

/// Divides a turn among `count` joints from `first` on.
Divided divide(const aplomb_figure* figure, int first, int count, Limits& whole) {
    Limits each[3];
    whole = {};
    for (int k = 0; k < count; ++k) {
        each[k] = limits_of(figure, first + k);
        whole.lowest = whole.lowest + each[k].lowest, whole.highest = whole.highest + each[k].highest;
    }
    Divided divided{};
    const auto part = [](double highest, double lowest, double all_highest, double all_lowest) {
        return (highest - lowest) / (all_highest - all_lowest);
    };
    for (int k = 0; k < count; ++k) {
        const Limits& l = each[k];
        divided.part[k] = {part(l.highest.x, l.lowest.x, whole.highest.x, whole.lowest.x),
                           part(l.highest.y, l.lowest.y, whole.highest.y, whole.lowest.y),
                           part(l.highest.z, l.lowest.z, whole.highest.z, whole.lowest.z)};
    }
    return divided;
}

} // namespace

void read_limits(const aplomb_figure* figure, double spread, Ranges& ranges, Division& division) {
    Table table(ranges);
    table.set(scale_log, -1, 1, 0, .15);
    table.set(across, -3, 3, 0, free_range);
    table.set(down, -3, 3, 0, free_range);
    table.turn(0, camera_tilt, -70, 70, 0, 4);
    table.turn(0, heading, -200, 200, 0, free_range);
    table.turn(0, hips_bend, -150, 150, 0, 25);
    table.rarer_down(hips_bend, 8 * degree);
    table.turn(0, hips_lean, -150, 150, 0, 12);
    Limits trunk;
    division.spine = divide(figure, spine_1, 3, trunk);
    const Limits top = limits_of(figure, neck); // the head has no limits: half of the turn is its part
    division.neck = {{{.5, .5, .5}, {.5, .5, .5}, {}}};
    table.set(spine_turn, trunk.lowest.x, trunk.highest.x, 0, 25 * degree);
    table.rarer_down(spine_turn, 10 * degree);
    table.set(spine_turn + 1, trunk.lowest.y, trunk.highest.y, 0, 12 * degree);
    table.set(spine_turn + 2, trunk.lowest.z, trunk.highest.z, 0, 12 * degree);
    table.set(neck_turn, top.lowest.x, top.highest.x, 5 * degree, 20 * degree);
    table.set(neck_turn + 1, top.lowest.y, top.highest.y, 0, 30 * degree);
    table.set(neck_turn + 2, top.lowest.z, top.highest.z, 0, 15 * degree);
    for (int side = 0; side < 2; ++side) {
        table.turn(side, girdle_of(side), -15, 40, 0, 8);
        table.turn(1 - side, girdle_of(side) + 1, -25, 35, 0, 10); // a left girdle turns right to go ahead
        const auto limb = [&](int from, int first, double least, double most) {
            const Limits ball = limits_of(figure, first), hinge = limits_of(figure, first + 1);
            const Point<double> low = ball.lowest, high = ball.highest;
            const bool arm = from == arm_of(side);
            const double out = sign_of(side) * degree;
            table.set(from, low.x, high.x, -10 * degree, (arm ? 50 : 30) * degree);
            table.set(from + 1, low.y, high.y, 0, (arm ? 40 : 15) * degree);
            table.set(from + 2, low.z, high.z, (arm ? 10 : 2) * out, (arm ? 35 : 12) * degree);
            table.set(from + 3, std::max(hinge.lowest.x, least), std::min(hinge.highest.x, most),
                      (arm ? -25 : 15) * degree, (arm ? 50 : 40) * degree);
        };
        limb(arm_of(side), arm_joint(side, upper_arm), -free_range, -least_bend);
        limb(leg_of(side), leg_joint(side, thigh), least_bend, free_range);
        const Limits ankle = limits_of(figure, leg_joint(side, foot));
        table.set(ankle_of(side), ankle.lowest.x, ankle.highest.x, 0, 20 * degree);
        table.set(ankle_of(side) + 1, ankle.lowest.z, ankle.highest.z, 0, 10 * degree);
    }
    for (int k = 0; k < length_count; ++k) {
        const bool broad = k == shoulder_breadth || k == hip_breadth;
        table.set(lengths + k, -.6, .6, 0, broad ? 2 * spread : spread);
    }
}

} // namespace aplomb::drawing

// SPDX-License-Identifier: MIT
// Poses of ours under the dots of a drawing: the task behind them is known to the last number.
#pragma once

#include <memory>
#include <random>

#include "base/trig.h"
#include "fit/drawing/checks.h"
#include "fit/drawing/search.h"

namespace made {

namespace drawing = aplomb::drawing;
using aplomb::degree;

struct DestroyDrawing {
    void operator()(aplomb_drawing* drawing) const { aplomb_drawing_destroy(drawing); }
};
using Drawing = std::unique_ptr<aplomb_drawing, DestroyDrawing>;

inline aplomb_dots no_dots() {
    aplomb_dots dots;
    aplomb_dots_init(&dots, sizeof dots);
    return dots;
}

/// A task with the adult's limits and without dots; scale 400 pixels per metre, hips at (500, 500).
inline drawing::Task bare_task(double heading = 0) {
    drawing::Task task;
    task.known.proportions = drawing::proportions_of(APLOMB_BUILD_ADULT);
    task.known.stature = 1.70, task.known.heading = heading;
    task.noise = .01;
    task.scale = 400, task.hips = {500, 500};
    std::array<double, drawing::length_count> ones;
    ones.fill(1);
    const drawing::Skeleton<double> skeleton(task.known.proportions, 1.70, ones.data());
    drawing::Figure figure;
    drawing::make_figure(APLOMB_BUILD_ADULT, skeleton, 0, figure, nullptr);
    drawing::read_limits(figure.get(), .08, task.ranges, task.known.division);
    return task;
}

/// Walks, the right leg ahead, the left knee bent; arms against the legs.
inline drawing::Values walking() {
    using namespace drawing;
    Values v{};
    v[arm_of(0)] = -25 * degree, v[arm_of(0) + 3] = -30 * degree, v[arm_of(0) + 2] = 8 * degree;
    v[arm_of(1)] = 30 * degree, v[arm_of(1) + 3] = -20 * degree, v[arm_of(1) + 2] = -8 * degree;
    v[leg_of(0)] = 15 * degree, v[leg_of(0) + 3] = 40 * degree;
    v[leg_of(1)] = -28 * degree, v[leg_of(1) + 3] = 5 * degree;
    v[ankle_of(1)] = 20 * degree, v[ankle_of(0)] = 10 * degree;
    return v;
}

/// Where the dots of these values are, `noise` statures off.
inline aplomb_dots dots_of(const drawing::Task& task, const drawing::Values& values, double noise = 0,
                           unsigned seed = 1) {
    const drawing::Body<double> body(task.known, values.data());
    const drawing::View<double> view = task.view(values.data());
    std::mt19937 random(seed);
    std::normal_distribution<double> off(0, noise * task.pixels());
    aplomb_dots dots = no_dots();
    for (std::size_t k = 0; k < APLOMB_DOT_COUNT; ++k) {
        double x, y;
        view.project(body.dot[k], x, y);
        const double dx = off(random), dy = off(random);
        dots.places[k][0] = x + (noise > 0 ? dx : 0), dots.places[k][1] = y + (noise > 0 ? dy : 0);
    }
    return dots;
}

inline void see_all(drawing::Task& task, const aplomb_dots& dots) {
    for (std::size_t k = 0; k < APLOMB_DOT_COUNT; ++k)
        task.seen[k] = true, task.spot[k] = {dots.places[k][0], dots.places[k][1]};
}

/// A task with noisy dots, ready to be fitted.
inline drawing::Task noisy_task(double heading, unsigned seed) {
    drawing::Task task = bare_task(heading);
    see_all(task, dots_of(task, walking(), .01, seed));
    drawing::guess(task);
    return task;
}

} // namespace made

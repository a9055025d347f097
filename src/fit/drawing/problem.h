// SPDX-License-Identifier: MIT
// The sum of squares that an answer minimises: given dots against the figure's own, each over the noise, and how usual lengths
// and turns are. Joint limits are bounds of the variables.
#pragma once

#include <ceres/autodiff_cost_function.h>

#include <Eigen/Core>

#include <array>
#include <vector>

#include "fit/drawing/body.h"

namespace aplomb::drawing {

struct Spot {
    double x = 0, y = 0;
};

/// The dots that are fitted, and what the caller said with them.
struct Task {
    Known known;
    Ranges ranges;
    std::array<bool, APLOMB_DOT_COUNT> seen{};
    std::array<Spot, APLOMB_DOT_COUNT> spot{}; // pixels
    double noise = 0;                          // of the stature
    bool tilt_given = false;
    double tilt = 0;
    double middle_x = 0, middle_y = 0, inverse_focal = 0;
    bool height_given = false;
    double camera_height = 0; // metres
    double scale = 0;         // first guess, pixels per metre
    Spot hips;                // first guess
    // Both from the height of the ankle's dot, 0 to 1: how far a foot is taken to lie flat, and to stand on the ground.
    std::array<double, 2> flat{}, standing{};
    int lower = 0;            // the side whose ankle is lower on the picture
    bool lower_tells = false; // both are seen, by a level camera: then that foot is the lower one

    bool has(int dot) const { return seen[static_cast<std::size_t>(dot)]; }
    const Spot& at(int dot) const { return spot[static_cast<std::size_t>(dot)]; }
    double pixels() const { return scale * known.stature; } // of one stature

    template<class T>
    View<T> view(const T* p) const {
        using std::cos;
        using std::exp;
        using std::sin;
        const T turn = tilt_given ? T(tilt) : p[camera_tilt];
        return {cos(turn),
                sin(turn),
                T(scale) * exp(p[scale_log]),
                T(hips.x) + T(pixels()) * p[across],
                T(hips.y) + T(pixels()) * p[down],
                middle_x,
                middle_y,
                inverse_focal};
    }
};

/// Small errors count by their square, large ones up to c^2 (S. Geman, D. McClure, Bull. Int. Stat. Inst. 52, 1987).
template<class T>
T bounded(const T& error, double c) {
    using std::sqrt;
    return error / sqrt(T(1.0) + error * error / T(c * c));
}

struct Cost {
    const Task& task;

    int residual_count() const {
        int count = 0;
        for (const bool seen : task.seen)
            count += seen ? 2 : 0;
        for (const double sigma : task.ranges.sigma)
            count += std::isfinite(sigma) ? 1 : 0;
        return count + 5 + (task.height_given ? 1 : 0);
    }

    template<class T>
    bool operator()(const T* p, T* residual) const {
        const Body<T> body(task.known, p);
        const View<T> view = task.view(p);
        for (std::size_t k = 0; k < APLOMB_DOT_COUNT; ++k) {
            if (!task.seen[k]) continue;
            T x, y;
            view.project(body.dot[k], x, y);
            const T weight(1 / (task.noise * task.pixels()));
            *residual++ = weight * (x - T(task.spot[k].x));
            *residual++ = weight * (y - T(task.spot[k].y));
        }
        for (std::size_t k = 0; k < parameter_count; ++k)
            if (std::isfinite(task.ranges.sigma[k])) {
                const T off = p[k] - T(task.ranges.usual[k]);
                *residual++ = off / T(off < T(0.0) ? task.ranges.sigma_down[k] : task.ranges.sigma[k]);
            }
        ground(body, view, residual);
        return true;
    }

private:
    static constexpr double flat_sigma = .14;   // sine of 8 degrees
    static constexpr double level_sigma = .015; // of the stature

    /// The sole's height over the hips: the lower of heel and ball, with a smooth change between them.
    template<class T>
    T sole_height(const Body<T>& body, int side) const {
        using std::sqrt;
        const T heel = body.heel(side).y, ball = body.ball(side).y, apart = heel - ball;
        return T(.5) * (heel + ball - sqrt(apart * apart + T(1e-4)));
    }
    template<class T>
    void ground(const Body<T>& body, const View<T>& view, T* residual) const {
        for (int side = 0; side < 2; ++side) {
            const auto& up = body.turn[static_cast<std::size_t>(leg_joint(side, foot))].y;
            const T weight(task.flat[static_cast<std::size_t>(side)]);
            *residual++ = weight * bounded(up.x / T(flat_sigma), 2);
            *residual++ = weight * bounded(up.z / T(flat_sigma), 2);
        }
        const T sole[] = {sole_height(body, 0), sole_height(body, 1)};
        const auto low = static_cast<std::size_t>(task.lower);
        const T above = (sole[low] - sole[1 - low]) / T(level_sigma * task.known.stature);
        if (task.lower_tells && above > T(0.0))
            *residual++ =
                bounded(above, 4); // a foot is hardly ever lifted over a lower sole with a higher ankle
        else
            *residual++ = T(task.standing[0] * task.standing[1]) * bounded(above, 2);
        if (!task.height_given) return;
        // How far below the camera the hips are: they are 1 / (scale x inverse focal) away along its axis.
        const T away = T(1.0) / (view.scale * T(task.inverse_focal));
        const T below = (view.hips_y - T(task.middle_y)) / view.scale; // along the picture
        const T hips_height = T(task.camera_height) - (view.cosine * below + view.sine * away);
        *residual++ = (hips_height + sole[low]) / T(level_sigma * task.known.stature);
    }
};

/// The function owns the cost.
using Function = ceres::AutoDiffCostFunction<Cost, ceres::DYNAMIC, parameter_count>;

struct Found {
    Values values{};
    double cost = 0;
};

/// Fits from a start, with at most so many iterations.
Found refine(const Task& task, const Values& start, int iterations);
/// Fits to the end. Variables that press on their bounds are held there, as Ceres' steps get short beside a bound.
Found settle(const Task& task, const Values& start);
/// The slopes of the residuals, a row for each.
using Rows = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;
Rows slopes_of(const Task& task, const Values& values);
/// Variables at a bound beyond which the sum of squares would go on falling.
std::vector<int> pressing(const Task& task, const Values& values);
/// Half the sum of squares.
double cost_of(const Task& task, const Values& values);

} // namespace aplomb::drawing

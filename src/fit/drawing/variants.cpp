// SPDX-License-Identifier: MIT
#include "fit/drawing/variants.h"

#include <Eigen/Dense>

#include <algorithm>
#include <cmath>
#include <random>

#include "base/trig.h"

namespace aplomb::drawing {
namespace {

/// By Box and Muller (Ann. Math. Statist. 29, 1958): std::normal_distribution differs from library to library.
double normal(std::mt19937_64& random) {
    const auto unit = [&] { return (static_cast<double>(random() >> 11) + .5) * 0x1p-53; };
    const double radius = std::sqrt(-2 * std::log(unit()));
    return radius * std::cos(2 * pi * unit());
}

} // namespace

std::vector<Values> variants(const Task& task, const Values& answer, int count, unsigned first) {
    constexpr int tried_for_each = 4;
    const Eigen::MatrixXd rows = slopes_of(task, answer);
    Eigen::MatrixXd information = rows.transpose() * rows;
    // A variable that presses on a bound stays there.
    for (const int k : pressing(task, answer)) {
        information.row(k).setZero(), information.col(k).setZero();
        information(k, k) = 1e12;
    }
    const Eigen::LLT<Eigen::MatrixXd> root(information);
    const auto wanted = static_cast<std::size_t>(count);
    if (count == 0 || root.info() != Eigen::Success) return std::vector<Values>(wanted, answer);
    std::mt19937_64 random(first);
    const double least = cost_of(task, answer);
    std::vector<Values> tried;
    std::vector<double> up_to; // sums of weights
    double sum = 0;
    for (int i = 0; i < tried_for_each * count; ++i) {
        Eigen::VectorXd off(parameter_count);
        for (double& x : off)
            x = normal(random);
        const double length = off.squaredNorm();
        off = root.matrixU().solve(off);
        Values values;
        for (std::size_t k = 0; k < parameter_count; ++k)
            values[k] = std::clamp(answer[k] + off(static_cast<Eigen::Index>(k)), task.ranges.lowest[k],
                                   task.ranges.highest[k]);
        sum += std::exp(std::clamp(least + .5 * length - cost_of(task, values), -8.0, 2.0));
        tried.push_back(values), up_to.push_back(sum);
    }
    std::vector<Values> made;
    for (std::size_t k = 0, i = 0; k < wanted; ++k) {
        const double at = sum * (static_cast<double>(k) + .5) / static_cast<double>(count);
        while (up_to[i] < at && i + 1 < tried.size())
            ++i;
        made.push_back(tried[i]);
    }
    return made;
}

} // namespace aplomb::drawing

// SPDX-License-Identifier: MIT
// The numbers of a manner carried on by another solver: NLopt's SLSQP (D. Kraft 1988), within the same bounds.
#pragma once

#include <nlopt.h>

#include "fit/cost.h"
#include "fit/studio.h"

namespace studio {

struct MannerProblem {
    std::unique_ptr<ceres::Problem> problem;
    std::vector<double> logarithms;
};

inline double manner_cost(unsigned count, const double* x, double* gradient, void* data) {
    auto& own = *static_cast<MannerProblem*>(data);
    std::copy(x, x + count, own.logarithms.begin());
    double cost = 0;
    std::vector<double> slopes;
    own.problem->Evaluate({}, &cost, nullptr, gradient ? &slopes : nullptr, nullptr);
    if (gradient) std::copy(slopes.begin(), slopes.end(), gradient);
    return cost;
}

/// How far the cost of a fit of this studio's pairs is above the other solver's, of that.
inline double above_other_solver(uint64_t seed, int count) {
    Studio studio(seed);
    const std::vector<Sheet> sheets = studio.sheets(count, 1);
    aplomb::fit::Pairs pairs(studio.character().figure.get(), own::default_options());
    for (const Sheet& sheet : sheets) {
        const aplomb_situation situation = sheet.keyed.situation();
        pairs.add({&situation, sheet.translations.data(), sheet.rotations.data()}, nullptr);
    }
    const auto numbers = static_cast<std::size_t>(pairs.unknowns());
    aplomb::fit::Noise noise;
    noise.fill(.2);
    MannerProblem own;
    own.logarithms.assign(numbers, 0.0);
    own.problem = make_problem(pairs, -1, std::vector<bool>(numbers, true), noise, own.logarithms);
    const double ours = aplomb::fit::solve(*own.problem, 50, nullptr);

    std::vector<double> x = own.logarithms, lowest, highest;
    for (const aplomb::fit::Learnt& number : pairs.numbers())
        lowest.push_back(number.lowest), highest.push_back(number.highest);
    nlopt_opt solver = nlopt_create(NLOPT_LD_SLSQP, static_cast<unsigned>(numbers));
    nlopt_set_lower_bounds(solver, lowest.data());
    nlopt_set_upper_bounds(solver, highest.data());
    nlopt_set_min_objective(solver, manner_cost, &own);
    nlopt_set_maxeval(solver, 200);
    nlopt_set_ftol_rel(solver, 1e-8);
    double least = 0;
    nlopt_optimize(solver, x.data(), &least);
    nlopt_destroy(solver);
    return ours / least - 1;
}

} // namespace studio

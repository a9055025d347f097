// SPDX-License-Identifier: MIT
// NLopt's SLSQP (D. Kraft 1988) on the reduced space.
#pragma once

#include <nlopt.h>

#include <limits>
#include <memory>

#include "oracle/reduced_space.h"

namespace oracle {

/// The lowest cost found where all rows hold; infinite where there was none.
struct Found {
    double cost = std::numeric_limits<double>::infinity();
    std::vector<double> y;
};

class Slsqp {
public:
    /// `tolerance`: up to which rows count as held, metres or radians.
    Slsqp(ReducedSpace& space, double tolerance) : space_(space), tolerance_(tolerance) {}

    /// Ends at a step below `accuracy` or a gain below `least_gain`, both relative.
    Found run(std::vector<double> y, double accuracy, double least_gain, int most_evaluations) {
        best_ = {};
        const unsigned n = static_cast<unsigned>(space_.size());
        const std::unique_ptr<nlopt_opt_s, void (*)(nlopt_opt)> opt(nlopt_create(NLOPT_LD_SLSQP, n),
                                                                    nlopt_destroy);
        std::vector<double> low(n), high(n);
        for (size_t k = 0; k < n; ++k)
            low[k] = space_.lowest(k), high[k] = space_.highest(k);
        nlopt_set_lower_bounds(opt.get(), low.data());
        nlopt_set_upper_bounds(opt.get(), high.data());
        nlopt_set_min_objective(opt.get(), cost, this);
        const std::vector<double> tolerances(space_.row_count(), 1e-9);
        nlopt_add_inequality_mconstraint(opt.get(), static_cast<unsigned>(space_.row_count()), rows, this,
                                         tolerances.data());
        nlopt_set_xtol_rel(opt.get(), accuracy);
        nlopt_set_ftol_rel(opt.get(), least_gain);
        nlopt_set_maxeval(opt.get(), most_evaluations);
        double value = 0;
        nlopt_optimize(opt.get(), y.data(), &value);
        return best_;
    }

private:
    void move(const double* y) {
        if (space_.move(y) && space_.cost() < best_.cost && space_.is_feasible(tolerance_))
            best_.cost = space_.cost(), best_.y.assign(y, y + space_.size());
    }
    static double cost(unsigned, const double* y, double* gradient, void* data) {
        Slsqp& self = *static_cast<Slsqp*>(data);
        self.move(y);
        if (gradient) self.space_.cost_gradient(gradient);
        return self.space_.cost();
    }
    static void rows(unsigned count, double* result, unsigned n, const double* y, double* gradient,
                     void* data) {
        Slsqp& self = *static_cast<Slsqp*>(data);
        self.move(y);
        for (size_t k = 0; k < count; ++k) {
            result[k] = -self.space_.row(k);
            if (!gradient) continue;
            self.space_.row_gradient(k, gradient + k * n);
            for (size_t i = 0; i < n; ++i)
                gradient[k * n + i] = -gradient[k * n + i];
        }
    }

    ReducedSpace& space_;
    double tolerance_;
    Found best_;
};

} // namespace oracle

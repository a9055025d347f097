// SPDX-License-Identifier: MIT
#include <ceres/ceres.h>

#include "oracle/clip_solvers.h"

namespace clip_oracle {
namespace {

constexpr int rounds = 30;
constexpr double first_penalty = 10, most_penalty = 1e4, longer = 4;

/// What a row (c >= 0) adds under the augmented Lagrangian: penalty/2 (multiplier/penalty - c)+^2.
struct Held {
    double multiplier = 0;
    template<class T>
    T residual(const T& c, double penalty) const {
        const T past = T(multiplier / penalty) - c;
        return past > 0.0 ? past * T(std::sqrt(penalty)) : T(0.0);
    }
    void settle(double c, double penalty) { multiplier = std::max(0.0, multiplier - penalty * c); }
};

struct State {
    const ClipProblem& problem;
    std::vector<std::vector<Held>> row, edge;
    double penalty = first_penalty;
};

At<Jet> jets(const ClipProblem& p, int t, const double* y) {
    std::array<Jet, most> v;
    for (int i = 0; i < p[t].size; ++i)
        v[static_cast<size_t>(i)] = Jet(y[i], i);
    return p.at<Jet>(t, v.data());
}

/// A frame's own cost and rows, and its edges where the point in motion is the still one.
class FrameCost final : public ceres::CostFunction {
public:
    FrameCost(const State& state, int t) : s_(state), t_(t) {
        const Frame& f = s_.problem[t];
        mutable_parameter_block_sizes()->push_back(f.size);
        const std::vector<double> y(static_cast<size_t>(f.size), 0.0);
        set_num_residuals(static_cast<int>(s_.problem.at<double>(t, y.data()).residual.size() +
                                           f.rows.size() + f.edges.size()));
    }
    bool Evaluate(const double* const* y, double* out, double** slopes) const override {
        const At<Jet> at = jets(s_.problem, t_, y[0]);
        const Frame& f = s_.problem[t_];
        const size_t t = static_cast<size_t>(t_);
        std::vector<Jet> all;
        for (const Jet& r : at.residual)
            all.push_back(r * std::sqrt(f.weight));
        for (size_t k = 0; k < f.rows.size(); ++k)
            all.push_back(s_.row[t][k].residual(at.row[k], s_.penalty));
        for (size_t k = 0; k < f.edges.size(); ++k) {
            const auto& [normal, bound] = f.edges[k];
            const Jet c =
                (Jet(bound) - at.point[0] * normal[0] - at.point[1] * normal[1]) * (1 / s_.problem.unit());
            all.push_back(s_.edge[t][k].residual(c, s_.penalty));
        }
        for (const Jet& r : all) {
            *out++ = r.a;
            if (!slopes || !slopes[0]) continue;
            for (int i = 0; i < f.size; ++i)
                slopes[0][static_cast<std::ptrdiff_t>(&r - all.data()) * f.size + i] = r.v[i];
        }
        return true;
    }

private:
    const State& s_;
    int t_;
};

/// A second difference of three frames.
class MotionCost final : public ceres::CostFunction {
public:
    MotionCost(const ClipProblem& p, int t, int row) {
        const Second d = p.second(t);
        const int n = p[t].size;
        for (int k = 0; k < d.count; ++k) {
            part_.push_back(Eigen::MatrixXd(p.motion().block(row, p.first(d.frame[k]), n, n)));
            mutable_parameter_block_sizes()->push_back(n);
        }
        set_num_residuals(n);
    }
    bool Evaluate(const double* const* y, double* out, double** slopes) const override {
        Eigen::Map<Eigen::VectorXd> sum(out, num_residuals());
        sum.setZero();
        for (size_t k = 0; k < part_.size(); ++k) {
            const Eigen::Index n = part_[k].cols();
            sum += part_[k] * Eigen::Map<const Eigen::VectorXd>(y[k], n);
            if (slopes && slopes[k])
                Eigen::Map<Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>>(
                    slopes[k], part_[k].rows(), n) = part_[k];
        }
        return true;
    }

private:
    std::vector<Eigen::MatrixXd> part_;
};

/// Returns the worst of all rows.
double settle(State& s, const std::vector<double>& y) {
    double worst = 0;
    for (int t = 0; t < s.problem.count(); ++t) {
        const At<double> at = s.problem.at<double>(t, y.data() + s.problem.first(t));
        const Frame& f = s.problem[t];
        const size_t k = static_cast<size_t>(t);
        const auto take = [&](Held& held, double c) {
            held.settle(c, s.penalty);
            worst = std::max({worst, -c, std::min(c, held.multiplier)});
        };
        for (size_t i = 0; i < f.rows.size(); ++i)
            take(s.row[k][i], at.row[i]);
        for (size_t i = 0; i < f.edges.size(); ++i)
            take(s.edge[k][i], (f.edges[i].second - f.edges[i].first.dot(at.point)) / s.problem.unit());
    }
    return worst;
}

} // namespace

Found run_ceres(const ClipProblem& p, const std::vector<double>& start, double tolerance) {
    Found found{start, false, 0};
    State state{p, {}, {}};
    ceres::Problem problem;
    int row = 0;
    const auto own = [&](int t) { return found.y.data() + p.first(t); };
    for (int t = 0; t < p.count(); ++t) {
        const Frame& f = p[t];
        if (f.sway != 0 && !f.edges.empty())
            throw std::runtime_error("only what is quasi-static is for Ceres");
        state.row.emplace_back(f.rows.size());
        state.edge.emplace_back(f.edges.size());
    }
    for (int t = 0; t < p.count(); ++t)
        problem.AddResidualBlock(new FrameCost(state, t), nullptr, own(t));
    for (int t = 0; t < p.count(); ++t) {
        const Second d = p.second(t);
        if (d.count == 0) continue;
        problem.AddResidualBlock(new MotionCost(p, t, row), nullptr,
                                 std::vector<double*>{own(d.frame[0]), own(d.frame[1]), own(d.frame[2])});
        row += p[t].size;
    }
    for (int t = 0; t < p.count(); ++t) {
        const Frame& f = p[t];
        std::vector<int> fixed;
        for (int i = 0; i < f.size; ++i) {
            const size_t k = static_cast<size_t>(i);
            if (!(f.sigma[k] > 0)) {
                fixed.push_back(i);
                continue;
            }
            if (f.lowest[k] > -1e9) problem.SetParameterLowerBound(own(t), i, f.lowest[k]);
            if (f.highest[k] < 1e9) problem.SetParameterUpperBound(own(t), i, f.highest[k]);
        }
        if (!fixed.empty()) problem.SetManifold(own(t), new ceres::SubsetManifold(f.size, fixed));
    }
    ceres::Solver::Options options;
    options.linear_solver_type = ceres::SPARSE_NORMAL_CHOLESKY;
    options.max_num_iterations = 200;
    options.function_tolerance = 1e-12, options.gradient_tolerance = 1e-8,
    options.parameter_tolerance = 1e-10;
    options.logging_type = ceres::SILENT;
    double before = INFINITY;
    for (int round = 0; round < rounds && !found.converged; ++round) {
        ceres::Solver::Summary summary;
        ceres::Solve(options, &problem, &summary);
        found.iterations += static_cast<int>(summary.iterations.size());
        const double worst = settle(state, found.y);
        found.converged = worst <= tolerance;
        if (worst > before / 4) state.penalty = std::min(longer * state.penalty, most_penalty);
        before = worst;
    }
    return found;
}

} // namespace clip_oracle

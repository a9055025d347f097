// SPDX-License-Identifier: MIT
// The library's own pose problem, in its reduced space, for general-purpose optimizers: values and exact
// derivatives of cost and rows, over the variables that are free.
#pragma once

#include <algorithm>
#include <vector>

#include "balance/inside.h"

namespace oracle {

class ReducedSpace {
public:
    explicit ReducedSpace(const own::Inside& inside)
        : problem_(inside.problem), e_(inside.evaluation()),
          jacobian_((aplomb::max_residuals + aplomb::max_curves) * stride),
          near_row_(aplomb::max_near_rows * stride), fore_(stride), left_(stride), gradient_(stride) {
        d_.jacobian = jacobian_.data(), d_.near_row = near_row_.data();
        d_.stride = static_cast<int>(stride);
        for (int i = 0; i < problem_.size(); ++i) {
            if (inside.reduction().sigma[i] > 0) free_.push_back(i);
        }
        for (int i = 0; i < problem_.row_count(); ++i)
            rows_.push_back(i);
    }

    size_t size() const { return free_.size(); }
    size_t row_count() const { return rows_.size(); }
    double lowest(size_t k) const { return problem_.lowest()[free_[k]]; }
    double highest(size_t k) const { return problem_.highest()[free_[k]]; }
    const aplomb::Evaluation& at() const { return e_; }
    const aplomb::PoseProblem& problem() const { return problem_; }

    /// Keeps only rows that are nearer to their bound than `window` at `y`.
    void keep_near_rows(const std::vector<double>& y, double window) {
        move(y.data());
        rows_.clear();
        for (int i = 0; i < problem_.row_count(); ++i) {
            if (e_.row[i] < window) rows_.push_back(i);
        }
    }

    std::vector<double> pick(const double* y) const {
        std::vector<double> out;
        for (size_t k = 0; k < size(); ++k)
            out.push_back(std::clamp(y[free_[k]], lowest(k), highest(k)));
        return out;
    }

    /// Evaluates at `y`, unless that is where it is; true where it moved.
    bool move(const double* y) {
        if (last_.size() == size() && std::equal(last_.begin(), last_.end(), y)) return false;
        last_.assign(y, y + size());
        std::fill(e_.y, e_.y + problem_.size(), 0.0);
        for (size_t k = 0; k < size(); ++k)
            e_.y[free_[k]] = y[k];
        problem_.evaluate(e_);
        differentiated_ = false;
        return true;
    }
    double cost() const { return e_.objective; }
    /// Of row k; the row holds where it is at least 0.
    double row(size_t k) const { return e_.row[rows_[k]]; }

    void cost_gradient(double* out) {
        differentiate();
        for (size_t k = 0; k < size(); ++k)
            out[k] = d_.gradient[free_[k]];
    }
    void row_gradient(size_t row, double* out) {
        differentiate();
        const int i = rows_[row];
        if (problem_.is_support(i)) {
            const aplomb::Vec2& normal = normals_[problem_.row(i).index];
            for (size_t k = 0; k < size(); ++k) {
                const size_t f = static_cast<size_t>(free_[k]);
                out[k] = -(normal.fore * fore_[f] + normal.left * left_[f]) / problem_.row(i).scale;
            }
            return;
        }
        problem_.row_gradient(e_, i, gradient_.data());
        for (size_t k = 0; k < size(); ++k)
            out[k] = gradient_[static_cast<size_t>(free_[k])];
    }
    size_t residual_count() const { return static_cast<size_t>(problem_.residual_count()); }
    /// y - y^ and the problem's residuals; cost is half their squares' sum. `jacobian` may be null.
    void residuals(double* out, double* jacobian) {
        differentiate();
        // The cost's gradient is y - y^ plus the residuals' part, so y^ need not be known.
        std::vector<double> own(d_.gradient, d_.gradient + problem_.size());
        for (size_t k = 0; k < residual_count(); ++k) {
            for (size_t i = 0; i < static_cast<size_t>(d_.width[k]); ++i)
                own[i] -= e_.residual[k] * jacobian_[k * stride + i];
        }
        for (size_t k = 0; k < size(); ++k)
            out[k] = own[static_cast<size_t>(free_[k])];
        std::copy(e_.residual, e_.residual + residual_count(), out + size());
        if (!jacobian) return;
        std::fill(jacobian, jacobian + (size() + residual_count()) * size(), 0.0);
        for (size_t k = 0; k < size(); ++k)
            jacobian[k * size() + k] = 1;
        for (size_t k = 0; k < residual_count(); ++k) {
            for (size_t i = 0; i < size() && free_[i] < d_.width[k]; ++i)
                jacobian[(size() + k) * size() + i] = jacobian_[k * stride + static_cast<size_t>(free_[i])];
        }
    }
    void set_normals(const aplomb::Vec2* normals) { normals_ = normals; }

    bool is_feasible(double tolerance) const {
        return problem_.hard_violation(e_) <= tolerance && problem_.support_violation(e_) <= tolerance;
    }

private:
    static constexpr size_t stride = aplomb::max_variables;

    void differentiate() {
        if (differentiated_) return;
        problem_.differentiate(e_, d_, -1e300); // no rows: they are asked for one by one
        problem_.balance_point_gradient(e_, fore_.data(), left_.data());
        differentiated_ = true;
    }

    const aplomb::PoseProblem& problem_;
    aplomb::Evaluation& e_;
    const aplomb::Vec2* normals_ = nullptr;
    aplomb::Derivatives d_{};
    std::vector<double> jacobian_, near_row_, fore_, left_, gradient_, last_;
    std::vector<int> free_, rows_;
    bool differentiated_ = false;
};

} // namespace oracle

// SPDX-License-Identifier: MIT
#include "oracle/ipopt_run.h"

#include <IpStdCInterface.h>

namespace full_space {
namespace {

constexpr int chunk = 12;     // variables that one pass differentiates by
constexpr double step = 1e-6; // for the Hessian, from exact gradients

struct Task {
    const FullProblem& problem;
    const Effort& effort;
    std::vector<double> residual, row; // of the last gradient
    int iterations = 0;

    Task(const FullProblem& p, const Effort& e)
        : problem(p), effort(e), residual(static_cast<size_t>(p.residual_count())),
          row(p.row_ranges().size()) {}
    size_t size() const { return static_cast<size_t>(problem.size()); }

    double objective(const double* x) {
        double sum = 0;
        problem.evaluate(x, residual.data(), row.data());
        for (const double value : residual)
            sum += value * value;
        return 0.5 * sum + problem.price() * x[size() - 1];
    }
    /// The gradient of factor * objective + lambda . rows.
    void gradient(const double* x, double factor, const double* lambda, double* out) {
        problem.evaluate(x, residual.data(), row.data());
        for (double& r : residual)
            r *= factor;
        if (lambda)
            std::copy(lambda, lambda + row.size(), row.begin());
        else
            std::fill(row.begin(), row.end(), 0.0);
        problem.pull_back(x, residual.data(), row.data(), out);
        out[size() - 1] += factor * problem.price();
    }
};

Task& task_of(UserDataPtr user) {
    return *static_cast<Task*>(user);
}

Bool value(Index, Number* x, Bool, Number* out, UserDataPtr user) {
    *out = task_of(user).objective(x);
    return TRUE;
}

Bool value_gradient(Index, Number* x, Bool, Number* out, UserDataPtr user) {
    task_of(user).gradient(x, 1, nullptr, out);
    return TRUE;
}

Bool row_values(Index, Number* x, Bool, Index, Number* out, UserDataPtr user) {
    Task& t = task_of(user);
    t.problem.evaluate(x, t.residual.data(), out);
    return TRUE;
}

Bool row_gradients(Index n, Number* x, Bool, Index m, Index, Index* row, Index* column, Number* values,
                   UserDataPtr user) {
    if (values) {
        differentiate_rows(task_of(user).problem, x, values);
        return TRUE;
    }
    for (Index k = 0; k < n * m; ++k)
        row[k] = k / n, column[k] = k % n;
    return TRUE;
}

/// Central differences of the exact gradient; the lower triangle, row by row.
Bool hessian(Index n, Number* x, Bool, Number factor, Index, Number* lambda, Bool, Index, Index* row,
             Index* column, Number* values, UserDataPtr user) {
    if (!values) {
        for (Index i = 0, k = 0; i < n; ++i)
            for (Index j = 0; j <= i; ++j, ++k)
                row[k] = i, column[k] = j;
        return TRUE;
    }
    Task& t = task_of(user);
    const size_t size = t.size();
    std::vector<double> v(x, x + n), one(size), other(size), all(size * size);
    for (size_t i = 0; i < size; ++i) {
        v[i] = x[i] + step;
        t.gradient(v.data(), factor, lambda, one.data());
        v[i] = x[i] - step;
        t.gradient(v.data(), factor, lambda, other.data());
        v[i] = x[i];
        for (size_t j = 0; j < size; ++j)
            all[i * size + j] = (one[j] - other[j]) / (2 * step);
    }
    for (size_t i = 0; i < size; ++i)
        for (size_t j = 0; j <= i; ++j)
            *values++ = 0.5 * (all[i * size + j] + all[j * size + i]);
    return TRUE;
}

Bool count(Index, Index iteration, Number, Number, Number, Number, Number, Number, Number, Number, Index,
           UserDataPtr user) {
    task_of(user).iterations = iteration;
    return TRUE;
}

void set(IpoptProblem ipopt, std::string name, std::string text) {
    AddIpoptStrOption(ipopt, name.data(), text.data());
}
void set(IpoptProblem ipopt, std::string name, double number) {
    AddIpoptNumOption(ipopt, name.data(), number);
}
void set(IpoptProblem ipopt, std::string name, int number) {
    AddIpoptIntOption(ipopt, name.data(), number);
}

} // namespace

void differentiate_rows(const FullProblem& problem, const double* x, double* slopes) {
    using Jet = ceres::Jet<double, chunk>;
    const size_t n = static_cast<size_t>(problem.size());
    std::vector<Jet> v(n), residual(static_cast<size_t>(problem.residual_count())),
        row(problem.row_ranges().size());
    for (size_t from = 0; from < n; from += chunk) {
        const size_t end = std::min(n, from + chunk);
        for (size_t i = 0; i < n; ++i) {
            v[i] = Jet(x[i]);
            if (i >= from && i < end) v[i].v[static_cast<Eigen::Index>(i - from)] = 1;
        }
        problem.evaluate(v.data(), residual.data(), row.data());
        for (size_t k = 0; k < row.size(); ++k)
            for (size_t i = from; i < end; ++i)
                slopes[k * n + i] = row[k].v[static_cast<Eigen::Index>(i - from)];
    }
}

Found run_ipopt(const FullProblem& problem, const std::vector<double>& start, const Effort& effort) {
    Task task(problem, effort);
    const size_t n = task.size(), m = problem.row_ranges().size();
    std::vector<double> x_low, x_high, row_low, row_high;
    for (const Range& range : problem.bounds())
        x_low.push_back(range.lowest), x_high.push_back(range.highest);
    for (const Range& range : problem.row_ranges())
        row_low.push_back(range.lowest), row_high.push_back(range.highest);
    const Index rows = static_cast<Index>(m), columns = static_cast<Index>(n);
    const IpoptProblem ipopt = CreateIpoptProblem(
        columns, x_low.data(), x_high.data(), rows, row_low.data(), row_high.data(), rows * columns,
        columns * (columns + 1) / 2, 0, value, row_values, value_gradient, row_gradients, hessian);
    set(ipopt, "print_level", 0);
    set(ipopt, "sb", std::string("yes"));
    set(ipopt, "tol", effort.tolerance);
    set(ipopt, "constr_viol_tol", std::min(1e-8, effort.tolerance));
    set(ipopt, "acceptable_iter", 0);
    set(ipopt, "bound_relax_factor", 1e-10);
    set(ipopt, "max_iter", effort.max_iterations);
    set(ipopt, "nlp_scaling_method", std::string("none"));
    set(ipopt, "nlp_lower_bound_inf", -1e17);
    set(ipopt, "nlp_upper_bound_inf", 1e17);
    if (effort.second == Second::limited_memory)
        set(ipopt, "hessian_approximation", std::string("limited-memory"));
    SetIntermediateCallback(ipopt, count);
    Found found;
    found.v = start;
    found.v.back() =
        problem.violation(start).support / problem.length_unit() + 1e-3; // wide enough for the start
    double objective = 0;
    const ApplicationReturnStatus status =
        IpoptSolve(ipopt, found.v.data(), nullptr, &objective, nullptr, nullptr, nullptr, &task);
    FreeIpoptProblem(ipopt);
    found.converged = status == Solve_Succeeded;
    found.iterations = task.iterations;
    found.slack = found.v.back() * problem.length_unit();
    found.objective = problem.objective(found.v);
    found.violation = problem.violation(found.v);
    return found;
}

} // namespace full_space

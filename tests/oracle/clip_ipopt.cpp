// SPDX-License-Identifier: MIT
#include <IpStdCInterface.h>

#include "oracle/clip_solvers.h"

namespace clip_oracle {
namespace {

constexpr double step = 1e-6; // for the Hessian, from exact gradients
constexpr double huge = 1e19;

/// Variables: y of all frames, then of each frame the slack, then the way of its centre of mass, which rows of other
/// frames follow. Rows: of each frame two for that way, then its own, then its edges.
class Task {
public:
    explicit Task(const ClipProblem& problem) : p_(problem) {
        const int n = p_.count();
        slack_ = p_.size(), way_ = slack_ + n, size_ = way_ + 2 * n;
        for (int t = 0; t < n; ++t) {
            row_.push_back(rows_);
            rows_ += 2 + static_cast<int>(p_[t].rows.size() + p_[t].edges.size());
        }
        smooth_ = p_.motion().transpose() * p_.motion();
        find_patterns();
    }

    int size() const { return size_; }
    int rows() const { return rows_; }
    int slack(int t) const { return slack_ + t; }
    int way(int t) const { return way_ + 2 * t; }

    void move(const double* v) {
        if (last_.size() == static_cast<size_t>(size_) && std::equal(last_.begin(), last_.end(), v)) return;
        last_.assign(v, v + size_);
        at_.clear();
        for (int t = 0; t < p_.count(); ++t)
            at_.push_back(jets(t, v + p_.first(t)));
    }
    At<Jet> jets(int t, const double* y) const {
        std::array<Jet, most> v;
        for (int i = 0; i < p_[t].size; ++i)
            v[static_cast<size_t>(i)] = Jet(y[i], i);
        return p_.at<Jet>(t, v.data());
    }

    double objective(const double* v) {
        move(v);
        double sum = 0;
        for (int t = 0; t < p_.count(); ++t) {
            for (const Jet& r : at(t).residual)
                sum += p_[t].weight * r.a * r.a / 2;
            sum += p_[t].weight * ClipProblem::price * v[slack(t)];
        }
        return sum + (p_.motion() * Eigen::Map<const Eigen::VectorXd>(v, p_.size())).squaredNorm() / 2;
    }
    void gradient(const double* v, double* out) {
        move(v);
        std::fill(out, out + size_, 0.0);
        for (int t = 0; t < p_.count(); ++t) {
            for (const Jet& r : at(t).residual)
                for (int i = 0; i < p_[t].size; ++i)
                    out[p_.first(t) + i] += p_[t].weight * r.a * r.v[i];
            out[slack(t)] = p_[t].weight * ClipProblem::price;
        }
        Eigen::Map<Eigen::VectorXd>(out, p_.size()) +=
            smooth_ * Eigen::Map<const Eigen::VectorXd>(v, p_.size());
    }
    void row_values(const double* v, double* out) {
        move(v);
        std::vector<Plane> ways;
        for (int t = 0; t < p_.count(); ++t)
            ways.emplace_back(v[way(t)], v[way(t) + 1]);
        for (int t = 0; t < p_.count(); ++t) {
            double* row = out + row_[static_cast<size_t>(t)];
            for (int a = 0; a < 2; ++a)
                *row++ = at(t).way[a].a - v[way(t) + a];
            for (const Jet& r : at(t).row)
                *row++ = r.a;
            const Plane point(at(t).point[0].a, at(t).point[1].a), in_motion = point + p_.moved(t, ways);
            for (const auto& [normal, bound] : p_[t].edges)
                *row++ = (bound - normal.dot(in_motion)) / p_.unit() + v[slack(t)];
        }
    }
    /// In the order of the pattern; `visit(row, column, value)`, values only once moved.
    template<class Visit>
    void each_slope(bool valued, const Visit& visit) const {
        for (int t = 0; t < p_.count(); ++t) {
            int row = row_[static_cast<size_t>(t)];
            const int n = p_[t].size;
            const auto dense = [&](const Jet& value) {
                for (int i = 0; i < n; ++i)
                    visit(row, p_.first(t) + i, value.v[i]);
            };
            static const Jet none(0.0);
            for (int a = 0; a < 2; ++a, ++row) {
                dense(valued ? at(t).way[a] : none);
                visit(row, way(t) + a, -1.0);
            }
            for (size_t k = 0; k < p_[t].rows.size(); ++k, ++row)
                dense(valued ? at(t).row[k] : none);
            for (const auto& [normal, bound] : p_[t].edges) {
                dense(valued ? (at(t).point[0] * normal[0] + at(t).point[1] * normal[1]) * (-1 / p_.unit())
                             : none);
                visit(row, slack(t), 1.0);
                const Second d = p_.swing(t);
                for (int k = 0; k < d.count; ++k) {
                    const Plane slope =
                        p_[t].to_own.transpose() * normal * (p_[t].sway * d.weight[k] / p_.unit());
                    for (int a = 0; a < 2; ++a)
                        visit(row, way(d.frame[k]) + a, slope[a]);
                }
                ++row;
            }
        }
    }
    int slopes() const {
        int count = 0;
        each_slope(false, [&](int, int, double) { ++count; });
        return count;
    }
    const std::vector<std::pair<int, int>>& pattern() const { return pattern_; }

    void hessian(const double* v, double factor, const double* lambda, double* out) {
        size_t at = 0;
        for (int t = 0; t < p_.count(); ++t) {
            const Eigen::MatrixXd own = frame_hessian(t, v, factor, lambda);
            for (int i = 0; i < p_[t].size; ++i)
                for (int j = 0; j <= i; ++j)
                    out[at++] = (own(i, j) + own(j, i)) / 2;
        }
        for (int c = 0; c < smooth_.outerSize(); ++c)
            for (Eigen::SparseMatrix<double>::InnerIterator it(smooth_, c); it; ++it)
                if (it.row() >= it.col()) out[at++] = factor * it.value();
    }
    int iterations = 0;

private:
    const At<Jet>& at(int t) const { return at_[static_cast<size_t>(t)]; }

    void find_patterns() {
        for (int t = 0; t < p_.count(); ++t)
            for (int i = 0; i < p_[t].size; ++i)
                for (int j = 0; j <= i; ++j)
                    pattern_.emplace_back(p_.first(t) + i, p_.first(t) + j);
        for (int c = 0; c < smooth_.outerSize(); ++c)
            for (Eigen::SparseMatrix<double>::InnerIterator it(smooth_, c); it; ++it)
                if (it.row() >= it.col())
                    pattern_.emplace_back(static_cast<int>(it.row()), static_cast<int>(it.col()));
    }
    Eigen::VectorXd frame_gradient(int t, const double* y, double factor, const double* lambda) const {
        const At<Jet> a = jets(t, y);
        const Frame& f = p_[t];
        const double* row = lambda + row_[static_cast<size_t>(t)];
        Jet sum(0.0);
        for (const Jet& r : a.residual)
            sum += r * r * (factor * f.weight / 2);
        for (int k = 0; k < 2; ++k)
            sum += a.way[k] * *row++;
        for (const Jet& r : a.row)
            sum += r * *row++;
        for (const auto& [normal, bound] : f.edges)
            sum -= (a.point[0] * normal[0] + a.point[1] * normal[1]) * (*row++ / p_.unit());
        return Eigen::Map<const Eigen::VectorXd>(sum.v.data(), f.size);
    }
    Eigen::MatrixXd frame_hessian(int t, const double* v, double factor, const double* lambda) const {
        const int n = p_[t].size;
        Eigen::MatrixXd h(n, n);
        std::vector<double> y(v + p_.first(t), v + p_.first(t) + n);
        const Eigen::VectorXd here = frame_gradient(t, y.data(), factor, lambda);
        for (int i = 0; i < n; ++i) {
            const size_t k = static_cast<size_t>(i);
            const double own = y[k];
            y[k] = own + step;
            h.col(i) = (frame_gradient(t, y.data(), factor, lambda) - here) / step;
            y[k] = own;
        }
        return h;
    }

    const ClipProblem& p_;
    int slack_ = 0, way_ = 0, size_ = 0, rows_ = 0;
    std::vector<int> row_;
    Eigen::SparseMatrix<double> smooth_;
    std::vector<std::pair<int, int>> pattern_;
    std::vector<double> last_;
    std::vector<At<Jet>> at_;
};

Task& task_of(UserDataPtr user) {
    return *static_cast<Task*>(user);
}
Bool value(Index, Number* v, Bool, Number* out, UserDataPtr user) {
    *out = task_of(user).objective(v);
    return TRUE;
}
Bool value_gradient(Index, Number* v, Bool, Number* out, UserDataPtr user) {
    task_of(user).gradient(v, out);
    return TRUE;
}
Bool row_values(Index, Number* v, Bool, Index, Number* out, UserDataPtr user) {
    task_of(user).row_values(v, out);
    return TRUE;
}
Bool row_gradients(Index, Number* v, Bool, Index, Index, Index* row, Index* column, Number* values,
                   UserDataPtr user) {
    Task& task = task_of(user);
    if (values) task.move(v);
    task.each_slope(values != nullptr, [&](int r, int c, double slope) {
        if (values)
            *values++ = slope;
        else
            *row++ = r, *column++ = c;
    });
    return TRUE;
}
Bool hessian(Index, Number* v, Bool, Number factor, Index, Number* lambda, Bool, Index, Index* row,
             Index* column, Number* values, UserDataPtr user) {
    Task& task = task_of(user);
    if (values) {
        task.hessian(v, factor, lambda, values);
        return TRUE;
    }
    for (const auto& [r, c] : task.pattern())
        *row++ = r, *column++ = c;
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

Found run_ipopt(const ClipProblem& p, const std::vector<double>& start) {
    Task task(p);
    const size_t n = static_cast<size_t>(task.size()), m = static_cast<size_t>(task.rows());
    std::vector<double> low(n, -huge), high(n, huge), row_low(m, 0.0), row_high, v(n, 0.0);
    std::copy(start.begin(), start.end(), v.begin());
    std::vector<Plane> points, ways;
    for (int t = 0; t < p.count(); ++t) {
        const Frame& f = p[t];
        for (int i = 0; i < f.size; ++i) {
            const size_t k = static_cast<size_t>(p.first(t) + i), own = static_cast<size_t>(i);
            low[k] = f.sigma[own] > 0 ? std::max(f.lowest[own], -huge) : 0;
            high[k] = f.sigma[own] > 0 ? std::min(f.highest[own], huge) : 0;
            v[k] = std::clamp(v[k], low[k], high[k]);
        }
        row_high.insert(row_high.end(), 2, 0.0);
        row_high.insert(row_high.end(), f.rows.size() + f.edges.size(), huge);
        const At<double> at = p.at<double>(t, v.data() + p.first(t));
        points.push_back(at.point), ways.push_back(at.way);
        for (size_t a = 0; a < 2; ++a)
            v[static_cast<size_t>(task.way(t)) + a] = at.way[static_cast<Eigen::Index>(a)];
    }
    for (int t = 0; t < p.count(); ++t) {
        const size_t k = static_cast<size_t>(task.slack(t));
        low[k] = 0;
        v[k] = p.short_of(t, points[static_cast<size_t>(t)], ways) / p.unit() + 1e-3; // wide enough
    }
    const IpoptProblem ipopt =
        CreateIpoptProblem(task.size(), low.data(), high.data(), task.rows(), row_low.data(), row_high.data(),
                           task.slopes(), static_cast<Index>(task.pattern().size()), 0, value, row_values,
                           value_gradient, row_gradients, hessian);
    set(ipopt, "print_level", 0);
    set(ipopt, "sb", std::string("yes"));
    set(ipopt, "tol", 1e-8);
    // Where the price of a slack leaves multipliers undetermined, their error stays: ten iterations that move nothing will do.
    set(ipopt, "acceptable_iter", 10);
    set(ipopt, "acceptable_tol", 5e-3);
    set(ipopt, "acceptable_dual_inf_tol", 5e-3);
    set(ipopt, "acceptable_constr_viol_tol", 1e-10);
    set(ipopt, "acceptable_compl_inf_tol", 1e-8);
    set(ipopt, "acceptable_obj_change_tol", 1e-10);
    set(ipopt, "bound_relax_factor", 1e-10);
    set(ipopt, "max_iter", 300);
    set(ipopt, "nlp_scaling_method", std::string("none"));
    SetIntermediateCallback(ipopt, count);
    double objective = 0;
    const ApplicationReturnStatus status =
        IpoptSolve(ipopt, v.data(), nullptr, &objective, nullptr, nullptr, nullptr, &task);
    FreeIpoptProblem(ipopt);
    return {{v.begin(), v.begin() + p.size()},
            status == Solve_Succeeded || status == Solved_To_Acceptable_Level,
            task.iterations};
}

} // namespace clip_oracle

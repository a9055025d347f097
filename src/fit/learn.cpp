// SPDX-License-Identifier: MIT
#include "fit/learn.h"

#include <Eigen/Dense>

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include "base/error.h"
#include "base/structs.h"

namespace aplomb::fit {
namespace {

using Matrix = Eigen::MatrixXd;
using Parts = std::array<double, APLOMB_MANNER_PARTS>;

constexpr double first_noise =
    0.15;                         // about a degree and half a centimetre; in later rounds it still counts for
constexpr double first_count = 2; // as many differences as this
constexpr int most_rounds = 6;
constexpr double settled = 0.03;   // a round that changes the noise by less than this part is the last
constexpr double odd = 3;          // times as far off as the middle pair: such a pair is odd
constexpr double told_width = 0.8; // of the prior's width: what is still this open is not told
constexpr double misfit_weight = 1.0 / 3;
constexpr double at_bound = 1e-6;

/// Ends a fit when the caller wishes it.
class Watch : public ceres::IterationCallback {
public:
    Watch(const Progress& progress, double from, double to) : progress_(progress), from_(from), to_(to) {}
    ceres::CallbackReturnType operator()(const ceres::IterationSummary& s) override {
        const double part = from_ + (to_ - from_) * (1 - 1 / (1 + 0.25 * s.iteration));
        cancelled = cancelled || !progress_.goes_on(part);
        return cancelled ? ceres::SOLVER_ABORT : ceres::SOLVER_CONTINUE;
    }
    bool cancelled = false;

private:
    const Progress& progress_;
    double from_, to_;
};

class Learning {
public:
    Learning(const Pairs& pairs, const Progress& progress)
        : pairs_(pairs), progress_(progress), n_(static_cast<size_t>(pairs.unknowns())),
          m_(static_cast<size_t>(pairs.size())), told_(n_, true), at_(n_, 0.0), width_(n_, prior_width) {
        noise_.fill(first_noise);
    }

    aplomb_status run(Manner& manner, aplomb_error* error);

private:
    bool fit(int left_out, std::vector<double>& at, int most, double from, double to);
    Noise widened() const;
    Matrix covariance(const Noise& noise);
    double squares(int pair, const std::vector<double>& at, double* values) const;
    Parts leverage(const Matrix& covariance);
    bool settle_noise();
    void choose_told(const Matrix& covariance);
    void widths(const Matrix& information, Matrix& left) const;
    double error_of(int pair, const std::vector<double>& at, aplomb_manner_pair* told) const;
    bool rounds();
    bool leave_out(Manner& manner);
    void write_numbers(Manner& manner) const;
    void write_pairs(Manner& manner) const;

    const Pairs& pairs_;
    const Progress& progress_;
    size_t n_, m_;
    std::vector<bool> told_;
    std::vector<double> at_, width_; // logarithms, and their standard errors
    Noise noise_;
    Parts freedom_; // how many independent differences tell the noise
};

bool Learning::fit(int left_out, std::vector<double>& at, int most, double from, double to) {
    const auto problem = make_problem(pairs_, left_out, told_, noise_, at);
    if (std::find(told_.begin(), told_.end(), true) == told_.end()) return progress_.goes_on(to);
    Watch watch(progress_, from, to);
    solve(*problem, most, &watch);
    return !watch.cancelled;
}

/// A noise known from few differences is uncertain itself: its variance is that of Student's distribution.
Noise Learning::widened() const {
    Noise noise = noise_;
    for (size_t part = 0; part < noise.size(); ++part)
        noise[part] *= std::sqrt(freedom_[part] / (freedom_[part] - 2));
    return noise;
}

/// The covariance of the logarithms that are told, in their order; it includes the priors.
Matrix Learning::covariance(const Noise& noise) {
    const auto problem = make_problem(pairs_, -1, told_, noise, at_);
    std::vector<const double*> blocks;
    for (size_t j = 0; j < n_; ++j)
        if (told_[j]) blocks.push_back(&at_[j]);
    ceres::Covariance::Options options;
    options.algorithm_type = ceres::DENSE_SVD;
    options.num_threads = 1;
    ceres::Covariance covariance(options);
    const auto size = static_cast<Eigen::Index>(blocks.size());
    Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor> values(size, size);
    if (!covariance.Compute(blocks, problem.get()) || !covariance.GetCovarianceMatrix(blocks, values.data()))
        throw std::runtime_error("the covariance cannot be taken");
    return values;
}

/// A pair's sum of squares in units of the noise; `values`: its differences in standard deviations of the defaults.
double Learning::squares(int pair, const std::vector<double>& at, double* values) const {
    if (!pairs_.differences(pair, at.data(), values))
        throw std::runtime_error("a moment has no answer any more");
    double sum = 0;
    for (size_t i = 0; i < m_; ++i) {
        const double r = values[i] / noise_[static_cast<size_t>(pairs_.measure().parts()[i])];
        sum += r * r;
    }
    return sum;
}

/// How many of each part's differences the freedom of the fit uses up: the sum of their leverages.
Parts Learning::leverage(const Matrix& covariance) {
    const auto problem = make_problem(pairs_, -1, told_, noise_, at_);
    ceres::CRSMatrix rows;
    if (!problem->Evaluate({}, nullptr, nullptr, nullptr, &rows))
        throw std::runtime_error("a slope cannot be taken");
    Parts taken{};
    const std::vector<int>& parts = pairs_.measure().parts();
    for (size_t row = 0; row < m_ * static_cast<size_t>(pairs_.count()); ++row) {
        Eigen::VectorXd slope = Eigen::VectorXd::Zero(covariance.rows());
        for (int k = rows.rows[row]; k < rows.rows[row + 1]; ++k)
            slope(rows.cols[static_cast<size_t>(k)]) = rows.values[static_cast<size_t>(k)];
        taken[static_cast<size_t>(parts[row % m_])] += slope.dot(covariance * slope);
    }
    return taken;
}

/// Sets the noise by what the fit leaves, allowing for its freedom. Returns whether the noise hardly changed. A pair that is
/// much further off than the middle one is left out: a noise that included it would make it look usual.
bool Learning::settle_noise() {
    const Parts taken = leverage(covariance(noise_));
    const auto pairs = static_cast<size_t>(pairs_.count());
    std::vector<std::vector<double>> values(pairs, std::vector<double>(m_));
    std::vector<double> off;
    for (size_t p = 0; p < pairs; ++p)
        off.push_back(squares(static_cast<int>(p), at_, values[p].data()));
    std::vector<double> sorted = off;
    std::sort(sorted.begin(), sorted.end());
    const double most = odd * odd * sorted[(pairs - 1) / 2];
    Parts sums{}, counts{};
    for (size_t p = 0; p < pairs; ++p) {
        if (off[p] > most) continue;
        const double weight = weight_of(off[p], pairs_.size());
        for (size_t i = 0; i < m_; ++i) {
            const auto part = static_cast<size_t>(pairs_.measure().parts()[i]);
            sums[part] += weight * values[p][i] * values[p][i];
            counts[part] += weight;
        }
    }
    bool hardly = true;
    for (size_t part = 0; part < noise_.size(); ++part) {
        const double free = std::max(counts[part] - taken[part], 0.25 * counts[part]);
        const double noise =
            std::sqrt((first_count * first_noise * first_noise + sums[part]) / (first_count + free));
        hardly = hardly && std::fabs(noise / noise_[part] - 1) < settled;
        noise_[part] = noise;
        freedom_[part] = first_count + free;
    }
    return hardly;
}

bool Learning::rounds() {
    for (int round = 0; round < most_rounds; ++round) {
        const double from = 0.6 * round / most_rounds;
        if (!fit(-1, at_, 25, from, from + 0.1)) return false;
        if (settle_noise()) break;
    }
    choose_told(covariance(widened()));
    for (size_t j = 0; j < n_; ++j)
        if (!told_[j]) at_[j] = 0;
    return fit(-1, at_, 50, 0.6, 0.7);
}

/// Removes the number that is told least, one after the other, while it counts as not told. What the removed ones might be
/// stays open and widens the errors of the others: they keep their prior.
void Learning::choose_told(const Matrix& covariance) {
    const double prior = prior_width * prior_width;
    const Matrix information =
        covariance.inverse() - Matrix::Identity(covariance.rows(), covariance.cols()) / prior;
    for (;;) {
        Matrix left;
        widths(information, left);
        size_t worst = n_;
        for (size_t j = 0; j < n_; ++j) {
            const auto k = static_cast<Eigen::Index>(j);
            if (!told_[j]) continue;
            width_[j] = std::sqrt(left(k, k));
            if (worst == n_ || width_[j] > width_[worst]) worst = j;
        }
        if (worst == n_ || width_[worst] < told_width * prior_width) return;
        told_[worst] = false;
    }
}

/// The variance of each told number's error while those that are not told stay where they started: from noise, and from
/// what the others hide.
void Learning::widths(const Matrix& information, Matrix& left) const {
    const double prior = prior_width * prior_width;
    const auto n = static_cast<Eigen::Index>(n_);
    Eigen::VectorXd picked(n);
    for (Eigen::Index j = 0; j < n; ++j)
        picked(j) = told_[static_cast<size_t>(j)] ? 1 : 0;
    const Matrix pick = picked.asDiagonal(), others = Matrix::Identity(n, n) - pick;
    // Numbers that are not told get a row of their own that holds them.
    const Matrix held = (pick * information * pick + Matrix::Identity(n, n) / prior).inverse();
    const Matrix carried = pick * held * pick * information * others;
    left = pick * held * pick + prior * carried * carried.transpose();
}

double Learning::error_of(int pair, const std::vector<double>& at, aplomb_manner_pair* told) const {
    std::vector<double> values(m_);
    const double weighed = squares(pair, at, values.data());
    Parts sums{}, counts{};
    double sum = 0;
    for (size_t i = 0; i < m_; ++i) {
        const auto part = static_cast<size_t>(pairs_.measure().parts()[i]);
        const double r = values[i] / noise_[part];
        sums[part] += r * r, counts[part] += 1;
        sum += values[i] * values[i];
    }
    if (told) {
        told->weight = weight_of(weighed, pairs_.size());
        told->fits = told->weight >= misfit_weight;
        for (size_t part = 0; part < sums.size(); ++part) {
            const auto worst = static_cast<size_t>(told->worst);
            if (counts[part] > 0 && sums[part] / counts[part] > sums[worst] / std::max(1.0, counts[worst]))
                told->worst = static_cast<int32_t>(part);
        }
    }
    return std::sqrt(sum / static_cast<double>(m_));
}

bool Learning::leave_out(Manner& manner) {
    for (int p = 0; p < pairs_.count(); ++p) {
        std::vector<double> at = at_;
        const double from = 0.7 + 0.3 * p / pairs_.count();
        if (!fit(p, at, 3, from, from + 0.3 / pairs_.count())) return false;
        manner.pairs[static_cast<size_t>(p)].left_out_error = error_of(p, at, nullptr);
    }
    return true;
}

void Learning::write_pairs(Manner& manner) const {
    const std::vector<double> start(n_, 0.0);
    for (int p = 0; p < pairs_.count(); ++p) {
        aplomb_manner_pair pair{};
        pair.error = error_of(p, at_, &pair);
        pair.usual_error = error_of(p, start, nullptr);
        manner.pairs.push_back(pair);
    }
}

void Learning::write_numbers(Manner& manner) const {
    for (size_t j = 0; j < n_; ++j) {
        const Learnt& learnt = pairs_.numbers()[j];
        aplomb_manner_number number{};
        number.option = learnt.option;
        number.told = told_[j];
        number.bounded =
            told_[j] && (at_[j] < learnt.lowest + at_bound || at_[j] > learnt.highest - at_bound);
        number.usual = learnt.usual;
        number.value = told_[j] ? learnt.value(at_[j]) : learnt.usual;
        number.factor = std::exp(width_[j]);
        manner.numbers.push_back(number);
    }
}

aplomb_status Learning::run(Manner& manner, aplomb_error* error) {
    const auto cancelled = [&] {
        return fail(error, APLOMB_CANCELLED, "progress", -1, "The fit was ended by the caller.");
    };
    if (!progress_.goes_on(0) || !rounds()) return cancelled();
    write_numbers(manner);
    write_pairs(manner);
    if (!leave_out(manner) || !progress_.goes_on(1)) return cancelled();

    aplomb_manner_info& info = manner.info;
    info = {};
    info.number_count = static_cast<int32_t>(n_);
    info.told_count = static_cast<int32_t>(std::count(told_.begin(), told_.end(), true));
    info.pair_count = pairs_.count();
    info.solves = pairs_.solves();
    std::copy(noise_.begin(), noise_.end(), info.noise);
    double weights = 0;
    for (const aplomb_manner_pair& pair : manner.pairs) {
        info.misfit_count += pair.fits == 0;
        weights += pair.weight;
        info.error += pair.weight * pair.error * pair.error;
        info.usual_error += pair.weight * pair.usual_error * pair.usual_error;
        info.left_out_error += pair.weight * pair.left_out_error * pair.left_out_error;
    }
    for (double* sum : {&info.error, &info.usual_error, &info.left_out_error})
        *sum = std::sqrt(*sum / weights);
    return APLOMB_OK;
}

} // namespace

aplomb_status learn(const Pairs& pairs, const Progress& progress, Manner& manner, aplomb_error* error) {
    return Learning(pairs, progress).run(manner, error);
}

} // namespace aplomb::fit

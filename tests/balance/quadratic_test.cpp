// SPDX-License-Identifier: MIT
// The active-set step against brute force over all active sets, and its optimality conditions at full size.
#include "solve/quadratic.h"

#include <gtest/gtest.h>

#include <Eigen/Dense>
#include <optional>
#include <vector>

#include "balance/corpus.h"

namespace own {
namespace {

using Matrix = Eigen::MatrixXd;
using Column = Eigen::VectorXd;

/// minimise 1/2 d'Bd + g'd with A d >= b, lowest <= d <= highest
struct Programme {
    Matrix b;
    Column g;
    Matrix rows;
    Column least, lowest, highest;

    Eigen::Index size() const { return g.size(); }
    double cost(const Column& d) const { return 0.5 * d.dot(b * d) + g.dot(d); }
    /// Rows and bounds alike, normal.d >= least.
    Matrix all_normals() const {
        const Eigen::Index n = size();
        Matrix all(rows.rows() + 2 * n, n);
        all << rows, Matrix::Identity(n, n), -Matrix::Identity(n, n);
        return all;
    }
    Column all_least() const {
        Column all(least.size() + 2 * size());
        all << least, lowest, -highest;
        return all;
    }
};

Column random_column(Dice& dice, Eigen::Index n) {
    Column c(n);
    for (Eigen::Index i = 0; i < n; ++i)
        c[i] = dice.within(1);
    return c;
}

Matrix random_matrix(Dice& dice, Eigen::Index rows, Eigen::Index columns) {
    Matrix m(rows, columns);
    for (Eigen::Index i = 0; i < rows; ++i)
        m.row(i) = random_column(dice, columns).transpose();
    return m;
}

Programme random_programme(Dice& dice, Eigen::Index n, Eigen::Index rows, double tightness) {
    Programme p;
    const Matrix j = random_matrix(dice, 4, n) * 3;
    p.b = Matrix::Identity(n, n) + j.transpose() * j; // as the pose problem's: unit plus a few residuals
    p.g = random_column(dice, n) * 4;
    p.rows = random_matrix(dice, rows, n);
    p.least = random_column(dice, rows) * tightness;
    p.lowest = Column::Constant(n, -1.5), p.highest = Column::Constant(n, 1.5);
    return p;
}

struct Solution {
    aplomb::Quadratic::Outcome outcome;
    Column d, multiplier; // of rows, lowest, highest
};

class Solver {
public:
    explicit Solver(int most) {
        aplomb::Layout measure;
        quadratic_.lay_out(measure, most);
        memory_.resize(measure.used() / sizeof(double) + 2);
        aplomb::Layout layout(memory_.data());
        quadratic_.lay_out(layout, most);
    }
    /// `guess`: multipliers of rows and of bounds from before, of which only the signs matter.
    Solution solve(const Programme& p, const Column& guess = {}) {
        const Eigen::Index n = p.size(), m = p.rows.rows();
        const Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor> normals = p.rows;
        for (Eigen::Index i = 0; i < n; ++i) {
            for (Eigen::Index c = 0; c <= i; ++c)
                quadratic_.line(static_cast<int>(i))[c] = p.b(i, c);
        }
        EXPECT_TRUE(quadratic_.factor(static_cast<int>(n)));
        std::vector<aplomb::QuadraticRow> rows(static_cast<size_t>(m));
        for (Eigen::Index i = 0; i < m; ++i) {
            rows[static_cast<size_t>(i)].normal = normals.data() + i * n;
            rows[static_cast<size_t>(i)].least = p.least[i];
            if (guess.size() > 0) rows[static_cast<size_t>(i)].multiplier = std::max(0.0, guess[i]);
        }
        Solution s{{}, Column::Zero(n), Column::Zero(m + 2 * n)};
        Column bounds = Column::Zero(n);
        if (guess.size() > 0) bounds = guess.tail(n);
        s.outcome = quadratic_.solve(p.g.data(), rows.data(), static_cast<int>(m), p.lowest.data(),
                                     p.highest.data(), s.d.data(), bounds.data());
        for (Eigen::Index i = 0; i < m; ++i)
            s.multiplier[i] = rows[static_cast<size_t>(i)].multiplier;
        s.multiplier.segment(m, n) = bounds.cwiseMax(0.0), s.multiplier.tail(n) = (-bounds).cwiseMax(0.0);
        return s;
    }

private:
    aplomb::Quadratic quadratic_;
    std::vector<double> memory_;
};

/// The best of the equality-constrained minima over all sets of at most n rows that are feasible.
std::optional<Column> brute_force(const Programme& p) {
    const Matrix normals = p.all_normals();
    const Column least = p.all_least();
    const Eigen::Index n = p.size(), all = normals.rows();
    std::optional<Column> best;
    for (unsigned set = 0; set < (1u << all); ++set) {
        std::vector<Eigen::Index> active;
        for (Eigen::Index i = 0; i < all; ++i) {
            if (set >> i & 1u) active.push_back(i);
        }
        const Eigen::Index k = static_cast<Eigen::Index>(active.size());
        if (k > n) continue;
        Matrix kkt = Matrix::Zero(n + k, n + k);
        Column right = Column::Zero(n + k);
        kkt.topLeftCorner(n, n) = p.b;
        right.head(n) = -p.g;
        for (Eigen::Index i = 0; i < k; ++i) {
            const Eigen::Index row = active[static_cast<size_t>(i)];
            kkt.block(n + i, 0, 1, n) = normals.row(row);
            kkt.block(0, n + i, n, 1) = normals.row(row).transpose();
            right[n + i] = least[row];
        }
        const Eigen::FullPivLU<Matrix> lu(kkt);
        if (!lu.isInvertible()) continue;
        const Column d = lu.solve(right).head(n);
        if ((normals * d - least).minCoeff() < -1e-9) continue;
        if (!best || p.cost(d) < p.cost(*best)) best = d;
    }
    return best;
}

void expect_optimal(const Programme& p, const Solution& s) {
    const Matrix normals = p.all_normals();
    const Column gap = normals * s.d - p.all_least();
    const double size = 1 + s.multiplier.cwiseAbs().maxCoeff();
    EXPECT_GE(gap.minCoeff(), -1e-10);
    EXPECT_GE(s.multiplier.minCoeff(), 0.0);
    EXPECT_LT((p.b * s.d + p.g - normals.transpose() * s.multiplier).cwiseAbs().maxCoeff(), 1e-9 * size);
    EXPECT_LT(gap.cwiseProduct(s.multiplier).cwiseAbs().maxCoeff(), 1e-9 * size);
}

TEST(Quadratic, AgreesWithBruteForce) {
    Solver solver(3);
    int feasible = 0, infeasible = 0;
    for (uint64_t seed = 0; seed < 300; ++seed) {
        SCOPED_TRACE(seed);
        Dice dice(seed);
        const Programme p = random_programme(dice, 3, 5, 1.2);
        const std::optional<Column> best = brute_force(p);
        const Solution s = solver.solve(p);
        if (!best) {
            ++infeasible;
            EXPECT_EQ(s.outcome, aplomb::Quadratic::Outcome::infeasible);
            continue;
        }
        ++feasible;
        ASSERT_EQ(s.outcome, aplomb::Quadratic::Outcome::solved);
        EXPECT_LT((s.d - *best).norm(), 1e-8);
    }
    EXPECT_GT(feasible, 50);
    EXPECT_GT(infeasible, 20);
}

TEST(Quadratic, IsOptimalAtFullSize) {
    Solver solver(18);
    int solved = 0;
    for (uint64_t seed = 0; seed < 500; ++seed) {
        SCOPED_TRACE(seed);
        Dice dice(seed);
        const Programme p = random_programme(dice, 18, 24, dice.between(-1, 0.5));
        const Solution s = solver.solve(p);
        if (s.outcome == aplomb::Quadratic::Outcome::infeasible) continue;
        ASSERT_EQ(s.outcome, aplomb::Quadratic::Outcome::solved);
        ++solved;
        expect_optimal(p, s);
    }
    EXPECT_GT(solved, 300);
}

// What held before is a guess, however wrong: none at all, half of everything or all of it, on either side.
TEST(Quadratic, TakesNothingFromAWrongGuess) {
    Solver solver(18);
    int solved = 0;
    for (uint64_t seed = 0; seed < 300; ++seed) {
        SCOPED_TRACE(seed);
        Dice dice(seed);
        const Programme p = random_programme(dice, 18, 24, 0.0);
        const Solution s = solver.solve(p);
        Column guess = random_column(dice, 24 + 18);
        if (seed % 3 == 1) guess = guess.cwiseMax(0.0);
        if (seed % 3 == 2) guess = guess.cwiseAbs();
        const Solution guessed = solver.solve(p, guess);
        ASSERT_EQ(guessed.outcome, s.outcome);
        if (s.outcome != aplomb::Quadratic::Outcome::solved) continue;
        ++solved;
        expect_optimal(p, guessed);
        EXPECT_LT((guessed.d - s.d).norm(), 1e-9);
    }
    EXPECT_GT(solved, 200);
}

TEST(Quadratic, CopesWithDuplicateAndDependentRows) {
    Solver solver(18);
    int solved = 0;
    for (uint64_t seed = 0; seed < 500; ++seed) {
        SCOPED_TRACE(seed);
        Dice dice(seed);
        Programme p = random_programme(dice, 18, 24, 0.3);
        for (Eigen::Index i = 0; i < 6; ++i) { // the same row twice, and sums of rows that meet in one corner
            p.rows.row(6 + i) = p.rows.row(i), p.least[6 + i] = p.least[i];
            p.rows.row(12 + i) = p.rows.row(i) + p.rows.row((i + 1) % 6);
            p.least[12 + i] = p.least[i] + p.least[(i + 1) % 6];
        }
        const Solution s = solver.solve(p);
        if (s.outcome == aplomb::Quadratic::Outcome::infeasible) continue;
        ASSERT_EQ(s.outcome, aplomb::Quadratic::Outcome::solved);
        ++solved;
        expect_optimal(p, s);
    }
    EXPECT_GT(solved, 300);
}

TEST(Quadratic, ReportsContradictingRows) {
    Solver solver(18);
    Dice dice(5);
    Programme p = random_programme(dice, 18, 2, 0);
    p.rows.row(1) = -p.rows.row(0);
    p.least << 0.1, 0.1;
    EXPECT_EQ(solver.solve(p).outcome, aplomb::Quadratic::Outcome::infeasible);
}

TEST(Quadratic, HoldsEqualBounds) {
    Solver solver(18);
    Dice dice(6);
    Programme p = random_programme(dice, 18, 4, -1);
    for (Eigen::Index i = 0; i < 18; i += 2)
        p.lowest[i] = p.highest[i] = dice.within(0.3);
    const Solution s = solver.solve(p);
    ASSERT_EQ(s.outcome, aplomb::Quadratic::Outcome::solved);
    for (Eigen::Index i = 0; i < 18; i += 2)
        EXPECT_NEAR(s.d[i], p.lowest[i], 1e-12);
    expect_optimal(p, s);
}

TEST(Quadratic, RefusesAMatrixThatIsNotPositive) {
    aplomb::Layout measure;
    aplomb::Quadratic q;
    q.lay_out(measure, 2);
    std::vector<double> memory(measure.used() / sizeof(double) + 2);
    aplomb::Layout layout(memory.data());
    q.lay_out(layout, 2);
    q.line(0)[0] = 1, q.line(1)[0] = 2, q.line(1)[1] = 1;
    EXPECT_FALSE(q.factor(2));
}

} // namespace
} // namespace own

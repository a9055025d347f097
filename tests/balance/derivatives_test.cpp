// SPDX-License-Identifier: MIT
// Values and first derivatives of the reduced model and of the pose problem against automatic differentiation
// of an independent forward model (jet_model.h), to 1e-9 of their size.
#include <gtest/gtest.h>

#include "balance/corpus.h"
#include "balance/jet_problem.h"

namespace own {
namespace {

using aplomb::max_variables;
using Jet = ceres::Jet<double, max_variables>;

constexpr double tolerance = 1e-9;

class Compared {
public:
    Compared(const Character& character, const Moment& moment, const Carried& carried, Dice& dice,
             double spread)
        : inside(character, moment, carried), plain_model(inside),
          plain_problem(plain_model, inside.options, inside.figure, inside.key, inside.reduction(),
                        inside.carriage, inside.aim),
          e(inside.evaluation()) {
        for (int i = 0; i < inside.size(); ++i)
            e.y[i] = inside.reduction().sigma[i] > 0 ? dice.within(spread) : 0.0;
        inside.problem.evaluate(e);
        for (int step = 0; step < 20 && !is_within_reach(); ++step) { // a limb has no place past its reach
            for (int i = 0; i < inside.size(); ++i)
                e.y[i] *= 0.8;
            if (inside.reduction().sigma[2] > 0) e.y[2] -= 0.1;
            inside.problem.evaluate(e);
        }
        inside.model.differentiate(e.state);
        for (int i = 0; i < inside.size(); ++i)
            x[i] = Jet(e.state.x[i], i);
        placed = plain_model.place<Jet>(x);
    }

    bool is_within_reach() const {
        for (int i = 0; i < inside.reduction().limb_count; ++i) {
            const aplomb::FixedLimb& limb = inside.reduction().limb[i];
            const double d = e.state.limb[i].span.distance;
            if ((limb.bearing || limb.holds_load) && !(d < limb.span.most && d > limb.span.least))
                return false;
        }
        return true;
    }

    /// `gradient` is in x, or in y with `scaled`.
    void expect(const char* what, const Jet& should, double value, const double* gradient, bool scaled,
                double unit = 1) const {
        EXPECT_NEAR(value, should.a, tolerance * (unit + std::fabs(should.a))) << what;
        double size = unit;
        for (int i = 0; i < inside.size(); ++i)
            size = std::max(size, std::fabs(should.v[i] * factor(i, scaled)));
        for (int i = 0; i < inside.size(); ++i) {
            if (inside.reduction().sigma[i] <= 0) continue;
            EXPECT_NEAR(gradient[i], should.v[i] * factor(i, scaled), tolerance * size)
                << what << ", variable " << i;
        }
    }
    double factor(int i, bool scaled) const { return scaled ? inside.reduction().sigma[i] : 1.0; }

    void balance_point() const {
        double fore[max_variables], left[max_variables];
        push().find_balance_point(fore, left);
        expect("balance point, fore", placed.balance_point[0], e.state.balance_point.fore, fore, false);
        expect("balance point, left", placed.balance_point[1], e.state.balance_point.left, left, false);
    }

    void distances() const {
        double gradient[max_variables];
        for (int i = 0; i < inside.reduction().limb_count; ++i) {
            aplomb::Push p = push();
            p.begin(gradient);
            p.distance(i, 1);
            p.finish();
            expect("distance", distance(i), e.state.limb[i].span.distance, gradient, false);
        }
    }
    const Jet& distance(int limb) const { return placed.distance[limb]; }

    void rows() const {
        aplomb::Derivatives d;
        std::vector<double> jacobian(aplomb::max_residuals * stride), near(aplomb::max_near_rows * stride);
        d.jacobian = jacobian.data(), d.near_row = near.data(), d.stride = static_cast<int>(stride);
        inside.problem.differentiate(e, d, 1e9);
        for (int k = 0; k < d.near_count; ++k) {
            const int index = d.near_index[k];
            if (e.row[index] > 1e5) continue; // cannot be measured
            const aplomb::Row& row = inside.problem.row(index);
            expect(name(row.kind), row_value(row) / Jet(row.scale), e.row[index],
                   d.near_row + static_cast<size_t>(k) * stride, true);
        }
        // Past its reach a limb stays at the end of it, with the slopes found there: no derivative of
        // anything.
        if (is_within_reach()) {
            expect("objective", objective(), e.objective, d.gradient, true);
            double alone[aplomb::max_variables];
            inside.problem.objective_gradient(e, alone);
            expect("objective, alone", objective(), e.objective, alone, true);
        }
    }

    aplomb::Push push() const { return {inside.model, e.state, inside.solver->bench.wrench}; }

    Inside inside;
    JetModel plain_model;
    JetProblem plain_problem;
    aplomb::Evaluation& e;
    Jet x[max_variables];
    Placed<Jet> placed;

private:
    static constexpr size_t stride = max_variables + 1;

    static const char* name(aplomb::RowKind kind) {
        static const char* const names[] = {"edge", "chest",       "hips",     "reach",
                                            "fold", "start limit", "end limit"};
        return names[static_cast<int>(kind)];
    }

    Jet row_value(const aplomb::Row& row) const {
        if (row.kind != aplomb::RowKind::edge) return plain_problem.row<Jet>(row, x, placed);
        const aplomb::Vec2& n = inside.support.area.normal[row.index];
        return Jet(inside.support.area.offset[row.index] - inside.support.margin_asked) -
               placed.balance_point[0] * n.fore - placed.balance_point[1] * n.left;
    }

    Jet objective() const {
        Jet sum(0.0);
        for (const Jet& r :
             plain_problem.residuals<Jet>(x, placed, plain_problem.middle().data(), inside.aim.rest_point))
            sum += r * r;
        return sum * 0.5;
    }
};

class Derivatives : public testing::TestWithParam<int> {
protected:
    static const Company& company() {
        static const Company made;
        return made;
    }
    /// Moments of this figure out of the corpus, with x at random about the key.
    template<class Check>
    void each(const Check& check) {
        int done = 0;
        for (uint64_t seed = 1; done < 40; ++seed) {
            Case c = make_case(company(), seed);
            if (c.figure != static_cast<size_t>(GetParam())) continue;
            SCOPED_TRACE("seed " + std::to_string(seed));
            Dice dice(seed + 77);
            if (seed % 3 == 0) set_in_motion(company()[c.figure], dice, c.moment);
            c.moment.options.heft = seed % 4 == 0 ? 0 : dice.one_of({0.4, 1.0, 1.0});
            for (aplomb_contact& contact : c.moment.contacts)
                if (contact.hold == APLOMB_HELD && dice.chance(0.7)) contact.ride = APLOMB_RIDE_HIP;
            Dice ends(seed + 177);
            const Carried carried = {ends.one_of({1.0, 0.6, 0.0}), ends.one_of({0.0, 0.3, 1.0})};
            const Compared compared(company()[c.figure], c.moment, carried, dice, seed % 2 == 0 ? 0.3 : 1.2);
            if (!compared.is_within_reach()) continue;
            ++done;
            check(compared);
        }
    }
};

TEST_P(Derivatives, BalancePoint) {
    each([](const Compared& c) { c.balance_point(); });
}

TEST_P(Derivatives, DistanceOfFixedLimbs) {
    each([](const Compared& c) { c.distances(); });
}

TEST_P(Derivatives, RowsAndObjective) {
    each([](const Compared& c) { c.rows(); });
}

INSTANTIATE_TEST_SUITE_P(Figures, Derivatives, testing::Range(0, static_cast<int>(Company::size)));

} // namespace
} // namespace own

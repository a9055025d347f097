// SPDX-License-Identifier: MIT
// Values and first derivatives of the reduced model and of the pose problem against automatic differentiation
// of an independent forward model (jet_model.h), to 1e-9 of their size.
#include <gtest/gtest.h>

#include "balance/corpus.h"
#include "balance/jet_model.h"

namespace own {
namespace {

using aplomb::max_variables;
using Jet = ceres::Jet<double, max_variables>;

constexpr double tolerance = 1e-9;

class Compared {
public:
    Compared(const Character& character, const Moment& moment, const Carried& carried, Dice& dice,
             double spread)
        : inside(character, moment, carried), plain_model(inside), e(inside.evaluation()) {
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
        const int i = row.index;
        switch (row.kind) {
        case aplomb::RowKind::edge: {
            const aplomb::Vec2& n = inside.support.area.normal[i];
            return Jet(inside.support.area.offset[i] - inside.support.margin_asked) -
                   placed.balance_point[0] * n.fore - placed.balance_point[1] * n.left;
        }
        case aplomb::RowKind::chest: {
            const Vec<Jet> turn = log_turn<Jet>(plain_model.since_key(placed, inside.figure.chest));
            return (Jet(row.bound) - turn.squaredNorm() / Jet(row.bound)) * 0.5;
        }
        case aplomb::RowKind::hips:
            return (Jet(row.bound) - (x[0] * x[0] + x[1] * x[1] + x[2] * x[2]) / Jet(row.bound)) * 0.5;
        case aplomb::RowKind::reach:
            return Jet(row.bound) - distance(i);
        case aplomb::RowKind::fold:
            return distance(i) - row.bound;
        default:
            break;
        }
        const aplomb::Limb& limb = inside.figure.limbs[inside.reduction().limb[i].limb];
        const int32_t joint = row.kind == aplomb::RowKind::start_limit ? limb.upper : limb.end;
        const Mat<Jet> above = plain_model.from_neutral(placed, inside.figure.joints[joint].parent);
        const Vec<Jet> parts =
            swing_and_twist<Jet>(above.transpose() * plain_model.from_neutral(placed, joint));
        return (parts[row.axis] - row.bound) * double(row.sign);
    }

    /// Where the hips' shift is measured from: phi (h - q) / kappa, as stated in design section 4.4.
    Vector hips_middle() const {
        if (inside.options.rest <= 0) return Vector::Zero();
        Jet still[max_variables];
        for (int i = 0; i < inside.size(); ++i)
            still[i] = Jet(0.0, i);
        const Placed<Jet> keyed = plain_model.place<Jet>(still);
        const aplomb::Vec2& way = inside.aim.hips_way;
        return {way.fore / std::max(0.5, keyed.balance_point[0].v[0]),
                way.left / std::max(0.5, keyed.balance_point[1].v[1]), 0};
    }

    Jet objective() const {
        const aplomb::Reduction& r = inside.reduction();
        const aplomb_options& o = inside.options;
        const Vector middle = hips_middle();
        Jet sum(0.0);
        for (int i = 0; i < inside.size(); ++i) {
            if (r.sigma[i] <= 0) continue;
            const Jet off = (x[i] - (i < 3 ? middle[i] : 0.0) - wish(i)) / Jet(r.sigma[i]);
            sum += off * off;
        }
        for (int i = 0; i < r.limb_count; ++i)
            sum += bend_cost(r.limb[i], placed.used[i]);
        sum += caps();
        const double aim = o.aim * inside.figure.leg_length;
        const Jet fore = placed.balance_point[0] - inside.aim.rest_point.fore,
                  left = placed.balance_point[1] - inside.aim.rest_point.left;
        const Jet off = (fore * fore + left * left) * (o.rest / (aim * aim)); // linear beyond 3
        sum += off * 2.0 / (Jet(1.0) + sqrt(Jet(1.0) + off / 9.0));
        return sum * 0.5;
    }

    /// What a load asks of a variable: the whole spine's lean by the parts of its variance.
    double wish(int i) const {
        const aplomb::Reduction& r = inside.reduction();
        const aplomb::Carriage& c = inside.carriage;
        if (i < 3) return c.hips[i];
        if (i < 6) return c.pelvis[i - 3];
        const int block = (i - 6) / 3, axis = (i - 6) % 3;
        if (block >= r.block_count || axis != 2) return 0;
        double whole = 0;
        for (int b = 0; b < r.block_count; ++b)
            whole += r.sigma[6 + 3 * b + 2] * r.sigma[6 + 3 * b + 2];
        double wished = c.spine_side * r.sigma[i] * r.sigma[i] / whole;
        if (r.block_count > 1) wished += c.curve * ((block == r.block_count - 1) - (block == 0));
        return wished;
    }

    /// (|chest| - 22)+ / 1.5 degrees; a shin's (angle ahead of plumb - cap)+ / 1 degree; the chest's lean towards a load.
    Jet caps() const {
        const Vec<Jet> chest = log_turn<Jet>(plain_model.since_key(placed, inside.figure.chest));
        const auto above = [](const Jet& value, double sigma) {
            return value.a > 0 ? value * value / Jet(sigma * sigma) : Jet(0.0);
        };
        const double degree = aplomb::degree;
        Jet sum = chest.squaredNorm() > 1e-12 ? above(sqrt(chest.squaredNorm()) - 22 * degree, 1.5 * degree)
                                              : Jet(0.0);
        const aplomb::Ground& g = inside.key.ground;
        const Vector fore = plain(g.fore), up = plain(g.normal);
        sum += above(-chest.dot(Vec<Jet>(fore.cast<Jet>())) * inside.carriage.away, degree);
        for (int i = 0; i < inside.reduction().limb_count; ++i) {
            const aplomb::FixedLimb& fixed = inside.reduction().limb[i];
            const aplomb::Limb& limb = inside.figure.limbs[fixed.limb];
            if (limb.kind != APLOMB_LEG || !fixed.bearing) continue;
            const auto ahead = [&](const auto& shin) {
                using std::atan2;
                return atan2(shin.dot(fore.cast<typename std::decay_t<decltype(shin)>::Scalar>()),
                             shin.dot(up.cast<typename std::decay_t<decltype(shin)>::Scalar>()));
            };
            const auto world = inside.key.body.world;
            const Vector keyed = plain(world[limb.lower].position) - plain(world[limb.end].position);
            const Vector toe = plain(world[limb.end].rotation) *
                               plain(inside.figure.joints[limb.end].neutral).transpose() * Vector(0, 0, 1);
            const double pitch = std::asin(std::clamp(-toe.dot(up), 0.0, 1.0));
            const double cap = std::max(25 * degree + pitch, ahead(keyed) + 3 * degree);
            double bearing = 0;
            for (int k = 0; k < inside.key.stance.contact_count; ++k)
                if (inside.key.stance.contact[k].limb == fixed.limb)
                    bearing = inside.key.stance.contact[k].bearing;
            const Vec<Jet> shin =
                placed.place[static_cast<size_t>(limb.lower)] - plain(world[limb.end].position).cast<Jet>();
            sum += above(ahead(shin) - cap, degree) * (bearing * bearing);
        }
        return sum;
    }

    /// ((theta(d) - theta_key) / sigma)^2, theta(d) = sqrt(8 (1 - d/L) + (6 degrees)^2).
    Jet bend_cost(const aplomb::FixedLimb& limb, const Jet& used) const {
        constexpr double least = 6 * aplomb::degree;
        const auto theta = [&](const Jet& d) {
            return sqrt((Jet(1.0) - d / Jet(limb.span.length)) * 8.0 + least * least);
        };
        const double keyed = (plain(limb.span.end) - plain(limb.span.start)).norm();
        if (limb.holds_load) return Jet(0.0);
        const Jet change =
            theta(used) - theta(Jet(std::min(keyed, limb.span.most))) - inside.carriage.bend[limb.limb];
        const double sigma = change.a > 0 ? inside.options.knee_bend : inside.options.knee_straighten;
        return change * change / Jet(sigma * sigma) * ((1 - limb.ride) * (1 - limb.ride));
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

// SPDX-License-Identifier: MIT
// What a correction of one pose costs and must keep to, once more from the design's formula (sections 4.1 to 4.5), for any
// scalar type, on the plain model of jet_model.h. Which rows there are, and their bounds, comes from the library, and so do
// a moment's constants: stiffness, rest point, what a load asks for.
#pragma once

#include "balance/jet_model.h"

namespace own {

class JetProblem {
public:
    JetProblem(const JetModel& model, const aplomb_options& options, const aplomb::Figure& figure,
               const aplomb::Key& key, const aplomb::Reduction& reduction, const aplomb::Carriage& carriage,
               const aplomb::Aim& aim)
        : model_(model), options_(options), figure_(figure), s_(key), r_(reduction), carriage_(carriage),
          aim_(aim) {}

    /// In metres and radians; those of the support are the caller's.
    template<class T>
    T row(const aplomb::Row& row, const T* x, const Placed<T>& placed) const {
        const int i = row.index;
        switch (row.kind) {
        case aplomb::RowKind::chest: {
            const Vec<T> turn = log_turn<T>(model_.since_key(placed, figure_.chest));
            return (T(row.bound) - turn.squaredNorm() / T(row.bound)) * T(0.5);
        }
        case aplomb::RowKind::hips:
            return (T(row.bound) - (x[0] * x[0] + x[1] * x[1] + x[2] * x[2]) / T(row.bound)) * T(0.5);
        case aplomb::RowKind::reach:
            return T(row.bound) - placed.distance[i];
        case aplomb::RowKind::fold:
            return placed.distance[i] - T(row.bound);
        default:
            break;
        }
        const aplomb::Limb& limb = figure_.limbs[r_.limb[i].limb];
        const int32_t joint = row.kind == aplomb::RowKind::start_limit ? limb.upper : limb.end;
        const Mat<T> above = model_.from_neutral(placed, figure_.joints[joint].parent);
        const Vec<T> parts = swing_and_twist<T>(above.transpose() * model_.from_neutral(placed, joint));
        return (parts[row.axis] - T(row.bound)) * T(double(row.sign));
    }

    /// What each variable is measured from: phi (h - q) / kappa, as stated in design section 4.4, and what a load asks for.
    std::vector<double> middle() const {
        std::vector<double> all(static_cast<size_t>(r_.variable_count));
        for (int i = 0; i < r_.variable_count; ++i)
            all[static_cast<size_t>(i)] = wish(i);
        if (options_.rest <= 0) return all;
        using Slope = ceres::Jet<double, 2>;
        std::vector<Slope> still(all.size(), Slope(0.0));
        still[0].v[0] = still[1].v[1] = 1;
        const Placed<Slope> keyed = model_.place<Slope>(still.data());
        all[0] += aim_.hips_way.fore / std::max(0.5, keyed.balance_point[0].v[0]);
        all[1] += aim_.hips_way.left / std::max(0.5, keyed.balance_point[1].v[1]);
        return all;
    }

    /// The cost is half of the sum of their squares. `aim`: where the balance point should be.
    template<class T>
    std::vector<T> residuals(const T* x, const Placed<T>& placed, const double* middle,
                             const aplomb::Vec2& aim) const {
        std::vector<T> all;
        for (int i = 0; i < r_.variable_count; ++i) {
            if (r_.sigma[i] > 0) all.push_back((x[i] - T(middle[i])) / T(r_.sigma[i]));
        }
        for (int i = 0; i < r_.limb_count; ++i)
            all.push_back(bend(r_.limb[i], placed.used[i]));
        add_caps(placed, all);
        const double unit = options_.aim * figure_.leg_length, weight = std::sqrt(options_.rest) / unit;
        const T fore = (placed.balance_point[0] - T(aim.fore)) * T(weight),
                left = (placed.balance_point[1] - T(aim.left)) * T(weight);
        using std::sqrt;
        const T off = fore * fore + left * left; // linear beyond 3
        const T slower = sqrt(T(2.0) / (T(1.0) + sqrt(T(1.0) + off / T(9.0))));
        all.push_back(fore * slower);
        all.push_back(left * slower);
        return all;
    }

private:
    /// What a load asks of a variable: the whole spine's lean by the parts of its variance.
    double wish(int i) const {
        if (i < 3) return carriage_.hips[i];
        if (i < 6) return carriage_.pelvis[i - 3];
        const int block = (i - 6) / 3, axis = (i - 6) % 3;
        if (block >= r_.block_count || axis != 2) return 0;
        double whole = 0;
        for (int b = 0; b < r_.block_count; ++b)
            whole += r_.sigma[6 + 3 * b + 2] * r_.sigma[6 + 3 * b + 2];
        double wished = carriage_.spine_side * r_.sigma[i] * r_.sigma[i] / whole;
        if (r_.block_count > 1) wished += carriage_.curve * ((block == r_.block_count - 1) - (block == 0));
        return wished;
    }

    /// (|chest| - 22)+ / 1.5 degrees; a shin's (angle ahead of plumb - cap)+ / 1 degree; the chest's lean towards a load.
    template<class T>
    void add_caps(const Placed<T>& placed, std::vector<T>& all) const {
        using std::sqrt;
        const double degree = aplomb::degree;
        const auto above = [&](const T& value, double sigma) {
            all.push_back(value > 0.0 ? value / T(sigma) : T(0.0));
        };
        const Vec<T> chest = log_turn<T>(model_.since_key(placed, figure_.chest));
        above(chest.squaredNorm() > 1e-12 ? sqrt(chest.squaredNorm()) - T(22 * degree) : T(0.0),
              1.5 * degree);
        const Vector fore = plain(s_.ground.fore), up = plain(s_.ground.normal);
        above(-chest.dot(Vec<T>(fore.cast<T>())) * T(carriage_.away), degree);
        for (int i = 0; i < r_.limb_count; ++i) {
            const aplomb::FixedLimb& fixed = r_.limb[i];
            const aplomb::Limb& limb = figure_.limbs[fixed.limb];
            if (limb.kind != APLOMB_LEG || !fixed.bearing) continue;
            const auto ahead = [&](const auto& shin) {
                using std::atan2;
                using S = typename std::decay_t<decltype(shin)>::Scalar;
                return atan2(shin.dot(fore.cast<S>()), shin.dot(up.cast<S>()));
            };
            const auto world = s_.body.world;
            const Vector keyed = plain(world[limb.lower].position) - plain(world[limb.end].position);
            const Vector toe = plain(world[limb.end].rotation) *
                               plain(figure_.joints[limb.end].neutral).transpose() * Vector(0, 0, 1);
            const double pitch = std::asin(std::clamp(-toe.dot(up), 0.0, 1.0));
            const double cap = std::max(25 * degree + pitch, ahead(keyed) + 3 * degree);
            double bearing = 0;
            for (int k = 0; k < s_.stance.contact_count; ++k)
                if (s_.stance.contact[k].limb == fixed.limb) bearing = s_.stance.contact[k].bearing;
            const Vec<T> shin = placed.place[static_cast<size_t>(limb.lower)] -
                                plain(world[limb.end].position).template cast<T>();
            above((ahead(shin) - T(cap)) * T(bearing), degree);
        }
    }

    /// (theta(d) - theta_key) / sigma, theta(d) = sqrt(8 (1 - d/L) + (6 degrees)^2).
    template<class T>
    T bend(const aplomb::FixedLimb& limb, const T& used) const {
        using std::sqrt;
        constexpr double least = 6 * aplomb::degree;
        const auto theta = [&](const T& d) {
            return sqrt((T(1.0) - d / T(limb.span.length)) * T(8.0) + T(least * least));
        };
        const double keyed = (plain(limb.span.end) - plain(limb.span.start)).norm();
        if (limb.holds_load) return T(0.0);
        const T change =
            theta(used) - theta(T(std::min(keyed, limb.span.most))) - T(carriage_.bend[limb.limb]);
        const double sigma = change > 0.0 ? options_.knee_bend : options_.knee_straighten;
        return change / T(sigma) * T(1 - limb.ride);
    }

    const JetModel& model_;
    const aplomb_options& options_;
    const aplomb::Figure& figure_;
    const aplomb::Key& s_;
    const aplomb::Reduction& r_;
    const aplomb::Carriage& carriage_;
    const aplomb::Aim& aim_;
};

} // namespace own

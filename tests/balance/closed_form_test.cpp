// SPDX-License-Identifier: MIT
// A trunk alone against a load, where the answer follows from moments about the hips: with the upper body turned as one piece about the hips so that it and the load balance above the hips,
//     tan(theta) = lam d / (m_HAT r + lam h),
// lam the load over the body's mass, d its distance from the trunk's line, h its height above the hips, and
// of head, arms and trunk m_HAT = .6028 of the body's mass at r = .3305 m (P. de Leva 1996, male).
#include <gtest/gtest.h>

#include <array>
#include <limits>
#include <map>

#include "balance/moment.h"

namespace own {
namespace {

constexpr double hat_mass = .6028, hat_height = .3305, body_mass = 75;

/// Two segments: legs with the hips, and all above. Every mass is above the hips' place.
struct TwoSegments {
    std::vector<const char*> names = {"hips",      "spine",       "left_thigh",  "left_shank",
                                      "left_foot", "right_thigh", "right_shank", "right_foot"};
    std::vector<int32_t> parents = {-1, 0, 0, 2, 3, 0, 5, 6};
    std::vector<int32_t> roles = {APLOMB_ROLE_HIPS, APLOMB_ROLE_SPINE, APLOMB_ROLE_THIGH, APLOMB_ROLE_SHANK,
                                  APLOMB_ROLE_FOOT, APLOMB_ROLE_THIGH, APLOMB_ROLE_SHANK, APLOMB_ROLE_FOOT};
    std::vector<int32_t> sides = {APLOMB_SIDE_MIDDLE, APLOMB_SIDE_MIDDLE, APLOMB_SIDE_LEFT,
                                  APLOMB_SIDE_LEFT,   APLOMB_SIDE_LEFT,   APLOMB_SIDE_RIGHT,
                                  APLOMB_SIDE_RIGHT,  APLOMB_SIDE_RIGHT};
    std::vector<double> translations = {0, .95,  0,    0,   0, 0, .1, 0,    0,   0, -.45, .02,
                                        0, -.43, -.06, -.1, 0, 0, 0,  -.45, .02, 0, -.43, -.06};
    std::vector<double> rotations, masses, centres, limits, tips;

    TwoSegments() {
        const double unknown = std::numeric_limits<double>::quiet_NaN();
        rotations.resize(4 * parents.size());
        tips.assign(3 * parents.size(), unknown), limits.assign(6 * parents.size(), unknown);
        for (size_t j = 0; j < parents.size(); ++j)
            rotations[4 * j + 3] = 1;
        masses.assign(parents.size(), 0), centres.assign(3 * parents.size(), 0);
        masses[1] = hat_mass * body_mass, centres[4] = hat_height;
        for (const size_t thigh : {2u, 5u})
            masses[thigh] = 0.5 * (1 - hat_mass) * body_mass, centres[3 * thigh + 1] = -.4;
        for (const size_t foot : {4u, 7u})
            tips[3 * foot] = 0, tips[3 * foot + 1] = -.07, tips[3 * foot + 2] = .19;
        tips[3] = tips[5] = 0, tips[4] = .8; // of the spine: the crown
        for (size_t k = 6; k < 12; ++k)
            limits[k] = k % 2 == 0 ? -1.5 : 1.5;
    }
    lay::FigureHandle create() const {
        aplomb_figure_desc d;
        aplomb_figure_desc_init(&d, sizeof d);
        d.joint_count = static_cast<int32_t>(parents.size());
        d.parents = parents.data(), d.translations = translations.data(), d.names = names.data();
        d.roles = roles.data(), d.sides = sides.data(), d.tips = tips.data();
        d.masses = masses.data(), d.centres = centres.data(), d.limits = limits.data();
        return lay::LayFigure::create_figure(d);
    }
};

/// The trunk alone moves, and comes to rest all the way.
aplomb_options trunk_alone() {
    aplomb_options o = default_options();
    o.free = APLOMB_FREE_SPINE;
    o.rest = 1e6;
    o.trunk_fore = o.trunk_side = o.trunk_twist = 10;
    o.max_trunk = 3;
    o.heft = 0, o.aim = 1e-3; // no more than balance asks for, and far stiffer than the chest's cap
    return o;
}

struct Arm {
    const char* what;
    double distance, height; // away and up from the hips
};

/// The rotation of the trunk, x y z w.
std::array<double, 4> turn_against(const aplomb_figure* figure, const TwoSegments& shape,
                                   aplomb_situation s) {
    const SolverHandle solver = make_solver(figure);
    s.translations = shape.translations.data(), s.rotations = shape.rotations.data();
    const aplomb_options o = trunk_alone();
    std::vector<double> t(shape.translations.size()), r(shape.rotations.size());
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    aplomb_error error{};
    EXPECT_EQ(aplomb_balance(solver.get(), &s, &o, t.data(), r.data(), &result, &error), APLOMB_OK)
        << error.message;
    EXPECT_NEAR(result.rest_point[2], 0,
                1e-12); // over the hips, where the unloaded figure's balance point is
    EXPECT_NEAR(r[5], 0, 1e-12);
    return {r[4], r[5], r[6], r[7]};
}

std::array<double, 4> turn_against(const aplomb_figure* figure, const TwoSegments& shape,
                                   const aplomb_load& load) {
    aplomb_situation s;
    aplomb_situation_init(&s, sizeof s);
    s.loads = &load, s.load_count = 1;
    return turn_against(figure, shape, s);
}

/// The lean forward, radians.
double lean_against(const aplomb_figure* figure, const TwoSegments& shape, double part, const Arm& arm) {
    aplomb_load load = aplomb_load_make(part * body_mass, 1);
    load.offset[1] = arm.height, load.offset[2] = arm.distance;
    const std::array<double, 4> turn = turn_against(figure, shape, load);
    EXPECT_NEAR(turn[2], 0, 1e-12);
    return 2 * std::atan2(turn[0], turn[3]);
}

/// The lean to the right away from a load that hangs from the left shoulder, radians.
double lean_away(const aplomb_figure* figure, const TwoSegments& shape, double part, const Arm& arm) {
    aplomb_load load = aplomb_load_make(part * body_mass, 1);
    load.offset[0] = arm.distance, load.offset[1] = arm.height;
    load.hanging = 1, load.hang = .6;
    const std::array<double, 4> turn = turn_against(figure, shape, load);
    EXPECT_NEAR(turn[0], 0, 1e-12);
    return 2 * std::atan2(turn[2], turn[3]);
}

TEST(ClosedForm, ATrunkAloneLeansAsTheFormulaSays) {
    const TwoSegments shape;
    const lay::FigureHandle figure = shape.create();
    for (const Arm& arm :
         {Arm{"pack", -.20, .35}, Arm{"pack", -.25, .30}, Arm{"box", .30, .20}, Arm{"box", .35, .10}}) {
        for (const double part : {.05, .10, .15, .20, .30}) {
            const double theta = std::atan(part * arm.distance / (hat_mass * hat_height + part * arm.height));
            EXPECT_NEAR(lean_against(figure.get(), shape, part, arm), -theta, 1e-7)
                << arm.what << " " << part;
        }
    }
}

// A suitcase is in plumb under the shoulder, .20 m aside and .5155 m above the hips, however long the arm.
TEST(ClosedForm, ATrunkAloneLeansAwayFromASuitcase) {
    const TwoSegments shape;
    const lay::FigureHandle figure = shape.create();
    const Arm shoulder = {"suitcase", .20, .5155};
    const std::map<double, double> printed = {{.05, 2.5}, {.10, 4.6}, {.15, 6.2}, {.20, 7.5}, {.30, 9.6}};
    for (const auto& [part, told] : printed) {
        const double theta =
            std::atan(part * shoulder.distance / (hat_mass * hat_height + part * shoulder.height));
        const double lean = lean_away(figure.get(), shape, part, shoulder);
        EXPECT_NEAR(std::fabs(lean), theta, 1e-7) << part;
        EXPECT_NEAR(std::fabs(degrees(lean)), told, 0.06) << part;
    }
}

// A level pull F at the trunk's line, h above the hips and H the hips' height, is level with the body where
//     m_HAT r sin(theta) = k (H + h cos(theta)), k = F over the body's weight.
TEST(ClosedForm, ATrunkAloneLeansAgainstARope) {
    const TwoSegments shape;
    const lay::FigureHandle figure = shape.create();
    constexpr double gravity = 9.80665, hips = .95;
    for (const double height : {.1, .4}) {
        for (const double force : {-80.0, -30.0, 15.0, 50.0, 80.0}) {
            aplomb_pull pull{};
            pull.joint = 1, pull.point[1] = height, pull.force[2] = force;
            aplomb_situation s;
            aplomb_situation_init(&s, sizeof s);
            s.pulls = &pull, s.pull_count = 1;
            const std::array<double, 4> turn = turn_against(figure.get(), shape, s);
            const double k = force / (body_mass * gravity), a = hat_mass * hat_height, b = k * height;
            const double theta = std::asin(k * hips / std::hypot(a, b)) + std::atan(b / a);
            EXPECT_NEAR(2 * std::atan2(turn[0], turn[3]), -theta, 1e-7) << height << " " << force;
        }
    }
}

TEST(ClosedForm, PrintedDegreesOfTheTable) {
    const TwoSegments shape;
    const lay::FigureHandle figure = shape.create();
    const auto lean = [&](double part, const Arm& arm) {
        return std::fabs(degrees(lean_against(figure.get(), shape, part, arm)));
    };
    EXPECT_NEAR(lean(.10, {"pack", -.20, .35}), 4.9, 0.06);
    EXPECT_NEAR(lean(.20, {"pack", -.25, .30}), 10.9, 0.06);
    EXPECT_NEAR(lean(.40, {"pack", -.25, .30}), 17.4, 0.06);
    EXPECT_NEAR(lean(.20, {"box", .30, .20}), 14.1, 0.06);
    EXPECT_NEAR(lean(.30, {"box", .35, .10}), 24.6, 0.06);
}

} // namespace
} // namespace own

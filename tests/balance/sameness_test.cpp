// SPDX-License-Identifier: MIT
// The same case told in another way has the same correction: other units and axes, mirrored, turned about up,
// far away, larger or smaller, and with a spine joint cut in two.
#include <gtest/gtest.h>

#include <limits>

#include "balance/carries.h"

namespace own {
namespace {

/// A bucket in the right hand of a figure that stands a little askew: nothing about it is symmetric.
lay::Pose askew(const Character& c) {
    lay::Pose pose = stand(c);
    pose.turn("hips", 2, 6, 1).turn("spine_1", 3, 4, 2).turn("neck", 5, 8, 0).turn("right_upper_arm", -15);
    pose.move(0.01, -0.01, 0.005);
    return pose.plant();
}

Moment loaded(const Character& c, const lay::Pose& pose, const std::string& hand = "right_hand") {
    Moment m(pose);
    m.loads = {bucket(c, hand, .25)};
    m.options.exact = 1;
    return m;
}

/// Host axes against the tests' own: a turn and a scale.
struct Host {
    Turn turn = Turn::Identity();
    double units_per_metre = 1;

    void lengths(std::vector<double>& v) const {
        for (size_t i = 0; i < v.size(); i += 3) {
            const Vector p = turn * Vector(v[i], v[i + 1], v[i + 2]) * units_per_metre;
            for (int k = 0; k < 3; ++k)
                v[i + static_cast<size_t>(k)] = p[k];
        }
    }
    void turns(std::vector<double>& v) const {
        for (size_t i = 0; i < v.size(); i += 4) {
            const Turn q = turn * Turn(v[i + 3], v[i], v[i + 1], v[i + 2]) * turn.conjugate();
            v[i] = q.x(), v[i + 1] = q.y(), v[i + 2] = q.z(), v[i + 3] = q.w();
        }
    }
    Host back() const { return {turn.conjugate(), 1 / units_per_metre}; }
};

/// Largest difference of the numbers.
double difference(const std::vector<double>& a, const std::vector<double>& b) {
    double worst = 0;
    for (size_t i = 0; i < a.size(); ++i)
        worst = std::max(worst, std::fabs(a[i] - b[i]));
    return worst;
}

double turn_difference(const std::vector<double>& a, const std::vector<double>& b) {
    double worst = 0;
    for (size_t i = 0; i < a.size(); i += 4)
        worst = std::max(worst, angle_between(Turn(a[i + 3], a[i], a[i + 1], a[i + 2]),
                                              Turn(b[i + 3], b[i], b[i + 1], b[i + 2])));
    return worst;
}

TEST(Sameness, CentimetresWithZUp) {
    const Moment m = loaded(adult(), askew(adult()));
    const Answer a = balance(adult(), m);

    const Host host{Turn(Eigen::AngleAxisd(std::acos(0.0), Vector::UnitX())), 100};
    lay::LayFigure shape = lay::LayFigure::adult();
    host.lengths(shape.translations), host.lengths(shape.tips);
    aplomb_figure_desc d = shape.desc();
    d.metres_per_unit = 0.01, d.up_axis = APLOMB_AXIS_Z, d.forward_axis = APLOMB_AXIS_MINUS_Y;
    const lay::FigureHandle figure = lay::LayFigure::create_figure(d);
    Moment told = m;
    host.lengths(told.translations), host.turns(told.rotations);
    told.loads[0].hang *= 100;
    const aplomb_situation s = told.situation();
    std::vector<double> t(told.translations.size()), r(told.rotations.size());
    aplomb_error error{};
    ASSERT_EQ(aplomb_balance(make_solver(figure.get()).get(), &s, &told.options, t.data(), r.data(), nullptr,
                             &error),
              APLOMB_OK)
        << error.message;
    host.back().lengths(t), host.back().turns(r);
    EXPECT_LT(difference(t, a.translations), 1e-8);
    EXPECT_LT(turn_difference(r, a.rotations), 1e-7);
}

/// Left for right: joints swap their sides, lengths x, turns y and z their sign.
size_t mirror_of(const Character& c, size_t joint) {
    std::string name = c.shape.names[joint];
    if (name.rfind("left_", 0) == 0)
        name = "right_" + name.substr(5);
    else if (name.rfind("right_", 0) == 0)
        name = "left_" + name.substr(6);
    return static_cast<size_t>(c.find(name));
}

void mirror(const Character& c, std::vector<double>& translations, std::vector<double>& rotations) {
    const std::vector<double> t = translations, r = rotations;
    for (size_t j = 0; j < t.size() / 3; ++j) {
        const size_t m = mirror_of(c, j);
        translations[3 * j] = -t[3 * m], translations[3 * j + 1] = t[3 * m + 1],
                         translations[3 * j + 2] = t[3 * m + 2];
        rotations[4 * j] = r[4 * m], rotations[4 * j + 1] = -r[4 * m + 1],
                      rotations[4 * j + 2] = -r[4 * m + 2];
        rotations[4 * j + 3] = r[4 * m + 3];
    }
}

TEST(Sameness, Mirrored) {
    const Moment m = loaded(adult(), askew(adult()));
    Moment mirrored = m;
    mirror(adult(), mirrored.translations, mirrored.rotations);
    mirrored.loads[0].holder[0] = adult().find("left_hand");
    const Answer a = balance(adult(), m);
    Answer b = balance(adult(), mirrored);
    mirror(adult(), b.translations, b.rotations);
    EXPECT_GT(degrees(turn_difference(m.rotations, a.rotations)), 2);
    EXPECT_LT(difference(b.translations, a.translations), 1e-8);
    EXPECT_LT(turn_difference(b.rotations, a.rotations), 1e-7);
}

/// The root carried by a rigid motion.
void carry_root(std::vector<double>& translations, std::vector<double>& rotations, const Turn& turn,
                const Vector& shift) {
    const Vector p = turn * Vector(translations[0], translations[1], translations[2]) + shift;
    const Turn q = turn * Turn(rotations[3], rotations[0], rotations[1], rotations[2]);
    for (int k = 0; k < 3; ++k)
        translations[static_cast<size_t>(k)] = p[k];
    rotations[0] = q.x(), rotations[1] = q.y(), rotations[2] = q.z(), rotations[3] = q.w();
}

TEST(Sameness, TurnedAboutUpAndFarAway) {
    const Moment m = loaded(adult(), askew(adult()));
    const Answer a = balance(adult(), m);
    for (const Vector& shift : {Vector(0, 0, 0), Vector(8000, 3, -6000)}) {
        Moment moved = m;
        const Turn turn(Eigen::AngleAxisd(1.1, Vector::UnitY()));
        carry_root(moved.translations, moved.rotations, turn, shift);
        Answer b = balance(adult(), moved);
        carry_root(b.translations, b.rotations, turn.conjugate(), -(turn.conjugate() * shift));
        EXPECT_LT(difference(b.translations, a.translations), 1e-8); // 10 km hold 2e-12 m in a double
        EXPECT_LT(turn_difference(b.rotations, a.rotations), 1e-7);
    }
}

TEST(Sameness, TenTimesAndATenthTheSize) {
    const Moment m = loaded(adult(), askew(adult()));
    const Answer a = balance(adult(), m);
    for (const double size : {10.0, 0.1}) {
        lay::LayFigure shape = lay::LayFigure::adult();
        for (double& v : shape.translations)
            v *= size;
        for (double& v : shape.tips)
            v *= size;
        const Character other(std::move(shape));
        Moment scaled = m;
        for (double& v : scaled.translations)
            v *= size;
        scaled.loads[0].hang *= size;
        Answer b = balance(other, scaled);
        for (double& v : b.translations)
            v /= size;
        EXPECT_EQ(b.status, APLOMB_OK);
        EXPECT_LT(difference(b.translations, a.translations), 1e-8) << size;
        EXPECT_LT(turn_difference(b.rotations, a.rotations), 1e-7) << size;
    }
}

/// A figure whose joint is followed, at the same place, by another that takes over what hung on it.
lay::LayFigure cut_in_two(lay::LayFigure f, const std::string& joint) {
    const int32_t at = f.find(joint);
    const size_t after = static_cast<size_t>(at) + 1;
    const auto put = [&](auto& list, auto value) {
        list.insert(list.begin() + static_cast<std::ptrdiff_t>(after), value);
    };
    for (int32_t& p : f.parents)
        p = p >= at ? p + 1 : p; // what hung on it hangs on the new one
    put(f.parents, at);
    put(f.names, joint + "_b");
    put(f.roles, f.roles[after - 1]);
    put(f.sides, f.sides[after - 1]);
    put(f.positions, f.positions[after - 1]);
    const double unknown = std::numeric_limits<double>::quiet_NaN();
    f.translations.insert(f.translations.begin() + static_cast<std::ptrdiff_t>(3 * after), {0, 0, 0});
    f.tips.insert(f.tips.begin() + static_cast<std::ptrdiff_t>(3 * after), {unknown, unknown, unknown});
    return f;
}

TEST(Sameness, ASpineJointCutInTwoAtOnePlace) {
    const Answer a = balance(adult(), loaded(adult(), stand(adult())));
    for (const char* joint : {"spine_1", "spine_2"}) {
        const Character cut(cut_in_two(lay::LayFigure::adult(), joint));
        const Answer b = balance(cut, loaded(cut, stand(cut)));
        EXPECT_NEAR(b.result.objective, a.result.objective, 1e-6) << joint;
        for (const char* seen : {"hips", "spine_3", "head", "right_hand", "left_shank", "right_shank"}) {
            const size_t i = static_cast<size_t>(adult().find(seen)), k = static_cast<size_t>(cut.find(seen));
            EXPECT_LT((a.world.place[i] - b.world.place[k]).norm(), 1e-6) << joint << ", " << seen;
            EXPECT_LT(angle_between(a.world.turn[i], b.world.turn[k]), 1e-6) << joint << ", " << seen;
        }
    }
}

} // namespace
} // namespace own

// SPDX-License-Identifier: MIT
// The balance point of bodies in motion against closed forms: a cart on a table, pendulums that fall over.
#include <gtest/gtest.h>

#include "base/rotation.h"
#include "moment/ground.h"
#include "reading/scene.h"

namespace {

using aplomb::Vec3;
using lay::Scene;

constexpr double g = 9.80665;

/// Of a single mass at `place`.
aplomb::Vec2 point_of_mass(double mass, const Vec3& place, const Vec3& acceleration, double gravity) {
    const aplomb::Ground ground = aplomb::make_ground({}, {0, 1, 0}, {0, -gravity, 0}, acceleration, {});
    return aplomb::make_pressing(ground, mass, nullptr, 0, {}).balance_point(place * mass, [](int) {
        return Vec3{};
    });
}

// S. Kajita et al., ICRA 2003: p = x - z a / g. The numbers: his cart at .814 m, g 9.81, worked out by hand.
TEST(Motion, CartOnATable) {
    EXPECT_NEAR(point_of_mass(50, {0, .814, 0}, {0, 0, 1}, 9.81).fore, -.08298, 5e-6);
    EXPECT_NEAR(point_of_mass(50, {0, .9, 0}, {0, 0, -2}, 9.81).fore, .18349, 5e-6);
}

void set(double* out, const Vec3& v) {
    out[0] = v.x, out[1] = v.y, out[2] = v.z;
}
Vec3 vec3(const double* v) {
    return {v[0], v[1], v[2]};
}

/// A figure that bends, with a box in front: nothing is over anything else.
Scene figure() {
    Scene scene;
    scene.bend(.3).lean_right(.1).load_in_front(10, .3);
    return scene;
}

void expect_near(const Vec3& is, const Vec3& should) {
    for (int k = 0; k < 3; ++k)
        EXPECT_NEAR(is[k], should[k], 1e-12) << k;
}

TEST(Motion, AFigureOnACart) {
    Scene scene = figure();
    const aplomb_reading still = scene.read();
    const Vec3 a = {-.7, 0, 1.3};
    set(scene.situation.com_acceleration, a);
    const aplomb_reading r = scene.read();
    const double height = still.centre[1] - still.balance_point[1];
    expect_near(vec3(r.balance_point), vec3(still.balance_point) - a * (height / g));
    expect_near(vec3(r.centre), vec3(still.centre));
    EXPECT_NEAR(r.friction_needed, aplomb::norm(a) / g, 1e-12);
    EXPECT_NEAR(r.trunk_fore, still.trunk_fore, 1e-12); // the trunk leans against the true plumb line
}

// Going up and down alone moves no weight.
TEST(Motion, AFigureInALift) {
    Scene scene = figure();
    scene.situation.com_acceleration[1] = 0;
    const aplomb_reading still = scene.read();
    scene.situation.com_acceleration[1] = 3;
    expect_near(vec3(scene.read().balance_point), vec3(still.balance_point));
}

/// What a stiff body does that turns about a point of the ground, moved by gravity and pushes of the ground there alone.
struct Pendulum {
    Vec3 acceleration, momentum_rate;
    /// `inertia`: about the centre, for every axis the same; `rate`: its turn now, across the way of its fall.
    Pendulum(const Vec3& from_pivot, double mass, double inertia, double rate) {
        const Vec3 torque = cross(from_pivot, Vec3{0, -mass * g, 0});
        const Vec3 turning = torque / (inertia + mass * dot(from_pivot, from_pivot));
        const Vec3 spin = aplomb::normalized(torque) * rate;
        acceleration = cross(turning, from_pivot) + cross(spin, cross(spin, from_pivot));
        momentum_rate = turning * inertia;
    }
};

// The ground pushes at the pivot, so that is the balance point; without the angular momentum it would be the point where
// the line of the push meets the ground from the centre on.
TEST(Motion, FallingPendulum) {
    for (const double inertia : {0.0, 12.0, 40.0}) {
        for (const double rate : {0.0, 1.5}) {
            Scene scene = figure();
            const aplomb_reading still = scene.read();
            const Vec3 pivot = vec3(still.balance_point) + Vec3{.15, 0, -.25};
            const Pendulum falls(vec3(still.centre) - pivot, still.total_mass, inertia, rate);
            set(scene.situation.com_acceleration, falls.acceleration);
            set(scene.situation.angular_momentum_rate, falls.momentum_rate);
            expect_near(vec3(scene.read().balance_point), pivot);
            set(scene.situation.angular_momentum_rate, {});
            const Vec3 push = falls.acceleration + Vec3{0, g, 0};
            const double height = still.centre[1] - pivot.y;
            expect_near(vec3(scene.read().balance_point), vec3(still.centre) - push * (height / push.y));
        }
    }
}

// A. Hof et al., J. Biomech. 38, 2005, equation 11: u = x - x'' / w0^2, w0^2 = g / l, of a pendulum of constant height.
TEST(Motion, PendulumOfConstantHeight) {
    Scene scene = figure();
    const aplomb_reading still = scene.read();
    const double w2 = g / (still.centre[1] - still.balance_point[1]);
    const Vec3 under = vec3(still.balance_point) + Vec3{.02, 0, .11};
    set(scene.situation.com_acceleration, (vec3(still.balance_point) - under) * w2);
    expect_near(vec3(scene.read().balance_point), under);
}

TEST(Motion, ReadAsATiltedGravity) {
    Scene speeding = figure(), tilted = figure();
    const Vec3 a = {.4, -1.1, .9};
    set(speeding.situation.com_acceleration, a);
    set(tilted.situation.gravity, Vec3{0, -g, 0} - a);
    const aplomb_reading is = speeding.read(), should = tilted.read();
    expect_near(vec3(is.balance_point), vec3(should.balance_point));
    expect_near(vec3(is.rest_point), vec3(should.rest_point));
    expect_near(vec3(is.home), vec3(should.home));
    EXPECT_NEAR(is.margin, should.margin, 1e-12);
    EXPECT_NEAR(is.tip_angle, should.tip_angle, 1e-12);
    EXPECT_NEAR(is.tip_energy, should.tip_energy, 1e-9);
    EXPECT_NEAR(is.friction_needed, should.friction_needed, 1e-12);
    EXPECT_NEAR(is.loads[0].natural, should.loads[0].natural, 1e-9);
    EXPECT_NEAR(is.contacts[0].share, should.contacts[0].share, 1e-9);
}

} // namespace

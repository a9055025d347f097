// SPDX-License-Identifier: MIT
// Rotations: exp and log undo each other, the Jacobians agree with finite differences.
#include <cmath>
#include <cstring>
#include <random>

#include <gtest/gtest.h>

#include "base/pair_rotation.h"

namespace {

using namespace aplomb;

class Random {
public:
    Vec3 vector(double length) {
        Vec3 v;
        do
            v = {unit_(engine_), unit_(engine_), unit_(engine_)};
        while (norm(v) < 0.1);
        return normalized(v) * length;
    }

private:
    std::mt19937_64 engine_{7};
    std::uniform_real_distribution<double> unit_{-1, 1};
};

void expect_near(const Vec3& a, const Vec3& b, double tolerance) {
    EXPECT_LE(norm(a - b), tolerance);
}

const double angles[] = {0, 1e-12, 1e-6, 1e-4, 0.9e-2, 1.1e-2, 0.3, 1.5, 3.0, 3.14159};

TEST(Rotation, LogUndoesExp) {
    Random random;
    for (const double angle : angles) {
        for (int i = 0; i < 100; ++i) {
            const Vec3 r = random.vector(angle);
            expect_near(log_rotation(exp_rotation(r)), r, 1e-14 + 1e-15 * angle);
        }
    }
}

TEST(Rotation, LogTakesTheShortWay) {
    const Quat q = exp_rotation({0, 1.2, 0});
    expect_near(log_rotation({-q.x, -q.y, -q.z, -q.w}), {0, 1.2, 0}, 1e-15);
}

TEST(Rotation, RotateAgreesWithTheMatrix) {
    Random random;
    for (int i = 0; i < 1000; ++i) {
        const Quat q = exp_rotation(random.vector(2.5));
        const Vec3 v = random.vector(1);
        expect_near(rotate(q, v), to_matrix(q) * v, 1e-15);
        EXPECT_NEAR(std::fabs(dot(to_quat(to_matrix(q)), q)), 1.0, 1e-15);
    }
}

TEST(Rotation, HalfTurnsComeBackFromTheMatrix) {
    for (const Quat& q : {Quat{1, 0, 0, 0}, Quat{0, 1, 0, 0}, Quat{0, 0, 1, 0}, Quat{0, 0, 0, 1}})
        EXPECT_EQ(std::fabs(dot(to_quat(to_matrix(q)), q)), 1.0);
}

TEST(Rotation, SmallestBetweenDirections) {
    Random random;
    for (int i = 0; i < 1000; ++i) {
        const Vec3 a = random.vector(1), b = random.vector(1);
        const Quat q = rotation_between(a, b);
        expect_near(rotate(q, a), b, 1e-14);
        EXPECT_NEAR(norm(log_rotation(q)), std::acos(std::fmax(-1.0, std::fmin(1.0, dot(a, b)))), 1e-7);
    }
    const Vec3 a{0.6, 0, 0.8};
    expect_near(rotate(rotation_between(a, -a), a), -a, 1e-15);
}

/// The turn in the outer frame from exp(r) to exp(r + h d), per h, by central differences.
Vec3 turn_rate(const Vec3& r, const Vec3& d) {
    const double h = 1e-5;
    return log_rotation(exp_rotation(r + d * h) * conjugate(exp_rotation(r - d * h))) / (2 * h);
}

TEST(Rotation, ExpJacobian) {
    Random random;
    for (const double angle : angles) {
        const Vec3 r = random.vector(angle), d = random.vector(1);
        expect_near(exp_jacobian(r) * d, turn_rate(r, d), 1e-9);
    }
}

TEST(Rotation, LogJacobianIsItsInverse) {
    Random random;
    for (const double angle : angles) {
        const Vec3 r = random.vector(angle), d = random.vector(1);
        expect_near(log_jacobian(r) * (exp_jacobian(r) * d), d, 1e-10);
    }
}

bool same(const Vec3& a, const Vec3& b) {
    return std::memcmp(&a, &b, sizeof a) == 0;
}
bool same(const Quat& a, const Quat& b) {
    return std::memcmp(&a, &b, sizeof a) == 0;
}

/// Two side by side have the bits that each has alone, also where one turn is small and the other large.
TEST(Rotation, PairsHaveTheBitsOfEach) {
    Random random;
    for (const double angle : angles) {
        for (const double other : angles) {
            const Vec3 r[2] = {random.vector(angle), random.vector(other)}, v = random.vector(1);
            const Quat q[2] = {exp_rotation(r[0]), exp_rotation(r[1])};
            const Quat longer[2] = {{q[0].x * 1.1, q[0].y * 1.1, q[0].z * 1.1, q[0].w * 1.1}, q[1]};
            const Vec3Pair turns = side_by_side(r[0], r[1]), vectors = side_by_side(v, r[0]);
            const QuatPair rotations = side_by_side(q[0], q[1]);
            const QuatPair both = exp_rotations(turns), product = both * rotations,
                           unit = normalized(side_by_side(longer[0], longer[1]));
            const Vec3Pair there = rotate(rotations, vectors), back = rotate_back(rotations, vectors);
            for (int i = 0; i < 2; ++i) {
                const Vec3& w = i == 0 ? v : r[0];
                EXPECT_TRUE(same(both[i], q[i])) << angle << ' ' << other;
                EXPECT_TRUE(same(product[i], q[i] * q[i]));
                EXPECT_TRUE(same(unit[i], normalized(longer[i])));
                EXPECT_TRUE(same(there[i], rotate(q[i], w)));
                EXPECT_TRUE(same(back[i], rotate(conjugate(q[i]), w)));
            }
        }
    }
}

} // namespace

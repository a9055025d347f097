// SPDX-License-Identifier: MIT
// Poses from a host's own arrays and matrices, and back.
#include <cmath>
#include <limits>
#include <random>

#include <gtest/gtest.h>

#include "base/rotation.h"
#include "figures.h"

namespace {

using namespace aplomb;
using lay::LayFigure;

class PoseTest : public ::testing::Test {
protected:
    PoseTest() {
        std::mt19937_64 random(5);
        std::uniform_real_distribution<double> unit(-1, 1);
        for (size_t i = 0; i < joints; ++i) {
            const Quat q = exp_rotation({unit(random), unit(random), unit(random)});
            rotations.insert(rotations.end(), {q.x, q.y, q.z, q.w});
        }
        translations[0] = 3;
    }
    aplomb_status to(aplomb_space space) {
        return aplomb_pose_to_matrices(figure.get(), translations.data(), rotations.data(), matrices.data(),
                                       APLOMB_DOUBLE, 128, space, &error);
    }
    aplomb_status from(aplomb_space space) {
        return aplomb_pose_from_matrices(figure.get(), matrices.data(), APLOMB_DOUBLE, 128, space,
                                         back_translations.data(), back_rotations.data(), &error);
    }
    void expect_same(double tolerance) const {
        for (size_t i = 0; i < 3 * joints; ++i)
            ASSERT_NEAR(back_translations[i], translations[i], tolerance);
        for (size_t i = 0; i < joints; ++i) {
            double product = 0;
            for (size_t k = 0; k < 4; ++k)
                product += back_rotations[4 * i + k] * rotations[4 * i + k];
            ASSERT_NEAR(std::fabs(product), 1, tolerance);
        }
    }
    double& element(size_t joint, size_t k) { return matrices[16 * joint + k]; }

    static constexpr size_t joints = 22;
    LayFigure description = LayFigure::adult();
    lay::FigureHandle figure = description.create();
    std::vector<double> translations = description.translations, rotations,
                        matrices = std::vector<double>(16 * joints),
                        back_translations = std::vector<double>(3 * joints, -7),
                        back_rotations = std::vector<double>(4 * joints, -7);
    aplomb_error error{};
};

TEST_F(PoseTest, MatricesThereAndBack) {
    for (const aplomb_space space : {APLOMB_LOCAL, APLOMB_WORLD}) {
        ASSERT_EQ(to(space), APLOMB_OK);
        ASSERT_EQ(from(space), APLOMB_OK) << error.message;
        expect_same(1e-12);
    }
}

TEST_F(PoseTest, FloatMatricesWithAStride) {
    std::vector<unsigned char> bytes(joints * 72 + 1);
    unsigned char* odd = bytes.data() + 1; // not aligned on purpose
    ASSERT_EQ(aplomb_pose_to_matrices(figure.get(), translations.data(), rotations.data(), odd, APLOMB_FLOAT,
                                      72, APLOMB_WORLD, &error),
              APLOMB_OK);
    ASSERT_EQ(aplomb_pose_from_matrices(figure.get(), odd, APLOMB_FLOAT, 72, APLOMB_WORLD,
                                        back_translations.data(), back_rotations.data(), &error),
              APLOMB_OK)
        << error.message;
    expect_same(2e-6);
}

/// A scaled joint: every joint ends up where the matrices put it, in both spaces.
TEST_F(PoseTest, UniformScaleIsTakenOut) {
    ASSERT_EQ(to(APLOMB_WORLD), APLOMB_OK);
    for (size_t j = 3; j < joints; ++j) {
        for (size_t k = 0; k < 11; ++k)
            element(j, k) *= k % 4 == 3 ? 1 : 2.5;
    }
    ASSERT_EQ(from(APLOMB_WORLD), APLOMB_OK) << error.message;
    expect_same(1e-12);

    ASSERT_EQ(to(APLOMB_LOCAL), APLOMB_OK);
    for (size_t k = 0; k < 11; ++k)
        element(1, k) *= k % 4 == 3 ? 1 : 0.5;
    ASSERT_EQ(from(APLOMB_LOCAL), APLOMB_OK);
    EXPECT_NEAR(back_translations[3 * 2 + 1], 0.5 * translations[3 * 2 + 1], 1e-12); // below the scaled joint
    EXPECT_NEAR(back_translations[3 * 1 + 1], translations[3 * 1 + 1], 1e-12);
}

TEST_F(PoseTest, BadMatricesAreRefusedByIndex) {
    const struct {
        const char* what;
        void (*spoil)(double*);
    } table[] = {
        {"left-handed", [](double* m) { m[0] = -m[0], m[1] = -m[1], m[2] = -m[2]; }},
        {"shear",
         [](double* m) {
             for (int k = 0; k < 3; ++k)
                 m[4 + k] = 0.6 * m[k] + 0.8 * m[4 + k];
         }},
        {"not the same", [](double* m) { m[8] *= 1.5, m[9] *= 1.5, m[10] *= 1.5; }},
        {"zero",
         [](double* m) {
             for (int k = 0; k < 11; ++k)
                 m[k] = 0;
         }},
        {"last row", [](double* m) { m[7] = 0.5; }},
        {"finite", [](double* m) { m[13] = std::numeric_limits<double>::infinity(); }},
    };
    for (const auto& bad : table) {
        for (const aplomb_space space : {APLOMB_LOCAL, APLOMB_WORLD}) {
            SCOPED_TRACE(bad.what);
            ASSERT_EQ(to(space), APLOMB_OK);
            bad.spoil(&element(7, 0));
            EXPECT_EQ(from(space), APLOMB_BAD_POSE);
            EXPECT_EQ(error.index, 7);
            EXPECT_NE(std::string(error.message).find(bad.what), std::string::npos) << error.message;
            EXPECT_EQ(back_translations[0], -7); // nothing was written
            EXPECT_EQ(back_rotations[0], -7);
        }
    }
}

TEST_F(PoseTest, BadPosesAreRefusedByIndex) {
    const double nan = std::nan("");
    translations[3 * 9 + 2] = nan;
    EXPECT_EQ(to(APLOMB_WORLD), APLOMB_BAD_POSE);
    EXPECT_STREQ(error.field, "translations");
    EXPECT_EQ(error.index, 9);
    EXPECT_NE(std::string(error.message).find(description.names[9]), std::string::npos) << error.message;
    EXPECT_EQ(matrices[0], 0);
    translations = description.translations;
    for (const double factor : {1 + 2e-4, 1 - 2e-4, 0.0, nan}) {
        std::vector<double> good = rotations;
        for (size_t k = 0; k < 4; ++k)
            rotations[4 * 11 + k] *= factor;
        EXPECT_EQ(to(APLOMB_LOCAL), APLOMB_BAD_POSE);
        EXPECT_STREQ(error.field, "rotations");
        EXPECT_EQ(error.index, 11);
        rotations = good;
    }
    for (size_t k = 0; k < 4; ++k)
        rotations[4 * 11 + k] *= 1 + 0.9e-4; // within the tolerance
    EXPECT_EQ(to(APLOMB_LOCAL), APLOMB_OK);
}

TEST_F(PoseTest, GatherAndScatter) {
    struct Host {
        float place[3], turn[4];
    };
    std::vector<Host> host(joints);
    const size_t stride = sizeof(Host);
    ASSERT_EQ(aplomb_scatter(translations.data(), 3, 22, host[0].place, APLOMB_FLOAT, stride, &error),
              APLOMB_OK);
    ASSERT_EQ(aplomb_scatter(rotations.data(), 4, 22, host[0].turn, APLOMB_FLOAT, stride, &error), APLOMB_OK);
    EXPECT_EQ(host[5].turn[2], static_cast<float>(rotations[4 * 5 + 2]));
    ASSERT_EQ(aplomb_gather(host[0].place, APLOMB_FLOAT, stride, 3, 22, back_translations.data(), &error),
              APLOMB_OK);
    ASSERT_EQ(aplomb_gather(host[0].turn, APLOMB_FLOAT, stride, 4, 22, back_rotations.data(), &error),
              APLOMB_OK);
    expect_same(1e-6);
}

TEST_F(PoseTest, GatherAndScatterCheckTheirArguments) {
    double numbers[6] = {};
    float few[6];
    EXPECT_EQ(aplomb_gather(nullptr, APLOMB_DOUBLE, 24, 3, 2, numbers, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(aplomb_gather(few, APLOMB_FLOAT, 11, 3, 2, numbers, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.field, "stride");
    EXPECT_EQ(aplomb_gather(few, APLOMB_FLOAT, 12, 5, 2, numbers, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(aplomb_gather(few, APLOMB_FLOAT, 12, 3, -1, numbers, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(aplomb_gather(few, static_cast<aplomb_number>(2), 12, 3, 2, numbers, &error),
              APLOMB_BAD_ARGUMENT);
    numbers[4] = 1e300;
    EXPECT_EQ(aplomb_scatter(numbers, 3, 2, few, APLOMB_FLOAT, 12, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(error.index, 1);
}

} // namespace

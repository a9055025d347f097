// SPDX-License-Identifier: MIT
// Recorded gait, where it is at hand: the centre of pressure that two plates measured against our support area.
#include "gait_figure.h"

#include <cstdio>

namespace {

using namespace recorded;
using aplomb::degree;

const char* const angles_file = "subject01_walk1_ik.mot";
const char* const forces_file = "subject01_walk1_grf.mot";

/// How far a point lies inside the support area; negative: outside.
double inside(const aplomb_reading& reading, const Vec3& point) {
    double least = 1e30;
    for (int32_t k = 0; k < reading.edge_count; ++k) {
        const Vec3 a = vector(reading.area[k]), b = vector(reading.area[(k + 1) % reading.edge_count]);
        const Vec3 inwards = normalized(cross(Vec3{0, 1, 0}, Vec3{b.x - a.x, 0, b.z - a.z}));
        least = std::fmin(least, dot(inwards, point - a));
    }
    return least;
}

/// What the plates measured at a time, left and right; the subject keeps each foot to its own.
struct Plates {
    double force[2];
    Vec3 pressure[2];
    static constexpr double touching = 36; // N, a twentieth of the weight: below it the centre is noise
    Plates(const Table& table, double time) {
        for (std::size_t side = 0; side < 2; ++side) {
            const std::string start = side == 0 ? "1_ground_force_" : "ground_force_";
            force[side] = table.value(time, start + "vy");
            pressure[side] = {table.value(time, start + "px"), 0, table.value(time, start + "pz")};
        }
    }
    bool touches(std::size_t side) const { return force[side] > touching; }
    Vec3 whole() const {
        return (pressure[0] * force[0] + pressure[1] * force[1]) * (1 / (force[0] + force[1]));
    }
};

/// The walk by its joint angles, row by row, on the feet that the plates feel.
class Walk {
public:
    Table angles{angles_file}, forces{forces_file};
    Model model;
    GaitFigure figure{model};

    std::size_t rows() const { return angles.rows.size(); }
    double time(std::size_t row) const { return angles.rows[row][0]; }
    Plates plates(std::size_t row) const { return Plates(forces, time(row)); }
    std::vector<Frame> frames(std::size_t row) const { return by_angles(model, angles, time(row)); }
    aplomb_reading reading(std::size_t row, std::vector<std::size_t> feet,
                           const Vec3& acceleration = {0, 0, 0}) const {
        const Pose pose = figure.pose(frames(row));
        std::vector<aplomb_contact> contacts;
        for (const std::size_t side : feet)
            contacts.push_back(aplomb_contact_make(leg(side), APLOMB_BEARING));
        aplomb_situation s = pose.situation();
        s.contacts = contacts.data(), s.contact_count = static_cast<int32_t>(contacts.size());
        s.gravity[0] = -acceleration.x, s.gravity[1] = -9.80665 - acceleration.y,
        s.gravity[2] = -acceleration.z;
        return read(figure.solver(), s);
    }
    std::vector<std::size_t> feet(std::size_t row) const {
        std::vector<std::size_t> found;
        for (std::size_t side = 0; side < 2; ++side)
            if (plates(row).touches(side)) found.push_back(side);
        return found;
    }
    /// How far the sole is from level, degrees.
    double tilt(std::size_t row, std::size_t side) const {
        const std::size_t foot = static_cast<std::size_t>(model.find(side == 0 ? "calcn_l" : "calcn_r"));
        const Vec3 along = rotate(frames(row)[foot].turn, {1, 0, 0});
        return std::fabs(std::asin(along.y)) / degree;
    }

private:
    int32_t leg(std::size_t side) const {
        for (int32_t i = 0; i < aplomb_figure_limb_count(figure.figure()); ++i) {
            aplomb_limb_info limb;
            aplomb_limb_info_init(&limb, sizeof limb);
            EXPECT_EQ(aplomb_figure_limb(figure.figure(), i, &limb, nullptr), APLOMB_OK);
            if (limb.kind == APLOMB_LEG && limb.side == (side == 0 ? APLOMB_SIDE_LEFT : APLOMB_SIDE_RIGHT))
                return i;
        }
        return -1;
    }
};

} // namespace

TEST(Gait, CentreOfPressureIsInTheSupportArea) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Walk walk;
    int all = 0, double_stance = 0;
    double least = 1e30;
    for (std::size_t row = 0; row < walk.rows(); ++row) {
        const double margin = inside(walk.reading(row, walk.feet(row)), walk.plates(row).whole());
        EXPECT_GT(margin, 0) << walk.time(row);
        least = std::fmin(least, margin);
        ++all, double_stance += walk.feet(row).size() == 2;
    }
    std::printf("of both feet: inside in all %d rows, %d of them on two feet; least %.1f cm\n", all,
                double_stance, 100 * least);
    EXPECT_EQ(all, 73);
    EXPECT_GE(double_stance, 15);
}

TEST(Gait, CentreOfPressureOfOneFootIsInItsSole) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Walk walk;
    int flat = 0, tilted = 0, tilted_inside = 0;
    double least_flat = 1e30, least = 1e30;
    for (std::size_t row = 0; row < walk.rows(); ++row)
        for (const std::size_t side : walk.feet(row)) {
            const double margin = inside(walk.reading(row, {side}), walk.plates(row).pressure[side]);
            if (walk.tilt(row, side) < 10) {
                EXPECT_GT(margin, 0) << walk.time(row);
                ++flat, least_flat = std::fmin(least_flat, margin);
            } else {
                ++tilted, tilted_inside += margin > 0, least = std::fmin(least, margin);
            }
        }
    std::printf(
        "of one foot: level within 10 degrees: inside in all %d, least %.1f cm; tilted: %d of %d, least "
        "%.1f cm\n",
        flat, 100 * least_flat, tilted_inside, tilted, 100 * least);
    EXPECT_GE(flat, 50);
    EXPECT_GE(tilted_inside, tilted - 8); // heel strike and toe off: the marker's heel has no breadth
    EXPECT_GT(least, -.03);
}

/// In a walk the body's centre is far from the pressure. With its acceleration taken from gravity, as the header says
/// that a moving character is read, two thirds of that are gone; the rest is the swing of limbs, and differences of
/// angles taken 60 times a second.
TEST(Gait, WithItsAccelerationTheBalancePointComesToThePressure) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Walk walk;
    std::vector<Vec3> centres;
    for (std::size_t row = 0; row < walk.rows(); ++row)
        centres.push_back(vector(walk.reading(row, walk.feet(row)).body_centre));
    constexpr std::size_t reach = 4; // rows, 1/15 s
    double still = 0, moving = 0;
    int all = 0;
    for (std::size_t row = reach; row + reach < walk.rows(); ++row, ++all) {
        const double step = walk.time(row + reach) - walk.time(row);
        const Vec3 acceleration =
            (centres[row + reach] + centres[row - reach] - centres[row] * 2) * (1 / (step * step));
        const Vec3 pressure = walk.plates(row).whole();
        const auto square = [&](const Vec3& p) {
            return (p.x - pressure.x) * (p.x - pressure.x) + (p.z - pressure.z) * (p.z - pressure.z);
        };
        still += square(centres[row]);
        moving += square(vector(walk.reading(row, walk.feet(row), acceleration).balance_point));
    }
    still = std::sqrt(still / all), moving = std::sqrt(moving / all);
    std::printf("root mean square to the pressure: centre of mass %.1f cm, balance point %.1f cm\n",
                100 * still, 100 * moving);
    EXPECT_LT(moving, .06);
    EXPECT_LT(moving, .45 * still);
}

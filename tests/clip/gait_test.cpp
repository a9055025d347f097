// SPDX-License-Identifier: MIT
// A recorded gait on a treadmill, where it is at hand: stances and balance point against two force plates.
#include "recorded/gait_segments.h"
#include "shot.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

namespace {

using namespace recorded;

/// What two plates felt, left and right: the subject keeps each foot to its own.
class Plates {
public:
    double force(double time, std::size_t side) const { return m_forces.value(time, start(side) + "vy"); }
    Vec3 pressure(double time) const {
        Vec3 sum{0, 0, 0};
        for (std::size_t side = 0; side < 2; ++side)
            sum = sum + Vec3{m_forces.value(time, start(side) + "px"), 0,
                             m_forces.value(time, start(side) + "pz")} *
                            force(time, side);
        return sum * (1 / (force(time, 0) + force(time, 1)));
    }

private:
    static std::string start(std::size_t side) { return side == 0 ? "1_ground_force_" : "ground_force_"; }
    Table m_forces{"subject01_walk1_grf.mot"};
};

std::size_t side_of(const GaitFigure& figure, int32_t limb) {
    aplomb_limb_info info;
    aplomb_limb_info_init(&info, sizeof info);
    EXPECT_EQ(aplomb_figure_limb(figure.figure(), limb, &info, nullptr), APLOMB_OK);
    return info.side == APLOMB_SIDE_LEFT ? 0 : 1;
}

class Treadmill {
public:
    Treadmill() {
        for (const std::vector<double>& row : m_angles.rows) {
            const std::vector<Frame> frames = by_angles(m_model, m_angles, row[0]);
            const Pose pose = m_figure.pose(frames);
            m_poses.add(row[0], pose.translations, pose.rotations);
            for (std::size_t side = 0; side < 2; ++side)
                m_feet[side].push_back(
                    frames[static_cast<std::size_t>(m_model.find(side == 0 ? "calcn_l" : "calcn_r"))]
                        .position);
        }
    }
    std::size_t rows() const { return m_poses.times.size(); }
    double time(std::size_t row) const { return m_poses.times[row]; }
    double force(std::size_t row, std::size_t side) const { return m_plates.force(time(row), side); }
    /// The belt's, from feet that bear most of the weight.
    double belt() const {
        std::vector<double> speeds;
        for (std::size_t row = 1; row < rows(); ++row)
            for (std::size_t side = 0; side < 2; ++side)
                if (force(row, side) > 600)
                    speeds.push_back((m_feet[side][row].x - m_feet[side][row - 1].x) /
                                     (time(row) - time(row - 1)));
        std::nth_element(speeds.begin(), speeds.begin() + static_cast<std::ptrdiff_t>(speeds.size() / 2),
                         speeds.end());
        return speeds[speeds.size() / 2];
    }
    shot::Reading reading() const {
        aplomb_clip clip = m_poses.clip();
        clip.ground_velocity[0] = belt();
        return shot::read(m_figure.figure(), clip);
    }
    std::size_t side_of(int32_t limb) const { return ::side_of(m_figure, limb); }

private:
    Table m_angles{"subject01_walk1_ik.mot"};
    Plates m_plates;
    Model m_model;
    GaitFigure m_figure{m_model};
    shot::Poses m_poses;
    std::vector<Vec3> m_feet[2];
};

} // namespace

TEST(GaitClip, StancesAgreeWithForcePlates) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Treadmill walk;
    std::vector<std::vector<bool>> stands(2, std::vector<bool>(walk.rows(), false));
    const shot::Reading reading = walk.reading();
    for (const aplomb_stance_range& range : reading.stances())
        for (int32_t f = range.first; f <= range.last; ++f)
            stands[walk.side_of(range.limb)][static_cast<std::size_t>(f)] = true;
    int all = 0, agree = 0;
    for (std::size_t side = 0; side < 2; ++side)
        for (std::size_t row = 0; row < walk.rows(); ++row, ++all) {
            const bool touches = walk.force(row, side) > 20; // N
            agree += touches == stands[side][row];
            if (touches != stands[side][row])
                std::printf("%s foot at %.3f s: %.0f N, %s\n", side == 0 ? "left" : "right", walk.time(row),
                            walk.force(row, side), stands[side][row] ? "stands" : "does not stand");
        }
    std::printf("belt %.2f m/s; %d of %d agree\n", walk.belt(), agree, all);
    EXPECT_GE(agree, .97 * all);
}

/// By the segments' own places, as they were recorded together with the forces; on the feet that the plates feel.
TEST(GaitClip, TheBalancePointInMotionIsTheCentreOfPressure) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Model model;
    const GaitFigure figure(model);
    const Table segments(segments_file);
    const Plates plates;
    shot::Poses poses;
    for (std::size_t row = 0; row < segments.rows.size(); ++row) {
        const Pose pose = figure.pose(by_centres(model, segments, row));
        poses.add(segments.rows[row][0], pose.translations, pose.rotations);
    }
    std::vector<aplomb_stance_range> stands;
    for (int32_t limb = 0; limb < aplomb_figure_limb_count(figure.figure()); ++limb) {
        for (int32_t row = 0; row < static_cast<int32_t>(poses.times.size()); ++row)
            if (plates.force(poses.times[static_cast<std::size_t>(row)], side_of(figure, limb)) > 20)
                stands.push_back({limb, row, row, APLOMB_FLAT, 0});
    }
    aplomb_clip clip = poses.clip();
    clip.stances = stands.data(), clip.stance_count = static_cast<int32_t>(stands.size());
    double still[2] = {0, 0}, moving[2] = {0, 0};
    int count = 0;
    for (const aplomb_clip_frame& frame : shot::read(figure.figure(), clip).frames()) {
        // The record lasts a quarter of a second; what goes before and after it is not known.
        if (std::fmin(frame.time - poses.times.front(), poses.times.back() - frame.time) < .05) continue;
        const Vec3 p = plates.pressure(frame.time);
        ++count;
        for (int axis = 0; axis < 2; ++axis) {
            const double there = axis == 0 ? p.x : p.z;
            still[axis] += std::pow(frame.still_point[2 * axis] - there, 2);
            moving[axis] += std::pow(frame.point[2 * axis] - there, 2);
        }
    }
    for (int axis = 0; axis < 2; ++axis)
        still[axis] = 1000 * std::sqrt(still[axis] / count),
        moving[axis] = 1000 * std::sqrt(moving[axis] / count);
    std::printf(
        "root mean square to the pressure in %d rows, mm: still %.1f fore, %.1f side; in motion %.1f, %.1f\n",
        count, still[0], still[1], moving[0], moving[1]);
    EXPECT_EQ(count, 15);
    EXPECT_LE(moving[0], 13);
    EXPECT_LE(moving[1], 12);
    EXPECT_NEAR(still[0], 61, 1);
    EXPECT_NEAR(still[1], 86, 1);
}

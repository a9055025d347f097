// SPDX-License-Identifier: MIT
// Recorded gait, where it is at hand: its whole-body centre of mass by our figures.
#include "gait_segments.h"

#include <cstdio>
#include <numeric>

namespace {

using namespace recorded;

const char* const angles_file = "subject01_walk1_ik.mot";

/// Segments hung from the pelvis joint by joint; of the file only the pelvis and the angles between segments.
std::vector<Frame> by_angles_between(const Model& model, const Table& table, std::size_t row) {
    std::vector<Frame> frames;
    for (const Segment& s : model.segments) {
        const Quat turn = attitude(table, row, s.name);
        if (s.parent < 0) {
            frames.push_back({centre(table, row, s.name) - rotate(turn, s.centre), turn});
            continue;
        }
        const Frame& parent = frames[static_cast<std::size_t>(s.parent)];
        Vec3 joint = s.offset;
        if (!s.axes[3].coordinate.empty()) { // the knee rolls as it bends
            const double bend = log_rotation(conjugate(parent.turn) * turn).z;
            joint = joint + Vec3{s.axes[3].scale * s.axes[3].spline(bend),
                                 s.axes[4].scale * s.axes[4].spline(bend), 0};
        }
        frames.push_back({parent * joint, turn});
    }
    return frames;
}

/// Where the .sto's own torso has its centre of mass: not where the .osim puts it.
Vec3 recorded_torso_centre(const Model& model, const Table& table, std::size_t row) {
    const Segment& torso = model.segments[static_cast<std::size_t>(model.find("torso"))];
    const Vec3 joint = by_centres(model, table, row)[static_cast<std::size_t>(torso.parent)] * torso.offset;
    return rotate(conjugate(attitude(table, row, "torso")), centre(table, row, "torso") - joint);
}

Model with_the_recorded_torso(const Table& table) {
    Model model;
    const Vec3 torso = recorded_torso_centre(model, table, 0);
    model.segments[static_cast<std::size_t>(model.find("torso"))].centre = torso;
    return model;
}

/// The furthest that our centre of mass is from the file's, metres, over all its rows.
template<class Place>
double furthest(const Model& model, const Table& table, const Place& place) {
    const GaitFigure figure(model);
    double most = 0;
    for (std::size_t row = 0; row < table.rows.size(); ++row) {
        const Pose pose = figure.pose(place(row));
        const aplomb_reading reading = read(figure.solver(), pose.situation());
        most = std::fmax(most, norm(vector(reading.body_centre) - centre(table, row, "center_of_mass")));
    }
    return most;
}

} // namespace

TEST(Gait, CentreOfMassFromTheirSegments) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Table table(segments_file);
    ASSERT_EQ(table.rows.size(), 29u);
    const Model model;
    const double mass = std::accumulate(model.segments.begin(), model.segments.end(), 0.0,
                                        [](double sum, const Segment& s) { return sum + s.mass; });
    EXPECT_NEAR(mass, 72.6, 1e-6); // SOURCES.md
    const double off = furthest(model, table, [&](std::size_t row) { return by_centres(model, table, row); });
    std::printf("from their segments' places: %.1e m\n", off);
    EXPECT_LT(off, 1e-9);
}

TEST(Gait, CentreOfMassFromTheAnglesBetweenTheirSegments) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Table table(segments_file);
    const Model published, moved = with_the_recorded_torso(table);
    for (std::size_t row = 0; row < table.rows.size(); ++row)
        EXPECT_LT(
            norm(recorded_torso_centre(published, table, row) - recorded_torso_centre(published, table, 0)),
            1e-7);
    const auto place = [&](const Model& model) {
        return furthest(model, table, [&](std::size_t row) { return by_angles_between(model, table, row); });
    };
    std::printf("from angles between segments: %.1e m; with the torso's centre as the model has it %.4f m\n",
                place(moved), place(published));
    EXPECT_LT(place(moved), 1e-7);
    EXPECT_GT(place(published), .02); // 5.2 cm of the torso by 33.1 of 72.6 kg
}

/// The .mot's angles are not those of the .sto: they differ by 2 to 15 degrees, presumably as an earlier step.
TEST(Gait, CentreOfMassFromTheRecordedAngles) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Table table(segments_file), angles(angles_file);
    const auto place = [&](const Model& model) {
        return furthest(model, table,
                        [&](std::size_t row) { return by_angles(model, angles, table.rows[row][0]); });
    };
    const double moved = place(with_the_recorded_torso(table)), published = place(Model());
    std::printf("from the recorded angles: %.4f m; with the torso's centre as the model has it %.4f m\n",
                moved, published);
    EXPECT_LT(moved, .006);
    EXPECT_LT(published, .027);
}

// SPDX-License-Identifier: MIT
// Stances over time and flights of a figure of ours, moved as a whole or by one leg.
#include "figures.h"
#include "shot.h"

#include <array>
#include <cmath>
#include <string>

namespace {

class Stances : public testing::Test {
protected:
    Stances() {
        const auto joints = static_cast<std::size_t>(aplomb_figure_joint_count(figure.get()));
        translations.resize(3 * joints), rotations.resize(4 * joints);
        aplomb_figure_neutral_pose(figure.get(), translations.data(), rotations.data());
        for (int32_t limb = 0; limb < aplomb_figure_limb_count(figure.get()); ++limb) {
            aplomb_limb_info info;
            aplomb_limb_info_init(&info, sizeof info);
            aplomb_figure_limb(figure.get(), limb, &info, nullptr);
            if (info.kind != APLOMB_LEG) continue;
            legs[info.side == APLOMB_SIDE_LEFT ? 0 : 1] = limb;
            if (info.side == APLOMB_SIDE_LEFT) knee = info.lower, thigh = info.upper;
            ankles.push_back(4 * static_cast<std::size_t>(info.end));
        }
    }
    lay::LayFigure plan = lay::LayFigure::adult();
    lay::FigureHandle figure = plan.create();
    std::vector<double> translations, rotations;
    std::array<int32_t, 2> legs{};
    int32_t knee = -1, thigh = -1;
    std::vector<std::size_t> ankles; // where their rotations are
};

} // namespace

/// On two feet, then two seconds with the left one lifted and most of the time quiet, then on two.
TEST_F(Stances, AFootHeldInTheAirDoesNotStand) {
    shot::Poses poses;
    for (int f = 0; f < 96; ++f) {
        std::vector<double> turned = rotations;
        const double part = std::fmin(std::fmax(std::fmin(f - 20, 76 - f) / 8., 0), 1);
        if (part > 0) { // thigh forward, shank back: the sole stays level, some 16 cm up
            const double half = .45 * part;
            const std::size_t t = 4 * static_cast<std::size_t>(thigh), k = 4 * static_cast<std::size_t>(knee);
            turned[t] = -std::sin(half), turned[t + 3] = std::cos(half);
            turned[k] = std::sin(half), turned[k + 3] = std::cos(half);
        }
        poses.add(f / 24., translations, turned);
    }
    int left = 0, right = 0;
    for (const aplomb_stance_range& range : shot::read(figure.get(), poses.clip()).stances())
        (range.limb == legs[0] ? left : right) += range.last - range.first + 1;
    EXPECT_EQ(right, 96);
    EXPECT_NEAR(left, 46, 4);
}

/// As a tracker that loses a marker for a frame has it.
TEST_F(Stances, AFlickerIsNoStep) {
    shot::Poses poses;
    for (int f = 0; f < 120; ++f) {
        std::vector<double> turned = rotations;
        if (f == 60) {
            const std::size_t t = 4 * static_cast<std::size_t>(thigh), k = 4 * static_cast<std::size_t>(knee);
            turned[t] = -std::sin(.25), turned[t + 3] = std::cos(.25);
            turned[k] = std::sin(.25), turned[k + 3] = std::cos(.25);
        }
        poses.add(f / 120., translations, turned);
    }
    const std::vector<aplomb_stance_range> stances = shot::read(figure.get(), poses.clip()).stances();
    ASSERT_EQ(stances.size(), 2u);
    for (const aplomb_stance_range& range : stances) {
        EXPECT_EQ(range.first, 0);
        EXPECT_EQ(range.last, 119);
    }
}

/// Heels that are held up are as still as if they stood.
TEST_F(Stances, OnTheToesNoHeelStands) {
    shot::Poses poses;
    std::vector<double> turned = rotations;
    for (const std::size_t ankle : ankles)
        turned[ankle] = std::sin(.3), turned[ankle + 3] = std::cos(.3);
    for (int f = 0; f < 48; ++f)
        poses.add(f / 24., translations, turned);
    const std::vector<aplomb_stance_range> stances = shot::read(figure.get(), poses.clip()).stances();
    ASSERT_EQ(stances.size(), 2u);
    for (const aplomb_stance_range& range : stances) {
        EXPECT_EQ(range.footing, APLOMB_ON_BALL);
        EXPECT_EQ(range.last, 47);
    }
}

/// A side of four feet has two.
TEST_F(Stances, ASlidingFootOfFourIsNamed) {
    const lay::FigureHandle four = lay::LayFigure::quadruped().create();
    const auto joints = static_cast<std::size_t>(aplomb_figure_joint_count(four.get()));
    translations.resize(3 * joints), rotations.resize(4 * joints);
    aplomb_figure_neutral_pose(four.get(), translations.data(), rotations.data());
    shot::Poses poses;
    for (int f = 0; f < 48; ++f) {
        std::vector<double> moved = translations;
        moved[2] += .1 * f / 24;
        poses.add(f / 24., moved, rotations);
    }
    const std::vector<aplomb_clip_note> notes = shot::read(four.get(), poses.clip()).notes();
    ASSERT_GE(notes.size(), 1u);
    const std::string text = notes[0].text;
    EXPECT_NE(text.find(" foot slides"), std::string::npos) << text;
    EXPECT_TRUE(text.find(" hind foot") != std::string::npos || text.find(" fore foot") != std::string::npos)
        << text;
}

/// Carried along by a belt it stands, and does not slip; on the ground it slides.
TEST_F(Stances, ABeltCarriesTheFeetAlong) {
    shot::Poses poses;
    for (int f = 0; f < 48; ++f) {
        std::vector<double> moved = translations;
        moved[2] -= 1.2 * f / 24;
        poses.add(f / 24., moved, rotations);
    }
    aplomb_clip clip = poses.clip();
    aplomb_clip_reading* none = nullptr;
    EXPECT_EQ(aplomb_clip_read(figure.get(), &clip, nullptr, nullptr, &none, nullptr), APLOMB_NO_SUPPORT);
    clip.ground_velocity[2] = -1.2;
    const std::vector<aplomb_stance_range> stances = shot::read(figure.get(), clip).stances();
    ASSERT_EQ(stances.size(), 2u);
    for (const aplomb_stance_range& range : stances) {
        EXPECT_EQ(range.first, 0);
        EXPECT_EQ(range.last, 47);
        EXPECT_LT(range.slip, 1e-9);
    }
}

/// A leap at 0.6 g reads floaty, at 1 g it is free fall and nothing is said; at .2 g
/// something holds it.
TEST_F(Stances, AFlightTellsItsGravity) {
    for (const double part : {1., .6, .2}) {
        const double g = part * 9.80665, seconds = .8;
        shot::Poses poses;
        for (int f = 0; f < 240; ++f) {
            const double t = f / 120. - .75;
            std::vector<double> moved = translations;
            if (t > 0 && t < seconds) moved[1] += g * t * (seconds - t) / 2;
            poses.add(f / 120., moved, rotations);
        }
        const shot::Reading reading = shot::read(figure.get(), poses.clip());
        const std::vector<aplomb_flight> flights = reading.flights();
        ASSERT_EQ(flights.size(), 1u);
        EXPECT_NEAR(flights[0].gravity, g, .03);
        EXPECT_EQ(flights[0].free_fall, part == 1);
        EXPECT_NEAR(flights[0].scale, 1 / part, .01);
        EXPECT_LT(flights[0].deviation, .001);
        bool said = false;
        for (const aplomb_clip_note& note : reading.notes())
            said = said || std::string(note.text).find(" g: floaty") != std::string::npos;
        EXPECT_EQ(said, part == .6);
    }
}

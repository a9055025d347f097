// SPDX-License-Identifier: MIT
// aplomb_explain speaks as an animator does, and leaves out what does not show.
#include <gtest/gtest.h>

#include <cstdio>
#include <string>

#include "figures.h"

namespace {

constexpr double degree = 3.14159265358979323846 / 180;

class Words : public testing::Test {
protected:
    void SetUp() override {
        aplomb_result_init(&result, sizeof result);
        result.changed = 1, result.status = APLOMB_OK;
    }
    std::string text(const lay::LayFigure& lay = lay::LayFigure::adult()) const {
        const lay::FigureHandle figure = lay::LayFigure(lay).create();
        char words[2048];
        aplomb_explain(figure.get(), &result, words, sizeof words);
        return words;
    }
    void turn(double (&of)[3], double bend, double twist, double lean) const {
        of[0] = bend * degree, of[1] = twist * degree, of[2] = lean * degree;
    }
    aplomb_result result;
};

TEST_F(Words, NameWhatThePelvisTheSpineAndTheNeckDo) {
    turn(result.controls.hips_turn, -7.5, 0, 0);
    turn(result.controls.chest, -4.7, 0, -16.2);
    turn(result.controls.neck, 0, -2.2, 0);
    EXPECT_EQ(text(), "Pelvis tilts back 7.5 degrees\n"
                      "Spine bends back 4.7 degrees, to the left 16.2 degrees\n"
                      "Neck turns right 2.2 degrees\n"
                      "In all the chest leans back and to the left 20.2 degrees from the keyed pose.\n");
    turn(result.controls.hips_turn, 0, 3.1, 1.2);
    turn(result.controls.chest, 6, -2, 0);
    turn(result.controls.neck, 0, 0, 0);
    EXPECT_EQ(text(), "Pelvis drops on the right 1.2 degrees, turns left 3.1 degrees\n"
                      "Spine bends forward 6.0 degrees, twists right 2.0 degrees\n"
                      "In all the chest leans forward 6.1 degrees from the keyed pose.\n");
}

TEST_F(Words, LeaveOutWhatDoesNotShow) {
    result.controls = {{0.0047, -0.0049, 0.041}, {}, {}, {}};
    turn(result.controls.hips_turn, 4.8, -0.1, 0.4);
    turn(result.controls.chest, 0.3, 0, 0);
    result.moved[2] = 0.0441;
    result.moved_by[0][2] = 0.041, result.moved_by[1][2] = 0.0061, result.moved_by[3][2] = -0.003;
    EXPECT_EQ(text(), "Hips: 4.1 cm forward\n"
                      "Pelvis tilts forward 4.8 degrees\n"
                      "In all the chest leans forward 5.1 degrees from the keyed pose.\n"
                      "The balance point moves 4.4 cm, of which hips' shift 4.1 cm, pelvis' tilt 0.6 cm.\n");
}

TEST_F(Words, NameTheKneesTheShouldersAndTheBox) {
    const auto knees = [&](double left, double left_to, double right, double right_to) {
        result.knee_count = 2;
        result.knees[0] = {0, 0, left * degree, left_to * degree};
        result.knees[1] = {1, 0, right * degree, right_to * degree};
    };
    knees(7, 19.2, 7.2, 19.4);
    turn(result.controls.hips_turn, 2, 0, -4.1);
    result.controls.hips_shift[1] = -.021;
    result.shoulders[0] = .031, result.shoulders[1] = -.012;
    result.drawn_in = .04, result.lowered = .021;
    EXPECT_EQ(text(), "Hips: 2.1 cm down\n"
                      "Pelvis tilts forward 2.0 degrees, drops on the left 4.1 degrees\n"
                      "In all the chest leans forward and to the left 4.6 degrees from the keyed pose.\n"
                      "Knees bend to 19 degrees\n"
                      "Shoulders: the left 3.1 cm lower, the right 1.2 cm higher\n"
                      "Load in the hands: drawn in 4.0 cm, 2.1 cm lower\n");
    result.controls = {}, result.shoulders[0] = result.shoulders[1] = result.drawn_in = 0;
    knees(7, 24, 20, 11);
    EXPECT_EQ(text(), "The left knee bends to 24 degrees, the right knee straightens to 11 degrees\n"
                      "Load in the hands: 2.1 cm lower\n");
    result.shoulders[0] = .018, result.shoulders[1] = .0181;
    EXPECT_TRUE(text().find("\nShoulders: 1.8 cm lower\n") != std::string::npos) << text();
    result.shoulders[0] = result.shoulders[1] = 0;
    knees(7, 7.4, 20, 11);
    result.lowered = .001;
    EXPECT_EQ(text(), "The right knee straightens to 11 degrees\n");
}

TEST_F(Words, SayThatAChangeIsTooSmallToShow) {
    result.controls = {{0.003, 0, 0}, {0.2 * degree, 0, 0}, {}, {}};
    EXPECT_EQ(text(), "The change is too small to show.\n");
    result.controls = {}; // none at all
    EXPECT_EQ(text(), "");
}

TEST_F(Words, MeasureASmallFigureByItsOwnSize) {
    result.controls = {{0.0032, 0, 0}, {}, {}, {}};
    EXPECT_EQ(text(lay::LayFigure::toddler()), "Hips: 0.3 cm to the left\n");
}

TEST_F(Words, NameWhatHeldBackWithoutJargon) {
    lay::LayFigure lay = lay::LayFigure::adult();
    const lay::FigureHandle figure = lay.create();
    const auto joints = static_cast<size_t>(aplomb_figure_joint_count(figure.get()));
    std::vector<double> translations(3 * joints), rotations(4 * joints);
    aplomb_figure_rest_pose(figure.get(), translations.data(), rotations.data());
    aplomb_load load =
        aplomb_load_make(20, aplomb_figure_find_role(figure.get(), APLOMB_ROLE_HAND, APLOMB_SIDE_RIGHT));
    aplomb_situation situation;
    aplomb_situation_init(&situation, sizeof situation);
    situation.translations = translations.data(), situation.rotations = rotations.data();
    situation.loads = &load, situation.load_count = 1;
    aplomb_solver* solver = nullptr;
    ASSERT_EQ(aplomb_solver_create(figure.get(), nullptr, &solver, nullptr), APLOMB_OK);
    int straight = 0, as_far = 0;
    for (const double forward : {0.0, 0.5, 2.0})
        for (const double mass : {20.0, 120.0, 600.0}) {
            load.mass = mass, load.offset[2] = forward;
            aplomb_balance(solver, &situation, nullptr, translations.data(), rotations.data(), &result,
                           nullptr);
            aplomb_figure_rest_pose(figure.get(), translations.data(), rotations.data());
            for (int k = 0; k < result.hold_back_count; ++k) {
                const std::string name = result.hold_backs[k].name;
                EXPECT_EQ(name.substr(0, 4), "the ") << name;
                EXPECT_EQ(name.find("limit"), std::string::npos) << name;
                straight += name.find(" knee, straight") != std::string::npos;
                as_far += name.find(" as far as ") != std::string::npos;
                EXPECT_NE(text().find("Held back by: " + name + "\n"), std::string::npos);
            }
        }
    aplomb_solver_destroy(solver);
    EXPECT_GT(straight, 0);
    EXPECT_GT(as_far, 0);
}

} // namespace

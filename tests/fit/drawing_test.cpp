// SPDX-License-Identifier: MIT
// A figure under dots of a pose that is known, what is told of it, and what is refused.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstring>
#include <limits>
#include <string>

#include "fit/costly.h"
#include "fit/drawing/soles.h"
#include "fit/made_dots.h"

namespace {

using namespace made;

Drawing fitted(const aplomb_dots& dots) {
    aplomb_drawing* made = nullptr;
    aplomb_error error{};
    EXPECT_EQ(aplomb_drawing_fit(&dots, &made, &error), APLOMB_OK) << error.message;
    return Drawing(made);
}
aplomb_drawing_answer answer_of(const Drawing& drawing, int32_t index) {
    aplomb_drawing_answer answer;
    aplomb_drawing_answer_init(&answer, sizeof answer);
    EXPECT_EQ(aplomb_drawing_answer_at(drawing.get(), index, &answer, nullptr), APLOMB_OK);
    return answer;
}
std::string refusal(const aplomb_dots& dots) {
    aplomb_drawing* made = nullptr;
    aplomb_error error{};
    EXPECT_EQ(aplomb_drawing_fit(&dots, &made, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(made, nullptr);
    return error.message;
}
void forget(aplomb_dots& dots, int dot) {
    dots.places[dot][0] = dots.places[dot][1] = std::numeric_limits<double>::quiet_NaN();
}
aplomb_dots walk_from_the_left() {
    return dots_of(bare_task(70 * degree), walking());
}

} // namespace

TEST(Drawing, AWalkSeenFromTheSideIsFoundAgain) {
    const drawing::Task truth = bare_task(70 * degree);
    const drawing::Values values = walking();
    const Drawing drawing = fitted(dots_of(truth, values));
    const aplomb_drawing_answer best = answer_of(drawing, 0);
    EXPECT_LT(best.misfit, .004);
    EXPECT_NEAR(best.scale, 400, 20);
    EXPECT_NEAR(best.facing, 70 * degree, 20 * degree);
    // Joint by joint against the pose that was drawn, hips on hips.
    const drawing::Body<double> body(truth.known, values.data());
    std::vector<double> worlds(16 * drawing::joint_count);
    ASSERT_EQ(aplomb_pose_to_matrices(best.figure, best.translations, best.rotations, worlds.data(),
                                      APLOMB_DOUBLE, 16 * sizeof(double), APLOMB_WORLD, nullptr),
              APLOMB_OK);
    for (int j = 0; j < drawing::joint_count; ++j) {
        const double* at = &worlds[16 * static_cast<std::size_t>(j) + 12];
        const drawing::Point<double>& p = body.place[static_cast<std::size_t>(j)];
        EXPECT_NEAR(at[0], p.x, .06) << drawing::joint_name(j);
        EXPECT_NEAR(at[1] - worlds[13], p.y, .06) << drawing::joint_name(j);
        EXPECT_NEAR(at[2], p.z, .25) << drawing::joint_name(j);
    }
}

TEST(Drawing, PlacesOfTheAnswerLieOnTheDots) {
    const aplomb_dots dots = walk_from_the_left();
    const Drawing drawing = fitted(dots);
    for (int32_t k = 0; k < aplomb_drawing_answer_count(drawing.get()); ++k) {
        const aplomb_drawing_answer answer = answer_of(drawing, k);
        std::vector<double> worlds(16 * drawing::joint_count);
        aplomb_pose_to_matrices(answer.figure, answer.translations, answer.rotations, worlds.data(),
                                APLOMB_DOUBLE, 16 * sizeof(double), APLOMB_WORLD, nullptr);
        const auto on = [&](int joint, int dot) {
            double pixels[2];
            ASSERT_EQ(aplomb_drawing_project(drawing.get(), k,
                                             &worlds[16 * static_cast<std::size_t>(joint) + 12], pixels,
                                             nullptr),
                      APLOMB_OK);
            const double off = std::hypot(pixels[0] - dots.places[dot][0], pixels[1] - dots.places[dot][1]);
            EXPECT_LE(off, answer.worst_misfit * answer.scale * 1.70 + 1e-6)
                << aplomb_dot_text(static_cast<aplomb_dot>(dot));
        };
        on(drawing::neck, APLOMB_DOT_NECK);
        on(drawing::arm_joint(1, drawing::hand), APLOMB_DOT_RIGHT_WRIST);
        on(drawing::leg_joint(0, drawing::foot), APLOMB_DOT_LEFT_ANKLE);
    }
}

TEST(Drawing, TheLowerFootStandsOnTheGround) {
    const Drawing drawing = fitted(walk_from_the_left());
    const aplomb_drawing_answer best = answer_of(drawing, 0);
    aplomb_solver* solver = nullptr;
    ASSERT_EQ(aplomb_solver_create(best.figure, nullptr, &solver, nullptr), APLOMB_OK);
    aplomb_situation situation;
    aplomb_situation_init(&situation, sizeof situation);
    situation.translations = best.translations, situation.rotations = best.rotations;
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    ASSERT_EQ(aplomb_read(solver, &situation, nullptr, &reading, nullptr), APLOMB_OK);
    EXPECT_NEAR(reading.balance_point[1], 0, 1e-9);
    for (int32_t k = 0; k < reading.edge_count; ++k)
        EXPECT_NEAR(reading.area[k][1], 0, .05);
    aplomb_solver_destroy(solver);
}

TEST(Drawing, BothWaysOfAnArmInThePlaneOfSightAreKept) {
    // From the front, both lower arms half ahead: dots cannot tell that from half back.
    drawing::Values values{};
    for (int side = 0; side < 2; ++side) {
        values[static_cast<std::size_t>(drawing::arm_of(side) + 2)] = drawing::sign_of(side) * 60 * degree;
        values[static_cast<std::size_t>(drawing::arm_of(side))] = -45 * degree;
        values[static_cast<std::size_t>(drawing::arm_of(side) + 3)] = -10 * degree;
        values[static_cast<std::size_t>(drawing::leg_of(side) + 3)] = 2 * degree;
    }
    const Drawing drawing = fitted(dots_of(bare_task(), values));
    EXPECT_GE(aplomb_drawing_answer_count(drawing.get()), 2);
    double sum = 0, last = -1;
    for (int32_t k = 0; k < aplomb_drawing_answer_count(drawing.get()); ++k) {
        const aplomb_drawing_answer answer = answer_of(drawing, k);
        sum += answer.chance;
        EXPECT_GE(answer.cost, last);
        last = answer.cost;
    }
    EXPECT_NEAR(sum, 1, 1e-9);
    const char* difference = aplomb_drawing_difference(drawing.get(), 0);
    ASSERT_NE(difference, nullptr);
    EXPECT_NE(std::strstr(difference, "points at the viewer in answer"), nullptr) << difference;
    EXPECT_EQ(aplomb_drawing_difference(drawing.get(), 100), nullptr);
}

TEST(Drawing, LimitsHoldInEveryAnswer) {
    SKIP_WHERE_TOO_SLOW();
    for (const double heading : {0.0, 70 * degree, 200 * degree}) {
        const Drawing drawing = fitted(dots_of(bare_task(heading), walking(), .01, 7));
        for (int32_t k = 0; k < aplomb_drawing_answer_count(drawing.get()); ++k) {
            const aplomb_drawing_answer answer = answer_of(drawing, k);
            for (int side = 0; side < 2; ++side)
                for (const int joint : {drawing::leg_joint(side, drawing::shank),
                                        drawing::arm_joint(side, drawing::lower_arm)}) {
                    // A turn about left alone: x = sin of half the bend.
                    const double bend = 2 * std::asin(answer.rotations[4 * joint]);
                    aplomb_joint_info info;
                    aplomb_joint_info_init(&info, sizeof info);
                    aplomb_figure_joint(answer.figure, joint, &info, nullptr);
                    EXPECT_GE(bend, info.limits[0] - 1e-9);
                    EXPECT_LE(bend, info.limits[1] + 1e-9);
                }
        }
    }
}

TEST(Drawing, VariantsAreAsFarOffAsTheDotsMayBe) {
    const aplomb_dots dots = dots_of(bare_task(70 * degree), walking(), .01, 7);
    const Drawing drawing = fitted(dots), again = fitted(dots);
    double sum = 0, squares = 0;
    for (int32_t k = 0; k < APLOMB_DRAWING_VARIANTS; ++k) {
        aplomb_drawing_variant variant, other;
        ASSERT_EQ(aplomb_drawing_variant_at(drawing.get(), k, &variant, nullptr), APLOMB_OK);
        ASSERT_EQ(aplomb_drawing_variant_at(again.get(), k, &other, nullptr), APLOMB_OK);
        EXPECT_EQ(std::memcmp(variant.rotations, other.rotations, 4 * drawing::joint_count * sizeof(double)),
                  0);
        EXPECT_EQ(variant.contact_count, 4);
        std::vector<double> worlds(16 * drawing::joint_count);
        aplomb_pose_to_matrices(answer_of(drawing, variant.answer).figure, variant.translations,
                                variant.rotations, worlds.data(), APLOMB_DOUBLE, 16 * sizeof(double),
                                APLOMB_WORLD, nullptr);
        const double across = worlds[16 * drawing::leg_joint(0, drawing::foot) + 12] / 1.70;
        sum += across, squares += across * across;
    }
    const double mean = sum / APLOMB_DRAWING_VARIANTS;
    const double off = std::sqrt(squares / APLOMB_DRAWING_VARIANTS - mean * mean);
    EXPECT_GT(off, .005); // of ankle from hips; a dot is .01 off
    EXPECT_LT(off, .03);
    aplomb_drawing_variant variant;
    aplomb_error error{};
    EXPECT_EQ(aplomb_drawing_variant_at(drawing.get(), 64, &variant, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.message, "index is 64; there are 64 variants.");
}

TEST(Drawing, AFootThatDotsHardlyTellFromABearingOneBears) {
    const Drawing drawing = fitted(walk_from_the_left());
    const aplomb_drawing_answer best = answer_of(drawing, 0);
    std::vector<drawing::Sole> soles = drawing::soles_of(best.figure, best.translations, best.rotations);
    ASSERT_EQ(soles.size(), 2u);
    aplomb_figure_info info;
    aplomb_figure_info_init(&info, sizeof info);
    aplomb_figure_describe(best.figure, &info, nullptr);
    const double touching = .045 * info.leg_length;
    soles[0].heel = soles[0].ball = soles[0].lowest = 0;
    soles[1].heel = touching + .02, soles[1].ball = soles[1].lowest = touching + .005;
    const auto contact = [&](double slack) {
        return drawing::stance_of(best.figure, soles, slack)[static_cast<std::size_t>(soles[1].limb)];
    };
    EXPECT_EQ(contact(0).hold, APLOMB_HELD);
    EXPECT_EQ(contact(.01).hold, APLOMB_BEARING);
    EXPECT_EQ(contact(.01).footing, APLOMB_ON_BALL);
    EXPECT_EQ(contact(.03).footing, APLOMB_FLAT);
}

TEST(Drawing, WhatBearsIsWhatMostStancesSay) {
    std::vector<aplomb_contact> stance = {aplomb_contact_make(0, APLOMB_FREE),
                                          aplomb_contact_make(1, APLOMB_BEARING),
                                          aplomb_contact_make(2, APLOMB_BEARING)};
    // Of ten, the left leg bears in six, the right one in all, on its ball in `on_ball`.
    const auto agreed = [&](int left, int on_ball) {
        std::vector<std::vector<aplomb_contact>> stances(10, stance);
        for (int k = 0; k < 10; ++k) {
            auto& one = stances[static_cast<std::size_t>(k)];
            if (k >= left) one[1].hold = APLOMB_HELD;
            if (k < on_ball) one[2].footing = APLOMB_ON_BALL;
        }
        return drawing::agreed(stances);
    };
    EXPECT_EQ(agreed(6, 0)[0].hold, APLOMB_FREE);
    EXPECT_EQ(agreed(6, 0)[1].hold, APLOMB_BEARING);
    EXPECT_EQ(agreed(4, 0)[1].hold, APLOMB_HELD);
    EXPECT_EQ(agreed(4, 0)[1].ride, APLOMB_RIDE_HIP);
    EXPECT_EQ(agreed(4, 0)[2].hold, APLOMB_BEARING);
    EXPECT_EQ(agreed(6, 6)[2].footing, APLOMB_FLAT);
    EXPECT_EQ(agreed(6, 8)[2].footing, APLOMB_ON_BALL);
}

TEST(Drawing, AnswersStandOnWhatMostVariantsStandOn) {
    const Drawing drawing = fitted(dots_of(bare_task(70 * degree), walking(), .01, 7));
    std::vector<std::vector<aplomb_contact>> stances;
    for (int32_t k = 0; k < APLOMB_DRAWING_VARIANTS; ++k) {
        aplomb_drawing_variant variant;
        ASSERT_EQ(aplomb_drawing_variant_at(drawing.get(), k, &variant, nullptr), APLOMB_OK);
        stances.emplace_back(variant.contacts, variant.contacts + variant.contact_count);
    }
    const std::vector<aplomb_contact> most = drawing::agreed(stances);
    for (int32_t k = 0; k < aplomb_drawing_answer_count(drawing.get()); ++k) {
        const aplomb_drawing_answer answer = answer_of(drawing, k);
        ASSERT_EQ(answer.contact_count, static_cast<int32_t>(most.size()));
        for (std::size_t i = 0; i < most.size(); ++i) {
            EXPECT_EQ(answer.contacts[i].hold, most[i].hold) << i;
            EXPECT_EQ(answer.contacts[i].footing, most[i].footing) << i;
        }
    }
}

TEST(Drawing, MissingDotsAreAllowed) {
    aplomb_dots dots = walk_from_the_left();
    for (const int dot : {APLOMB_DOT_LEFT_TOE, APLOMB_DOT_RIGHT_TOE, APLOMB_DOT_CHIN, APLOMB_DOT_RIGHT_ELBOW,
                          APLOMB_DOT_LEFT_HIP})
        forget(dots, dot);
    EXPECT_LT(answer_of(fitted(dots), 0).misfit, .01);
}

TEST(Drawing, TheSameDotsGiveTheSameBits) {
    SKIP_WHERE_TOO_SLOW();
    const aplomb_dots dots = dots_of(bare_task(), walking(), .01, 3);
    const Drawing one = fitted(dots), other = fitted(dots);
    ASSERT_EQ(aplomb_drawing_answer_count(one.get()), aplomb_drawing_answer_count(other.get()));
    for (int32_t k = 0; k < aplomb_drawing_answer_count(one.get()); ++k) {
        const aplomb_drawing_answer a = answer_of(one, k), b = answer_of(other, k);
        EXPECT_EQ(a.cost, b.cost);
        EXPECT_EQ(std::memcmp(a.rotations, b.rotations, 4 * drawing::joint_count * sizeof(double)), 0);
    }
}

TEST(Drawing, ACameraThatIsGivenPutsTheGroundUnderIt) {
    drawing::Task task = bare_task(30 * degree);
    constexpr double height = 1000, angle = 40 * degree;
    task.tilt_given = true, task.tilt = 10 * degree;
    task.middle_x = 500, task.middle_y = 500;
    task.inverse_focal = std::tan(angle / 2) * 2 / height;
    task.scale = 300;
    const drawing::Values values = walking();
    aplomb_dots dots = dots_of(task, values);
    dots.width = dots.height = height, dots.angle = angle, dots.tilt = 10 * degree;
    const aplomb_drawing_answer free = answer_of(fitted(dots), 0);
    EXPECT_LT(free.misfit, .006);
    EXPECT_NEAR(free.scale, 300, 15);
    // The hips are 1 / (scale x inverse focal) away, and the sole .53 of the stature and more below them.
    const double away = 1 / (300 * task.inverse_focal);
    dots.camera_height = away * std::sin(task.tilt) + .53 * 1.70;
    EXPECT_NEAR(answer_of(fitted(dots), 0).scale, 300, 6);
}

TEST(Drawing, SwappedSidesAreNamed) {
    SKIP_WHERE_TOO_SLOW();
    aplomb_dots dots = dots_of(bare_task(), walking());
    std::swap(dots.places[APLOMB_DOT_LEFT_SHOULDER], dots.places[APLOMB_DOT_RIGHT_SHOULDER]);
    const std::string said = refusal(dots);
    EXPECT_NE(said.find("Left and right shoulders look swapped"), std::string::npos) << said;
}

// From ahead the hips then lie against the shoulders. From the side it is another walk.
TEST(Drawing, LegsSwappedWholeAreNamedWhereThePictureTells) {
    SKIP_WHERE_TOO_SLOW();
    const auto swapped = [](double heading) {
        aplomb_dots dots = dots_of(bare_task(heading), walking());
        for (const int dot :
             {APLOMB_DOT_LEFT_HIP, APLOMB_DOT_LEFT_KNEE, APLOMB_DOT_LEFT_ANKLE, APLOMB_DOT_LEFT_TOE})
            std::swap(dots.places[dot], dots.places[dot + 1]);
        return dots;
    };
    const std::string said = refusal(swapped(0));
    EXPECT_NE(said.find("Left and right arms, or legs, look swapped"), std::string::npos) << said;
    EXPECT_LT(answer_of(fitted(swapped(90 * degree)), 0).misfit, .01);
}

TEST(Drawing, ADotThatFitsNoFigureIsNamed) {
    SKIP_WHERE_TOO_SLOW();
    aplomb_dots dots = dots_of(bare_task(), walking());
    dots.places[APLOMB_DOT_LEFT_WRIST][0] += 500;
    const std::string said = refusal(dots);
    EXPECT_NE(said.find("The dots fit no figure"), std::string::npos) << said;
}

TEST(Drawing, ASearchWithoutHopeEndsEarly) {
    aplomb_dots dots = dots_of(bare_task(), walking());
    dots.places[APLOMB_DOT_LEFT_WRIST][0] += 800;
    drawing::Task task = bare_task();
    see_all(task, dots);
    drawing::guess(task);
    const std::vector<drawing::Found> found = drawing::search(task, 8);
    ASSERT_EQ(found.size(), 1u);
    const double least = drawing::settle(task, found[0].values).cost;
    EXPECT_LT(least, .9 * found[0].cost) << "it was fitted to the end";
    EXPECT_GT(least, 500);
}

TEST(Drawing, ThreeDotsAndALineAreRefused) {
    aplomb_dots dots = no_dots();
    for (int k = 0; k < 3; ++k)
        dots.places[k][0] = 100, dots.places[k][1] = 50.0 + 40 * k * k;
    EXPECT_EQ(refusal(dots), "3 dots are given; a figure needs 6 or more.");
    aplomb_dots line = no_dots();
    for (int k = 0; k < APLOMB_DOT_COUNT; ++k)
        line.places[k][0] = 10.0 * k, line.places[k][1] = 20.0 * k;
    EXPECT_EQ(refusal(line), "All 17 dots are on a line, or at one place: no figure can be laid under them.");
    aplomb_dots top = walk_from_the_left();
    for (int k = APLOMB_DOT_LEFT_HIP; k < APLOMB_DOT_COUNT; ++k)
        forget(top, k);
    EXPECT_EQ(refusal(top),
              "No dot of hips, knees and ankles is given: what the figure stands on is not known.");
}

TEST(Drawing, ValuesThatCannotBeAreRefusedByName) {
    aplomb_dots dots = walk_from_the_left();
    dots.places[APLOMB_DOT_CHIN][1] = std::numeric_limits<double>::infinity();
    EXPECT_EQ(refusal(dots), "The dot chin: its y is inf; it must be a number of at most 1e+06 pixels.");
    dots = walk_from_the_left(), dots.noise = 0;
    EXPECT_EQ(refusal(dots), "noise is 0; it must be 0.001 to 0.1.");
    dots = walk_from_the_left(), dots.keep = 33;
    EXPECT_EQ(refusal(dots), "keep is 33; it must be 1 to 32.");
    dots = walk_from_the_left(), dots.stature = 9;
    EXPECT_EQ(refusal(dots), "stature is 9; it must be 0.2 to 5.");
    dots = walk_from_the_left(), dots.build = 3;
    EXPECT_EQ(refusal(dots), "build is 3, which is no aplomb_build.");
    dots = walk_from_the_left(), dots.angle = .6;
    EXPECT_EQ(refusal(dots), "width is 0; it must be 1 to 1e+06.");
    dots = walk_from_the_left(), dots.camera_height = 1.5;
    EXPECT_EQ(refusal(dots), "camera_height is 1.5, but says nothing without angle and tilt of the camera.");
}

TEST(Drawing, DotsAreFoundByName) {
    for (int32_t k = 0; k < APLOMB_DOT_COUNT; ++k)
        EXPECT_EQ(aplomb_dot_find(aplomb_dot_text(static_cast<aplomb_dot>(k))), k);
    EXPECT_EQ(aplomb_dot_find("left_shoulder"), APLOMB_DOT_LEFT_SHOULDER);
    EXPECT_EQ(aplomb_dot_find("left shoulders"), -1);
    EXPECT_EQ(aplomb_dot_find(nullptr), -1);
    EXPECT_STREQ(aplomb_dot_text(static_cast<aplomb_dot>(99)), "unknown");
}

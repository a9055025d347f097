// SPDX-License-Identifier: MIT
// Arms, hips and knees give where weight arrives, and landings give what their keys lack.
#include "aplomb/follow.h"
#include "poses.h"
#include "recorded_shot.h"
#include "shot.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <memory>
#include <string>
#include <vector>

namespace {

using aplomb::degree;
using aplomb::Vec3;
using recorded::Solver;
using recorded::solver_of;

struct Given {
    shot::Poses poses;
    std::vector<aplomb_clip_given> frames;
};

Given give(const aplomb_figure* figure, const shot::Poses& poses, const aplomb_clip& clip,
           const aplomb_clip_give_options& options) {
    Given out{poses, std::vector<aplomb_clip_given>(poses.times.size())};
    aplomb_error error{};
    EXPECT_EQ(aplomb_clip_give(figure, &clip, &options, nullptr, out.poses.translations.data(),
                               out.poses.rotations.data(), out.frames.data(), &error),
              APLOMB_OK)
        << error.message;
    return out;
}

aplomb_clip_give_options usual() {
    aplomb_clip_give_options options;
    aplomb_clip_give_options_init(&options, sizeof options);
    return options;
}

/// All joints of one frame.
class World {
public:
    World(const aplomb_figure* figure, const shot::Poses& poses, std::size_t frame) {
        const auto joints = static_cast<std::size_t>(aplomb_figure_joint_count(figure));
        m_matrices.resize(16 * joints);
        EXPECT_EQ(aplomb_pose_to_matrices(figure, &poses.translations[3 * joints * frame],
                                          &poses.rotations[4 * joints * frame], m_matrices.data(),
                                          APLOMB_DOUBLE, 16 * sizeof(double), APLOMB_WORLD, nullptr),
                  APLOMB_OK);
    }
    Vec3 place(int32_t joint) const {
        const double* m = &m_matrices[16 * static_cast<std::size_t>(joint) + 12];
        return {m[0], m[1], m[2]};
    }
    double turn_from(const World& other, int32_t joint) const {
        double most = 0;
        for (std::size_t k = 0; k < 12; ++k) {
            const std::size_t at = 16 * static_cast<std::size_t>(joint) + k;
            most = std::max(most, std::fabs(m_matrices[at] - other.m_matrices[at]));
        }
        return most;
    }

private:
    std::vector<double> m_matrices;
};

// ---- A load that is set down into the arms -------------------------------------------------------------

/// The lay figure stands still with its forearms level; a box of 15 kg comes at `arrives`, and stays or leaves.
class Standing : public ::testing::Test {
protected:
    static constexpr int arrives = 12;

    Standing() : shape(lay::LayFigure::adult()), figure(shape.create()), solver(solver_of(figure.get())) {
        lay::Pose pose(figure.get(), shape);
        pose.soft_knees(6).both("upper_arm", -10).both("lower_arm", -80);
        for (int k = 0; k < 96; ++k)
            poses.add(k / 24., pose.translations, pose.rotations);
        EXPECT_EQ(aplomb_load_at(figure.get(), 15, "hands", &carry.load, nullptr), APLOMB_OK);
        carry.first = arrives, carry.last = 95, carry.pick_up = 0, carry.put_down = 0;
        hips = aplomb_figure_find_role(figure.get(), APLOMB_ROLE_HIPS, APLOMB_SIDE_MIDDLE);
    }
    aplomb_clip clip() const {
        aplomb_clip c = poses.clip();
        c.carries = &carry, c.carry_count = 1;
        return c;
    }
    Given fall(double height) const {
        aplomb_clip_give_options options = usual();
        options.falls = &height;
        return give(figure.get(), poses, clip(), options);
    }
    double hips_height(const Given& out, int frame) const {
        return World(figure.get(), out.poses, static_cast<std::size_t>(frame)).place(hips).y;
    }

    lay::LayFigure shape;
    lay::FigureHandle figure;
    Solver solver;
    shot::Poses poses;
    aplomb_carry carry{};
    int32_t hips;
};

TEST_F(Standing, WhatFallsIntoTheArmsTakesThemDownEightCentimetresInTwoFrames) {
    const Given out = fall(.3);
    int deepest = 0;
    for (int k = 0; k < 96; ++k) {
        const auto f = static_cast<std::size_t>(k);
        if (out.frames[f].arms > out.frames[static_cast<std::size_t>(deepest)].arms) deepest = k;
        if (k <= arrives) {
            EXPECT_EQ(out.frames[f].arms, 0) << k;
        }
    }
    EXPECT_EQ(deepest - arrives, 2);
    EXPECT_NEAR(out.frames[static_cast<std::size_t>(deepest)].arms, .08, .01);
    const World was(figure.get(), poses, 0), is(figure.get(), out.poses, static_cast<std::size_t>(deepest));
    const auto given = out.frames[static_cast<std::size_t>(deepest)];
    EXPECT_NEAR(was.place(hips).y - is.place(hips).y, given.hips, 1e-9);
    for (const char* hand : {"left_hand", "right_hand"}) {
        const int32_t joint = aplomb_figure_find_joint(figure.get(), hand);
        EXPECT_NEAR(was.place(joint).y - is.place(joint).y, given.hips + given.arms, 1e-9) << hand;
    }
}

/// The body takes the momentum: its speed would be mass over all of it, so the hips go further than in the end, and later
/// than the arms.
TEST_F(Standing, HipsAndKneesFollowTheArms) {
    const Given out = fall(.3), gentle = fall(0);
    const auto deepest = [&](const Given& g, double aplomb_clip_given::*what) {
        return static_cast<int>(
            std::max_element(g.frames.begin(), g.frames.end(),
                             [&](const auto& a, const auto& b) { return a.*what < b.*what; }) -
            g.frames.begin());
    };
    const int arms = deepest(out, &aplomb_clip_given::arms), legs = deepest(out, &aplomb_clip_given::hips);
    EXPECT_GT(legs, arms);
    EXPECT_LE(legs - arrives, 7);
    const double most = out.frames[static_cast<std::size_t>(legs)].hips,
                 softly =
                     gentle.frames[static_cast<std::size_t>(deepest(gentle, &aplomb_clip_given::hips))].hips;
    EXPECT_GT(most, softly + .01);
    EXPECT_LT(most, .08);
    EXPECT_NEAR(out.frames.back().hips, gentle.frames.back().hips, 2e-4);
}

/// Set down gently it takes nothing from the arms; the hips go to where the knees of 4.5 would have them, over it by
/// exp(-pi z / sqrt(1 - z^2)) = 25 % at z = .4, half a turn after it came: 6 frames at 24 a second.
TEST_F(Standing, WhatIsSetDownGentlyTakesHipsAndKneesAlone) {
    const Given out = fall(0);
    double rest = 0;
    aplomb_situation s;
    aplomb_situation_init(&s, sizeof s);
    s.translations = poses.translations.data(), s.rotations = poses.rotations.data();
    s.loads = &carry.load, s.load_count = 1;
    ASSERT_EQ(aplomb_give_rest(solver.get(), &s, &rest, nullptr), APLOMB_OK);
    EXPECT_GT(rest, .003);
    int deepest = 0;
    for (int k = 0; k < 96; ++k) {
        const auto f = static_cast<std::size_t>(k);
        EXPECT_EQ(out.frames[f].arms, 0);
        if (k < arrives) {
            EXPECT_EQ(out.frames[f].hips, 0);
        }
        if (out.frames[f].hips > out.frames[static_cast<std::size_t>(deepest)].hips) deepest = k;
    }
    EXPECT_NEAR(deepest - arrives, 6, 1);
    EXPECT_NEAR(out.frames[static_cast<std::size_t>(deepest)].hips / rest, 1.25, .03);
    EXPECT_NEAR(out.frames.back().hips / rest, 1, .01);
}

TEST_F(Standing, WhatLeavesLetsTheBodyComeUpAgain) {
    carry.first = 0, carry.last = arrives;
    const Given out = fall(0);
    EXPECT_GT(out.frames[0].hips, .003); // carried before
    EXPECT_EQ(out.frames[0].hips, out.frames[5].hips);
    const double highest =
        std::min_element(out.frames.begin(), out.frames.end(), [](const auto& a, const auto& b) {
            return a.hips < b.hips;
        })->hips;
    EXPECT_LT(highest, -.1 * out.frames[0].hips); // over the mark once
    EXPECT_EQ(out.frames.back().hips, 0);
    const World is(figure.get(), out.poses, 95), was(figure.get(), poses, 95);
    for (int32_t j = 0; j < shape.count(); ++j)
        EXPECT_EQ(is.turn_from(was, j), 0); // the keyed bits again
}

TEST_F(Standing, SolesStayWhereTheyAre) {
    const Given out = fall(.3);
    const World was(figure.get(), poses, 0);
    for (std::size_t k = 0; k < 96; ++k) {
        const World is(figure.get(), out.poses, k);
        for (const char* foot : {"left_foot", "right_foot"}) {
            const int32_t joint = aplomb_figure_find_joint(figure.get(), foot);
            EXPECT_LT(norm(is.place(joint) - was.place(joint)), 1e-9);
            EXPECT_LT(is.turn_from(was, joint), 1e-9);
        }
    }
}

TEST_F(Standing, BalancedPosesHoldTheKneesGiveAlready) {
    aplomb_clip_give_options options = usual();
    options.held = 1;
    const Given out = give(figure.get(), poses, clip(), options);
    EXPECT_EQ(out.poses.translations, poses.translations);
    EXPECT_EQ(out.poses.rotations, poses.rotations);
}

TEST_F(Standing, NothingArrivesNothingGives) {
    const Given out = give(figure.get(), poses, poses.clip(), usual());
    EXPECT_EQ(out.poses.translations, poses.translations);
    EXPECT_EQ(out.poses.rotations, poses.rotations);
}

/// One array is read and written: the same bits, and wide rows are left alone between poses.
TEST_F(Standing, TheClipsOwnArraysMayBeWritten) {
    const Given out = fall(.3);
    shot::Poses own = poses;
    aplomb_clip c = own.clip();
    c.carries = &carry, c.carry_count = 1;
    const double height = .3;
    aplomb_clip_give_options options = usual();
    options.falls = &height;
    ASSERT_EQ(aplomb_clip_give(figure.get(), &c, &options, nullptr, own.translations.data(),
                               own.rotations.data(), nullptr, nullptr),
              APLOMB_OK);
    EXPECT_EQ(own.translations, out.poses.translations);
    EXPECT_EQ(own.rotations, out.poses.rotations);
}

TEST_F(Standing, WhatSaysNothingIsRefusedInASentence) {
    aplomb_error error{};
    aplomb_clip_give_options options = usual();
    const double height = -1;
    options.falls = &height;
    const aplomb_clip c = clip();
    std::vector<double> t(poses.translations.size(), 7), r(poses.rotations.size(), 7);
    EXPECT_EQ(aplomb_clip_give(figure.get(), &c, &options, nullptr, t.data(), r.data(), nullptr, &error),
              APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.message, "options.falls[0] is -1; it must be 0 to 1e9.");
    EXPECT_EQ(t[0], 7);
    EXPECT_EQ(aplomb_clip_give(figure.get(), &c, nullptr, nullptr, nullptr, r.data(), nullptr, &error),
              APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.message, "translations is NULL.");
    aplomb_situation s;
    aplomb_situation_init(&s, sizeof s);
    s.translations = poses.translations.data(), s.rotations = poses.rotations.data();
    EXPECT_EQ(aplomb_give_pose(solver.get(), &s, std::nan(""), 0, t.data(), r.data(), &error),
              APLOMB_BAD_ARGUMENT);
    EXPECT_NE(std::string(error.message).find("hips is nan; at most a leg's length"), std::string::npos)
        << error.message;
    EXPECT_EQ(aplomb_give_pose(solver.get(), &s, 0, 5, t.data(), r.data(), &error), APLOMB_BAD_ARGUMENT);
    EXPECT_NE(std::string(error.message).find("arms is 5; at most"), std::string::npos) << error.message;
    EXPECT_EQ(aplomb_give_rest(nullptr, &s, t.data(), &error), APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.message, "solver is NULL.");
    EXPECT_EQ(t[0], 7);
}

/// Knees that are nearly straight can be raised no further than they reach, and what is asked for beyond that is left.
TEST_F(Standing, ABodyComesUpNoFurtherThanItsLegsReach) {
    aplomb_situation s;
    aplomb_situation_init(&s, sizeof s);
    s.translations = poses.translations.data(), s.rotations = poses.rotations.data();
    shot::Poses up = poses;
    ASSERT_EQ(
        aplomb_give_pose(solver.get(), &s, -.3, 0, up.translations.data(), up.rotations.data(), nullptr),
        APLOMB_OK);
    const World was(figure.get(), poses, 0), is(figure.get(), up, 0);
    const int32_t foot = aplomb_figure_find_joint(figure.get(), "left_foot");
    EXPECT_LT(norm(is.place(foot) - was.place(foot)), 1e-9);
    const double raised = is.place(hips).y - was.place(hips).y;
    EXPECT_GT(raised, .0005);
    EXPECT_LT(raised, .003); // of a leg of .86 m, bent by 6 degrees
}

/// Whichever arm is the straighter one: what they hold sinks no further than both reach.
TEST_F(Standing, WhatBothHandsHoldSinksNoFurtherThanEitherArmReaches) {
    for (const char* straight : {"left", "right"}) {
        lay::Pose pose(figure.get(), shape);
        pose.soft_knees(6).both("upper_arm", -10).both("lower_arm", -80);
        pose.turn(std::string(straight) + "_upper_arm", -40).turn(std::string(straight) + "_lower_arm", 50);
        shot::Poses keyed;
        keyed.add(0, pose.translations, pose.rotations);
        shot::Poses down = keyed;
        aplomb_situation s;
        aplomb_situation_init(&s, sizeof s);
        s.translations = keyed.translations.data(), s.rotations = keyed.rotations.data();
        s.loads = &carry.load, s.load_count = 1;
        ASSERT_EQ(aplomb_give_pose(solver.get(), &s, 0, .3, down.translations.data(), down.rotations.data(),
                                   nullptr),
                  APLOMB_OK);
        const World was(figure.get(), keyed, 0), is(figure.get(), down, 0);
        const auto sunk = [&](const char* hand) {
            const int32_t joint = aplomb_figure_find_joint(figure.get(), hand);
            return was.place(joint).y - is.place(joint).y;
        };
        EXPECT_GT(sunk("left_hand"), .005) << straight;
        EXPECT_LT(sunk("left_hand"), .1) << straight;
        EXPECT_NEAR(sunk("left_hand"), sunk("right_hand"), 1e-9) << straight;
    }
}

// ---- Recorded jumps --------------------------------------------------------------------------------------

struct Jump {
    explicit Jump(const char* name, std::size_t step)
        : recording(recorded::clip(name).file, recorded::clip(name).metres_per_unit),
          poses(recorded::poses_of(recording, recorded::clip(name), step)) {
        const shot::Reading read = shot::read(recording.figure(), poses.clip());
        stances = read.stances();
        down = read.flights().at(0).last + 1;
        unit = recording.info().metres_per_unit;
        hips = recording.info().hips;
    }
    aplomb_clip clip(const shot::Poses& of) const {
        aplomb_clip c = of.clip();
        c.stances = stances.data(), c.stance_count = static_cast<int32_t>(stances.size());
        return c;
    }
    double height(const shot::Poses& of, int frame) const {
        return World(recording.figure(), of, static_cast<std::size_t>(frame)).place(hips).y * unit;
    }
    /// The lowest frame of the second after touchdown.
    int lowest(const shot::Poses& of) const {
        int at = down;
        for (int k = down;
             k < static_cast<int>(of.times.size()) &&
             of.times[static_cast<std::size_t>(k)] - of.times[static_cast<std::size_t>(down)] < 1;
             ++k)
            if (height(of, k) < height(of, at)) at = k;
        return at;
    }
    /// Hips as high after touchdown as they were there, or as they are in the end, as far as the legs reach.
    shot::Poses without_give() const {
        shot::Poses stiff = poses;
        const Solver solver = solver_of(recording.figure());
        const auto joints = static_cast<std::size_t>(aplomb_figure_joint_count(recording.figure()));
        const int count = static_cast<int>(poses.times.size());
        int end = down;
        while (end + 1 < count &&
               poses.times[static_cast<std::size_t>(end)] - poses.times[static_cast<std::size_t>(down)] < .9)
            ++end;
        const double level = std::max(height(poses, down), height(poses, end));
        for (int k = down; k <= end; ++k) {
            const auto f = static_cast<std::size_t>(k);
            std::vector<aplomb_contact> contacts;
            for (int32_t limb = 0; limb < aplomb_figure_limb_count(recording.figure()); ++limb)
                for (const aplomb_stance_range& r : stances)
                    if (r.limb == limb && r.first <= k && k <= r.last) {
                        contacts.push_back(aplomb_contact_make(limb, APLOMB_BEARING));
                        contacts.back().footing = r.footing;
                    }
            if (contacts.empty()) break;
            aplomb_situation s;
            aplomb_situation_init(&s, sizeof s);
            double *t = &stiff.translations[3 * joints * f], *q = &stiff.rotations[4 * joints * f];
            s.translations = t, s.rotations = q;
            s.contacts = contacts.data(), s.contact_count = static_cast<int32_t>(contacts.size());
            const double up = std::max(0., level - height(poses, k));
            aplomb_error error{};
            EXPECT_EQ(aplomb_give_pose(solver.get(), &s, -up / unit, 0, t, q, &error), APLOMB_OK)
                << error.message;
        }
        return stiff;
    }

    recorded::Recording recording;
    shot::Poses poses;
    std::vector<aplomb_stance_range> stances;
    int down = 0;
    double unit = 1;
    int32_t hips = 0;
};

class RecordedLanding : public ::testing::TestWithParam<std::pair<const char*, std::size_t>> {};

TEST_P(RecordedLanding, LacksNothing) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Jump jump(GetParam().first, GetParam().second);
    aplomb_clip_give_options options = usual();
    options.landings = 1;
    const Given out = give(jump.recording.figure(), jump.poses, jump.clip(jump.poses), options);
    for (const aplomb_clip_given& frame : out.frames)
        EXPECT_EQ(frame.hips, 0);
    EXPECT_EQ(out.poses.rotations, jump.poses.rotations);
}

TEST_P(RecordedLanding, WithoutItsGiveGetsItBack) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Jump jump(GetParam().first, GetParam().second);
    const shot::Poses stiff = jump.without_give();
    aplomb_clip_give_options options = usual();
    options.landings = 1;
    const Given out = give(jump.recording.figure(), stiff, jump.clip(stiff), options);
    const int recorded = jump.lowest(jump.poses), made = jump.lowest(out.poses);
    const double fps = 1 / (jump.poses.times[1] - jump.poses.times[0]);
    std::printf("%s at %.0f: touchdown %d; recorded %.4f m at %d, stiff %.4f, given back %.4f at %d\n",
                GetParam().first, fps, jump.down, jump.height(jump.poses, recorded), recorded,
                jump.height(stiff, jump.lowest(stiff)), jump.height(out.poses, made), made);
    EXPECT_GT(jump.height(stiff, recorded), jump.height(jump.poses, recorded) + .08);
    // Of few frames the speed at touchdown is known less well.
    EXPECT_NEAR(jump.height(out.poses, made), jump.height(jump.poses, recorded), fps > 100 ? .01 : .02);
    EXPECT_LE(std::abs(made - recorded) * 24 / fps, 2);
    // Not asked for, nothing is added.
    EXPECT_EQ(give(jump.recording.figure(), stiff, jump.clip(stiff), usual()).poses.rotations,
              stiff.rotations);
}

INSTANTIATE_TEST_SUITE_P(Jumps, RecordedLanding,
                         ::testing::Values(std::pair{"cmu_02_04", std::size_t{1}},
                                           std::pair{"cmu_13_11", std::size_t{1}},
                                           std::pair{"cmu_02_04", std::size_t{5}},
                                           std::pair{"cmu_13_11", std::size_t{5}}));

} // namespace

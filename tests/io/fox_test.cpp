// SPDX-License-Identifier: MIT
// The fox (see the SOURCES.md of the reference files), where it is at hand: a body with four legs and a tail that
// stands on all its paws and is balanced on any three of them.
#include "aplomb/files.h"
#include "base/rotation.h"

#include "opened.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <vector>

namespace {

using namespace aplomb;

constexpr double metres_per_unit = 0.01; // SOURCES.md

struct Pose {
    std::vector<double> translations, rotations;
};

struct DestroySolver {
    void operator()(aplomb_solver* solver) const { aplomb_solver_destroy(solver); }
};

struct Fox {
    Fox() {
        aplomb_character_options options;
        aplomb_character_options_init(&options, sizeof options);
        options.metres_per_unit = metres_per_unit;
        aplomb_character* opened = nullptr;
        aplomb_error error{};
        const auto path = made::reference / "figures/fox.glb";
        EXPECT_EQ(aplomb_character_open(path.c_str(), &options, &opened, &error), APLOMB_OK) << error.message;
        character.reset(opened);
        aplomb_solver* made_solver = nullptr;
        EXPECT_EQ(aplomb_solver_create(figure(), nullptr, &made_solver, &error), APLOMB_OK) << error.message;
        solver.reset(made_solver);
        count = static_cast<std::size_t>(aplomb_figure_joint_count(figure()));
    }
    const aplomb_figure* figure() const { return aplomb_character_figure(character.get()); }
    aplomb_limb_info limb(int32_t index) const {
        aplomb_limb_info info;
        aplomb_limb_info_init(&info, sizeof info);
        EXPECT_EQ(aplomb_figure_limb(figure(), index, &info, nullptr), APLOMB_OK);
        return info;
    }
    aplomb_joint_info joint(int32_t index) const {
        aplomb_joint_info info;
        aplomb_joint_info_init(&info, sizeof info);
        EXPECT_EQ(aplomb_figure_joint(figure(), index, &info, nullptr), APLOMB_OK);
        return info;
    }
    /// As the file's nodes stand, or at the start of one of its clips.
    Pose of_clip(int32_t clip) const {
        Pose pose{std::vector<double>(3 * count), std::vector<double>(4 * count)};
        aplomb_character_pose(character.get(), clip, 0, pose.translations.data(), pose.rotations.data(),
                              nullptr);
        return pose;
    }
    Pose neutral() const {
        Pose pose{std::vector<double>(3 * count), std::vector<double>(4 * count)};
        aplomb_figure_neutral_pose(figure(), pose.translations.data(), pose.rotations.data());
        return pose;
    }
    /// In the world; lengths in the file's unit.
    void place(const Pose& pose, int32_t index, Vec3* position, Quat* turn) const {
        const std::size_t j = static_cast<std::size_t>(index);
        const double *t = &pose.translations[3 * j], *r = &pose.rotations[4 * j];
        const int32_t parent = joint(index).parent;
        Vec3 above;
        Quat above_turn;
        if (parent >= 0) place(pose, parent, &above, &above_turn);
        *position = above + rotate(above_turn, {t[0], t[1], t[2]});
        *turn = above_turn * Quat{r[0], r[1], r[2], r[3]};
    }
    /// Turns a joint about the world's left.
    void bend(Pose& pose, int32_t index, double angle) const {
        Vec3 position;
        Quat above;
        place(pose, joint(index).parent, &position, &above);
        double* r = &pose.rotations[4 * static_cast<std::size_t>(index)];
        const Quat q = conjugate(above) * exp_rotation({angle, 0, 0}) * above * Quat{r[0], r[1], r[2], r[3]};
        r[0] = q.x, r[1] = q.y, r[2] = q.z, r[3] = q.w;
    }
    double lowest(const Pose& pose, const aplomb_limb_info& limb) const {
        double height = 1e30;
        for (std::size_t k = 0; k < static_cast<std::size_t>(limb.sole_point_count); ++k) {
            Vec3 position;
            Quat turn;
            place(pose, limb.sole_joint[k], &position, &turn);
            const double* p = limb.sole_points[k];
            height = std::fmin(height, (position + rotate(turn, {p[0], p[1], p[2]})).y);
        }
        return height;
    }
    /// The paw lifted by bending its middle joint, whichever way raises it.
    Pose lifted(const Pose& standing, int32_t index) const {
        const aplomb_limb_info raised = limb(index);
        Pose best = standing;
        for (const double angle : {-50 * degree, 50 * degree}) {
            Pose pose = standing;
            bend(pose, raised.lower, angle);
            if (lowest(pose, raised) > lowest(best, raised)) best = pose;
        }
        return best;
    }

    made::Character character;
    std::unique_ptr<aplomb_solver, DestroySolver> solver;
    std::size_t count = 0;
};

/// What a region has of the whole mass; a side of APLOMB_SIDE_FROM_NAME: all.
double part(const Fox& fox, std::initializer_list<aplomb_role> roles,
            aplomb_side side = APLOMB_SIDE_FROM_NAME) {
    double some = 0, all = 0;
    for (int32_t j = 0; j < static_cast<int32_t>(fox.count); ++j) {
        const aplomb_joint_info info = fox.joint(j);
        all += info.mass;
        for (const aplomb_role role : roles)
            some += info.role == role && (side == APLOMB_SIDE_FROM_NAME || info.side == side) ? info.mass : 0;
    }
    return some / all;
}

/// What a four-footed runner with a brush may have (common practice; no table knows a fox): most in the trunk, each
/// leg a few per cent, two of a pair alike; head and brush are drawn large. The weights of this mesh leave the upper
/// ends of the thighs with the hips.
TEST(Fox, MassesArePlausibleByRegion) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Fox fox;
    const auto hind = {APLOMB_ROLE_THIGH, APLOMB_ROLE_SHANK, APLOMB_ROLE_FOOT, APLOMB_ROLE_TOE};
    const auto fore = {APLOMB_ROLE_GIRDLE, APLOMB_ROLE_UPPER_ARM, APLOMB_ROLE_LOWER_ARM, APLOMB_ROLE_HAND,
                       APLOMB_ROLE_TOE};
    const double trunk = part(fox, {APLOMB_ROLE_HIPS, APLOMB_ROLE_SPINE}),
                 head = part(fox, {APLOMB_ROLE_NECK, APLOMB_ROLE_HEAD}), tail = part(fox, {APLOMB_ROLE_TAIL});
    EXPECT_GT(trunk, .40);
    EXPECT_LT(trunk, .65);
    EXPECT_GT(head, .08);
    EXPECT_LT(head, .25);
    EXPECT_GT(tail, .05);
    EXPECT_LT(tail, .20);
    double legs = 0;
    for (const auto& roles : {hind, fore}) {
        const double left = part(fox, roles, APLOMB_SIDE_LEFT), right = part(fox, roles, APLOMB_SIDE_RIGHT);
        EXPECT_GT(left, .02);
        EXPECT_LT(left, .10);
        EXPECT_NEAR(left / right, 1, .05);
        legs += left + right;
    }
    EXPECT_NEAR(trunk + head + tail + legs, 1, .01); // nothing is anywhere else
    std::printf("fox: trunk %.1f %%, neck and head %.1f %%, tail %.1f %%, legs %.1f %%\n", 100 * trunk,
                100 * head, 100 * tail, 100 * legs);
}

TEST(Fox, HasFourLegsATailAndAHead) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Fox fox;
    ASSERT_EQ(aplomb_figure_limb_count(fox.figure()), 4);
    int legs = 0, fore_legs = 0;
    for (int32_t i = 0; i < 4; ++i) {
        legs += fox.limb(i).kind == APLOMB_LEG;
        fore_legs += fox.limb(i).kind == APLOMB_FORE_LEG;
    }
    EXPECT_EQ(legs, 2);
    EXPECT_EQ(fore_legs, 2);
    EXPECT_GE(aplomb_figure_find_role(fox.figure(), APLOMB_ROLE_TAIL, APLOMB_SIDE_FROM_NAME), 0);
    EXPECT_GE(aplomb_figure_find_role(fox.figure(), APLOMB_ROLE_HEAD, APLOMB_SIDE_FROM_NAME), 0);
}

TEST(Fox, AllPawsStandInTheNeutral) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Fox fox;
    const Pose pose = fox.neutral();
    for (int32_t i = 0; i < 4; ++i) {
        const aplomb_limb_info limb = fox.limb(i);
        // Left and right differ a little in the mesh.
        EXPECT_NEAR(fox.lowest(pose, limb) / limb.length, 0, .01) << i;
    }
    aplomb_contact shown[APLOMB_MAX_CONTACTS];
    ASSERT_EQ(
        aplomb_stance_default(fox.figure(), pose.translations.data(), pose.rotations.data(), shown, nullptr),
        4);
    for (int32_t i = 0; i < 4; ++i)
        EXPECT_EQ(shown[i].hold, APLOMB_BEARING) << i;
}

/// One paw off the ground, the other three bear; prey in its mouth, a part of its mass.
struct ThreePaws {
    ThreePaws(const Fox& fox, const Pose& standing, int32_t raised, double prey)
        : pose(fox.lifted(standing, raised)) {
        aplomb_figure_info info;
        aplomb_figure_info_init(&info, sizeof info);
        aplomb_figure_describe(fox.figure(), &info, nullptr);
        load = aplomb_load_make(prey * info.total_mass, info.head);
        load.offset[2] = 15;
        for (int32_t i = 0; i < 4; ++i)
            contacts[i] = aplomb_contact_make(i, i == raised ? APLOMB_HELD : APLOMB_BEARING);
    }
    aplomb_situation situation() const {
        aplomb_situation s;
        aplomb_situation_init(&s, sizeof s);
        s.translations = pose.translations.data(), s.rotations = pose.rotations.data();
        s.contacts = contacts, s.contact_count = 4;
        s.loads = &load, s.load_count = load.mass > 0;
        return s;
    }

    Pose pose;
    aplomb_contact contacts[4];
    aplomb_load load;
};

/// How far a limb's end went, in the file's unit.
double moved(const Fox& fox, const Pose& a, const Pose& b, int32_t limb) {
    Vec3 was, is;
    Quat turn;
    fox.place(a, fox.limb(limb).end, &was, &turn);
    fox.place(b, fox.limb(limb).end, &is, &turn);
    return norm(is - was);
}

/// Returns whether the keyed pose was out of balance.
bool expect_balanced_on_the_others(const Fox& fox, const Pose& standing, int32_t raised, double prey) {
    const ThreePaws moment(fox, standing, raised, prey);
    const double leg = fox.limb(raised).length;
    EXPECT_GT(fox.lowest(moment.pose, fox.limb(raised)) - fox.lowest(standing, fox.limb(raised)), .1 * leg);
    const aplomb_situation situation = moment.situation();
    aplomb_error error{};
    aplomb_reading before, after;
    aplomb_reading_init(&before, sizeof before), aplomb_reading_init(&after, sizeof after);
    EXPECT_EQ(aplomb_read(fox.solver.get(), &situation, nullptr, &before, &error), APLOMB_OK)
        << error.message;

    Pose corrected = moment.pose;
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    EXPECT_EQ(aplomb_balance(fox.solver.get(), &situation, nullptr, corrected.translations.data(),
                             corrected.rotations.data(), &result, &error),
              APLOMB_OK)
        << error.message;
    EXPECT_EQ(aplomb_read_corrected(fox.solver.get(), &situation, nullptr, corrected.translations.data(),
                                    corrected.rotations.data(), &result, &after, &error),
              APLOMB_OK)
        << error.message;
    EXPECT_EQ(result.changed, prey > 0 || !before.in_balance);
    EXPECT_TRUE(after.in_balance);
    EXPECT_GE(after.margin, after.margin_asked);
    EXPECT_LE(result.violation, 1e-6);
    for (int32_t i = 0; i < 4; ++i) {
        if (i == raised) continue;
        EXPECT_LT(moved(fox, moment.pose, corrected, i) * metres_per_unit, 1e-9) << i;
    }
    std::printf("fox, %s %s paw up: margin %.1f -> %.1f cm of %.1f asked, hips %.1f cm\n",
                aplomb_side_text(static_cast<aplomb_side>(fox.limb(raised).side)),
                fox.limb(raised).kind == APLOMB_LEG ? "hind" : "fore", before.margin, after.margin,
                after.margin_asked,
                norm(Vec3{result.controls.hips_shift[0], result.controls.hips_shift[1],
                          result.controls.hips_shift[2]}));
    return !before.in_balance;
}

void expect_balanced_on_any_three(const Fox& fox, const Pose& standing, double prey) {
    int out_of_balance = 0;
    for (int32_t raised = 0; raised < 4; ++raised) {
        SCOPED_TRACE(raised);
        out_of_balance += expect_balanced_on_the_others(fox, standing, raised, prey);
    }
    EXPECT_GE(out_of_balance, 2); // else there was nothing to mend
}

// Its balance point is where the diagonals of its paws cross, so that it stands on any three as it is; not so with
// prey in its mouth, or where it turns its head.

TEST(Fox, IsBalancedOnAnyThreePawsFromTheFilesOwnStand) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Fox fox;
    expect_balanced_on_any_three(fox, fox.of_clip(-1), .25);
}

TEST(Fox, IsBalancedOnAnyThreePawsFromTheNeutral) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Fox fox;
    expect_balanced_on_any_three(fox, fox.neutral(), .25);
}

TEST(Fox, IsBalancedOnAnyThreePawsWhileItLooksAround) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const Fox fox;
    expect_balanced_on_any_three(fox, fox.of_clip(0), 0); // Survey
}

} // namespace

// SPDX-License-Identifier: MIT
// The anatomical neutral: reached from any rest pose, limbs straight down, toes forward, hinges the natural
// way.
#include <gtest/gtest.h>

#include "capi/handles.h"
#include "figures.h"

namespace {

using namespace aplomb;
using lay::LayFigure;

/// A rest pose of another shape: `joint` and all below turned by `turn` in the world.
void pose(LayFigure& f, std::vector<double>& rotations, const std::string& joint, const Vec3& turn) {
    const Quat q = exp_rotation(turn);
    const size_t i = 4 * static_cast<size_t>(f.find(joint));
    rotations[i] = q.x;
    rotations[i + 1] = q.y;
    rotations[i + 2] = q.z;
    rotations[i + 3] = q.w;
}

std::vector<double> identities(const LayFigure& f) {
    std::vector<double> rotations;
    for (int32_t i = 0; i < f.count(); ++i)
        rotations.insert(rotations.end(), {0, 0, 0, 1});
    return rotations;
}

lay::FigureHandle create(LayFigure& f, const std::vector<double>& rotations) {
    aplomb_figure_desc desc = f.desc();
    desc.rotations = rotations.data();
    return LayFigure::create_figure(desc);
}

Vec3 direction(const Figure& figure, int32_t from, int32_t to) {
    return normalized(figure.joints[to].neutral_position - figure.joints[from].neutral_position);
}

void expect_near(const Vec3& a, const Vec3& b, double tolerance = 1e-9) {
    EXPECT_LE(norm(a - b), tolerance)
        << a.x << " " << a.y << " " << a.z << " / " << b.x << " " << b.y << " " << b.z;
}

void expect_straight_down(const Figure& figure) {
    for (int32_t i = 0; i < figure.limb_count; ++i) {
        const Limb& limb = figure.limbs[i];
        expect_near(direction(figure, limb.upper, limb.lower), {0, -1, 0});
        expect_near(direction(figure, limb.lower, limb.end), {0, -1, 0});
    }
}

/// The middle joint bent by a right angle about its hinge: where the lower span then points.
Vec3 bent(const Limb& limb) {
    return rotate(exp_rotation(limb.hinge * (0.5 * pi)), {0, -1, 0});
}

TEST(Neutral, StandingAdult) {
    const auto figure = LayFigure::adult().create();
    ASSERT_EQ(figure->limb_count, 4);
    expect_straight_down(*figure);
    for (int32_t i = 0; i < 4; ++i) {
        const Limb& limb = figure->limbs[i];
        const double forward = limb.kind == APLOMB_LEG ? -1 : 1; // heel back, forearm forward
        expect_near(bent(limb), {0, 0, forward});
        if (limb.kind != APLOMB_LEG) continue;
        const Vec3 foot = direction(*figure, limb.end, limb.toe);
        EXPECT_NEAR(foot.x, 0, 1e-12);
        EXPECT_GT(foot.z, 0);
    }
    EXPECT_NEAR(figure->stature, 1.75, 0.01);
    EXPECT_NEAR(figure->leg_length, (.530 - .039) * 1.75, 0.01);
}

TEST(Neutral, LowestSoleIsOnTheGround) {
    for (LayFigure f : {LayFigure::adult(), LayFigure::toddler(), LayFigure::quadruped()}) {
        const auto figure = f.create();
        double lowest = 1;
        for (int32_t i = 0; i < figure->limb_count; ++i) {
            const Sole& sole = figure->limbs[i].sole;
            for (int k = 0; k < sole.point_count; ++k) {
                const Joint& joint = figure->joints[sole.points[k].joint];
                lowest = std::fmin(
                    lowest, to_world({joint.neutral_position, joint.neutral}, sole.points[k].position).y);
            }
        }
        EXPECT_NEAR(lowest, 0, 1e-12);
    }
}

/// The same body drawn in other rest poses has the same neutral.
TEST(Neutral, DoesNotDependOnTheRestPose) {
    LayFigure f = LayFigure::adult();
    const auto standing = f.create();
    std::vector<double> rotations = identities(f);
    pose(f, rotations, "left_upper_arm", {0, 0, 80 * degree}); // arms out, palms down
    pose(f, rotations, "right_upper_arm", {0, 0, -80 * degree});
    pose(f, rotations, "left_thigh", {0, 0, 20 * degree}); // legs splayed, feet level
    pose(f, rotations, "left_foot", {0, 0, -20 * degree});
    pose(f, rotations, "right_thigh", {-30 * degree, 0, 0}); // one knee bent, foot level
    pose(f, rotations, "right_shank", {50 * degree, 0, 0});
    pose(f, rotations, "right_foot", {-20 * degree, 0, 0});
    // A bent elbow, forearm forward; at right angles to the bone, which hangs 10 degrees away.
    pose(f, rotations, "left_lower_arm",
         Vec3{-std::cos(10 * degree), -std::sin(10 * degree), 0} * (40 * degree));
    const auto posed = create(f, rotations);
    for (int32_t j = 0; j < f.count(); ++j) {
        SCOPED_TRACE(f.names[static_cast<size_t>(j)]);
        expect_near(posed->joints[j].neutral_position, standing->joints[j].neutral_position, 1e-3);
        EXPECT_LT(norm(log_rotation(posed->joints[j].neutral * conjugate(standing->joints[j].neutral))), .2);
    }
    expect_straight_down(*posed);
}

TEST(Neutral, ToesAreTurnedForward) {
    LayFigure f = LayFigure::adult();
    std::vector<double> rotations = identities(f);
    pose(f, rotations, "left_thigh", {0, 35 * degree, 0});
    const auto figure = create(f, rotations);
    const Limb* left = nullptr;
    for (int32_t i = 0; i < figure->limb_count; ++i) {
        const Limb& limb = figure->limbs[i];
        if (limb.kind == APLOMB_LEG && limb.side == APLOMB_SIDE_LEFT) left = &limb;
    }
    ASSERT_NE(left, nullptr);
    EXPECT_NEAR(direction(*figure, left->end, left->toe).x, 0, 1e-9);
    // The thigh is turned back about its bone with the foot.
    expect_near(rotate(figure->joints[left->upper].neutral, {1, 0, 0}), {1, 0, 0}, 0.1);
}

TEST(Neutral, LyingFigureIsSetUpright) {
    LayFigure f = LayFigure::adult();
    std::vector<double> rotations = identities(f);
    pose(f, rotations, "spine_1", {80 * degree, 0, 0});
    const auto figure = create(f, rotations);
    expect_near(direction(*figure, f.find("spine_1"), f.find("neck")), {0, 1, 0});
    EXPECT_NEAR(figure->stature, 1.75, 0.01);
}

TEST(Neutral, QuadrupedBendsAsItStands) {
    const auto figure = LayFigure::quadruped().create();
    ASSERT_EQ(figure->limb_count, 4);
    expect_straight_down(*figure);
    for (int32_t i = 0; i < 4; ++i) {
        const Limb& limb = figure->limbs[i];
        ASSERT_NE(limb.kind, APLOMB_ARM);
        // Elbows move the lower leg forward, stifles back.
        expect_near(bent(limb), {0, 0, limb.kind == APLOMB_FORE_LEG ? 1.0 : -1.0});
    }
    const Vec3 trunk = direction(*figure, figure->spine[0].joint, figure->neck[0].joint);
    EXPECT_GT(trunk.z, 0.9); // stays level
}

double lowest_of(const Figure& figure, const Sole& sole) {
    double lowest = 1e30;
    for (int k = 0; k < sole.point_count; ++k) {
        const Joint& joint = figure.joints[sole.points[k].joint];
        lowest =
            std::fmin(lowest, to_world({joint.neutral_position, joint.neutral}, sole.points[k].position).y);
    }
    return lowest;
}

void expect_all_paws_stand(const Figure& figure) {
    ASSERT_EQ(figure.limb_count, 4);
    expect_straight_down(figure);
    for (int32_t i = 0; i < 4; ++i)
        EXPECT_NEAR(lowest_of(figure, figure.limbs[i].sole), 0, 1e-12) << i;
}

/// The turn of the trunk since the rest pose, forward and down, degrees.
double trunk_tips(const LayFigure& f, const Figure& figure) {
    const Vec3 turn = log_rotation(figure.joints[f.find("hips")].neutral); // identity in the rest pose
    EXPECT_NEAR(turn.y, 0, 1e-12);
    EXPECT_NEAR(turn.z, 0, 1e-12);
    return turn.x / degree;
}

/// The dog's hind legs are the longer ones once all are straight, and longer still or shorter in other breeds.
TEST(Neutral, AQuadrupedsTrunkTipsUntilAllPawsStand) {
    for (const double thigh : {0.12, 0.18, 0.30}) {
        SCOPED_TRACE(thigh);
        LayFigure f = LayFigure::quadruped();
        const double rest_shift =
            0.18 - thigh; // the body with its fore legs, so that the paws stand as before
        for (const char* joint : {"left_hind_shank", "right_hind_shank"})
            f.translations[3 * static_cast<size_t>(f.find(joint)) + 1] = -thigh;
        for (const char* joint : {"left_fore_upper_arm", "right_fore_upper_arm"})
            f.translations[3 * static_cast<size_t>(f.find(joint)) + 1] += rest_shift;
        const auto figure = f.create();
        expect_all_paws_stand(*figure);
        const double span = .58; // from hind to fore legs
        const Figure& made = *figure;
        const double drop = made.joints[f.find("left_hind_thigh")].neutral_position.y -
                            made.joints[f.find("left_fore_upper_arm")].neutral_position.y;
        const double rest_drop = .50 - .46 - rest_shift;
        EXPECT_NEAR(trunk_tips(f, made),
                    std::asin(drop / std::hypot(span, rest_drop)) / degree -
                        std::atan2(rest_drop, span) / degree,
                    1e-9);
        EXPECT_GT(std::fabs(trunk_tips(f, made)), 1);
        // Paws keep their attitude, whatever the trunk does.
        expect_near(log_rotation(made.joints[f.find("left_fore_paw")].neutral), {0, 0, 0});
        expect_near(log_rotation(made.joints[f.find("left_hind_hock")].neutral), {0, 0, 0});
    }
}

/// Folded hind legs so long that no turn of the trunk makes up for them: the body stays as it rests.
TEST(Neutral, AQuadrupedWhoseLegsNoTurnLevelsStaysAsItRests) {
    LayFigure f = LayFigure::quadruped();
    for (const char* joint : {"left_hind_", "right_hind_"}) {
        double* knee = &f.translations[3 * static_cast<size_t>(f.find(std::string(joint) + "shank"))];
        double* hock = &f.translations[3 * static_cast<size_t>(f.find(std::string(joint) + "hock"))];
        knee[2] += 1.2, hock[2] -= 1.2;
    }
    const auto figure = f.create();
    ASSERT_EQ(figure->limb_count, 4);
    EXPECT_EQ(figure->limbs[2].kind, APLOMB_FORE_LEG);
    EXPECT_EQ(trunk_tips(f, *figure), 0);
}

/// A head's segment that ends at the ears, as in some captures, is no crown.
TEST(Neutral, ShortHeadIsNoCrown) {
    LayFigure f = LayFigure::adult();
    f.tips[3 * static_cast<size_t>(f.find("head")) + 1] = 0.09;
    const auto figure = f.create();
    EXPECT_NEAR(figure->stature, 1.75, 0.02);
}

/// A head joint at the base of the neck, as in some captures: the legs tell the stature.
TEST(Neutral, LowHeadJointIsNotBelieved) {
    LayFigure f = LayFigure::adult();
    const size_t head = static_cast<size_t>(f.find("head"));
    f.translations[3 * head + 1] = 0.03;
    f.tips[3 * head + 1] = 0.09;
    const auto figure = f.create();
    EXPECT_NEAR(figure->stature, 1.75, 0.02);
}

TEST(Neutral, PublicPoseIsTheNeutral) {
    const auto figure = LayFigure::adult().create();
    const size_t n = 22;
    std::vector<double> translations(3 * n), rotations(4 * n), matrices(16 * n);
    ASSERT_EQ(aplomb_figure_neutral_pose(figure.get(), translations.data(), rotations.data()), APLOMB_OK);
    ASSERT_EQ(aplomb_pose_to_matrices(figure.get(), translations.data(), rotations.data(), matrices.data(),
                                      APLOMB_DOUBLE, 128, APLOMB_WORLD, nullptr),
              APLOMB_OK);
    for (size_t j = 0; j < n; ++j) {
        const double* m = &matrices[16 * j];
        expect_near({m[12], m[13], m[14]}, figure->joints[j].neutral_position, 1e-12);
    }
    // Bones keep their length: only the hips are moved.
    for (size_t j = 1; j < n; ++j) {
        const Vec3 local = {translations[3 * j], translations[3 * j + 1], translations[3 * j + 2]};
        expect_near(local, figure->joints[j].rest_translation, 1e-12);
    }
}

} // namespace

// SPDX-License-Identifier: MIT
// Hosts of other kinds: left-handed axes get the mirrored answer of everything, floats that of their doubles; and
// loads by the word for their place.
#include <gtest/gtest.h>

#include <cmath>
#include <cstring>
#include <memory>
#include <string>
#include <vector>

#include "poses.h"

namespace {

using aplomb::Quat;
using aplomb::Vec3;
using Numbers = std::vector<double>;

struct DestroySolver {
    void operator()(aplomb_solver* solver) const { aplomb_solver_destroy(solver); }
};
using SolverHandle = std::unique_ptr<aplomb_solver, DestroySolver>;

SolverHandle make_solver(const aplomb_figure* figure) {
    aplomb_solver* solver = nullptr;
    EXPECT_EQ(aplomb_solver_create(figure, nullptr, &solver, nullptr), APLOMB_OK);
    return SolverHandle(solver);
}

// ---- Left-handed -------------------------------------------------------------------------------------------

/// The same scene told along axes of which z points the other way: places lose the sign of z, rotations that of
/// their parts about x and y.
void mirror_places(Numbers& v) {
    for (size_t i = 2; i < v.size(); i += 3)
        v[i] = -v[i];
}
void mirror_turns(Numbers& v) {
    for (size_t i = 0; i < v.size(); i += 4)
        v[i] = -v[i], v[i + 1] = -v[i + 1];
}

void expect_near(const double* a, const double* b, int count, double tolerance, const std::string& what) {
    for (int i = 0; i < count; ++i) {
        if (a[i] == b[i]) continue; // infinite, too
        EXPECT_NEAR(a[i], b[i], tolerance) << what << " " << i;
    }
}
/// `b` in the mirrored host.
void expect_mirrored(const double* a, const double* b, int points, double tolerance,
                     const std::string& what) {
    for (int i = 0; i < points; ++i) {
        const double back[3] = {b[3 * i], b[3 * i + 1], -b[3 * i + 2]};
        expect_near(a + 3 * i, back, 3, tolerance, what);
    }
}

/// A figure with everything that has axes, in right-handed axes or in the mirrored ones.
struct Hosted {
    explicit Hosted(bool left_handed) : left(left_handed) {
        const size_t joints = static_cast<size_t>(shape.count());
        const std::vector<int32_t> roles = shape.roles;
        Numbers masses(joints), centres(3 * joints), inertias(6 * joints), turns(4 * joints);
        for (size_t j = 0; j < joints; ++j) {
            const double n = static_cast<double>(j);
            masses[j] = 1 + .1 * n;
            centres[3 * j] = .01, centres[3 * j + 1] = -.05, centres[3 * j + 2] = .02 + .001 * n;
            const double inertia[6] = {.1, .2, .15, .01, .02, left ? -.03 : .03};
            std::memcpy(&inertias[6 * j], inertia, sizeof inertia);
            if (left) inertias[6 * j + 4] = -.02;
            turns[4 * j + 3] = 1;
        }
        const double sole[] = {-.04, -.09, -.06, .05, -.09, -.06, .05, -.09, .2, -.04, -.09, .2};
        Numbers points(std::begin(sole), std::end(sole));
        if (left) mirror_places(centres), mirror_places(points);
        if (left) mirror_places(shape.translations), mirror_places(shape.tips);
        const aplomb_patch patch = {shape.find("left_foot"), 4, points.data()};
        aplomb_figure_desc desc = shape.desc();
        desc.rotations = turns.data();
        desc.masses = masses.data(), desc.centres = centres.data(), desc.inertias = inertias.data();
        desc.soles = &patch, desc.sole_count = 1;
        desc.forward_axis = left ? APLOMB_AXIS_MINUS_Z : APLOMB_AXIS_Z, desc.left_handed = left;
        figure = lay::LayFigure::create_figure(desc);
        solver = make_solver(figure.get());
    }

    bool left;
    lay::LayFigure shape = lay::LayFigure::adult();
    lay::FigureHandle figure;
    SolverHandle solver;
};

/// A moment with everything in it: a patch that bears, a pull, a slanting gravity, a load.
struct Scene {
    Scene(const Hosted& host, const lay::Pose& keyed)
        : translations(keyed.translations), rotations(keyed.rotations) {
        if (host.left) mirror_places(translations), mirror_turns(rotations);
        const double sign = host.left ? -1 : 1;
        load = aplomb_load_make(5, host.shape.find("right_hand"));
        load.offset[0] = -.05, load.offset[2] = .1; // left, up, forward in any axes
        pull = {host.shape.find("spine_3"), {.02, .05, .04 * sign}, {20, -5, 12 * sign}};
        const double rod[6] = {.5, 0, .3 * sign, .5, .02, .5 * sign};
        std::memcpy(points, rod, sizeof points);
        contacts.push_back(aplomb_contact_make(-1, APLOMB_BEARING));
        contacts[0].joint = host.shape.find("spine_1"), contacts[0].point_count = 2;
        contacts[0].points = points;
        for (int32_t limb = 0; limb < aplomb_figure_limb_count(host.figure.get()); ++limb) {
            aplomb_limb_info info;
            aplomb_limb_info_init(&info, sizeof info);
            aplomb_figure_limb(host.figure.get(), limb, &info, nullptr);
            if (info.kind == APLOMB_LEG) contacts.push_back(aplomb_contact_make(limb, APLOMB_BEARING));
        }
        aplomb_situation_init(&situation, sizeof situation);
        situation.translations = translations.data(), situation.rotations = rotations.data();
        situation.loads = &load, situation.load_count = 1;
        situation.pulls = &pull, situation.pull_count = 1;
        situation.contacts = contacts.data() + 1; // the patch stands first
        situation.contact_count = static_cast<int32_t>(contacts.size()) - 1;
        situation.gravity[0] = .3, situation.gravity[1] = -9.7, situation.gravity[2] = .5 * sign;
        aplomb_options_init(&options, sizeof options);
        options.exact = 1;
        aplomb_result_init(&result, sizeof result);
        aplomb_reading_init(&keyed_reading, sizeof keyed_reading);
        aplomb_reading_init(&reading, sizeof reading);
        out_translations = translations, out_rotations = rotations;
    }
    Scene(const Scene&) = delete;
    Scene& operator=(const Scene&) = delete;

    void lean_on_patch() { situation.contacts = contacts.data(), ++situation.contact_count; }
    void balance(const Hosted& host) {
        aplomb_error error{};
        EXPECT_EQ(aplomb_read(host.solver.get(), &situation, nullptr, &keyed_reading, &error), APLOMB_OK)
            << error.message;
        EXPECT_EQ(aplomb_balance(host.solver.get(), &situation, &options, out_translations.data(),
                                 out_rotations.data(), &result, &error),
                  APLOMB_OK)
            << error.message;
        EXPECT_EQ(aplomb_read_corrected(host.solver.get(), &situation, nullptr, out_translations.data(),
                                        out_rotations.data(), &result, &reading, &error),
                  APLOMB_OK)
            << error.message;
    }

    Numbers translations, rotations, out_translations, out_rotations;
    double points[6];
    aplomb_load load;
    aplomb_pull pull;
    std::vector<aplomb_contact> contacts;
    aplomb_situation situation;
    aplomb_options options;
    aplomb_result result;
    aplomb_reading keyed_reading, reading;
};

class LeftHanded : public testing::Test {
protected:
    LeftHanded() {
        keyed.soft_knees(12)
            .turn("hips", 2, 25, 1)
            .turn("spine_2", 3, 4, 2)
            .turn("right_upper_arm", -25, 5, 9);
        keyed.plant().move(.4, 0, .7);
    }

    Hosted right{false}, left{true};
    lay::Pose keyed{right.figure.get(), right.shape};
};

void expect_mirrored(const aplomb_reading& a, const aplomb_reading& b) {
    constexpr double tiny = 1e-8;
    ASSERT_EQ(a.edge_count, b.edge_count);
    ASSERT_EQ(a.contact_count, b.contact_count);
    ASSERT_EQ(a.cue_count, b.cue_count);
    expect_mirrored(a.body_centre, b.body_centre, 1, tiny, "body_centre");
    expect_mirrored(a.centre, b.centre, 1, tiny, "centre");
    expect_mirrored(a.balance_point, b.balance_point, 1, tiny, "balance_point");
    expect_mirrored(a.area[0], b.area[0], a.edge_count, tiny, "area");
    expect_mirrored(a.tip_direction, b.tip_direction, 1, tiny, "tip_direction");
    expect_mirrored(a.home, b.home, 1, tiny, "home");
    expect_mirrored(a.rest_point, b.rest_point, 1, tiny, "rest_point");
    expect_mirrored(a.line_of_action[0], b.line_of_action[0], 5, tiny, "line_of_action");
    expect_mirrored(a.load_centre[0], b.load_centre[0], 1, tiny, "load_centre");
    expect_near(&a.margin, &b.margin, 2, tiny, "margin");
    expect_near(&a.trunk_fore, &b.trunk_fore, 2, tiny, "trunk");
    for (int32_t i = 0; i < a.contact_count; ++i)
        expect_mirrored(a.contacts[i].centre, b.contacts[i].centre, 1, tiny, "contact");
}

TEST_F(LeftHanded, AMirroredHostGetsTheMirroredAnswer) {
    Scene a(right, keyed), b(left, keyed);
    a.balance(right), b.balance(left);
    ASSERT_TRUE(a.result.changed);
    ASSERT_GT(std::fabs(a.out_translations[2] - a.translations[2]), 1e-3); // something to mirror
    mirror_places(b.out_translations), mirror_turns(b.out_rotations);
    expect_near(a.out_translations.data(), b.out_translations.data(), right.shape.count() * 3, 1e-8,
                "places");
    expect_near(a.out_rotations.data(), b.out_rotations.data(), right.shape.count() * 4, 1e-7, "turns");
    expect_near(a.result.controls.hips_shift, b.result.controls.hips_shift, 12, 1e-7, "controls");
    expect_mirrored(a.result.moved, b.result.moved, 1, 1e-8, "moved");
    expect_mirrored(a.result.moved_by[0], b.result.moved_by[0], 5, 1e-6, "moved_by");
    expect_mirrored(a.keyed_reading, b.keyed_reading);
    expect_mirrored(a.reading, b.reading);
}

TEST_F(LeftHanded, PatchesAreMirrored) {
    Scene a(right, keyed), b(left, keyed);
    a.lean_on_patch(), b.lean_on_patch();
    aplomb_read(right.solver.get(), &a.situation, nullptr, &a.keyed_reading, nullptr);
    aplomb_read(left.solver.get(), &b.situation, nullptr, &b.keyed_reading, nullptr);
    ASSERT_EQ(a.keyed_reading.contact_count, 3);
    expect_mirrored(a.keyed_reading, b.keyed_reading);
}

TEST_F(LeftHanded, StepsTravelInTheMirroredDirection) {
    Scene a(right, keyed), b(left, keyed);
    aplomb_frame frame;
    aplomb_frame_init(&frame, sizeof frame);
    frame.seconds = 1.0 / 60, frame.velocity[0] = .5, frame.velocity[2] = .8;
    aplomb_step_state to_right{}, to_left{};
    const auto step = [&](const Hosted& host, aplomb_step_state& state, Scene& s) {
        EXPECT_GE(aplomb_step(host.solver.get(), &state, &s.situation, &s.options, nullptr, &frame,
                              s.out_translations.data(), s.out_rotations.data(), &s.result, nullptr),
                  0);
    };
    for (int i = 0; i < 5; ++i)
        step(right, to_right, a);
    frame.velocity[2] *= -1;
    for (int i = 0; i < 5; ++i)
        step(left, to_left, b);
    mirror_places(b.out_translations), mirror_turns(b.out_rotations);
    expect_near(a.out_translations.data(), b.out_translations.data(), right.shape.count() * 3, 1e-8,
                "places");
    expect_near(a.out_rotations.data(), b.out_rotations.data(), right.shape.count() * 4, 1e-7, "turns");
}

TEST_F(LeftHanded, TheFigureIsToldInItsHostsAxes) {
    aplomb_figure_info a, b;
    aplomb_figure_info_init(&a, sizeof a), aplomb_figure_info_init(&b, sizeof b);
    aplomb_figure_describe(right.figure.get(), &a, nullptr);
    aplomb_figure_describe(left.figure.get(), &b, nullptr);
    EXPECT_EQ(a.left_handed, 0);
    EXPECT_EQ(b.left_handed, 1);
    EXPECT_EQ(b.up_axis, APLOMB_AXIS_Y);
    EXPECT_EQ(b.forward_axis, APLOMB_AXIS_MINUS_Z);
    EXPECT_NEAR(a.stature, b.stature, 1e-12);
    for (int32_t j = 0; j < right.shape.count(); ++j) {
        aplomb_joint_info p, q;
        aplomb_joint_info_init(&p, sizeof p), aplomb_joint_info_init(&q, sizeof q);
        aplomb_figure_joint(right.figure.get(), j, &p, nullptr);
        aplomb_figure_joint(left.figure.get(), j, &q, nullptr);
        expect_mirrored(p.centre, q.centre, 1, 1e-12, "centre");
        q.inertia[4] *= -1, q.inertia[5] *= -1;
        expect_near(p.inertia, q.inertia, 6, 1e-12, "inertia");
        expect_near(p.limits, q.limits, 6, 1e-9, "limits");
    }
    Numbers t(3 * static_cast<size_t>(right.shape.count())), r(4 * t.size() / 3), u = t, v = r;
    aplomb_figure_neutral_pose(right.figure.get(), t.data(), r.data());
    aplomb_figure_neutral_pose(left.figure.get(), u.data(), v.data());
    mirror_places(u), mirror_turns(v);
    expect_near(t.data(), u.data(), static_cast<int>(t.size()), 1e-12, "neutral places");
    expect_near(r.data(), v.data(), static_cast<int>(r.size()), 1e-12, "neutral turns");
}

// Of a left-handed host with +Y up and +Z forward the left is -X: another reflection, the same character.
TEST_F(LeftHanded, LeftIsForwardAcrossUp) {
    lay::LayFigure shape = lay::LayFigure::adult();
    for (size_t i = 0; i < shape.translations.size(); i += 3)
        shape.translations[i] *= -1, shape.tips[i] *= -1;
    shape.give_roles = false; // sides are told by names and shape
    aplomb_figure_desc desc = shape.desc();
    desc.left_handed = 1;
    const lay::FigureHandle figure = lay::LayFigure::create_figure(desc);
    const SolverHandle solver = make_solver(figure.get());
    lay::Pose pose(figure.get(), shape);
    aplomb_load load = aplomb_load_make(15, shape.find("left_hand"));
    aplomb_situation situation = pose.situation();
    situation.loads = &load, situation.load_count = 1;
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    const double hips = pose.translations[0];
    ASSERT_EQ(aplomb_balance(solver.get(), &situation, nullptr, pose.translations.data(),
                             pose.rotations.data(), &result, nullptr),
              APLOMB_OK);
    EXPECT_LT(result.controls.hips_shift[0], -.005); // to the right, away from the load
    EXPECT_GT(pose.translations[0] - hips, .005);    // which is +X
}

TEST_F(LeftHanded, AFlagThatIsNoneIsRefused) {
    aplomb_figure_desc desc = right.shape.desc();
    desc.left_handed = 2;
    aplomb_figure* figure = nullptr;
    aplomb_error error{};
    EXPECT_EQ(aplomb_figure_create(&desc, nullptr, &figure, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.message, "left_handed is 2; it must be 0 or 1.");
}

// ---- Floats ------------------------------------------------------------------------------------------------

using Floats = std::vector<float>;

Floats floats_of(const Numbers& v) {
    return Floats(v.begin(), v.end());
}
Numbers doubles_of(const Floats& v) {
    return Numbers(v.begin(), v.end());
}

struct FloatHost : LeftHanded {
    FloatHost() : scene(right, keyed), t(floats_of(scene.translations)), r(floats_of(scene.rotations)) {
        scene.translations = scene.out_translations = doubles_of(t);
        scene.rotations = scene.out_rotations = doubles_of(r);
        scene.situation.translations = scene.translations.data();
        scene.situation.rotations = scene.rotations.data();
        situation = scene.situation;
        situation.translations = t.data(), situation.rotations = r.data(), situation.floats = 1;
        aplomb_result_init(&result, sizeof result);
    }
    Scene scene; // the doubles of the floats
    Floats t, r;
    aplomb_situation situation;
    aplomb_result result;
};

TEST_F(FloatHost, GetsTheAnswerOfItsDoubles) {
    scene.balance(right);
    ASSERT_TRUE(scene.result.changed);
    Floats places(t.size()), turns(r.size());
    ASSERT_EQ(aplomb_balance(right.solver.get(), &situation, &scene.options, places.data(), turns.data(),
                             &result, nullptr),
              APLOMB_OK);
    EXPECT_EQ(places, floats_of(scene.out_translations));
    EXPECT_EQ(turns, floats_of(scene.out_rotations));
    EXPECT_EQ(std::memcmp(&result, &scene.result, sizeof result), 0);

    aplomb_reading of_floats, of_doubles;
    aplomb_reading_init(&of_floats, sizeof of_floats), aplomb_reading_init(&of_doubles, sizeof of_doubles);
    const Numbers u = doubles_of(places), v = doubles_of(turns);
    aplomb_read_corrected(right.solver.get(), &situation, nullptr, places.data(), turns.data(), &result,
                          &of_floats, nullptr);
    aplomb_read_corrected(right.solver.get(), &scene.situation, nullptr, u.data(), v.data(), &scene.result,
                          &of_doubles, nullptr);
    EXPECT_EQ(std::memcmp(&of_floats, &of_doubles, sizeof of_floats), 0);
    EXPECT_GT(of_floats.margin, 0);
}

TEST_F(FloatHost, MayWriteOverItsOwnPose) {
    Floats places(t.size()), turns(r.size());
    aplomb_balance(right.solver.get(), &situation, nullptr, places.data(), turns.data(), nullptr, nullptr);
    aplomb_balance(right.solver.get(), &situation, nullptr, t.data(), r.data(), nullptr, nullptr);
    EXPECT_EQ(t, places);
    EXPECT_EQ(r, turns);
}

TEST_F(FloatHost, OtherJointsComeBackBitForBit) {
    const int32_t hand = right.shape.find("left_hand");
    r[4 * static_cast<size_t>(hand) + 3] = 1.00004f; // within the tolerance, and not to be touched
    Floats places(t.size()), turns(r.size());
    ASSERT_EQ(aplomb_balance(right.solver.get(), &situation, nullptr, places.data(), turns.data(), &result,
                             nullptr),
              APLOMB_OK);
    ASSERT_TRUE(result.changed);
    EXPECT_EQ(std::memcmp(&turns[4 * static_cast<size_t>(hand)], &r[4 * static_cast<size_t>(hand)],
                          4 * sizeof(float)),
              0);
}

TEST_F(FloatHost, StepsToo) {
    aplomb_frame frame;
    aplomb_frame_init(&frame, sizeof frame);
    frame.seconds = 1.0 / 60, frame.velocity[0] = .5, frame.velocity[2] = .8;
    aplomb_step_state state{}, other{};
    aplomb_step(right.solver.get(), &state, &scene.situation, nullptr, nullptr, &frame,
                scene.out_translations.data(), scene.out_rotations.data(), nullptr, nullptr);
    Floats places(t.size()), turns(r.size());
    aplomb_step(right.solver.get(), &other, &situation, nullptr, nullptr, &frame, places.data(), turns.data(),
                nullptr, nullptr);
    EXPECT_EQ(places, floats_of(scene.out_translations));
    EXPECT_EQ(turns, floats_of(scene.out_rotations));
}

TEST_F(FloatHost, BadNumbersAreNamed) {
    aplomb_error error{};
    const auto told = [&] {
        EXPECT_LT(
            aplomb_balance(right.solver.get(), &situation, nullptr, t.data(), r.data(), nullptr, &error), 0);
        return std::string(error.message);
    };
    r[7] = 1.5f;
    EXPECT_EQ(told(), "rotations of joint 1 (spine_1): the quaternion has length 1.5, not 1.");
    situation.rotations = nullptr;
    EXPECT_EQ(told(), "situation.rotations is NULL; 4 numbers per joint are needed.");
    situation.floats = 7;
    situation.rotations = r.data();
    EXPECT_EQ(told(), "situation.floats is 7; it must be 0 or 1.");
}

// ---- Loads by their places ---------------------------------------------------------------------------------

TEST(LoadAt, KnowsHandsBackAndJoints) {
    lay::LayFigure shape = lay::LayFigure::adult();
    const lay::FigureHandle figure = shape.create();
    const int32_t left = shape.find("left_hand"), right = shape.find("right_hand");
    const struct {
        const char* place;
        int32_t first, second;
    } places[] = {{"hands", left, right},
                  {"left-hand", left, -1},
                  {"right-hand", right, -1},
                  {"back", shape.find("spine_3"), -1},
                  {"head", shape.find("head"), -1}};
    for (const auto& p : places) {
        aplomb_load load{};
        ASSERT_EQ(aplomb_load_at(figure.get(), 20, p.place, &load, nullptr), APLOMB_OK) << p.place;
        const aplomb_load usual = aplomb_load_make(20, p.first);
        EXPECT_EQ(load.mass, 20) << p.place;
        EXPECT_EQ(load.holder[0], p.first) << p.place;
        EXPECT_EQ(load.holder[1], p.second) << p.place;
        load.holder[1] = -1;
        EXPECT_EQ(std::memcmp(&load, &usual, sizeof load), 0) << p.place;
    }
}

TEST(LoadAt, SaysWhatIsMissing) {
    lay::LayFigure shape = lay::LayFigure::adult();
    for (const char* name : {"left_hand", "right_hand"})
        shape.roles[static_cast<size_t>(shape.find(name))] = APLOMB_ROLE_HELPER;
    const lay::FigureHandle handless = shape.create();
    aplomb_load load = aplomb_load_make(3, 1);
    aplomb_error error{};
    const auto told = [&](const aplomb_figure* figure, const char* place) {
        EXPECT_EQ(aplomb_load_at(figure, 20, place, &load, &error), APLOMB_BAD_ARGUMENT);
        return std::string(error.message);
    };
    EXPECT_EQ(told(handless.get(), "hands"),
              "place is \"hands\", but the figure has no left hand; name the joint that carries.");
    EXPECT_EQ(told(handless.get(), "right-hand"),
              "place is \"right-hand\", but the figure has no right hand; name the joint that carries.");
    EXPECT_EQ(told(handless.get(), "moon"),
              "place is \"moon\"; it must be hands, left-hand, right-hand, back or a joint of the figure.");
    EXPECT_EQ(told(handless.get(), ""),
              "place is \"\"; it must be hands, left-hand, right-hand, back or a joint of the figure.");
    EXPECT_EQ(told(handless.get(), nullptr), "place is NULL.");
    EXPECT_EQ(told(nullptr, "back"), "figure is NULL.");
    EXPECT_EQ(load.mass, 3);
}

} // namespace

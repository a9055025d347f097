// SPDX-License-Identifier: MIT
// Masses, centres and the balance point's gradient against MuJoCo (E. Todorov, T. Erez, Y. Tassa, "MuJoCo: A
// physics engine for model-based control", IROS 2012), which shares no code with ours.
#include "outside/mujoco_model.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <random>

#include "capi/handles.h"
#include "capi/situation.h"
#include "model/push.h"
#include "support/standing.h"

namespace {

using namespace aplomb;
using lay::LayFigure;
using outside::MujocoFigure;

constexpr int pose_count = 200;
constexpr double tolerance = 1e-9; // relative

struct DestroySolver {
    void operator()(aplomb_solver* solver) const { aplomb_solver_destroy(solver); }
};

struct FigureCase {
    const char* name;
    LayFigure (*make)();
};

class AgainstMujoco : public testing::TestWithParam<FigureCase> {
protected:
    AgainstMujoco()
        : shape(GetParam().make()), figure(shape.create()),
          theirs(figure.get(), shape, testing::TempDir() + "aplomb_" + GetParam().name + ".xml") {
        aplomb_solver* made = nullptr;
        if (aplomb_solver_create(figure.get(), nullptr, &made, nullptr))
            throw std::runtime_error("no solver");
        solver.reset(made);
        translations.resize(3 * static_cast<size_t>(shape.count()));
        rotations.resize(4 * static_cast<size_t>(shape.count()));
        aplomb_figure_rest_pose(figure.get(), translations.data(), rotations.data());
    }

    /// Any place and any rotation of every joint, with no regard to limits.
    void tumble() {
        std::normal_distribution<double> spread;
        for (size_t i = 0; i < 3; ++i)
            translations[i] = 2 * spread(random);
        for (size_t j = 0; j < rotations.size(); j += 4) {
            Quat q = {spread(random), spread(random), spread(random), spread(random)};
            q = normalized(q);
            rotations[j] = q.x, rotations[j + 1] = q.y, rotations[j + 2] = q.z, rotations[j + 3] = q.w;
        }
        theirs.pose(translations.data(), rotations.data());
    }

    aplomb_situation situation() const {
        aplomb_situation s;
        aplomb_situation_init(&s, sizeof s);
        s.translations = translations.data();
        s.rotations = rotations.data();
        return s;
    }

    LayFigure shape;
    lay::FigureHandle figure;
    MujocoFigure theirs;
    std::unique_ptr<aplomb_solver, DestroySolver> solver;
    std::vector<double> translations, rotations;
    std::mt19937 random{7};
};

Mat3 matrix(const double* rows) {
    Mat3 m;
    for (int i = 0; i < 3; ++i)
        m.row[i] = {rows[3 * i], rows[3 * i + 1], rows[3 * i + 2]};
    return m;
}

double size(const Mat3& m) {
    return std::sqrt(dot(m.row[0], m.row[0]) + dot(m.row[1], m.row[1]) + dot(m.row[2], m.row[2]));
}

TEST_P(AgainstMujoco, MassAndCentre) {
    for (int round = 0; round < pose_count; ++round) {
        tumble();
        const aplomb_situation s = situation();
        aplomb_reading reading;
        aplomb_reading_init(&reading, sizeof reading);
        aplomb_error error{};
        ASSERT_EQ(aplomb_read(solver.get(), &s, nullptr, &reading, &error), APLOMB_OK) << error.message;
        EXPECT_NEAR(reading.total_mass, theirs.total_mass(), tolerance * theirs.total_mass());
        for (int i = 0; i < 3; ++i)
            EXPECT_NEAR(reading.body_centre[i], theirs.centre()[i], tolerance * figure->stature)
                << "round " << round;
    }
}

TEST_P(AgainstMujoco, InertiasArePossible) {
    for (int32_t j = 0; j < shape.count(); ++j) {
        const aplomb_joint_info info = outside::joint_info(figure.get(), j);
        if (info.mass == 0) {
            for (const double part : info.inertia)
                EXPECT_EQ(part, 0) << info.name;
            continue;
        }
        // MuJoCo refuses what is not positive, and evens out what breaks the triangle inequality: then the
        // sum of squares is another.
        const double *m = theirs.moments(j), *i = info.inertia;
        const double trace = i[0] + i[1] + i[2];
        const double square =
            i[0] * i[0] + i[1] * i[1] + i[2] * i[2] + 2 * (i[3] * i[3] + i[4] * i[4] + i[5] * i[5]);
        EXPECT_NEAR(m[0] + m[1] + m[2], trace, tolerance * trace) << info.name;
        EXPECT_NEAR(m[0] * m[0] + m[1] * m[1] + m[2] * m[2], square, tolerance * square)
            << info.name << " breaks the triangle inequality";
        for (int k = 0; k < 3; ++k)
            EXPECT_GT(m[k], 0) << info.name;
    }
}

// ---- The balance point's gradient ------------------------------------------------------------------------

/// The turn that a change of a rotation vector makes, by its definition: the integral of exp(s r) over s from
/// 0 to 1. Gauss-Legendre, 5 points on each of 8 pieces.
Mat3 turn_per_change(const Vec3& r) {
    constexpr double place[5] = {-.906179845938664, -.538469310105683, 0, .538469310105683, .906179845938664};
    constexpr double weight[5] = {.236926885056189, .478628670499366, .568888888888889, .478628670499366,
                                  .236926885056189};
    Mat3 sum = Mat3::identity() * 0;
    for (int piece = 0; piece < 8; ++piece)
        for (int i = 0; i < 5; ++i)
            sum += to_matrix(exp_rotation(r * ((piece + .5 + .5 * place[i]) / 8))) * (weight[i] / 16);
    return sum;
}

/// MuJoCo's rate of the centre of mass per world turn of a joint.
Mat3 world_rate(const MujocoFigure& theirs, int32_t joint) {
    double own[9];
    theirs.centre_rate(joint, false, own);
    return matrix(own) * transpose(matrix(theirs.rotation(joint)));
}

/// The world's rotation since the neutral, by MuJoCo's placement; the world itself above the root.
Mat3 since_neutral(const MujocoFigure& theirs, const Figure& figure, int32_t joint) {
    if (joint < 0) return Mat3::identity();
    return matrix(theirs.rotation(joint)) * transpose(to_matrix(figure.joints[joint].neutral));
}

/// The world turn of a link's joint per change of its variables at the key.
Mat3 world_turn(const MujocoFigure& theirs, const Figure& figure, int32_t joint) {
    const Mat3 above = since_neutral(theirs, figure, figure.joints[joint].parent);
    const Mat3 own = transpose(above) * since_neutral(theirs, figure, joint);
    return above * turn_per_change(log_rotation(to_quat(own)));
}

/// Expects d(balance point along `way`) / dx of three variables to be way' * rate.
void expect_rate(const double* gradient, const Vec3& way, const Mat3& rate, double largest,
                 const char* what) {
    const Vec3 expected = transposed_times(rate, way);
    for (int k = 0; k < 3; ++k)
        EXPECT_NEAR(gradient[k], expected[k], tolerance * largest) << what << ", variable " << k;
}

/// The reduced model of a pose with all limbs free, lying on a point of the hips.
class Reduced {
public:
    explicit Reduced(const Figure& figure)
        : figure_(figure), trunk_(joints()), is_needed_(joints()), needed_(joints()), group_(joints()),
          translations_(joints()), centres_(joints()), rotations_(joints()), world_(joints()),
          links_(max_links), states_(max_links), wrenches_(max_links) {
        plan_.trunk = trunk_.data(), plan_.needed = needed_.data(), plan_.is_needed = is_needed_.data();
        make_body_plan(figure, plan_);
        reduction.link = links_.data();
        state.link = states_.data();
    }

    void lie_on(const Vec3& normal, aplomb_situation given) {
        const double point[3] = {0, 0, 0};
        aplomb_contact contact = aplomb_contact_make(-1, APLOMB_BEARING);
        contact.joint = figure_.hips, contact.point_count = 1, contact.points = point;
        given.contacts = &contact, given.contact_count = 1;
        for (int i = 0; i < 3; ++i)
            given.ground_normal[i] = normal[i], given.gravity[i] = -9.80665 * normal[i];
        const PoseRoom room = {translations_.data(), rotations_.data(), world_.data(), centres_.data()};
        aplomb_error error{};
        ASSERT_EQ(bring_key(figure_, plan_, given, room, key, &error), APLOMB_OK) << error.message;
        aplomb_options options;
        aplomb_options_init(&options, sizeof options);
        options.neck = 0; // neck and head go with the chest, as theirs do
        const Support support = make_support(figure_, key, options.margin);
        const Aim aim = make_aim(figure_, plan_, key, support, options.heft);
        const Carriage carriage = make_carriage(figure_, plan_, key, aim, options);
        reduce(figure_, key, make_stiffness(figure_, options, carriage), carriage, group_.data(), reduction);
    }
    /// At the key.
    void gradient(double* fore, double* left) {
        const Model model(key, reduction);
        std::fill(state.x, state.x + max_variables, 0.0);
        model.place(state);
        model.differentiate(state);
        Push(model, state, wrenches_.data()).find_balance_point(fore, left);
    }

    Key key;
    Reduction reduction;
    ModelState state;

private:
    size_t joints() const { return static_cast<size_t>(figure_.joint_count); }

    const Figure& figure_;
    std::vector<uint8_t> trunk_, is_needed_;
    std::vector<int32_t> needed_, group_;
    std::vector<Vec3> translations_, centres_;
    std::vector<Quat> rotations_;
    std::vector<Placement> world_;
    std::vector<Link> links_;
    std::vector<LinkState> states_;
    std::vector<Wrench> wrenches_;
    BodyPlan plan_;
};

/// One variable block belongs to one joint where there are few enough of them, as in these figures.
void expect_gradient(const Reduced& ours, const MujocoFigure& theirs, const Figure& figure,
                     const double* gradient, const Vec3& way) {
    const Ground& ground = ours.key.ground;
    const Reduction& reduction = ours.reduction;
    double linear[9];
    theirs.centre_rate(0, true, linear);
    const Mat3 shift = matrix(linear) * Mat3::from_columns(ground.fore, ground.left, ground.normal);
    expect_rate(gradient + Reduction::hips_shift, way, shift, 1, "hips shift");
    const Mat3 hips = world_rate(theirs, figure.hips);
    expect_rate(gradient + Reduction::hips_turn, way, hips * since_neutral(theirs, figure, figure.hips),
                size(hips), "hips turn");
    ASSERT_EQ(reduction.block_count, reduction.link_count - 1);
    for (int i = 1; i < reduction.link_count; ++i) {
        const Link& link = reduction.link[i];
        const Mat3 rate = world_rate(theirs, link.joint);
        expect_rate(gradient + reduction.block_variable(link.block), way,
                    rate * world_turn(theirs, figure, link.joint), size(rate),
                    figure.joints[link.joint].name);
    }
}

TEST_P(AgainstMujoco, BalancePointGradient) {
    Reduced ours(*figure);
    for (int round = 0; round < pose_count && !HasFailure(); ++round) {
        SCOPED_TRACE(round);
        tumble();
        for (const Vec3& normal : {Vec3{0, 1, 0}, Vec3{0, 0, 1}}) { // together they see all three axes
            ours.lie_on(normal, situation());
            ASSERT_EQ(ours.reduction.limb_count, 0);
            ASSERT_GE(ours.reduction.link_count, 1 + 3); // hips, spine
            double fore[max_variables], left[max_variables];
            ours.gradient(fore, left);
            expect_gradient(ours, theirs, *figure, fore, ours.key.ground.fore);
            expect_gradient(ours, theirs, *figure, left, ours.key.ground.left);
        }
    }
}

INSTANTIATE_TEST_SUITE_P(Figures, AgainstMujoco,
                         testing::Values(FigureCase{"adult", LayFigure::adult},
                                         FigureCase{"toddler", LayFigure::toddler},
                                         FigureCase{"detailed", LayFigure::detailed},
                                         FigureCase{"quadruped", LayFigure::quadruped}),
                         [](const auto& one) { return one.param.name; });

} // namespace

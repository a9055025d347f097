// SPDX-License-Identifier: MIT
// A tail against a nonlinear chain, and a bucket against a string, by a physics engine (MuJoCo).
#include <algorithm>
#include <fstream>
#include <iomanip>
#include <memory>
#include <sstream>
#include <stdexcept>

#include <mujoco/mujoco.h>

#include "capi/handles.h"
#include "follow/tail.h"

namespace {

using aplomb::degree;
using aplomb::Vec3;

struct DeleteModel {
    void operator()(mjModel* m) const { mj_deleteModel(m); }
};
struct DeleteData {
    void operator()(mjData* d) const { mj_deleteData(d); }
};

class Engine {
public:
    explicit Engine(const std::string& text) {
        const std::string path = testing::TempDir() + "aplomb_follow.xml";
        std::ofstream(path) << text;
        char error[1000] = "";
        model.reset(mj_loadXML(path.c_str(), nullptr, error, sizeof error));
        if (!model) throw std::runtime_error(error);
        data.reset(mj_makeData(model.get()));
        mj_forward(model.get(), data.get());
    }
    std::unique_ptr<mjModel, DeleteModel> model;
    std::unique_ptr<mjData, DeleteData> data;
};

constexpr int parts = 5;
constexpr double length = .5, part = length / parts;
/// Of the base, so that the chain does not move it.
constexpr double heavy = 1e7;

/// The tail's rods on a base that turns about up; stiffness and damping of each joint from what it carries.
std::string chain_text(double first_rate, double k_of_first, double damping, double behind) {
    std::ostringstream out;
    out << std::setprecision(17) << "<mujoco><option gravity=\"0 0 0\" timestep=\"" << 1. / 9600
        << "\" integrator=\"RK4\"/>"
        << "<compiler angle=\"radian\"/><worldbody><body><joint type=\"hinge\" axis=\"0 1 0\" armature=\""
        << heavy << "\"/><inertial pos=\"0 0 0\" mass=\"1\" diaginertia=\"1 1 1\"/>";
    for (int k = 0; k < parts; ++k) {
        const double below = parts - k,
                     share = below * below / (parts * parts); // of the first joint's stiffness
        const double spring = k_of_first * share;
        out << "<body pos=\"0 0 " << (k == 0 ? -behind : -part)
            << "\"><joint type=\"hinge\" axis=\"0 1 0\" stiffness=\"" << spring << "\" damping=\""
            << 2 * damping / first_rate * spring << "\"/>"
            << "<inertial pos=\"0 0 " << -part / 2 << "\" mass=\"" << part << "\" diaginertia=\""
            << part * part * part / 12 << " " << part * part * part / 12 << " 1e-9\"/>";
    }
    out << "<site name=\"tip\" pos=\"0 0 " << -part << "\"/>";
    for (int k = 0; k < parts; ++k)
        out << "</body>";
    out << "</body></worldbody></mujoco>";
    return out.str();
}

/// The largest distance of the tips, over the length, in a turn of the hips about a point ahead of the tail's root.
double worst_tip(double angle, double seconds, double stiffness, double damping, double behind) {
    tail::Tail t(tail::even(parts, length), stiffness, damping, 0, behind);
    const aplomb::FollowChain& chain = t.follow->chains[0];
    // Of the first mode: rate^2 = y' K y / y' M y, where each mode's mass is 1.
    double sum = 0; // y' K y over the first joint's K
    for (int i = 0; i < chain.axis_count; ++i) {
        const double below = parts - i / 2, y = chain.shape[i * chain.shape_width()];
        sum += below * below / (parts * parts) * y * y;
    }
    const double k_of_first = chain.rate[0] * chain.rate[0] / sum;
    Engine engine(chain_text(chain.rate[0], k_of_first, damping, behind));
    mjData* d = engine.data.get();
    const double frame = 1. / 240, start = 6 * frame; // the tail's first frames know no jump
    const int site = mj_name2id(engine.model.get(), mjOBJ_SITE, "tip");
    const auto put_drive = [&](double time) {
        const double x = (time - start) / seconds;
        const double bend = x > 0 && x < 1 ? 6 - 12 * x : 0;
        d->qfrc_applied[0] = heavy * angle * bend / (seconds * seconds);
    };
    double worst = 0;
    for (int k = 0; k < static_cast<int>(1.5 / frame); ++k) {
        const double time = k * frame;
        const double x = std::clamp((time - start) / seconds, 0., 1.), turn = angle * x * x * (3 - 2 * x);
        const lay::Pose out = t.step(t.posed({{}, {0, turn, 0}}), frame);
        while (d->time < time - 1e-9) {
            put_drive(d->time + .5 * engine.model->opt.timestep);
            mj_step(engine.model.get(), d);
        }
        mj_forward(engine.model.get(), d);
        EXPECT_NEAR(d->qpos[0], turn, 1e-3);
        aplomb::Quat last, hips;
        const Vec3 end = out.place(t.shape.find("tail_5"), last), at = out.place(0, hips);
        const Vec3 ours = end + rotate(last, {0, 0, -part}) - at;
        const double* theirs = d->site_xpos + 3 * site;
        worst = std::max(worst, norm(ours - Vec3{theirs[0], theirs[1], theirs[2]}));
    }
    return worst / length;
}

TEST(Outside, ATailGoesAsANonlinearChain) {
    EXPECT_LT(worst_tip(40 * degree, 8 / 24., 4, .35, 0), .005);
    EXPECT_LT(worst_tip(90 * degree, 10 / 24., 8, .45, 0), .01);
    EXPECT_LT(worst_tip(90 * degree, 10 / 24., 4, .35, 0), .02);
    // Behind a man's hips: the root is thrown about, too.
    EXPECT_LT(worst_tip(40 * degree, 8 / 24., 4, .35, .1), .01);
    EXPECT_LT(worst_tip(90 * degree, 10 / 24., 4, .35, .1), .03);
}

/// A rod without weight on a ball joint that its hand carries about.
TEST(Outside, ABucketSwingsAsAPointOnAString) {
    const double string = .5;
    const auto hand = [](double t) {
        // A walk's: 0.9 strides a second.
        return Vec3{.03 * std::sin(5.65 * t) * tail::eased(t), .02 * std::sin(11.3 * t) * tail::eased(t),
                    .05 * std::sin(5.65 * t + 1) * tail::eased(t)};
    };
    const auto second = [&](double t) { // its acceleration
        const double h = 1e-4;
        return (hand(t + h) - 2 * hand(t) + hand(t - h)) / (h * h);
    };
    std::ostringstream text;
    text << std::setprecision(17)
         << "<mujoco><option gravity=\"0 -9.80665 0\" timestep=\"0.0001\" integrator=\"RK4\"/>"
         << "<compiler angle=\"radian\"/><worldbody><body>"
         << "<joint type=\"slide\" axis=\"1 0 0\" armature=\"1e7\"/><joint type=\"slide\" axis=\"0 1 0\" "
            "armature=\"1e7\"/>"
         << "<joint type=\"slide\" axis=\"0 0 1\" armature=\"1e7\"/><inertial pos=\"0 0 0\" mass=\"1e-3\" "
            "diaginertia=\"1 1 1\"/>"
         << "<body><joint type=\"ball\"/><inertial pos=\"0 -" << string
         << " 0\" mass=\"1\" diaginertia=\"1e-9 1e-9 1e-9\"/><site name=\"load\" pos=\"0 -" << string
         << " 0\"/></body></body></worldbody></mujoco>";
    for (const auto& [fps, within] : {std::pair{120., .002}, std::pair{240., .0005}}) {
        Engine engine(text.str());
        mjData* d = engine.data.get();
        const int site = mj_name2id(engine.model.get(), mjOBJ_SITE, "load");
        aplomb_hanging hanging;
        aplomb_hanging_init(&hanging, sizeof hanging);
        hanging.length = string, hanging.mass = 1, hanging.damping = 0, hanging.give = 0;
        aplomb_hanging_state state{};
        double worst = 0, furthest = 0;
        for (int k = 0; k <= static_cast<int>(5 * fps); ++k) {
            const double time = k / fps;
            while (d->time < time - 1e-9) {
                const Vec3 a = second(d->time + .5 * engine.model->opt.timestep);
                for (int axis = 0; axis < 3; ++axis)
                    d->qfrc_applied[axis] = 1e7 * a[axis];
                mj_step(engine.model.get(), d);
            }
            mj_forward(engine.model.get(), d);
            double at[3];
            put(at, hand(time));
            aplomb_hanging_result r;
            ASSERT_EQ(aplomb_hanging_step(&hanging, &state, k == 0 ? 0 : 1 / fps, at, &r, nullptr),
                      APLOMB_OK);
            const Vec3 ours = Vec3{r.place[0], r.place[1], r.place[2]} - hand(time);
            const Vec3 theirs =
                Vec3{d->site_xpos[3 * site], d->site_xpos[3 * site + 1], d->site_xpos[3 * site + 2]} -
                Vec3{d->qpos[0], d->qpos[1], d->qpos[2]};
            worst = std::max(worst, norm(ours - theirs));
            furthest = std::max(furthest, r.angle);
        }
        EXPECT_GT(furthest, 15 * degree);
        EXPECT_LT(worst, within) << fps;
    }
}

} // namespace

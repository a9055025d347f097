// SPDX-License-Identifier: MIT
// A figure that moves in all joints, read as a clip, against MuJoCo: centre of mass, its velocity and acceleration, and
// the balance point in motion from MuJoCo's momenta.
#include "outside/mujoco_model.h"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "aplomb/clip.h"
#include "base/rotation.h"
#include "poses.h"

namespace {

using namespace aplomb;
using outside::MujocoFigure;

constexpr double rate = 240, seconds = 3, g = 9.80665;
constexpr double step = 1e-4; // of what is differentiated on MuJoCo's side

/// Every joint swings about an axis of its own, and the root goes to and fro: slower than the reading's low pass.
class Motion {
public:
    explicit Motion(const lay::LayFigure& shape) : shape_(shape) {
        std::mt19937 random(11);
        const auto within = [&](double low, double high) {
            return low + (high - low) * static_cast<double>(random()) / 4294967296.0;
        };
        for (int32_t j = 0; j < shape.count(); ++j) {
            const Vec3 axis = normalized(Vec3{within(-1, 1), within(-1, 1), within(-1, 1)});
            swings_.push_back({axis * within(.1, .35), within(.25, .6), within(0, 6)});
        }
        for (int i = 0; i < 3; ++i)
            travel_[i] = {{within(.05, .12), 0, 0}, within(.3, .6), within(0, 6)};
    }
    lay::Pose at(const aplomb_figure* figure, double time) const {
        lay::Pose pose(figure, shape_);
        for (size_t i = 0; i < 3; ++i)
            pose.translations[i] += travel_[i].at(time).x;
        for (size_t j = 0; j < swings_.size(); ++j) {
            const Quat q = exp_rotation(swings_[j].at(time));
            const double out[4] = {q.x, q.y, q.z, q.w};
            std::copy_n(out, 4, pose.rotations.begin() + static_cast<std::ptrdiff_t>(4 * j));
        }
        return pose;
    }

private:
    struct Swing {
        Vec3 most;
        double hertz, phase;
        Vec3 at(double time) const { return most * std::sin(2 * pi * hertz * time + phase); }
    };
    const lay::LayFigure& shape_;
    std::vector<Swing> swings_;
    Swing travel_[3];
};

struct Momenta {
    Vec3 velocity, angular;
};

class Moving : public testing::Test {
protected:
    Momenta theirs_at(double time) {
        const lay::Pose before = motion.at(figure.get(), time - step), now = motion.at(figure.get(), time),
                        after = motion.at(figure.get(), time + step);
        double velocity[3], momentum[3];
        theirs.move({before.translations.data(), before.rotations.data()},
                    {now.translations.data(), now.rotations.data()},
                    {after.translations.data(), after.rotations.data()}, 2 * step, velocity, momentum);
        return {{velocity[0], velocity[1], velocity[2]}, {momentum[0], momentum[1], momentum[2]}};
    }
    lay::LayFigure shape = lay::LayFigure::adult();
    lay::FigureHandle figure = shape.create();
    Motion motion{shape};
    MujocoFigure theirs{figure.get(), shape, testing::TempDir() + "aplomb_moving.xml"};
};

Vec3 vec(const double* v) {
    return {v[0], v[1], v[2]};
}

TEST_F(Moving, CentreAndBalancePointInMotion) {
    std::vector<double> times, translations, rotations;
    for (int f = 0; f < seconds * rate; ++f) {
        times.push_back(f / rate);
        const lay::Pose pose = motion.at(figure.get(), times.back());
        translations.insert(translations.end(), pose.translations.begin(), pose.translations.end());
        rotations.insert(rotations.end(), pose.rotations.begin(), pose.rotations.end());
    }
    const auto last = static_cast<int32_t>(times.size()) - 1;
    std::vector<aplomb_stance_range> stances;
    for (int32_t limb = 0; limb < aplomb_figure_limb_count(figure.get()); ++limb) {
        aplomb_limb_info info;
        aplomb_limb_info_init(&info, sizeof info);
        aplomb_figure_limb(figure.get(), limb, &info, nullptr);
        if (info.kind == APLOMB_LEG) stances.push_back({limb, 0, last, APLOMB_FLAT, 0});
    }
    aplomb_clip clip;
    aplomb_clip_init(&clip, sizeof clip);
    clip.frame_count = last + 1;
    clip.times = times.data();
    clip.translations = translations.data(), clip.rotations = rotations.data();
    clip.stances = stances.data(), clip.stance_count = static_cast<int32_t>(stances.size());
    aplomb_clip_reading* reading = nullptr;
    aplomb_error error{};
    ASSERT_EQ(aplomb_clip_read(figure.get(), &clip, nullptr, nullptr, &reading, &error), APLOMB_OK)
        << error.message;
    const aplomb_clip_frame* frames = aplomb_clip_frames(reading, nullptr);

    double largest = 0;
    for (int f = 60; f <= last - 60;
         f += 30) { // a quarter of a second off the ends, of which a low pass knows little
        SCOPED_TRACE(f);
        const aplomb_clip_frame& ours = frames[f];
        const Momenta now = theirs_at(ours.time);
        const Vec3 centre = vec(theirs.centre());
        const Momenta before = theirs_at(ours.time - step), after = theirs_at(ours.time + step);
        const Vec3 acceleration = (after.velocity - before.velocity) / (2 * step),
                   spin = (after.angular - before.angular) / (2 * step);
        largest = std::fmax(largest, norm(acceleration));
        // What presses on the ground, and where: no torque about a level axis through the point.
        const Vec3 ground{centre.x, ours.still_point[1], centre.z},
            force = (Vec3{0, -g, 0} - acceleration) * theirs.total_mass(),
            torque = cross(centre - ground, force) - spin,
            point = ground + Vec3{torque.z, 0, -torque.x} / force.y;
        for (int i = 0; i < 3; ++i) {
            EXPECT_NEAR(ours.centre[i], centre[i], 1e-9);
            EXPECT_NEAR(ours.velocity[i], now.velocity[i], 2e-4);
            EXPECT_NEAR(ours.acceleration[i], acceleration[i], 2e-3);
            EXPECT_NEAR(ours.point[i], point[i], 5e-4);
        }
        EXPECT_GT(norm(vec(ours.point) - vec(ours.still_point)), 1e-3); // it does move
    }
    EXPECT_GT(largest, .5);
    aplomb_clip_reading_destroy(reading);
}

} // namespace

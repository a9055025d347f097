// SPDX-License-Identifier: MIT
// Chains: their modes, their steps against an integrator, rest, loops, frame times.
#include <algorithm>
#include <cstring>

#include <Eigen/Dense>

#include "capi/handles.h"
#include "tail.h"

namespace {

using aplomb::degree;
using aplomb::Vec3;
using tail::eased;
using tail::Hips;
using tail::Tail;

constexpr double pi = aplomb::pi;

TEST(Chains, OneRodSwingsAsItsLengthSays) {
    const double length = .3;
    const Tail t({length}, 4, .35);
    // A rod: inertia m l^2 / 3 about its end, centre at l / 2.
    const double rate = std::sqrt(4 * tail::gravity / (2 * length / 3));
    EXPECT_NEAR(aplomb_follow_frequency(t.follow.get(), 0), rate / (2 * pi), 1e-12);
    EXPECT_EQ(aplomb_follow_frequency(t.follow.get(), 1), 0);
}

/// Rods in a line, joint by joint, from the integrals written out.
TEST(Chains, ModesAreThoseOfTheMassMatrix) {
    const std::vector<double> part = {.1, .06, .14, .12, .08}; // a rod's mass is its length here
    const int n = static_cast<int>(part.size());
    const double whole = .5;
    const Tail t(part);
    std::vector<double> start = {0};
    for (const double length : part)
        start.push_back(start.back() + length);
    const auto at = [&](int k) { return start[static_cast<size_t>(k)]; };
    Eigen::MatrixXd m = Eigen::MatrixXd::Zero(n, n), k = Eigen::MatrixXd::Zero(n, n);
    for (int i = 0; i < n; ++i) {
        for (int j = 0; j < n; ++j) {
            for (int rod = std::max(i, j); rod < n; ++rod) {
                const double length = at(rod + 1) - at(rod), centre = at(rod) + length / 2;
                m(i, j) += length * (centre - at(i)) * (centre - at(j)) + std::pow(length, 3) / 12;
            }
        }
        const double below = whole - at(i);
        k(i, i) = below * (below / 2) / ((at(i + 1) - at(i)) / whole);
    }
    const double swing_length = m(0, 0) / (whole * whole / 2),
                 first = std::sqrt(4 * tail::gravity / swing_length);
    Eigen::GeneralizedSelfAdjointEigenSolver<Eigen::MatrixXd> solved(k, m);
    const aplomb::FollowChain& chain = t.follow->chains[0];
    ASSERT_EQ(chain.axis_count, 2 * n);
    for (int mode = 0; mode < n; ++mode) {
        const double rate = first * std::sqrt(solved.eigenvalues()[mode] / solved.eigenvalues()[0]);
        for (int plane = 0; plane < 2; ++plane)
            EXPECT_NEAR(chain.rate[2 * mode + plane], rate, 1e-10 * rate);
        EXPECT_NEAR(chain.damping[2 * mode], std::min(1.0, .35 * rate / first), 1e-12);
    }
}

/// q'' = -rate^2 (q - f) - 2 damping rate q', by the classical fourth-order rule in small steps.
void integrate(double rate, double damping, double f, double seconds, double& q, double& v) {
    const int steps = 400;
    const double h = seconds / steps;
    const auto acceleration = [=](double place, double speed) {
        return -rate * rate * (place - f) - 2 * damping * rate * speed;
    };
    for (int i = 0; i < steps; ++i) {
        const double a1 = acceleration(q, v), v2 = v + .5 * h * a1, a2 = acceleration(q + .5 * h * v, v2);
        const double v3 = v + .5 * h * a2, a3 = acceleration(q + .5 * h * v2, v3), v4 = v + h * a3;
        const double a4 = acceleration(q + h * v3, v4);
        q += h / 6 * (v + 2 * v2 + 2 * v3 + v4);
        v += h / 6 * (a1 + 2 * a2 + 2 * a3 + a4);
    }
}

Hips wild(double t) {
    return {{.2 * std::sin(7 * t), .05 * std::sin(11 * t), .3 * std::cos(3 * t)},
            {.2 * std::sin(5 * t), .8 * std::sin(4 * t), .1 * std::cos(6 * t)}};
}

/// A rod on its own: what turns it across, along, about itself, and what pulls along it, by the forces on its parts.
TEST(Chains, ARodIsDrawnStraight) {
    const double length = .3, swing = 2 * length / 3;
    const Tail t({length}, 4, .35);
    const aplomb::FollowChain& chain = t.follow->chains[0];
    const aplomb::FollowJoint& joint = chain.joints[0];
    const Vec3 along = normalized(joint.swing_point);
    const auto stiffer = [&](int mode, const Vec3& w, const Vec3& a) {
        const double by[] = {w.x * w.x, w.y * w.y, w.z * w.z, w.x * w.y, w.x * w.z, w.y * w.z, a.x, a.y, a.z};
        double sum = 0;
        for (int i = 0; i < aplomb::stiffenings; ++i)
            sum += chain.pairs[0].stiffening[i][mode] * by[i];
        return sum * chain.rate[mode] * chain.rate[mode];
    };
    for (int mode = 0; mode < 2; ++mode) {
        // Its swing is about this axis; drawn outwards from the swing point, as its root is: w^2 r sin(angle) off the line.
        const Vec3 axis =
            normalized(joint.axis[0] * chain.shape[mode] + joint.axis[1] * chain.shape[2 + mode]);
        const double w = 3;
        EXPECT_NEAR(stiffer(mode, axis * w, {}) + stiffer(mode, {}, along * (-w * w * swing)), 0, 1e-9);
        EXPECT_NEAR(stiffer(mode, cross(axis, along) * w, {}) + stiffer(mode, {}, along * (-w * w * swing)),
                    w * w, 1e-9);
        EXPECT_NEAR(stiffer(mode, along * w, {}), 0, 1e-9);
        EXPECT_NEAR(stiffer(mode, {}, along * -5), 5 / swing, 1e-9);
        EXPECT_NEAR(stiffer(mode, {}, axis * 5), 0, 1e-9);
    }
}

/// However fast it turns or is pulled, a chain stays stiff, and swings no wider for it.
TEST(Chains, AViolentPullLeavesAChainStiff) {
    Tail t(tail::even(5, .5), 2, .05);
    double before = 0, after = 0;
    for (int frame = 0; frame < 600; ++frame) {
        const double time = frame / 60.;
        Hips hips;
        if (frame < 60) hips.shift.x = .1 * std::sin(8 * time) * eased(time / .3);
        if (frame >= 60) hips = {{.1 * std::sin(8.) * eased(1 / .3), 0, 0}, {}};
        // From rest to 60 turns a second about the tail's own line, and 40 g to and fro along it.
        if (frame >= 120) {
            const double s = (frame - 120) / 60.;
            hips.turn = {0, 0, .5 * std::sin(30 * s)}, hips.shift.z = .4 * (1 - std::cos(31 * s));
        }
        const lay::Pose pose = t.posed(hips), out = t.step(pose, 1. / 60);
        double& most = frame < 120 ? before : after;
        for (int k = 1; k <= 5; ++k)
            most = std::max(most, norm(t.turn(pose, out, k)));
    }
    EXPECT_GT(before, .05);
    EXPECT_LT(after, before);
}

TEST(Chains, AStepIsWhatAnIntegratorGives) {
    Tail t(tail::even(4, .5), 3, .2);
    t.chain.limit = 3;
    const aplomb::FollowChain& chain = t.follow->chains[0];
    const int axes = chain.axis_count, n = chain.joint_count;
    std::vector<double> q(static_cast<size_t>(axes)), v(q);
    struct Seen {
        Vec3 point, velocity, acceleration;
        aplomb::Quat attitude;
        double h;
        Vec3 end() const { return velocity + .5 * h * acceleration; }
    };
    std::vector<Seen> last(static_cast<size_t>(n));
    const double steps[] = {1. / 60, 1. / 30, 1. / 240, 1. / 24, 1. / 10, 1. / 60};
    double time = 0, worst = 0, peak = 0, strongest = 0;
    for (int frame = 0; frame < 120; ++frame) {
        const double h = steps[frame % 6];
        time += h;
        const lay::Pose pose = t.posed(wild(time)), out = t.step(pose, h);
        Eigen::VectorXd torque = Eigen::VectorXd::Zero(axes), jump = torque;
        double stiffeners[aplomb::stiffenings] = {};
        for (int k = 0; k < n; ++k) {
            const aplomb::FollowJoint& joint = chain.joints[k];
            Seen& was = last[static_cast<size_t>(k)];
            Seen is;
            const Vec3 at = pose.place(joint.joint, is.attitude);
            is.point = at + rotate(is.attitude, joint.swing_point), is.h = h;
            if (frame >= 1) is.velocity = (is.point - was.point) / h;
            if (frame >= 2) is.acceleration = 2 * (is.velocity - was.velocity) / (h + was.h);
            Vec3 change;
            if (frame >= 3) change = is.velocity - .5 * h * is.acceleration - was.end();
            if (k == 0 && frame >= 1) {
                const Vec3 w = log_rotation(conjugate(was.attitude) * is.attitude);
                const Vec3 rate = w * (2 * std::sin(norm(w) / 2) / (norm(w) * h));
                Vec3 pull = is.acceleration; // carried on to the middle of the frame
                if (frame >= 3) pull += (is.acceleration - was.acceleration) * (.5 * std::min(1., h / was.h));
                pull = (rotate(conjugate(was.attitude), pull) + rotate(conjugate(is.attitude), pull)) * .5;
                const double all[] = {rate.x * rate.x, rate.y * rate.y, rate.z * rate.z,
                                      rate.x * rate.y, rate.x * rate.z, rate.y * rate.z,
                                      pull.x,          pull.y,          pull.z};
                std::copy(std::begin(all), std::end(all), stiffeners);
            }
            for (int a = 0; a < joint.axis_count; ++a) {
                torque[joint.first_axis + a] =
                    dot(joint.push[a], rotate(conjugate(is.attitude), is.acceleration));
                jump[joint.first_axis + a] = dot(joint.push[a], rotate(conjugate(was.attitude), change));
            }
            was = is;
        }
        for (int m = 0; m < axes; ++m) {
            double on_mode = 0, impulse = 0;
            for (int i = 0; i < axes; ++i) {
                on_mode += chain.shape[i * chain.shape_width() + m] * torque[i];
                impulse += chain.shape[i * chain.shape_width() + m] * jump[i];
            }
            const size_t mode = static_cast<size_t>(m);
            v[mode] += impulse;
            double stiffer = 0;
            for (int i = 0; i < aplomb::stiffenings; ++i)
                stiffer += chain.pairs[m / 2].stiffening[i][m % 2] * stiffeners[i];
            strongest = std::max(strongest, std::fabs(stiffer));
            stiffer = std::clamp(stiffer, -.5, .5);
            // What stiffens pulls with the mean of its pull at either end: found by trying.
            const double from = q[mode], speed = v[mode], answer = on_mode / (chain.rate[m] * chain.rate[m]);
            for (int round = 0; round < 30; ++round) {
                const double mean = round == 0 ? from : .5 * (from + q[mode]);
                q[mode] = from, v[mode] = speed;
                integrate(chain.rate[m], chain.damping[m], answer - stiffer * mean, h, q[mode], v[mode]);
            }
        }
        for (int k = 0; k < n; ++k) {
            const aplomb::FollowJoint& joint = chain.joints[k];
            Vec3 expected;
            for (int a = 0; a < joint.axis_count; ++a) {
                double turn = 0;
                for (int m = 0; m < axes; ++m)
                    turn += chain.shape[(joint.first_axis + a) * chain.shape_width() + m] *
                            q[static_cast<size_t>(m)];
                expected += joint.axis[a] * turn;
            }
            worst = std::max(worst, norm(t.turn(pose, out, k + 1) - expected));
            peak = std::max(peak, norm(expected));
        }
    }
    EXPECT_GT(peak, .2);
    EXPECT_LT(peak, 1.4); // below half the limit nothing is softened
    EXPECT_GT(strongest, .05);
    EXPECT_LT(worst, 1e-10);
}

TEST(Chains, NothingMovesWhenNothingMoves) {
    Tail t(tail::even(5, .5));
    const lay::Pose pose = t.posed({{.3, 0, -2}, {.1, 1, .05}});
    for (int frame = 0; frame < 50; ++frame) {
        const lay::Pose out = t.step(pose, 1. / 60);
        ASSERT_EQ(std::memcmp(out.rotations.data(), pose.rotations.data(), 8 * pose.rotations.size()), 0);
    }
    // Nor when all moves evenly.
    t.make();
    for (int frame = 0; frame < 50; ++frame) {
        const lay::Pose moved = t.posed({{0, 0, .02 * frame}, {}}), out = t.step(moved, 1. / 60);
        ASSERT_EQ(std::memcmp(out.rotations.data(), moved.rotations.data(), 8 * pose.rotations.size()), 0);
    }
}

TEST(Chains, WhatHasSettledComesBackBitForBit) {
    Tail t(tail::even(5, .5));
    bool moved = false, rested = false;
    for (int frame = 0; frame < 600; ++frame) {
        const double time = frame / 60.0;
        const lay::Pose pose = t.posed({{}, {0, 1.2 * eased(time / .4), 0}}), out = t.step(pose, 1. / 60);
        const bool same =
            std::memcmp(out.rotations.data(), pose.rotations.data(), 8 * pose.rotations.size()) == 0;
        moved = moved || !same;
        rested = same;
        EXPECT_EQ(aplomb_follow_at_rest(t.follow.get(), t.state.data()), same && (frame < 3 || moved));
    }
    EXPECT_TRUE(moved);
    EXPECT_TRUE(rested);
}

/// The chord's greatest way from the key in a quick turn.
double greatest_lag(Tail& t, int joints) {
    double most = 0;
    for (int frame = 0; frame < 180; ++frame) {
        const lay::Pose out = t.step(t.posed({{}, {0, .6 * eased(frame / 60.0 / .4), 0}}), 1. / 60);
        most = std::max(most, std::fabs(t.chord(out, joints)));
    }
    return most;
}

TEST(Chains, AJointCutInTwoHardlyChangesTheLag) {
    const std::vector<double> whole = {.1, .1, .1, .1, .1};
    Tail one(whole);
    const double lag = greatest_lag(one, 5);
    EXPECT_GT(lag, 5 * degree);
    for (size_t cut = 0; cut < whole.size(); ++cut) {
        std::vector<double> parts = whole;
        parts[cut] = .05;
        parts.insert(parts.begin() + static_cast<long>(cut), .05);
        Tail two(parts);
        EXPECT_NEAR(greatest_lag(two, 6) / lag, 1, .08) << "cut at " << cut;
    }
}

/// Of a turn of the hips in 0.75 s, at 24 frames a second.
TEST(Chains, ATailsTipComesLateOvershootsOnceAndSettles) {
    Tail t(tail::even(5, .4));
    const double turn = 60 * degree, frame_time = 1. / 24;
    std::vector<double> tip, hips;
    for (int frame = 0; frame < 72; ++frame) {
        hips.push_back(turn * eased((frame * frame_time - .2) / .75));
        tip.push_back(hips.back() + t.chord(t.step(t.posed({{}, {0, hips.back(), 0}}), frame_time), 5));
    }
    const auto when = [&](const std::vector<double>& way, double part) {
        const auto at = std::find_if(way.begin(), way.end(), [&](double x) { return x > part * turn; });
        return static_cast<double>(at - way.begin()) - (*at - part * turn) / (at[0] - at[-1]);
    };
    EXPECT_GT(when(tip, .1) - when(hips, .1), 1.5); // frames
    EXPECT_GT(when(tip, .5) - when(hips, .5), .5);
    const auto peak = std::max_element(tip.begin(), tip.end());
    EXPECT_GT(*peak / turn, 1.05);
    EXPECT_LT(*peak / turn, 1.20);
    EXPECT_GT(*std::min_element(peak, tip.end()) / turn, .93);
    EXPECT_NEAR(tip.back() / turn, 1, .001);
}

std::vector<lay::Pose> shot_of(const Tail& t, const tail::Motion& motion, int frames, double h) {
    std::vector<lay::Pose> poses;
    for (int k = 0; k < frames; ++k)
        poses.push_back(t.posed(motion(k * h)));
    return poses;
}

struct Flat {
    std::vector<double> translations, rotations;
    explicit Flat(const std::vector<lay::Pose>& poses) {
        for (const lay::Pose& p : poses) {
            translations.insert(translations.end(), p.translations.begin(), p.translations.end());
            rotations.insert(rotations.end(), p.rotations.begin(), p.rotations.end());
        }
    }
};

std::vector<double> followed(Tail& t, const Flat& flat, int frames, double h, bool closed) {
    aplomb_follow_shot shot;
    aplomb_follow_shot_init(&shot, sizeof shot);
    shot.frame_count = frames, shot.frame_time = h, shot.closed = closed;
    shot.translations = flat.translations.data(), shot.rotations = flat.rotations.data();
    std::vector<double> out(flat.rotations.size());
    aplomb_error error{};
    EXPECT_EQ(aplomb_follow_frames(t.follow.get(), t.state.data(), &shot, out.data(), &error), APLOMB_OK)
        << error.message;
    return out;
}

TEST(Shots, AreWhatTheStepsGive) {
    Tail t(tail::even(5, .5));
    const auto poses = shot_of(t, wild, 60, 1. / 30);
    const std::vector<double> out = followed(t, Flat(poses), 60, 1. / 30, false);
    t.make();
    const size_t width = poses[0].rotations.size();
    for (size_t k = 0; k < poses.size(); ++k) {
        const lay::Pose one = t.step(poses[k], 1. / 30);
        ASSERT_EQ(std::memcmp(one.rotations.data(), out.data() + k * width, 8 * width), 0) << k;
    }
}

TEST(Shots, LoopsClose) {
    const int frames = 25;
    const double h = 1. / 24;
    const auto round = [=](double time) { // and a character that walks on
        const double phase = 2 * pi * time / ((frames - 1) * h);
        return Hips{{.05 * std::sin(phase), .02 * std::cos(2 * phase), 1.3 * time},
                    {0, .2 * std::sin(phase), 0}};
    };
    Tail t(tail::even(5, .5), 4, .1);
    const auto poses = shot_of(t, round, frames, h);
    const std::vector<double> out = followed(t, Flat(poses), frames, h, true);
    const size_t width = poses[0].rotations.size();
    double gap = 0, most = 0;
    t.make();
    std::vector<double> walked; // the same by walking on until it repeats itself
    for (int k = 0; k <= 40 * (frames - 1); ++k)
        walked = t.step(t.posed(round(k * h)), h).rotations;
    const size_t first = 4 * static_cast<size_t>(t.chain.first);
    for (size_t i = first; i < width; ++i) {
        gap = std::max(gap, std::fabs(out[i] - out[static_cast<size_t>(frames - 1) * width + i]));
        most = std::max(most, std::fabs(out[i] - poses[0].rotations[i]));
        EXPECT_NEAR(out[i], walked[i], 1e-6);
    }
    EXPECT_GT(most, .01);
    EXPECT_LT(2 * gap, 1e-9 * degree);
}

TEST(Shots, FrameRatesAgree) {
    // Hips below 2 Hz, a first mode of up to 3 Hz.
    const double length = .25, rate = 2 * pi * 3, stiffness = rate * rate * (2 * length / 3) / tail::gravity;
    const auto motion = [](double time) {
        return Hips{{.1 * std::sin(2 * pi * 1.9 * time) * eased(time / .5), 0, 0},
                    {0, .3 * std::sin(2 * pi * 1.1 * time) * eased(time / .5), 0}};
    };
    const auto tip = [&](double fps) {
        Tail t(tail::even(5, length), stiffness);
        std::vector<double> at; // common times: twelfths of a second
        for (int k = 0; k <= static_cast<int>(4 * fps); ++k) {
            const lay::Pose pose = t.posed(motion(k / fps)), out = t.step(pose, 1 / fps);
            if (std::fabs(std::remainder(k / fps, 1. / 6)) < 1e-9) at.push_back(t.chord(out, 5));
        }
        return at;
    };
    const std::vector<double> truth = tip(1920);
    const double peak = std::fabs(*std::max_element(
        truth.begin(), truth.end(), [](double a, double b) { return std::fabs(a) < std::fabs(b); }));
    EXPECT_GT(peak, 3 * degree);
    const double rates[] = {24, 30, 60, 120}, within[] = {.02, .01, .005, .001};
    for (int r = 0; r < 4; ++r) {
        const std::vector<double> is = tip(rates[r]);
        ASSERT_EQ(is.size(), truth.size());
        double worst = 0;
        for (size_t i = 0; i < is.size(); ++i)
            worst = std::max(worst, std::fabs(is[i] - truth[i]));
        EXPECT_LT(worst / peak, within[r]) << rates[r];
    }
}

TEST(Steps, AHitchMakesNoPeak) {
    const auto motion = [](double time) {
        return Hips{{.1 * std::sin(2 * pi * time), 0, 0}, {0, .4 * std::sin(2 * pi * .8 * time), 0}};
    };
    const auto run = [&](bool hitch, std::vector<double>& chord) {
        Tail t(tail::even(5, .4));
        for (double time = 0, h = 1. / 60; time < 6; time += h) {
            h = hitch && std::fabs(time - 3) < 1e-6 ? .5 : 1. / 60;
            if (time == 0) h = 1. / 60;
            const lay::Pose pose = t.posed(motion(time + h));
            const double c = t.chord(t.step(pose, h), 5);
            for (int k = 0; k < static_cast<int>(std::lround(h * 60)); ++k)
                chord.push_back(c);
        }
    };
    std::vector<double> smooth, hitched;
    run(false, smooth), run(true, hitched);
    const auto peak = [](const std::vector<double>& v) {
        double most = 0;
        for (const double x : v)
            most = std::max(most, std::fabs(x));
        return most;
    };
    EXPECT_LE(peak(hitched), peak(smooth));
    double after = 0; // from a second after it on
    for (size_t k = 270; k < std::min(smooth.size(), hitched.size()); ++k)
        after = std::max(after, std::fabs(smooth[k] - hitched[k]));
    EXPECT_LT(after, .5 * degree);
}

TEST(Steps, NoTimeGivesTheLastAnswer) {
    Tail t(tail::even(3, .4));
    std::vector<double> out;
    for (int frame = 0; frame < 20; ++frame)
        out = t.step(t.posed(wild(frame / 30.)), 1. / 30).rotations;
    const std::vector<double> before = t.state;
    EXPECT_EQ(t.step(t.posed(wild(19 / 30.)), 0).rotations, out);
    EXPECT_EQ(t.state, before);
}

TEST(Steps, TheUsualFrameTimeChangesNoBit) {
    Tail one(tail::even(5, .4)), two(tail::even(5, .4), 4, .35, 1. / 60);
    for (int frame = 0; frame < 60; ++frame) {
        const lay::Pose pose = one.posed(wild(frame / 60.));
        ASSERT_EQ(one.step(pose, 1. / 60).rotations, two.step(pose, 1. / 60).rotations);
    }
}

/// Engines keep travel and heading outside the pose.
TEST(Steps, PlaceAndTurnDriveAsThePoseDoes) {
    for (const double own : {1.0, 0.0}) {
        Tail a(tail::even(5, .4)), b(tail::even(5, .4));
        b.chain.own_motion = own;
        b.make();
        double most = 0;
        for (int frame = 0; frame < 90; ++frame) {
            const Hips hips = {{.3 * std::sin(frame / 10.), 0, .02 * frame},
                               {0, .8 * std::sin(frame / 15.), 0}};
            // About the world's origin, as a character turns.
            lay::Pose in_pose = a.rest;
            const aplomb::Quat q = aplomb::exp_rotation(hips.turn);
            const Vec3 at =
                rotate(q, {a.rest.translations[0], a.rest.translations[1], a.rest.translations[2]}) +
                hips.shift;
            in_pose.translations[0] = at.x, in_pose.translations[1] = at.y, in_pose.translations[2] = at.z;
            in_pose.set("hips", q);
            const lay::Pose x = a.step(in_pose, 1. / 30), y = b.step(b.rest, 1. / 30, &hips);
            for (int k = 1; k <= 5; ++k) {
                EXPECT_NEAR(norm(a.turn(in_pose, x, k) - b.turn(b.rest, y, k)), 0, 1e-12);
                most = std::max(most, norm(a.turn(in_pose, x, k)));
            }
        }
        EXPECT_GT(most, .02);
    }
}

TEST(Steps, ATeleportDoesNotDrive) {
    Tail t(tail::even(5, .4));
    for (int frame = 0; frame < 20; ++frame)
        t.step(t.posed(wild(frame / 30.)), 1. / 30);
    const auto far = [&](double time) {
        Hips hips = wild(time);
        hips.shift += Vec3{100, 0, 50};
        return hips;
    };
    const double before = t.chord(t.step(t.posed(wild(20 / 30.)), 1. / 30), 5);
    ASSERT_EQ(aplomb_follow_teleport(t.follow.get(), t.state.data(), nullptr), APLOMB_OK);
    double most = 0;
    for (int frame = 21; frame < 80; ++frame)
        most = std::max(most, std::fabs(t.chord(t.step(t.posed(far(frame / 30.)), 1. / 30), 5)));
    EXPECT_GT(std::fabs(before), .01);
    EXPECT_LT(most, 60 * degree);
}

/// With no motion of its own, a chain answers what a correction adds to the key.
TEST(Steps, WithoutOwnMotionTheCorrectionAloneDrives) {
    Tail t(tail::even(5, .4)), whole(tail::even(5, .4));
    t.chain.own_motion = 0;
    t.make();
    const auto shift = [](double time) { return Vec3{.1 * eased(time / .3), 0, 0}; };
    for (int frame = 0; frame < 60; ++frame) {
        const double time = frame / 30.;
        const lay::Pose keyed = t.posed({{.3 * std::sin(9 * time), 0, 0}, {}});
        lay::Pose corrected = keyed;
        const Vec3 by = shift(time);
        corrected.move(by.x, by.y, by.z);
        aplomb_follow_frame f;
        aplomb_follow_frame_init(&f, sizeof f);
        f.seconds = 1. / 30;
        f.translations = corrected.translations.data(), f.rotations = corrected.rotations.data();
        f.keyed_translations = keyed.translations.data(), f.keyed_rotations = keyed.rotations.data();
        lay::Pose out = corrected;
        ASSERT_EQ(aplomb_follow_step(t.follow.get(), t.state.data(), &f, out.rotations.data(), nullptr),
                  APLOMB_OK);
        const lay::Pose alone = whole.posed({by, {}});
        EXPECT_NEAR(t.chord(out, 5), whole.chord(whole.step(alone, 1. / 30), 5), 1e-9);
    }
}

TEST(Steps, ARigidChainIsDrivenAsIfItWereStiff) {
    Tail stiff(tail::even(3, .4)), waved(tail::even(3, .4));
    waved.chain.rigid = 1;
    waved.make();
    for (int frame = 0; frame < 40; ++frame) {
        const lay::Pose plain = stiff.posed(wild(frame / 30.));
        lay::Pose keyed = plain;
        keyed.turn("tail_2", 0, 20 * std::sin(frame * .7));
        const lay::Pose x = stiff.step(plain, 1. / 30), y = waved.step(keyed, 1. / 30);
        for (int k = 1; k <= 3; ++k)
            EXPECT_NEAR(norm(stiff.turn(plain, x, k) - waved.turn(keyed, y, k)), 0, 1e-12);
    }
}

/// Limits act on what is written: a joint slows from half the way to its limit on and never gets there.
TEST(Steps, LimitsHold) {
    Tail t(tail::even(1, .4), 1, .05);
    t.chain.limit = .3;
    t.make();
    double most = 0;
    for (int frame = 0; frame < 200; ++frame) {
        const lay::Pose pose = t.posed({{std::sin(frame / 8.), 0, 0}, {}}), out = t.step(pose, 1. / 30);
        most = std::max(most, norm(t.turn(pose, out, 1)));
    }
    EXPECT_GT(most, .25);
    EXPECT_LT(most, .3);
}

TEST(Steps, AnElbowBendsOnItsHingeAndNotBackwards) {
    lay::LayFigure shape = lay::LayFigure::adult();
    const auto figure = shape.create();
    aplomb_chain arm =
        aplomb_chain_make(APLOMB_CHAIN_ARM, shape.find("left_upper_arm"), shape.find("left_hand"));
    arm.own_motion = 1;
    aplomb_follow_desc desc;
    aplomb_follow_desc_init(&desc, sizeof desc);
    desc.chains = &arm, desc.chain_count = 1;
    aplomb_follow* made = nullptr;
    ASSERT_EQ(aplomb_follow_create(figure.get(), &desc, nullptr, &made, nullptr), APLOMB_OK);
    const tail::FollowHandle follow(made);
    std::vector<double> state(static_cast<size_t>(aplomb_follow_state_size(made)));
    aplomb_follow_reset(made, state.data(), nullptr);
    double least = 1, most = 0, aside = 0;
    const Vec3 hinge =
        rotate(conjugate(figure->joints[shape.find("left_lower_arm")].neutral), Vec3{-1, 0, 0});
    for (int frame = 0; frame < 200; ++frame) {
        lay::Pose pose(figure.get(), shape);
        pose.move(.3 * std::sin(frame / 5.), 0, .4 * std::sin(frame / 4.)),
            pose.set("left_lower_arm", aplomb::exp_rotation(hinge * .05));
        aplomb_follow_frame f;
        aplomb_follow_frame_init(&f, sizeof f);
        f.seconds = 1. / 30, f.translations = pose.translations.data(), f.rotations = pose.rotations.data();
        lay::Pose out = pose;
        ASSERT_EQ(aplomb_follow_step(made, state.data(), &f, out.rotations.data(), nullptr), APLOMB_OK);
        const aplomb::Quat key = pose.get("left_lower_arm"), is = out.get("left_lower_arm");
        const Vec3 by = aplomb::log_rotation(conjugate(key) * is);
        aside = std::max(aside, norm(reject(by, hinge)));
        const double bend = dot(aplomb::log_rotation(is), hinge); // its natural way is positive
        least = std::min(least, bend), most = std::max(most, bend);
    }
    EXPECT_GT(most, 10 * degree); // bends
    EXPECT_GT(least, -1e-9);      // and not beyond straight
    EXPECT_LT(aside, 1e-9);
}

/// The same motion in centimetres, floats, z up and left-handed axes.
TEST(Steps, AnyHostsUnitsAndAxes) {
    Tail t(tail::even(4, .4));
    lay::LayFigure shape = tail::tailed(tail::even(4, .4));
    const auto host = [](const double* v, double scale,
                         double* to) { // left, up, forward -> x right, y forward, z up
        to[0] = -v[0] * scale, to[1] = v[2] * scale, to[2] = v[1] * scale;
    };
    lay::LayFigure other = shape;
    for (size_t i = 0; i < other.translations.size(); i += 3) {
        host(&shape.translations[i], 100, &other.translations[i]);
        host(&shape.tips[i], 100, &other.tips[i]);
    }
    aplomb_figure_desc desc = other.desc();
    desc.metres_per_unit = .01, desc.up_axis = APLOMB_AXIS_Z, desc.forward_axis = APLOMB_AXIS_Y;
    const auto figure = lay::LayFigure::create_figure(desc);
    aplomb_follow_desc plan;
    aplomb_follow_desc_init(&plan, sizeof plan);
    plan.chains = &t.chain, plan.chain_count = 1;
    aplomb_follow* made = nullptr;
    ASSERT_EQ(aplomb_follow_create(figure.get(), &plan, nullptr, &made, nullptr), APLOMB_OK);
    const tail::FollowHandle follow(made);
    std::vector<double> state(static_cast<size_t>(aplomb_follow_state_size(made)));
    aplomb_follow_reset(made, state.data(), nullptr);
    const size_t n = static_cast<size_t>(shape.count());
    std::vector<float> translations(3 * n), rotations(4 * n), out(4 * n);
    for (int frame = 0; frame < 60; ++frame) {
        const lay::Pose pose = t.posed(wild(frame / 30.)), expected = t.step(pose, 1. / 30);
        const auto to_host = [&](const lay::Pose& p, std::vector<float>& r) {
            for (size_t j = 0; j < n; ++j) {
                double v[3];
                host(&p.rotations[4 * j], 1, v);
                for (size_t k = 0; k < 3; ++k)
                    r[4 * j + k] = static_cast<float>(v[k]);
                r[4 * j + 3] = static_cast<float>(p.rotations[4 * j + 3]);
            }
        };
        to_host(pose, rotations);
        for (size_t j = 0; j < n; ++j) {
            double v[3];
            host(&pose.translations[3 * j], 100, v);
            for (size_t k = 0; k < 3; ++k)
                translations[3 * j + k] = static_cast<float>(v[k]);
        }
        aplomb_follow_frame f;
        aplomb_follow_frame_init(&f, sizeof f);
        f.floats = 1, f.seconds = 1. / 30, f.translations = translations.data(),
        f.rotations = rotations.data();
        ASSERT_EQ(aplomb_follow_step(made, state.data(), &f, out.data(), nullptr), APLOMB_OK);
        std::vector<float> right(4 * n);
        to_host(expected, right);
        for (size_t i = 0; i < right.size(); ++i)
            EXPECT_NEAR(out[i], right[i], 3e-3) << frame; // floats of a path, differenced twice
    }
}

TEST(Found, ByRoleAndByName) {
    lay::LayFigure shape = tail::tailed(tail::even(3, .4));
    for (int k = 1; k <= 3; ++k)
        shape.roles[static_cast<size_t>(shape.find("tail_" + std::to_string(k)))] = APLOMB_ROLE_TAIL;
    const auto add = [&](const char* name, const char* parent, double z) {
        shape.names.push_back(name);
        shape.parents.push_back(shape.find(parent));
        shape.roles.push_back(APLOMB_ROLE_HELPER);
        shape.sides.push_back(APLOMB_SIDE_MIDDLE);
        shape.translations.insert(shape.translations.end(), {0, .05, z});
        const double nan = std::numeric_limits<double>::quiet_NaN();
        shape.tips.insert(shape.tips.end(), {nan, nan, nan});
        shape.positions.push_back({});
    };
    add("Ear1.L", "head", 0), add("Ear2.L", "Ear1.L", 0), add("Ear.L_end", "Ear2.L", 0);
    add("HairBack_01", "head", -.1), add("HairBack_02", "HairBack_01", -.1);
    add("left_forearm_twist", "left_lower_arm", 0), add("Bear_paw", "left_hand", 0);
    const auto figure = shape.create();
    aplomb_chain chains[APLOMB_MAX_CHAINS];
    const int32_t count = aplomb_figure_chains(figure.get(), chains, APLOMB_MAX_CHAINS);
    ASSERT_EQ(count, 6);
    const auto is = [&](int i, aplomb_chain_kind kind, const char* first, const char* last) {
        EXPECT_EQ(chains[i].kind, kind);
        EXPECT_EQ(chains[i].first, shape.find(first));
        EXPECT_EQ(chains[i].last, shape.find(last));
    };
    is(0, APLOMB_CHAIN_TAIL, "tail_1", "tail_3");
    is(1, APLOMB_CHAIN_NECK, "neck", "head");
    is(2, APLOMB_CHAIN_ARM, "left_upper_arm", "left_hand");
    is(3, APLOMB_CHAIN_ARM, "right_upper_arm", "right_hand");
    is(4, APLOMB_CHAIN_EAR, "Ear1.L", "Ear2.L");
    is(5, APLOMB_CHAIN_HAIR, "HairBack_01", "HairBack_02");
    EXPECT_EQ(aplomb_figure_chains(figure.get(), nullptr, 0), 6);
    aplomb_follow_desc desc;
    aplomb_follow_desc_init(&desc, sizeof desc);
    desc.chains = chains, desc.chain_count = count;
    aplomb_follow* made = nullptr;
    aplomb_error error{};
    EXPECT_EQ(aplomb_follow_create(figure.get(), &desc, nullptr, &made, &error), APLOMB_OK) << error.message;
    aplomb_follow_destroy(made);
}

} // namespace

// SPDX-License-Identifier: MIT
// Whole clips are corrected: the walk that a beginner keys, and what must not change.
#include "clip/balance_point.h"
#include "walk.h"

#include <algorithm>
#include <array>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <limits>
#include <string>

namespace {

using aplomb::Vec3;
using walk::Balanced;
using walk::Plan;
using walk::Walk;

class BalanceClip : public testing::Test {
protected:
    Walk made(const Plan& plan = {}) const { return walk::make(figure.get(), shape, plan); }
    Balanced balanced(const Walk& keyed, const aplomb_clip_balance_options& options = walk::usual()) const {
        return walk::balance(figure.get(), keyed.poses, keyed.clip(), options);
    }
    lay::Pose pose(const shot::Poses& poses, std::size_t frame) const {
        lay::Pose pose(figure.get(), shape);
        const std::size_t joints = static_cast<std::size_t>(shape.count());
        const auto copy = [&](const std::vector<double>& from, std::vector<double>& to, std::size_t numbers) {
            const auto first = from.begin() + static_cast<std::ptrdiff_t>(frame * numbers * joints);
            std::copy_n(first, numbers * joints, to.begin());
        };
        copy(poses.translations, pose.translations, 3), copy(poses.rotations, pose.rotations, 4);
        return pose;
    }
    /// Of the control values' shift to the left, between frames.
    static double aside(const Balanced& out, double time) {
        for (std::size_t f = 0; f + 1 < out.frames.size(); ++f) {
            const auto &a = out.frames[f], &b = out.frames[f + 1];
            if (b.time < time) continue;
            const double u = (time - a.time) / (b.time - a.time);
            return (1 - u) * a.controls.hips_shift[0] + u * b.controls.hips_shift[0];
        }
        return out.frames.back().controls.hips_shift[0];
    }
    static double knee(const lay::Pose& pose, const std::string& side) {
        const Vec3 a = pose.place(side + "_thigh"), b = pose.place(side + "_shank"),
                   c = pose.place(side + "_foot");
        return std::acos(std::clamp(dot(normalized(b - a), normalized(c - b)), -1., 1.));
    }

    lay::LayFigure shape = lay::LayFigure::adult();
    lay::FigureHandle figure = shape.create();
    const double leg = .53 * 1.75 - .039 * 1.75;
};

} // namespace

/// Side to side, centimetres; design 6.1's figures are of another figure and walk.
TEST_F(BalanceClip, SwayOfAWalkFollowsItsPace) {
    const std::array<std::array<double, 2>, 8> expected = {
        {{8, 1.5}, {10, 2.6}, {12, 4.1}, {14, 5.6}, {16, 7.1}, {20, 9.9}, {24, 12.2}, {32, 15.4}}};
    for (const auto& [frames, sway] : expected) {
        Plan plan;
        plan.frames = frames;
        const Walk keyed = made(plan);
        const Balanced out = balanced(keyed);
        EXPECT_EQ(out.status, APLOMB_OK);
        double low = 1, high = -1, lean = 0, fore = 0;
        for (const auto& f : out.frames) {
            EXPECT_LE(f.slack, 1e-5);
            if (f.time < 2 * frames / 24 || f.time > 6 * frames / 24) continue;
            low = std::min(low, f.controls.hips_shift[0]), high = std::max(high, f.controls.hips_shift[0]);
        }
        // Of the trunk in the world: hips that drop and shoulders that tilt the other way are no lean.
        aplomb_clip moved = keyed.clip();
        moved.translations = out.poses.translations.data(), moved.rotations = out.poses.rotations.data();
        const auto was = shot::read(figure.get(), keyed.clip()).frames(),
                   is = shot::read(figure.get(), moved).frames();
        for (std::size_t f = 0; f < is.size(); ++f) {
            if (is[f].time < 2 * frames / 24 || is[f].time > 6 * frames / 24) continue;
            lean = std::max(lean, std::fabs(is[f].trunk_side - was[f].trunk_side) / aplomb::degree);
            fore = std::max(fore, std::fabs(is[f].trunk_fore - was[f].trunk_fore) / aplomb::degree);
        }
        std::printf("%4.0f frames a step: sway %5.2f cm (sketch %.1f), lean %.2f to a side and %.2f fore and "
                    "aft, %d steps of the solver\n",
                    frames, 100 * (high - low), sway, lean, fore, out.ranges.at(0).steps);
        EXPECT_NEAR(100 * (high - low), sway, .15 * sway) << frames;
        EXPECT_LE(lean, 2) << frames;
        if (frames > 8) { // three steps a second are a run
            EXPECT_LE(fore, 2) << frames;
        }
        for (std::size_t k = 2; k + 2 < keyed.passing.size(); ++k) {
            const double over = aside(out, keyed.passing[k]) * (keyed.standing[k] == 0 ? 1 : -1);
            EXPECT_GT(over, .3 * (high - low)) << frames << " passing " << k;
        }
    }
}

TEST_F(BalanceClip, TheShiftStartsBeforeTheFootLifts) {
    const Walk keyed = made();
    const Balanced out = balanced(keyed);
    const double most = [&] {
        double high = 0;
        for (const auto& f : out.frames)
            high = std::max(high, std::fabs(f.controls.hips_shift[0]));
        return high;
    }();
    for (std::size_t k = 2; k + 2 < keyed.passing.size(); ++k) {
        EXPECT_NEAR(aside(out, keyed.contact[k]), 0, .005) << k; // in the middle when both feet stand
        const int side = keyed.standing[k] == 0 ? 1 : -1;
        const double lifts = keyed.contact[k] + .075 * 14 / 24;
        EXPECT_GT(aside(out, lifts) * side, .05 * most) << k;
    }
}

TEST_F(BalanceClip, NothingPops) {
    const Walk keyed = made();
    const Balanced clip = balanced(keyed);
    Balanced frames = clip;
    const std::size_t count = clip.frames.size(), joints = static_cast<std::size_t>(shape.count());
    for (std::size_t f = 0; f < count; ++f) {
        Walk one;
        lay::Pose at = pose(keyed.poses, f);
        one.poses.add(0, at.translations, at.rotations);
        for (auto range : keyed.stances)
            if (range.first <= static_cast<int>(f) && static_cast<int>(f) <= range.last)
                range.first = range.last = 0, one.stances.push_back(range);
        const Balanced alone = balanced(one);
        std::copy_n(alone.poses.translations.begin(), 3 * joints,
                    frames.poses.translations.begin() + static_cast<std::ptrdiff_t>(3 * joints * f));
        std::copy_n(alone.poses.rotations.begin(), 4 * joints,
                    frames.poses.rotations.begin() + static_cast<std::ptrdiff_t>(4 * joints * f));
    }
    struct Jumps {
        double hips = 0, knee = 0;
    };
    const auto jumps = [&](const shot::Poses& poses) { // of what was changed
        std::vector<Vec3> hips;
        std::vector<double> knees[2];
        for (std::size_t f = 0; f < count; ++f) {
            const lay::Pose at = pose(poses, f), key = pose(keyed.poses, f);
            hips.push_back(at.place("hips") - key.place("hips"));
            knees[0].push_back(knee(at, "left") - knee(key, "left"));
            knees[1].push_back(knee(at, "right") - knee(key, "right"));
        }
        Jumps most;
        constexpr double rate2 = 24 * 24;
        for (std::size_t f = 3; f < count; ++f) {
            const auto second = [](const auto& v, std::size_t at) {
                return v[at] - v[at - 1] * 2. + v[at - 2];
            };
            most.hips = std::max(most.hips, norm(second(hips, f) - second(hips, f - 1)) * rate2);
            for (const auto& k : knees)
                most.knee =
                    std::max(most.knee, std::fabs(second(k, f) - second(k, f - 1)) * rate2 / aplomb::degree);
        }
        return most;
    };
    const Jumps all = jumps(clip.poses), each = jumps(frames.poses);
    std::printf("largest jump of an acceleration from frame to frame, of what was changed:\n"
                "                         hips, m/s^2   knee, degrees/s^2\n"
                "  each frame by itself   %11.2f   %17.0f\n  all frames together    %11.2f   %17.0f\n",
                each.hips, each.knee, all.hips, all.knee);
    EXPECT_LE(all.hips, each.hips / 50);
    EXPECT_LE(all.knee, each.knee / 20);
}

TEST_F(BalanceClip, PlantedFeetStayWhereTheyWereKeyed) {
    const Walk keyed = made();
    const Balanced out = balanced(keyed);
    double most = 0;
    for (const auto& range : keyed.stances) {
        const bool left = range.limb == walk::leg_of(figure.get(), APLOMB_SIDE_LEFT);
        for (int f = range.first; f <= range.last; ++f) {
            const std::size_t at = static_cast<std::size_t>(f);
            const lay::Pose a = pose(keyed.poses, at), b = pose(out.poses, at);
            for (const char* joint : {"_foot", "_toe"}) {
                const std::string name = std::string(left ? "left" : "right") + joint;
                aplomb::Quat p, q;
                most = std::max(most, norm(b.place(shape.find(name), q) - a.place(shape.find(name), p)));
                most = std::max(most, norm(log_rotation(q * conjugate(p))));
            }
        }
    }
    EXPECT_LE(most, 1e-9);
}

/// What was written, measured once more by the readings of single poses: the balance point in motion is as far inside the
/// feet as was asked for.
TEST_F(BalanceClip, WhatIsWrittenIsInBalanceInMotion) {
    for (const double frames : {8., 14., 24.}) {
        Plan plan;
        plan.frames = frames;
        const Walk keyed = made(plan);
        const Balanced out = balanced(keyed);
        const auto read = shot::read(figure.get(), keyed.clip()).frames();
        aplomb_solver* solver = nullptr;
        ASSERT_EQ(aplomb_solver_create(figure.get(), nullptr, &solver, nullptr), APLOMB_OK);
        std::vector<aplomb_reading> readings(out.frames.size());
        std::vector<Vec3> way; // of the centre of mass
        for (std::size_t f = 0; f < out.frames.size(); ++f) {
            std::vector<aplomb_contact> contacts;
            for (const auto& range : keyed.stances)
                if (range.first <= static_cast<int>(f) && static_cast<int>(f) <= range.last)
                    contacts.push_back(aplomb_contact_make(range.limb, APLOMB_BEARING));
            const lay::Pose at = pose(out.poses, f);
            aplomb_situation situation = at.situation();
            situation.contacts = contacts.data(),
            situation.contact_count = static_cast<int32_t>(contacts.size());
            std::copy_n(read[f].acceleration, 3, situation.com_acceleration);
            aplomb_reading_init(&readings[f], sizeof readings[f]);
            ASSERT_EQ(aplomb_read(solver, &situation, nullptr, &readings[f], nullptr), APLOMB_OK);
            const double *c = readings[f].centre, *k = read[f].centre;
            way.push_back({c[0] - k[0], 0, c[2] - k[2]});
        }
        aplomb_solver_destroy(solver);
        double least = 1;
        for (std::size_t f = 3; f + 3 < out.frames.size(); ++f) {
            const aplomb_reading& r = readings[f];
            std::vector<Vec3> corners;
            for (int k = 0; k < r.edge_count; ++k)
                corners.push_back({r.area[k][0], r.area[k][1], r.area[k][2]});
            const double square = (read[f].centre[1] - corners[0].y) / (9.80665 + read[f].acceleration[1]);
            const Vec3 second = (way[f + 1] - way[f] * 2. + way[f - 1]) * (24. * 24);
            const Vec3 point =
                Vec3{r.balance_point[0], r.balance_point[1], r.balance_point[2]} - second * square;
            const double inside =
                aplomb::inside(corners.data(), static_cast<int>(corners.size()), {0, 1, 0}, point);
            least = std::min(least, inside - r.margin_asked);
        }
        std::printf(
            "%.0f frames a step: the balance point in motion is at least %.1e m inside what was asked\n",
            frames, least);
        EXPECT_GE(least, -1.5e-5) << frames;
    }
}

TEST_F(BalanceClip, OneFrameIsTheSinglePose) {
    aplomb_options exact;
    aplomb_options_init(&exact, sizeof exact);
    exact.exact = 1;
    lay::Pose still(figure.get(), shape);
    still.soft_knees(12).turn("spine_1", 8).both("upper_arm", -40);
    Walk one;
    one.poses.add(0, still.translations, still.rotations);
    const int legs[2] = {walk::leg_of(figure.get(), APLOMB_SIDE_LEFT),
                         walk::leg_of(figure.get(), APLOMB_SIDE_RIGHT)};
    for (const bool both : {true, false}) {
        one.stances = {{legs[0], 0, 0, APLOMB_FLAT, 0}};
        if (both) one.stances.push_back({legs[1], 0, 0, APLOMB_FLAT, 0});
        aplomb_carry carry{};
        ASSERT_EQ(aplomb_load_at(figure.get(), 20, "hands", &carry.load, nullptr), APLOMB_OK);
        aplomb_clip clip = one.clip();
        clip.carries = &carry, clip.carry_count = 1;
        aplomb_clip_balance_options options = walk::usual();
        options.correction = &exact;
        const Balanced out = walk::balance(figure.get(), one.poses, clip, options);

        aplomb_solver* solver = nullptr;
        ASSERT_EQ(aplomb_solver_create(figure.get(), nullptr, &solver, nullptr), APLOMB_OK);
        aplomb_situation situation = still.situation();
        aplomb_contact contacts[2];
        for (int k = 0; k < 2; ++k)
            contacts[k] = aplomb_contact_make(legs[k], both || k == 0 ? APLOMB_BEARING : APLOMB_HELD);
        situation.contacts = contacts, situation.contact_count = 2;
        situation.loads = &carry.load, situation.load_count = 1;
        aplomb_result result;
        aplomb_result_init(&result, sizeof result);
        std::vector<double> t = still.translations, r = still.rotations;
        EXPECT_EQ(aplomb_balance(solver, &situation, &exact, t.data(), r.data(), &result, nullptr),
                  out.status);
        aplomb_solver_destroy(solver);
        // On one foot the load's own variable is at its end, where the last digits are not to be had: the solver of clips
        // learns no curvature, as that of single poses does.
        const double part = both ? 1e-9 : 1e-6;
        EXPECT_NEAR(out.ranges.at(0).cost, result.objective, part * result.objective) << both;
        for (std::size_t i = 0; i < t.size(); ++i)
            EXPECT_NEAR(out.poses.translations[i], t[i], both ? 1e-6 : 1e-4);
    }
}

TEST_F(BalanceClip, WhatHasNoFaultComesBackBitForBit) {
    lay::Pose still(figure.get(), shape);
    still.soft_knees(15);
    shot::Poses poses;
    for (int f = 0; f < 60; ++f)
        poses.add(f / 24., still.translations, still.rotations);
    const Balanced out = walk::balance(figure.get(), poses, poses.clip());
    EXPECT_TRUE(out.ranges.empty());
    EXPECT_EQ(out.status, APLOMB_OK);
    EXPECT_EQ(out.poses.translations, poses.translations);
    EXPECT_EQ(out.poses.rotations, poses.rotations);
}

/// A bow in the middle of a long stand.
TEST_F(BalanceClip, OutsideOfItsRangesNothingChanges) {
    shot::Poses poses;
    for (int f = 0; f < 400; ++f) {
        lay::Pose at(figure.get(), shape);
        const double u = std::clamp((f - 180) / 20., 0., 1.) - std::clamp((f - 220) / 20., 0., 1.);
        at.soft_knees(15).turn("spine_1", 70 * u * u * (3 - 2 * u));
        poses.add(f / 24., at.translations, at.rotations);
    }
    const Balanced out = walk::balance(figure.get(), poses, poses.clip());
    ASSERT_EQ(out.ranges.size(), 1u);
    EXPECT_EQ(out.status, APLOMB_OK);
    const aplomb_clip_range& range = out.ranges[0];
    EXPECT_GT(range.first, 120);
    EXPECT_LT(range.last, 280);
    std::printf("a bow of frames 180 to 240: corrected from %d to %d in %d steps\n", range.first, range.last,
                range.steps);
    const std::size_t joints = static_cast<std::size_t>(shape.count());
    const auto same = [&](std::size_t first, std::size_t count) {
        return std::equal(poses.translations.begin() + static_cast<std::ptrdiff_t>(3 * joints * first),
                          poses.translations.begin() +
                              static_cast<std::ptrdiff_t>(3 * joints * (first + count)),
                          out.poses.translations.begin() + static_cast<std::ptrdiff_t>(3 * joints * first)) &&
               std::equal(poses.rotations.begin() + static_cast<std::ptrdiff_t>(4 * joints * first),
                          poses.rotations.begin() + static_cast<std::ptrdiff_t>(4 * joints * (first + count)),
                          out.poses.rotations.begin() + static_cast<std::ptrdiff_t>(4 * joints * first));
    };
    const std::size_t first = static_cast<std::size_t>(range.first),
                      last = static_cast<std::size_t>(range.last);
    EXPECT_TRUE(same(0, first));
    EXPECT_TRUE(same(last + 1, 399 - last));
    // The correction and its speed are zero at both ends.
    const double* a = out.frames[first].controls.hips_shift;
    double most = 0;
    for (const auto& f : out.frames)
        most = std::max(most, std::fabs(f.controls.hips_shift[2]));
    EXPECT_LT(std::fabs(a[2]), .01 * most);
    const double* b = out.frames[first + 12].controls.hips_shift;
    EXPECT_GT(std::fabs(b[2]), 4 * std::fabs(a[2]));
}

TEST_F(BalanceClip, ThreadsChangeNoBit) {
    Plan plan;
    plan.steps = 24; // 336 frames: five tasks
    const Walk keyed = made(plan);
    aplomb_clip_balance_options options = walk::usual();
    const Balanced one = balanced(keyed, options);
    int32_t threads = 3;
    options.run = aplomb_run_on_threads, options.run_user = &threads;
    const Balanced many = balanced(keyed, options);
    ASSERT_EQ(one.ranges.size(), many.ranges.size());
    ASSERT_GT(one.ranges[0].last - one.ranges[0].first, 300);
    EXPECT_EQ(one.poses.translations, many.poses.translations);
    EXPECT_EQ(one.poses.rotations, many.poses.rotations);
    ASSERT_EQ(one.frames.size(), many.frames.size());
    EXPECT_EQ(std::memcmp(one.frames.data(), many.frames.data(), one.frames.size() * sizeof one.frames[0]),
              0);
    for (std::size_t r = 0; r < one.ranges.size(); ++r)
        EXPECT_EQ(std::memcmp(&one.ranges[r], &many.ranges[r], sizeof one.ranges[r]), 0);
}

TEST_F(BalanceClip, FramesASecondDoNotMatter) {
    Plan plan, fine;
    // Feet are set down and lifted midway between frames of both.
    plan.both = fine.both = 2. / 14;
    plan.begun = fine.begun = .5;
    fine.fps = 120;
    const Balanced coarse = balanced(made(plan)), dense = balanced(made(fine));
    Vec3 apart;
    double most = 0;
    for (std::size_t f = 28; f + 28 < coarse.frames.size(); ++f) {
        for (int a = 0; a < 3; ++a) {
            const double here = coarse.frames[f].controls.hips_shift[a],
                         there = dense.frames[5 * f].controls.hips_shift[a];
            apart[a] = std::max(apart[a], std::fabs(here - there));
            most = std::max(most, std::fabs(here));
        }
    }
    std::printf(
        "24 and 120 frames a second: hips %.2f mm apart to the side, %.2f up, %.2f ahead, of %.1f mm\n",
        1e3 * apart.x, 1e3 * apart.y, 1e3 * apart.z, 1e3 * most);
    EXPECT_LE(std::max({apart.x, apart.y, apart.z}), .03 * most);
}

TEST_F(BalanceClip, ALoopIsTheLoopThreeTimes) {
    Plan plan;
    plan.in_place = true;
    plan.steps = 4;
    const Walk keyed = made(plan);
    aplomb_clip_balance_options options = walk::usual();
    options.loop = 1;
    const auto solve = [&](const Walk& w) {
        aplomb_clip clip = w.clip();
        clip.ground_velocity[2] = -plan.step * 24 / plan.frames;
        return walk::balance(figure.get(), w.poses, clip, options);
    };
    const Balanced once = solve(keyed);
    Walk thrice;
    const std::size_t count = keyed.poses.times.size();
    for (std::size_t k = 0; k < 3; ++k)
        for (std::size_t f = 0; f < count; ++f) {
            const lay::Pose at = pose(keyed.poses, f);
            thrice.poses.add(static_cast<double>(k * count + f) / 24, at.translations, at.rotations);
        }
    for (int k = 0; k < 3; ++k)
        for (auto range : keyed.stances) {
            range.first += k * static_cast<int>(count), range.last += k * static_cast<int>(count);
            // A stance that goes on over the seam is one.
            bool joined = false;
            for (auto& before : thrice.stances)
                if (before.limb == range.limb && before.last == range.first - 1)
                    before.last = range.last, joined = true;
            if (!joined) thrice.stances.push_back(range);
        }
    const Balanced again = solve(thrice);
    EXPECT_EQ(once.status, again.status);
    double apart = 0, low = 1, high = -1;
    for (std::size_t f = 0; f < 3 * count; ++f) {
        const double here = once.frames[f % count].controls.hips_shift[0];
        low = std::min(low, here), high = std::max(high, here);
        for (int a = 0; a < 3; ++a)
            apart = std::max(apart, std::fabs(again.frames[f].controls.hips_shift[a] -
                                              once.frames[f % count].controls.hips_shift[a]));
    }
    std::printf("a loop and three of it: %.1e m apart; sway %.2f cm\n", apart, 100 * (high - low));
    EXPECT_LE(apart, 1e-4);
    EXPECT_GT(high - low, .03);
    // Half a cycle on, everything is on the other side.
    double half = 0;
    for (std::size_t f = 0; f < count; ++f)
        half = std::max(half, std::fabs(once.frames[f].controls.hips_shift[0] +
                                        once.frames[(f + 14) % count].controls.hips_shift[0]));
    EXPECT_LE(half, 1e-6);
}

TEST_F(BalanceClip, AMirroredWalkIsMirrored) {
    Plan plan;
    plan.steps = 5;
    Plan mirrored = plan;
    mirrored.mirrored = true;
    const Balanced a = balanced(made(plan)), b = balanced(made(mirrored));
    double apart = 0;
    for (std::size_t f = 0; f < a.frames.size(); ++f)
        for (int i = 0; i < 3; ++i)
            apart = std::max(apart, std::fabs(a.frames[f].controls.hips_shift[i] -
                                              (i == 0 ? -1 : 1) * b.frames[f].controls.hips_shift[i]));
    EXPECT_LE(apart, 1e-6);
}

/// In its own heading it is the same walk.
TEST_F(BalanceClip, ATurningWalkSwaysLikeAStraightOne) {
    Plan plan, turning;
    turning.turn = 20 * aplomb::degree;
    const Walk keyed = made(turning);
    const Balanced straight = balanced(made(plan)), out = balanced(keyed);
    EXPECT_EQ(out.status, APLOMB_OK);
    const auto sway = [](const Balanced& b) {
        double low = 1, high = -1;
        for (const auto& f : b.frames)
            if (f.time > 2 * 14. / 24 && f.time < 6 * 14. / 24)
                low = std::min(low, f.controls.hips_shift[0]),
                high = std::max(high, f.controls.hips_shift[0]);
        return high - low;
    };
    std::printf("20 degrees to the left with each step: sway %.2f cm, straight on %.2f\n", 100 * sway(out),
                100 * sway(straight));
    EXPECT_NEAR(sway(out), sway(straight), .1 * sway(straight));
    double jump = 0;
    for (std::size_t f = 2; f < out.frames.size(); ++f) {
        const auto hips = [&](std::size_t at) {
            return pose(out.poses, at).place("hips") - pose(keyed.poses, at).place("hips");
        };
        jump = std::max(jump, norm(hips(f) - hips(f - 1) * 2. + hips(f - 2)));
    }
    EXPECT_LE(jump, leg / 150);
}

/// One array of floats, a frame's rotations behind its translations, something of the host's behind both.
TEST_F(BalanceClip, AHostsOwnArraysAreReadAndWrittenInPlace) {
    const Walk keyed = made({.frames = 14, .steps = 2});
    const std::size_t joints = static_cast<std::size_t>(shape.count()), frame = 7 * joints + 3,
                      count = keyed.poses.times.size();
    std::vector<float> host(frame * count, -77);
    Walk rounded = keyed;
    for (std::size_t f = 0; f < count; ++f) {
        const auto take = [&](std::vector<double>& from, std::size_t numbers, float* to) {
            for (std::size_t i = 0; i < numbers; ++i) {
                to[i] = static_cast<float>(from[f * numbers + i]);
                from[f * numbers + i] = static_cast<double>(to[i]);
            }
        };
        take(rounded.poses.translations, 3 * joints, &host[f * frame]);
        take(rounded.poses.rotations, 4 * joints, &host[f * frame + 3 * joints]);
    }
    aplomb_clip clip = rounded.clip();
    clip.floats = 1;
    clip.translations = host.data(), clip.rotations = host.data() + 3 * joints;
    clip.translations_stride = clip.rotations_stride = frame * sizeof(float);
    const auto here = shot::read(figure.get(), clip).frames(),
               there = shot::read(figure.get(), rounded.clip()).frames();
    EXPECT_EQ(std::memcmp(here.data(), there.data(), here.size() * sizeof here[0]), 0);
    const Balanced expected = balanced(rounded);
    EXPECT_EQ(aplomb_clip_balance(figure.get(), &clip, nullptr, nullptr, host.data(),
                                  host.data() + 3 * joints, nullptr, nullptr),
              APLOMB_OK);
    EXPECT_NE(expected.poses.translations, rounded.poses.translations);
    for (std::size_t f = 0; f < count; ++f) {
        for (std::size_t i = 0; i < 3 * joints; ++i)
            EXPECT_EQ(host[f * frame + i],
                      static_cast<float>(expected.poses.translations[3 * joints * f + i]));
        for (std::size_t i = 0; i < 4 * joints; ++i)
            EXPECT_EQ(host[f * frame + 3 * joints + i],
                      static_cast<float>(expected.poses.rotations[4 * joints * f + i]));
        for (std::size_t i = 7 * joints; i < frame; ++i)
            EXPECT_EQ(host[f * frame + i], -77);
    }
}

TEST_F(BalanceClip, LessFlowHoldsEachMomentMore) {
    const Walk keyed = made({.frames = 14, .steps = 4});
    double before = 0;
    for (const double flow : {1., .5, 0.}) {
        aplomb_clip_balance_options options = walk::usual();
        options.flow = flow;
        double low = 1, high = -1;
        for (const auto& f : balanced(keyed, options).frames)
            low = std::min(low, f.controls.hips_shift[0]), high = std::max(high, f.controls.hips_shift[0]);
        EXPECT_GT(high - low, 1.2 * before) << flow;
        before = high - low;
    }
}

/// Shaken to and fro as a whole: what its acceleration does is told, or not.
TEST_F(BalanceClip, AKeyedAccelerationCountsAsFarAsIsAsked) {
    shot::Poses poses;
    for (int f = 0; f < 96; ++f) {
        lay::Pose at(figure.get(), shape);
        at.soft_knees(15).move(.02 * std::sin(6.2831853 * f / 24), -.02, 0);
        poses.add(f / 24., at.translations, at.rotations);
    }
    aplomb_clip clip = poses.clip();
    const aplomb_stance_range feet[2] = {
        {walk::leg_of(figure.get(), APLOMB_SIDE_LEFT), 0, 95, APLOMB_FLAT, 0},
        {walk::leg_of(figure.get(), APLOMB_SIDE_RIGHT), 0, 95, APLOMB_FLAT, 0}};
    clip.stances = feet, clip.stance_count = 2;
    const auto read = shot::read(figure.get(), clip).frames();
    for (const double part : {0., 1.}) {
        aplomb_clip_balance_options options = walk::usual();
        options.key_acceleration = part;
        const Balanced out = walk::balance(figure.get(), poses, clip, options);
        for (std::size_t f = 24; f < 72; ++f)
            EXPECT_NEAR(out.frames[f].margin_before, part > 0 ? read[f].margin : read[f].still_margin, .002)
                << part << " " << f;
    }
    EXPECT_GT(std::fabs(read[30].margin - read[30].still_margin), .02);
}

TEST_F(BalanceClip, AllFramesAreOneRangeIfWished) {
    lay::Pose still(figure.get(), shape);
    still.soft_knees(15);
    shot::Poses poses;
    for (int f = 0; f < 24; ++f)
        poses.add(f / 24., still.translations, still.rotations);
    aplomb_clip_balance_options options = walk::usual();
    options.whole = 1;
    const Balanced out = walk::balance(figure.get(), poses, poses.clip(), options);
    ASSERT_EQ(out.ranges.size(), 1u);
    EXPECT_EQ(out.ranges[0].first, 0);
    EXPECT_EQ(out.ranges[0].last, 23);
}

// ---- Bad input -------------------------------------------------------------------------------------------------

namespace {

class BadBalance : public BalanceClip {
protected:
    BadBalance() {
        keyed = made({.frames = 14, .steps = 2});
        clip = keyed.clip();
        options = walk::usual();
        translations = keyed.poses.translations, rotations = keyed.poses.rotations;
    }
    /// The sentence; nothing may be written.
    std::string refusal(aplomb_status status, const aplomb_allocator* allocator = nullptr) {
        aplomb_clip_balance_result* result = nullptr;
        aplomb_error error{};
        EXPECT_EQ(aplomb_clip_balance(figure.get(), &clip, &options, allocator, translations.data(),
                                      rotations.data(), &result, &error),
                  status)
            << error.message;
        EXPECT_EQ(result, nullptr);
        EXPECT_EQ(translations, keyed.poses.translations);
        EXPECT_EQ(rotations, keyed.poses.rotations);
        return error.message;
    }
    Walk keyed;
    aplomb_clip clip;
    aplomb_clip_balance_options options;
    std::vector<double> translations, rotations;
};

} // namespace

TEST_F(BadBalance, IsNamed) {
    options.flow = 1.5;
    EXPECT_EQ(refusal(APLOMB_BAD_ARGUMENT), "options.flow is 1.5; it must be 0 to 1.");
    options = walk::usual();
    aplomb_exempt_range exempt{3, 5, 1, 0, nullptr};
    options.exempt = &exempt, options.exempt_count = 1;
    EXPECT_EQ(refusal(APLOMB_BAD_ARGUMENT),
              "options.exempt[0] (frames 3 to 5) has no reason; say in a line why.");
    exempt = {3, 5000, 1, 0, "a joke"};
    EXPECT_EQ(refusal(APLOMB_BAD_ARGUMENT),
              "options.exempt[0] goes from frame 3 to 5000; the clip has frames 0 to 28.");
    options = walk::usual();
    std::vector<double> amounts(29, 1);
    amounts[7] = -1;
    options.amounts = amounts.data();
    EXPECT_EQ(refusal(APLOMB_BAD_ARGUMENT), "options.amounts[7] is -1; it must be 0 to 2.");
    options = walk::usual();
    translations[100] = std::nan("");
    keyed.poses.translations[100] = std::nan("");
    clip = keyed.clip();
    translations = keyed.poses.translations;
    aplomb_clip_balance_result* result = nullptr;
    aplomb_error error{};
    EXPECT_EQ(aplomb_clip_balance(figure.get(), &clip, &options, nullptr, translations.data(),
                                  rotations.data(), &result, &error),
              APLOMB_BAD_POSE);
    EXPECT_NE(std::string(error.message).find("frame 1:"), std::string::npos) << error.message;
}

TEST_F(BadBalance, CancelLeavesTheKeyAtEveryCall) {
    struct Count {
        int calls = 0, last = -1;
        static int32_t call(double part, void* user) {
            Count& my = *static_cast<Count*>(user);
            EXPECT_TRUE(part >= 0 && part <= 1) << part;
            return ++my.calls == my.last;
        }
    } count;
    options.progress = Count::call, options.progress_user = &count;
    const Balanced whole = balanced(keyed, options);
    const int calls = count.calls;
    EXPECT_GT(calls, 10);
    for (int last = 1; last <= calls; ++last) {
        count = {0, last};
        EXPECT_NE(refusal(APLOMB_CANCELLED).find("ended by the caller"), std::string::npos);
    }
}

TEST_F(BadBalance, WithoutMemoryNothingIsWritten) {
    struct Counted {
        int left, live;
        static void* allocate(size_t size, size_t, void* user) {
            Counted& my = *static_cast<Counted*>(user);
            if (my.left-- <= 0) return nullptr;
            ++my.live;
            return std::malloc(size);
        }
        static void deallocate(void* memory, size_t, void* user) {
            --static_cast<Counted*>(user)->live;
            std::free(memory);
        }
    } counted{};
    const aplomb_allocator allocator = {Counted::allocate, Counted::deallocate, &counted};
    int most = 0;
    for (;; ++most) {
        counted = {most, 0};
        std::vector<double> t = translations, r = rotations;
        aplomb_clip_balance_result* result = nullptr;
        const aplomb_status status = aplomb_clip_balance(figure.get(), &clip, &options, &allocator, t.data(),
                                                         r.data(), &result, nullptr);
        if (status == APLOMB_OK) {
            aplomb_clip_balance_result_destroy(result);
            EXPECT_EQ(counted.live, 0);
            break;
        }
        EXPECT_EQ(status, APLOMB_OUT_OF_MEMORY);
        EXPECT_EQ(counted.live, 0);
        EXPECT_EQ(t, translations);
        ASSERT_LT(most, 100);
    }
    EXPECT_GE(most, 4);
}

TEST_F(BalanceClip, WhatIsExemptKeepsItsKeyAndItsTrueNumber) {
    shot::Poses poses;
    for (int f = 0; f < 120; ++f) {
        lay::Pose at(figure.get(), shape);
        at.soft_knees(15).turn("spine_1", f >= 50 && f < 70 ? 75 : 0);
        poses.add(f / 24., at.translations, at.rotations);
    }
    aplomb_exempt_range exempt{40, 80, 1, 0, "he is pushed"};
    aplomb_clip_balance_options options = walk::usual();
    const Balanced bowed = walk::balance(figure.get(), poses, poses.clip(), options);
    options.exempt = &exempt, options.exempt_count = 1;
    const Balanced out = walk::balance(figure.get(), poses, poses.clip(), options);
    EXPECT_FALSE(bowed.ranges.empty());
    EXPECT_TRUE(out.ranges.empty());
    EXPECT_EQ(out.poses.rotations, poses.rotations);
    EXPECT_EQ(out.frames[60].exempt, 0);
    EXPECT_EQ(out.frames[60].exempt_part, 1);
    EXPECT_EQ(out.frames[60].margin_before, bowed.frames[60].margin_before);
    exempt.part = .5;
    const Balanced half = walk::balance(figure.get(), poses, poses.clip(), options);
    EXPECT_LT(half.frames[60].controls.hips_shift[2],
              -.2 * std::fabs(bowed.frames[60].controls.hips_shift[2]));
    EXPECT_GT(half.frames[60].controls.hips_shift[2], .85 * bowed.frames[60].controls.hips_shift[2]);
}

/// A load that nobody could hold: what is missing is told, but where it is exempt. In a still clip it is what the single
/// pose lacks, in every frame: no frame falls so that others need not.
TEST_F(BalanceClip, WhatIsOutOfReachIsTold) {
    lay::Pose still(figure.get(), shape);
    still.soft_knees(15);
    shot::Poses poses, trembling;
    for (int f = 0; f < 24; ++f) {
        poses.add(f / 24., still.translations, still.rotations);
        lay::Pose at = still;
        at.move(0, 0, 2e-5 * std::sin(7. * f * f));
        trembling.add(f / 24., at.translations, at.rotations);
    }
    aplomb_carry carry{};
    ASSERT_EQ(aplomb_load_at(figure.get(), 150, "hands", &carry.load, nullptr), APLOMB_OK);
    carry.load.offset[2] += 1.5;
    carry.last = 23, carry.pick_up = carry.put_down = .001; // whole at once
    aplomb_clip clip = poses.clip();
    clip.carries = &carry, clip.carry_count = 1;
    aplomb_options exact;
    aplomb_options_init(&exact, sizeof exact);
    exact.exact = 1;
    aplomb_clip_balance_options options = walk::usual();
    options.correction = &exact;
    const Balanced out = walk::balance(figure.get(), poses, clip, options);
    EXPECT_EQ(out.status, APLOMB_OUT_OF_REACH);

    aplomb_solver* solver = nullptr;
    ASSERT_EQ(aplomb_solver_create(figure.get(), nullptr, &solver, nullptr), APLOMB_OK);
    aplomb_situation situation = still.situation();
    situation.loads = &carry.load, situation.load_count = 1;
    aplomb_result single;
    aplomb_result_init(&single, sizeof single);
    std::vector<double> t = still.translations, r = still.rotations;
    EXPECT_EQ(aplomb_balance(solver, &situation, &exact, t.data(), r.data(), &single, nullptr),
              APLOMB_OUT_OF_REACH);
    aplomb_solver_destroy(solver);
    std::printf("out of reach: %.4f m are missing in a clip, %.4f in one pose\n", out.frames[12].slack,
                single.slack);
    for (const auto& frame : out.frames) {
        EXPECT_EQ(frame.status, APLOMB_OUT_OF_REACH) << frame.time;
        EXPECT_NEAR(frame.slack, out.frames[12].slack, 1e-5) << frame.time;
        EXPECT_NEAR(frame.slack, single.slack, 1e-3) << frame.time;
        EXPECT_NEAR(frame.margin_after, frame.margin_asked - frame.slack, 1e-6) << frame.time;
    }

    clip = trembling.clip();
    clip.carries = &carry, clip.carry_count = 1;
    for (const auto& frame : walk::balance(figure.get(), trembling, clip, options).frames)
        EXPECT_NEAR(frame.way[2], out.frames[12].way[2], 1e-3) << frame.time;

    clip = poses.clip();
    clip.carries = &carry, clip.carry_count = 1;
    const aplomb_exempt_range exempt{0, 23, 1, 0, "he cheats"};
    options.exempt = &exempt, options.exempt_count = 1;
    EXPECT_EQ(walk::balance(figure.get(), poses, clip, options).status, APLOMB_OK);
}

/// One sits where no seat bears: what is asked for lies far past every limit, and what comes back keeps them all, as the
/// single pose does.
TEST_F(BalanceClip, WhatIsFarOutOfReachKeepsItsLimits) {
    lay::Pose sitting(figure.get(), shape);
    sitting.move(0, -.55, -.62).plant().turn("spine_1", -25);
    shot::Poses poses;
    for (int f = 0; f < 12; ++f)
        poses.add(f / 24., sitting.translations, sitting.rotations);
    const Balanced out = walk::balance(figure.get(), poses, poses.clip());
    EXPECT_EQ(out.status, APLOMB_OUT_OF_REACH);
    EXPECT_EQ(out.ranges.at(0).converged, 1);
    aplomb_solver* solver = nullptr;
    ASSERT_EQ(aplomb_solver_create(figure.get(), nullptr, &solver, nullptr), APLOMB_OK);
    const aplomb_situation situation = sitting.situation();
    aplomb_result single;
    aplomb_result_init(&single, sizeof single);
    std::vector<double> t = sitting.translations, r = sitting.rotations;
    EXPECT_EQ(aplomb_balance(solver, &situation, nullptr, t.data(), r.data(), &single, nullptr),
              APLOMB_OUT_OF_REACH);
    aplomb_solver_destroy(solver);
    std::printf("far out of reach: %.3f m are missing in a clip, %.3f in one pose\n", out.frames[6].slack,
                single.slack);
    for (const auto& frame : out.frames) {
        EXPECT_NEAR(frame.slack, single.slack, .01);
        const double* shift = frame.controls.hips_shift;
        EXPECT_LT(norm(Vec3{shift[0], shift[1], shift[2]}), .31 * .9);
    }
}

TEST_F(BalanceClip, AmountsScaleFramesAndFeetStay) {
    const Walk keyed = made({.frames = 14, .steps = 3});
    std::vector<double> amounts(keyed.poses.times.size());
    for (std::size_t f = 0; f < amounts.size(); ++f)
        amounts[f] = .2 + .8 * static_cast<double>(f) / static_cast<double>(amounts.size());
    aplomb_clip_balance_options options = walk::usual();
    const Balanced full = balanced(keyed);
    options.amounts = amounts.data();
    const Balanced part = balanced(keyed, options);
    for (std::size_t f = 0; f < full.frames.size(); ++f)
        EXPECT_NEAR(part.frames[f].controls.hips_shift[0], amounts[f] * full.frames[f].controls.hips_shift[0],
                    1e-4);
    amounts.assign(amounts.size(), 0);
    const Balanced none = balanced(keyed, options);
    for (std::size_t i = 0; i < none.poses.translations.size(); ++i)
        EXPECT_NEAR(none.poses.translations[i], keyed.poses.translations[i], 1e-12);
}

/// Knees that may swivel are variables of the frames alone in which their foot stands.
TEST_F(BalanceClip, KneesMaySwivel) {
    aplomb_options free;
    aplomb_options_init(&free, sizeof free);
    free.free = APLOMB_FREE_DEFAULT | APLOMB_FREE_SWIVEL;
    aplomb_clip_balance_options options = walk::usual();
    options.correction = &free;
    const Walk keyed = made({.frames = 14, .steps = 4});
    const Balanced out = balanced(keyed, options), fixed = balanced(keyed);
    EXPECT_EQ(out.status, APLOMB_OK);
    EXPECT_LE(out.ranges.at(0).cost, fixed.ranges.at(0).cost * (1 + 1e-6));
}

/// On twos every second frame holds the one before; the held frames are one moment on an uneven grid.
TEST_F(BalanceClip, AnUnevenGridIsTheSameWalk) {
    const Walk keyed = made();
    Walk thinned;
    const std::size_t count = keyed.poses.times.size();
    std::vector<int> place(count, -1);
    for (std::size_t f = 0; f < count; ++f) {
        if (f % 7 == 3) continue; // some frames are not there
        const lay::Pose at = pose(keyed.poses, f);
        place[f] = static_cast<int>(thinned.poses.times.size());
        thinned.poses.add(keyed.poses.times[f], at.translations, at.rotations);
    }
    for (auto range : keyed.stances) {
        while (place[static_cast<std::size_t>(range.first)] < 0)
            ++range.first;
        while (place[static_cast<std::size_t>(range.last)] < 0)
            --range.last;
        range.first = place[static_cast<std::size_t>(range.first)],
        range.last = place[static_cast<std::size_t>(range.last)];
        thinned.stances.push_back(range);
    }
    const Balanced even = balanced(keyed), uneven = balanced(thinned);
    double apart = 0;
    for (std::size_t f = 14; f + 14 < count; ++f)
        if (place[f] >= 0)
            apart = std::max(
                apart, std::fabs(even.frames[f].controls.hips_shift[0] -
                                 uneven.frames[static_cast<std::size_t>(place[f])].controls.hips_shift[0]));
    std::printf("without every seventh frame: %.2f mm apart to the side\n", 1e3 * apart);
    EXPECT_LE(apart, .003);
}

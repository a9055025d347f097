// SPDX-License-Identifier: MIT
// Blocking passes: each key of a clip is a pose of its own.
#include "poses.h"
#include "walk.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <limits>
#include <string>

namespace {

using walk::Balanced;

/// Five keys, eight frames at 24 a second each, and each held for some frames: leaning ones, and one that is in balance.
class Blocking : public testing::Test {
protected:
    Blocking() {
        for (int key = 0; key < 5; ++key) {
            lay::Pose pose(figure.get(), shape);
            pose.soft_knees(10 + 2 * key).turn("spine_1", key == 2 ? 0 : 60 + 5 * key, 0, 5 * key);
            if (key == 3) pose.turn("right_thigh", -50).turn("right_shank", 60);
            keys.push_back(pose.translations), turns.push_back(pose.rotations);
            for (int frame = 0; frame < held[static_cast<std::size_t>(key)]; ++frame)
                poses.add(next++ / 24., pose.translations, pose.rotations);
        }
        solver.reset(make_solver());
        options = walk::usual();
        options.blocking = 1;
    }
    aplomb_solver* make_solver() const {
        aplomb_solver* made = nullptr;
        EXPECT_EQ(aplomb_solver_create(figure.get(), nullptr, &made, nullptr), APLOMB_OK);
        return made;
    }
    aplomb_situation situation(std::size_t frame) const {
        aplomb_situation s;
        aplomb_situation_init(&s, sizeof s);
        s.translations = &poses.translations[numbers() * 3 * frame];
        s.rotations = &poses.rotations[numbers() * 4 * frame];
        return s;
    }
    std::size_t numbers() const { return static_cast<std::size_t>(shape.count()); }
    static std::vector<double> frame_of(const std::vector<double>& all, std::size_t frame, std::size_t size) {
        const auto first = all.begin() + static_cast<std::ptrdiff_t>(frame * size);
        return {first, first + static_cast<std::ptrdiff_t>(size)};
    }
    std::vector<double> places(const Balanced& out, std::size_t frame) const {
        return frame_of(out.poses.translations, frame, 3 * numbers());
    }
    std::vector<double> rotations(const Balanced& out, std::size_t frame) const {
        return frame_of(out.poses.rotations, frame, 4 * numbers());
    }
    /// What a single pose becomes.
    aplomb_result single(const aplomb_situation& s, const aplomb_options* how, std::vector<double>& place,
                         std::vector<double>& turn) const {
        aplomb_result result;
        aplomb_result_init(&result, sizeof result);
        place.resize(3 * numbers()), turn.resize(4 * numbers());
        EXPECT_GE(aplomb_balance(solver.get(), &s, how, place.data(), turn.data(), &result, nullptr), 0);
        return result;
    }

    struct Destroy {
        void operator()(aplomb_solver* made) const { aplomb_solver_destroy(made); }
    };
    const std::array<int, 5> held = {8, 3, 12, 8, 1};
    lay::LayFigure shape = lay::LayFigure::adult();
    lay::FigureHandle figure = shape.create();
    std::unique_ptr<aplomb_solver, Destroy> solver;
    std::vector<std::vector<double>> keys, turns;
    shot::Poses poses;
    int next = 0;
    aplomb_clip_balance_options options;
};

} // namespace

/// Bit for bit, whatever was before it, and held as long as the key is.
TEST_F(Blocking, EachKeyIsTheSinglePoseAndIsHeld) {
    const Balanced out = walk::balance(figure.get(), poses, poses.clip(), options);
    std::size_t frame = 0;
    int changed = 0;
    for (std::size_t key = 0; key < 5; ++key) {
        std::vector<double> place, turn;
        const aplomb_result is = single(situation(frame), nullptr, place, turn);
        changed += is.changed;
        for (int k = 0; k < held[key]; ++k, ++frame) {
            EXPECT_EQ(places(out, frame), place) << frame;
            EXPECT_EQ(rotations(out, frame), turn) << frame;
            const aplomb_clip_balanced& f = out.frames[frame];
            EXPECT_EQ(f.range >= 0, is.changed != 0);
            EXPECT_EQ(f.margin_before, is.margin_before);
            EXPECT_EQ(f.margin_after, is.margin_after);
            EXPECT_EQ(f.margin_asked, is.margin_asked);
            EXPECT_EQ(std::memcmp(&f.controls, &is.controls, sizeof f.controls), 0);
        }
    }
    EXPECT_GE(changed, 3);
    EXPECT_LT(changed, 5); // one is in balance and comes back
    // All frames together are another matter.
    options.blocking = 0;
    EXPECT_NE(walk::balance(figure.get(), poses, poses.clip(), options).poses.rotations, out.poses.rotations);
}

/// Where the caller says what stands, the pose that it leaves shows nothing else.
TEST_F(Blocking, GivenStancesAreKept) {
    std::vector<aplomb_stance_range> stances;
    std::vector<aplomb_contact> contacts;
    for (int32_t limb = 0; limb < aplomb_figure_limb_count(figure.get()); ++limb) {
        aplomb_limb_info info;
        aplomb_limb_info_init(&info, sizeof info);
        aplomb_figure_limb(figure.get(), limb, &info, nullptr);
        if (info.kind != APLOMB_LEG) continue;
        const bool left = info.side == APLOMB_SIDE_LEFT;
        if (left) stances.push_back({limb, 0, 20, APLOMB_ON_BALL, 0});
        contacts.push_back(aplomb_contact_make(limb, left ? APLOMB_BEARING : APLOMB_HELD));
        contacts.back().footing = left ? APLOMB_ON_BALL : APLOMB_FLAT;
    }
    aplomb_clip clip = poses.clip();
    clip.stances = stances.data(), clip.stance_count = 1;
    const Balanced out = walk::balance(figure.get(), poses, clip, options);
    aplomb_situation s = situation(0);
    s.contacts = contacts.data(), s.contact_count = static_cast<int32_t>(contacts.size());
    std::vector<double> place, turn;
    single(s, nullptr, place, turn);
    EXPECT_EQ(places(out, 0), place);
    EXPECT_EQ(rotations(out, 0), turn);
    // Where nothing stands, nothing is balanced.
    EXPECT_EQ(out.frames[25].range, -1);
    EXPECT_TRUE(std::isnan(out.frames[25].margin_before));
    EXPECT_EQ(rotations(out, 25), turns[3]);
}

TEST_F(Blocking, LoadsExemptionsAndAmountsCount) {
    aplomb_carry carry{};
    carry.load = aplomb_load_make(8, shape.find("left_hand"));
    carry.last = next - 1;
    carry.pick_up = carry.put_down = std::numeric_limits<double>::quiet_NaN();
    aplomb_clip clip = poses.clip();
    clip.carries = &carry, clip.carry_count = 1;
    std::vector<double> amounts(static_cast<std::size_t>(next), 1);
    std::fill(amounts.begin() + 8, amounts.begin() + 11, .5);
    const aplomb_exempt_range exempt = {0, 7, 1, 0, "he is pushed"};
    options.amounts = amounts.data(), options.exempt = &exempt, options.exempt_count = 1;
    const Balanced out = walk::balance(figure.get(), poses, clip, options);
    EXPECT_EQ(places(out, 0), keys[0]);
    EXPECT_EQ(rotations(out, 7), turns[0]);
    EXPECT_EQ(out.frames[7].exempt, 0);
    EXPECT_EQ(out.frames[8].exempt, -1);
    aplomb_options half;
    aplomb_options_init(&half, sizeof half);
    half.amount = .5;
    aplomb_situation s = situation(8);
    s.loads = &carry.load, s.load_count = 1;
    std::vector<double> place, turn;
    single(s, &half, place, turn);
    EXPECT_EQ(places(out, 8), place);
    EXPECT_EQ(rotations(out, 8), turn);
}

/// Keys far apart in place and attitude: nothing flies, steps or slides, and each margin is that of the pose.
TEST_F(Blocking, IsReadPoseByPose) {
    shot::Poses apart;
    for (std::size_t key = 0; key < 5; ++key) {
        std::vector<double> moved = keys[key];
        moved[2] += .4 * static_cast<double>(key);
        apart.add(.3 * static_cast<double>(key), moved, turns[key]);
    }
    aplomb_clip_options how;
    aplomb_clip_options_init(&how, sizeof how);
    how.blocking = 1;
    const shot::Reading reading = shot::read(figure.get(), apart.clip(), &how);
    EXPECT_TRUE(reading.flights().empty());
    EXPECT_TRUE(reading.steps().empty());
    for (const aplomb_stance_range& range : reading.stances())
        EXPECT_EQ(range.slip, 0);
    const auto frames = reading.frames();
    for (std::size_t key = 0; key < 5; ++key) {
        aplomb_situation s;
        aplomb_situation_init(&s, sizeof s);
        s.translations = &apart.translations[3 * numbers() * key];
        s.rotations = &apart.rotations[4 * numbers() * key];
        aplomb_reading still;
        aplomb_reading_init(&still, sizeof still);
        ASSERT_EQ(aplomb_read(solver.get(), &s, nullptr, &still, nullptr), APLOMB_OK);
        EXPECT_NEAR(frames[key].margin, still.margin, 1e-12) << key;
        EXPECT_NEAR(frames[key].margin_asked, still.margin_asked, 1e-12) << key;
        EXPECT_EQ(frames[key].in_balance, still.in_balance) << key;
        EXPECT_EQ(frames[key].contact_count, key == 3 ? 1 : 2) << key;
        EXPECT_EQ(frames[key].velocity[2], 0) << key;
    }
    // As a motion it would hardly stand on anything.
    aplomb_clip_reading* none = nullptr;
    const aplomb_clip clip = apart.clip();
    EXPECT_EQ(aplomb_clip_read(figure.get(), &clip, nullptr, nullptr, &none, nullptr), APLOMB_NO_SUPPORT);
}

TEST_F(Blocking, WhatBelongsToMotionIsRefused) {
    const aplomb_clip clip = poses.clip();
    const auto refusal = [&](const aplomb_clip_balance_options& how) {
        std::vector<double> place = poses.translations, turn = poses.rotations;
        aplomb_error error{};
        EXPECT_EQ(aplomb_clip_balance(figure.get(), &clip, &how, nullptr, place.data(), turn.data(), nullptr,
                                      &error),
                  APLOMB_BAD_ARGUMENT);
        EXPECT_EQ(place, poses.translations);
        return std::string(error.message);
    };
    aplomb_clip_balance_options how = options;
    how.loop = 1;
    EXPECT_EQ(refusal(how), "options.loop is for a body that moves and does not go with options.blocking.");
    how = options, how.flights = 1;
    EXPECT_EQ(refusal(how),
              "options.flights is for a body that moves and does not go with options.blocking.");
}

/// A host's floats, in place, with room between the frames; and an end by the caller.
TEST_F(Blocking, AHostsOwnArraysAreReadAndWrittenInPlace) {
    const std::size_t frames = poses.times.size(), row = 7 * numbers() + 5;
    std::vector<float> own(row * frames, -7);
    for (std::size_t f = 0; f < frames; ++f) {
        for (std::size_t k = 0; k < 3 * numbers(); ++k)
            own[row * f + k] = static_cast<float>(poses.translations[3 * numbers() * f + k]);
        for (std::size_t k = 0; k < 4 * numbers(); ++k)
            own[row * f + 3 * numbers() + k] = static_cast<float>(poses.rotations[4 * numbers() * f + k]);
    }
    aplomb_clip clip = poses.clip();
    clip.floats = 1;
    clip.translations = own.data(), clip.rotations = own.data() + 3 * numbers();
    clip.translations_stride = clip.rotations_stride = row * sizeof(float);
    const std::vector<float> before = own;
    const auto stop = [](double part, void*) -> int32_t { return part > .5; };
    options.progress = stop;
    EXPECT_EQ(aplomb_clip_balance(figure.get(), &clip, &options, nullptr, own.data(),
                                  own.data() + 3 * numbers(), nullptr, nullptr),
              APLOMB_CANCELLED);
    EXPECT_EQ(own, before);
    options.progress = nullptr;
    EXPECT_GE(aplomb_clip_balance(figure.get(), &clip, &options, nullptr, own.data(),
                                  own.data() + 3 * numbers(), nullptr, nullptr),
              0);
    const Balanced out = walk::balance(figure.get(), poses, poses.clip(), options);
    for (std::size_t f = 0; f < frames; ++f) {
        for (std::size_t k = 0; k < 3 * numbers(); ++k)
            EXPECT_NEAR(own[row * f + k], places(out, f)[k], 1e-5) << f;
        EXPECT_EQ(own[row * f + 7 * numbers()], -7);
    }
}

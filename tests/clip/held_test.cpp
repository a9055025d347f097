// SPDX-License-Identifier: MIT
// Poses that a clip holds for some frames.
#include "walk.h"

#include <algorithm>
#include <cstring>
#include <string>

namespace {

using walk::Balanced;

class Held : public testing::Test {
protected:
    Held() {
        const walk::Walk whole = walk::make(figure.get(), shape, {.frames = 14, .steps = 3});
        const std::size_t places = 3 * numbers(), turns = 4 * numbers();
        for (std::size_t f = 0; f < whole.poses.times.size(); f += 2) {
            const auto row = [&](const std::vector<double>& all, std::size_t size) {
                const auto first = all.begin() + static_cast<std::ptrdiff_t>(f * size);
                return std::vector<double>(first, first + static_cast<std::ptrdiff_t>(size));
            };
            const auto place = row(whole.poses.translations, places),
                       turn = row(whole.poses.rotations, turns);
            const double at = whole.poses.times[f];
            sparse.add(at, place, turn);
            twos.add(at, place, turn), twos.add(at + 1 / 24., place, turn);
        }
        found = shot::read(figure.get(), sparse.clip());
        stances = found.stances();
        for (aplomb_stance_range range : stances) {
            range.first *= 2, range.last = 2 * range.last + 1;
            doubled.push_back(range);
        }
        held = walk::usual();
        held.held = 1;
    }
    std::size_t numbers() const { return static_cast<std::size_t>(shape.count()); }
    static aplomb_clip clip(const shot::Poses& poses, const std::vector<aplomb_stance_range>& stances) {
        aplomb_clip clip = poses.clip();
        clip.stances = stances.data(), clip.stance_count = static_cast<int32_t>(stances.size());
        return clip;
    }
    bool equal(const Balanced& a, std::size_t f, const Balanced& b, std::size_t g) const {
        const std::size_t places = 3 * numbers(), turns = 4 * numbers();
        return std::equal(&a.poses.translations[f * places], &a.poses.translations[f * places] + places,
                          &b.poses.translations[g * places]) &&
               std::equal(&a.poses.rotations[f * turns], &a.poses.rotations[f * turns] + turns,
                          &b.poses.rotations[g * turns]);
    }
    lay::LayFigure shape = lay::LayFigure::adult();
    lay::FigureHandle figure = shape.create();
    shot::Poses sparse, twos;
    shot::Reading found;
    std::vector<aplomb_stance_range> stances, doubled;
    aplomb_clip_balance_options held;
};

} // namespace

/// Bit for bit as the clip that has each pose once; without it the correction moves on within a hold.
TEST_F(Held, OnTwosStaysOnTwos) {
    const Balanced out = walk::balance(figure.get(), twos, clip(twos, doubled), held),
                   once = walk::balance(figure.get(), sparse, clip(sparse, stances)),
                   moved = walk::balance(figure.get(), twos, clip(twos, doubled));
    ASSERT_EQ(out.frames.size(), twos.times.size());
    ASSERT_EQ(out.ranges.size(), once.ranges.size());
    ASSERT_FALSE(out.ranges.empty());
    for (std::size_t r = 0; r < out.ranges.size(); ++r) {
        EXPECT_EQ(out.ranges[r].first, 2 * once.ranges[r].first);
        EXPECT_EQ(out.ranges[r].last, 2 * once.ranges[r].last + 1);
        EXPECT_EQ(out.ranges[r].cost, once.ranges[r].cost);
    }
    int moves = 0;
    for (std::size_t f = 0; f < twos.times.size(); ++f) {
        EXPECT_TRUE(equal(out, f, once, f / 2)) << f;
        EXPECT_EQ(out.frames[f].time, twos.times[f]);
        EXPECT_EQ(std::memcmp(&out.frames[f].controls, &once.frames[f / 2].controls, sizeof(aplomb_controls)),
                  0);
        moves += f % 2 == 1 && !equal(moved, f, moved, f - 1);
    }
    EXPECT_GT(moves, 5);
}

/// Stances that begin or end a frame late, in the middle of a hold, do not break it.
TEST_F(Held, AHoldStandsAsItsFirstFrameDoes) {
    std::vector<aplomb_stance_range> late = doubled;
    for (aplomb_stance_range& range : late) {
        if (range.first > 0) range.first -= 1;
        if (range.last + 1 < static_cast<int32_t>(twos.times.size())) range.last -= 1;
    }
    const Balanced out = walk::balance(figure.get(), twos, clip(twos, late), held),
                   once = walk::balance(figure.get(), sparse, clip(sparse, stances));
    for (std::size_t f = 0; f < twos.times.size(); ++f)
        EXPECT_TRUE(equal(out, f, once, f / 2)) << f;
}

/// A load that is taken in the middle of a hold, and what is exempt there, begin where they were said to.
TEST_F(Held, ARangeEndsAHold) {
    aplomb_carry carry{};
    carry.load = aplomb_load_make(10, shape.find("left_hand"));
    carry.first = 21, carry.last = static_cast<int32_t>(twos.times.size()) - 1;
    aplomb_clip given = clip(twos, doubled);
    given.carries = &carry, given.carry_count = 1;
    const aplomb_exempt_range exempt = {5, 9, 1, 0, "she stumbles"};
    held.exempt = &exempt, held.exempt_count = 1;
    const Balanced out = walk::balance(figure.get(), twos, given, held);
    for (std::size_t f = 0; f < twos.times.size(); ++f)
        EXPECT_EQ(out.frames[f].exempt, f >= 5 && f <= 9 ? 0 : -1) << f;
    EXPECT_FALSE(equal(out, 20, out, 21));
    EXPECT_TRUE(equal(out, 22, out, 23));
}

TEST_F(Held, BadInputIsNamedByItsOwnFrame) {
    aplomb_clip given = clip(twos, doubled);
    given.first_number = 100;
    std::vector<double> place = twos.translations, turn = twos.rotations;
    turn[4 * numbers() * 17 + 3] = 3;
    given.rotations = turn.data();
    const std::vector<double> before = turn;
    aplomb_error error{};
    EXPECT_EQ(
        aplomb_clip_balance(figure.get(), &given, &held, nullptr, place.data(), turn.data(), nullptr, &error),
        APLOMB_BAD_POSE);
    EXPECT_EQ(std::string(error.message).rfind("frame 117: ", 0), 0u) << error.message;
    EXPECT_EQ(turn, before);
    given.rotations = twos.rotations.data();
    aplomb_flight_range flight = {9, 9};
    held.flights = 1, held.flight_ranges = &flight, held.flight_range_count = 1;
    const auto refused = [&] {
        EXPECT_EQ(aplomb_clip_balance(figure.get(), &given, &held, nullptr, place.data(), turn.data(),
                                      nullptr, &error),
                  APLOMB_BAD_ARGUMENT);
        return std::string(error.message);
    };
    EXPECT_EQ(refused(), "options.flight_ranges[0] (frames 109 to 109): where poses are held, a flight needs "
                         "one of its own, one before it and one after it.");
    flight = {10, 15};
    EXPECT_EQ(refused(), "options.flight_ranges[0] (frames 110 to 115): where poses are held, something "
                         "stands in its poses; in a flight nothing does.");
    EXPECT_EQ(turn, before);
}

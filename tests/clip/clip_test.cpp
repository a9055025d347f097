// SPDX-License-Identifier: MIT
// Whole clips of a figure of ours: a still one reads as its pose, loads come and go, bad input is named.
#include "clip/balance_point.h"
#include "clip/smooth.h"
#include "figures.h"
#include "room.h"
#include "shot.h"
#include "stance/rule.h"

#include <array>
#include <cmath>
#include <cstdlib>
#include <cstring>
#include <limits>
#include <string>

namespace {

using aplomb::Moving;
using aplomb::Vec3;

class ClipOf : public testing::Test {
protected:
    ClipOf() {
        const auto joints = static_cast<std::size_t>(aplomb_figure_joint_count(figure.get()));
        translations.resize(3 * joints), rotations.resize(4 * joints);
        aplomb_figure_neutral_pose(figure.get(), translations.data(), rotations.data());
    }
    shot::Poses still(int frames) const {
        shot::Poses poses;
        for (int f = 0; f < frames; ++f)
            poses.add(f / 24., translations, rotations);
        return poses;
    }
    /// The status and the sentence; nothing may be made.
    std::string refusal(const aplomb_clip& clip, aplomb_status status,
                        const aplomb_clip_options* options = nullptr) const {
        aplomb_clip_reading* reading = nullptr;
        aplomb_error error{};
        EXPECT_EQ(aplomb_clip_read(figure.get(), &clip, options, nullptr, &reading, &error), status)
            << error.message;
        EXPECT_EQ(reading, nullptr);
        return error.message;
    }

    lay::LayFigure plan = lay::LayFigure::adult();
    lay::FigureHandle figure = plan.create();
    std::vector<double> translations, rotations;
};

aplomb_carry carry_of(double mass, int32_t first, int32_t last, int32_t holder) {
    aplomb_carry carry{};
    carry.load = aplomb_load_make(mass, holder);
    carry.first = first, carry.last = last;
    carry.pick_up = carry.put_down = std::numeric_limits<double>::quiet_NaN();
    return carry;
}

} // namespace

TEST_F(ClipOf, OnePoseReadsAsThePoseBitForBit) {
    aplomb_solver* solver = nullptr;
    ASSERT_EQ(aplomb_solver_create(figure.get(), nullptr, &solver, nullptr), APLOMB_OK);
    aplomb_situation situation;
    aplomb_situation_init(&situation, sizeof situation);
    situation.translations = translations.data(), situation.rotations = rotations.data();
    aplomb_reading one;
    aplomb_reading_init(&one, sizeof one);
    ASSERT_EQ(aplomb_read(solver, &situation, nullptr, &one, nullptr), APLOMB_OK);
    aplomb_solver_destroy(solver);
    for (const int frames : {1, 2, 3, 40})
        for (const aplomb_clip_frame& f : shot::read(figure.get(), still(frames).clip()).frames()) {
            EXPECT_EQ(std::memcmp(f.still_point, one.balance_point, sizeof f.still_point), 0);
            EXPECT_EQ(std::memcmp(f.point, one.balance_point, sizeof f.point), 0);
            EXPECT_EQ(std::memcmp(f.centre, one.centre, sizeof f.centre), 0);
            EXPECT_EQ(f.margin, one.margin);
            EXPECT_EQ(f.margin_asked, one.margin_asked);
            EXPECT_EQ(f.in_balance, one.in_balance);
            EXPECT_EQ(f.contact_count, one.contact_count);
            EXPECT_EQ(f.near_end, 0);
        }
}

TEST_F(ClipOf, ThreadsChangeNoBit) {
    shot::Poses poses = still(500);
    for (std::size_t f = 0; f < 500; ++f) // sways to the side
        poses.translations[f * translations.size()] += .03 * std::sin(.1 * static_cast<double>(f));
    aplomb_clip_options options;
    aplomb_clip_options_init(&options, sizeof options);
    int32_t threads = 3;
    options.run = aplomb_run_on_threads, options.run_user = &threads;
    const auto one = shot::read(figure.get(), poses.clip()).frames(),
               many = shot::read(figure.get(), poses.clip(), &options).frames();
    ASSERT_EQ(one.size(), many.size());
    EXPECT_EQ(std::memcmp(one.data(), many.data(), one.size() * sizeof one[0]), 0);
}

/// A knee bent by 60 degrees: spans a and b are nearer by a + b - sqrt(a^2 + b^2 + 2 a b cos 60).
TEST_F(ClipOf, AKneeGivesByWhatItsLegIsShorter) {
    aplomb_limb_info leg;
    for (int32_t limb = 0; limb < aplomb_figure_limb_count(figure.get()); ++limb) {
        aplomb_limb_info_init(&leg, sizeof leg);
        aplomb_figure_limb(figure.get(), limb, &leg, nullptr);
        if (leg.kind != APLOMB_LEG) continue;
        const auto length = [&](int32_t joint) {
            const double* t = &translations[3 * static_cast<std::size_t>(joint)];
            return std::hypot(t[0], t[1], t[2]);
        };
        const double a = length(leg.lower), b = length(leg.end);
        shot::Poses poses = still(2);
        double* knee = &poses.rotations[rotations.size() + 4 * static_cast<std::size_t>(leg.lower)];
        knee[0] = .5, knee[1] = knee[2] = 0, knee[3] = std::sqrt(.75);
        const std::vector<aplomb_clip_frame> frames = shot::read(figure.get(), poses.clip()).frames();
        EXPECT_NEAR(frames[0].give[limb], 0, 1e-9);
        EXPECT_NEAR(frames[1].give[limb], a + b - std::sqrt(a * a + b * b + a * b), 1e-9);
    }
}

/// Nobody can bring his hips so far.
TEST_F(ClipOf, AJoltThatNoFootCanGiveIsNamed) {
    shot::Poses poses;
    for (int f = 0; f < 96; ++f) {
        std::vector<double> moved = translations;
        moved[0] += .06 * std::sin(2 * 3.14159265358979 * 3 * f / 96);
        poses.add(f / 96., moved, rotations);
    }
    const std::vector<aplomb_stance_range> stances = shot::read(figure.get(), still(96).clip()).stances();
    aplomb_clip clip = poses.clip();
    clip.stances = stances.data(), clip.stance_count = static_cast<int32_t>(stances.size());
    const std::vector<aplomb_clip_note> notes = shot::read(figure.get(), clip).notes();
    ASSERT_GE(notes.size(), 1u);
    EXPECT_NE(std::string(notes[0].text).find("leg lengths outside the feet"), std::string::npos)
        << notes[0].text;
    EXPECT_EQ(std::string(notes[0].text).find("hips"), std::string::npos) << notes[0].text;
}

/// A body that is shaken to and fro as a whole: p = x - x'' z / g, the cart on a table of S. Kajita (2003).
TEST_F(ClipOf, AShakenBodyIsACartOnATable) {
    constexpr double rate = 120, swing = .02, pulse = 2 * 3.14159265358979 * 1;
    shot::Poses poses;
    for (int f = 0; f < 360; ++f) {
        std::vector<double> moved = translations;
        moved[0] += swing * std::sin(pulse * f / rate);
        poses.add(f / rate, moved, rotations);
    }
    aplomb_clip clip = poses.clip();
    std::vector<aplomb_stance_range> stances;
    for (int32_t limb = 0; limb < aplomb_figure_limb_count(figure.get()); ++limb) {
        aplomb_limb_info info;
        aplomb_limb_info_init(&info, sizeof info);
        aplomb_figure_limb(figure.get(), limb, &info, nullptr);
        if (info.kind == APLOMB_LEG) stances.push_back({limb, 0, 359, APLOMB_FLAT, 0});
    }
    clip.stances = stances.data(), clip.stance_count = static_cast<int32_t>(stances.size());
    for (const aplomb_clip_frame& f : shot::read(figure.get(), clip).frames()) {
        EXPECT_EQ(f.near_end, f.time < .0999 || f.time > 359 / rate - .0999) << f.time;
        if (f.time < .5 || f.time > 2.4) continue;
        const double acceleration = -swing * pulse * pulse * std::sin(pulse * f.time);
        EXPECT_NEAR(f.acceleration[0], acceleration, .002 * swing * pulse * pulse);
        const double height = f.centre[1] - f.still_point[1];
        EXPECT_NEAR(f.point[0], f.still_point[0] - acceleration * height / 9.80665, 5e-4);
    }
}

/// Values of the reference tables, section 4.
TEST(BalancePoint, CartOnATable) {
    for (const auto& [height, acceleration, p] :
         {std::array{.814, 1., -.08298}, std::array{.9, -2., .18349}}) {
        const Moving cart{60, {0, height, 0}, {acceleration, 0, 0}, {}};
        Vec3 shift;
        ASSERT_TRUE(aplomb::motion_shift(&cart, 1, {}, {0, 1, 0}, {0, -9.81, 0}, shift));
        EXPECT_NEAR(shift.x, p, 5e-6);
        EXPECT_EQ(shift.z, 0);
    }
    const Moving falls{60, {0, 1, 0}, {0, -9.81, 0}, {}};
    Vec3 shift;
    EXPECT_FALSE(aplomb::motion_shift(&falls, 1, {}, {0, 1, 0}, {0, -9.81, 0}, shift));
    const Moving hardly_presses{60, {0, 1, 0}, {4, -8.3, 0}, {}};
    EXPECT_FALSE(aplomb::motion_shift(&hardly_presses, 1, {}, {0, 1, 0}, {0, -9.81, 0}, shift));
}
/// With the angular momentum about the centre: px = [M cx (g + c''y) - M cy c''x - dLz] / [M (g + c''y)], in axes with y
/// up and L turned likewise.
TEST(BalancePoint, TurningBodies) {
    const Moving body{50, {.1, .9, -.2}, {.5, 1.5, -.7}, {3, 5, -4}};
    const double g = 9.81, press = 50 * (g + 1.5);
    Vec3 shift;
    ASSERT_TRUE(aplomb::motion_shift(&body, 1, {}, {0, 1, 0}, {0, -g, 0}, shift));
    EXPECT_NEAR(shift.x, (-50 * .9 * .5 + -4) / press, 1e-12);
    EXPECT_NEAR(shift.z, (-50 * .9 * -.7 - 3) / press, 1e-12);
}
TEST(BalancePoint, ExtrapolatedCentreOfMass) {
    EXPECT_NEAR(aplomb::extrapolated({}, {1.4, 0, 0}, 1, 9.81).x, .447, 5e-4);
    EXPECT_NEAR(aplomb::extrapolated({-.1, 0, 0}, {.2, 0, 0}, 1, 9.81).x, -.03614, 5e-6);
}

/// Half at its corner, whatever the grid.
TEST(Smoother, HalvesItsCornerFrequency) {
    for (const bool uneven : {false, true}) {
        std::vector<double> times;
        std::vector<Vec3> values;
        for (int k = 0; k < 1200; ++k) {
            times.push_back(k / 240. + (uneven && k % 2 ? .001 : 0));
            const double angle = 2 * 3.14159265358979 * 6 * times.back();
            values.push_back({std::sin(angle), std::sin(angle / 6), std::sin(angle * 4)});
        }
        aplomb::Smoother smoother;
        const auto memory = room::room_of([&](aplomb::Layout& l) { smoother.lay_out(l, times.size()); });
        smoother.set_up(times.data(), 1200, 6);
        smoother.smooth(values.data());
        Vec3 most;
        for (int k = 400; k < 800; ++k)
            for (int i = 0; i < 3; ++i)
                most[i] = std::fmax(most[i], std::fabs(values[static_cast<std::size_t>(k)][i]));
        EXPECT_NEAR(most.x, .5, .01);
        EXPECT_NEAR(most.y, 1, .002);
        EXPECT_NEAR(most.z, 1 / 257., .001);
    }
}

TEST(StanceRule, TouchesWithTwoThresholds) {
    EXPECT_TRUE(aplomb::touches(false, .029, .19));
    EXPECT_FALSE(aplomb::touches(false, .031, .19));
    EXPECT_FALSE(aplomb::touches(false, .029, .21));
    EXPECT_TRUE(aplomb::touches(true, .044, .29));
    EXPECT_FALSE(aplomb::touches(true, .046, .29));
    EXPECT_FALSE(aplomb::touches(true, .044, .31));
    EXPECT_EQ(aplomb::footing_of(true, true), APLOMB_FLAT);
    EXPECT_EQ(aplomb::footing_of(true, false), APLOMB_ON_HEEL);
    EXPECT_EQ(aplomb::footing_of(false, true), APLOMB_ON_BALL);
}

TEST_F(ClipOf, ALoadComesOverItsRampAndGoes) {
    const shot::Poses poses = still(72);
    const int32_t hand = aplomb_figure_find_role(figure.get(), APLOMB_ROLE_HAND, APLOMB_SIDE_LEFT);
    std::vector<aplomb_carry> carries = {carry_of(20, 12, 30, hand), carry_of(20, 31, 60, hand)};
    aplomb_clip clip = poses.clip();
    clip.carries = carries.data(), clip.carry_count = 2;
    const auto frames = shot::read(figure.get(), clip).frames();
    const auto aside = [&](std::size_t f) { return frames[f].still_point[0]; };
    EXPECT_EQ(aside(12), aside(11));        // its weight is on the floor yet
    EXPECT_GT(aside(16), aside(12) + .001); // it comes over
    EXPECT_GT(aside(25), aside(16) + .001);
    EXPECT_EQ(aside(30), aside(25)); // handed over without a ramp
    EXPECT_EQ(aside(31), aside(25));
    EXPECT_EQ(aside(60), aside(11));
    EXPECT_TRUE(std::isnan(frames[11].reads_as[0]));
}

TEST_F(ClipOf, FoundStancesCanBeGivenBack) {
    const shot::Poses poses = still(30);
    const shot::Reading found = shot::read(figure.get(), poses.clip());
    std::vector<aplomb_stance_range> stances = found.stances();
    ASSERT_EQ(stances.size(), 2u);
    EXPECT_EQ(stances[0].footing, APLOMB_FLAT);
    EXPECT_EQ(stances[0].slip, 0);
    aplomb_clip clip = poses.clip();
    clip.stances = stances.data(), clip.stance_count = 2;
    const auto given = shot::read(figure.get(), clip).frames(), before = found.frames();
    EXPECT_EQ(std::memcmp(given.data(), before.data(), given.size() * sizeof given[0]), 0);
    stances[0].last = 9; // the other foot alone: it falls
    const shot::Reading edited = shot::read(figure.get(), clip);
    ASSERT_EQ(edited.falls().size(), 1u);
    EXPECT_EQ(edited.falls()[0].first, 10);
    EXPECT_EQ(edited.falls()[0].last, 29);
    ASSERT_EQ(edited.notes().size(), 1u);
    EXPECT_NE(std::string(edited.notes()[0].text).find("cm outside the feet"), std::string::npos);
}

TEST_F(ClipOf, BadInputIsNamed) {
    shot::Poses poses = still(10);
    const aplomb_clip good = poses.clip();
    aplomb_clip clip = good;
    clip.frame_count = 0;
    EXPECT_NE(refusal(clip, APLOMB_BAD_ARGUMENT).find("clip.frame_count is 0"), std::string::npos);
    clip = good, clip.times = nullptr;
    EXPECT_NE(refusal(clip, APLOMB_BAD_ARGUMENT).find("clip.frame_time is 0"), std::string::npos);
    poses.times[4] = poses.times[3];
    EXPECT_NE(refusal(good, APLOMB_BAD_ARGUMENT).find("clip.times[4] is 0.125, not after"),
              std::string::npos);
    poses.times[4] = std::numeric_limits<double>::quiet_NaN();
    EXPECT_NE(refusal(good, APLOMB_BAD_ARGUMENT).find("clip.times[4] is nan"), std::string::npos);
    poses.times[4] = 4 / 24.;
    poses.rotations[7 * rotations.size() + 4] = std::numeric_limits<double>::quiet_NaN();
    EXPECT_EQ(refusal(good, APLOMB_BAD_POSE).find("frame 7: "), 0u);
    poses.rotations[7 * rotations.size() + 4] = 0;

    std::vector<aplomb_stance_range> stances = {{0, 0, 5, 0, 0}, {0, 5, 9, 0, 0}};
    clip = good, clip.stances = stances.data(), clip.stance_count = 2;
    EXPECT_NE(refusal(clip, APLOMB_BAD_ARGUMENT).find("clip.stances[1] (frames 5 to 9) overlaps"),
              std::string::npos);
    stances[1] = {0, 6, 10, 0, 0};
    EXPECT_NE(refusal(clip, APLOMB_BAD_ARGUMENT).find("from frame 6 to 10; the clip has frames 0 to 9"),
              std::string::npos);
    clip.stance_count = 0;
    EXPECT_NE(refusal(clip, APLOMB_NO_SUPPORT).find("In none of the clip's 10 frames anything bears"),
              std::string::npos);

    std::vector<aplomb_carry> carries = {carry_of(5, 0, 6, 3), carry_of(5, 6, 9, 3)};
    clip = good, clip.carries = carries.data(), clip.carry_count = 2;
    EXPECT_NE(refusal(clip, APLOMB_BAD_ARGUMENT).find("clip.carries[1] (frames 6 to 9) overlaps"),
              std::string::npos);
    carries[1].which = 1, carries[1].pick_up = -1;
    EXPECT_NE(refusal(clip, APLOMB_BAD_ARGUMENT).find("a ramp of -1 seconds"), std::string::npos);
    carries[1].pick_up = 0, carries[1].load.mass = -2;
    EXPECT_EQ(refusal(clip, APLOMB_BAD_ARGUMENT).find("frame "), 0u);
}

TEST_F(ClipOf, CancelHalfWayLeavesNothing) {
    const shot::Poses poses = still(5000);
    aplomb_clip_options options;
    aplomb_clip_options_init(&options, sizeof options);
    double seen = -1;
    options.progress_user = &seen;
    options.progress = [](double part, void* user) {
        double& last = *static_cast<double*>(user);
        EXPECT_GT(part, last);
        last = part;
        return static_cast<int32_t>(part > .5);
    };
    EXPECT_NE(refusal(poses.clip(), APLOMB_CANCELLED, &options).find("ended by the caller"),
              std::string::npos);
    EXPECT_GT(seen, .5);
    EXPECT_LT(seen, 1);
}

/// Every allocation refused in turn; what was taken is given back.
TEST_F(ClipOf, RefusedMemoryIsSaidAndNothingIsLost) {
    const shot::Poses poses = still(5);
    const aplomb_clip clip = poses.clip();
    struct Count {
        int left, held;
    };
    for (int allowed = 0;; ++allowed) {
        Count count{allowed, 0};
        const aplomb_allocator allocator{[](std::size_t size, std::size_t, void* user) -> void* {
                                             Count& c = *static_cast<Count*>(user);
                                             if (c.left-- <= 0) return nullptr;
                                             ++c.held;
                                             return std::aligned_alloc(64, (size + 63) / 64 * 64);
                                         },
                                         [](void* memory, std::size_t, void* user) {
                                             --static_cast<Count*>(user)->held;
                                             std::free(memory);
                                         },
                                         &count};
        aplomb_clip_reading* reading = nullptr;
        const aplomb_status status =
            aplomb_clip_read(figure.get(), &clip, nullptr, &allocator, &reading, nullptr);
        if (status == APLOMB_OK) {
            EXPECT_GE(allowed, 3);
            aplomb_clip_reading_destroy(reading);
            EXPECT_EQ(count.held, 0);
            break;
        }
        EXPECT_EQ(status, APLOMB_OUT_OF_MEMORY);
        EXPECT_EQ(reading, nullptr);
        EXPECT_EQ(count.held, 0);
    }
}

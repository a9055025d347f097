// SPDX-License-Identifier: MIT
// Flights that are made to fall freely.
#include "clip/correct/arc.h"
#include "poses.h"
#include "recorded_shot.h"
#include "room.h"
#include "walk.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <limits>
#include <string>

namespace {

using aplomb::Vec3;
using walk::Balanced;

constexpr double g = 9.80665;
const Vec3 down = {0, -g, 0};

/// The largest departure of the second difference of the centre of mass from gravity in some frames, m/s^2.
double off_free_fall(const aplomb_figure* figure, const shot::Poses& poses, const aplomb_clip& of, int first,
                     int last, double unit = 1, const Vec3& gravity = down) {
    aplomb_clip clip = of;
    clip.translations = poses.translations.data(), clip.rotations = poses.rotations.data();
    const auto frames = shot::read(figure, clip).frames();
    const auto centre = [&](int t) {
        const double* c = frames[static_cast<std::size_t>(t)].centre;
        return Vec3{c[0], c[1], c[2]} * unit;
    };
    double most = 0;
    for (int t = first; t <= last; ++t) {
        const auto k = static_cast<std::size_t>(t);
        const double before = poses.times[k] - poses.times[k - 1],
                     after = poses.times[k + 1] - poses.times[k];
        const Vec3 second = ((centre(t + 1) - centre(t)) / after - (centre(t) - centre(t - 1)) / before) *
                            (2 / (before + after));
        most = std::max(most, norm(second - gravity));
    }
    return most;
}

/// Stands, pushes off with an even force, is in the air, lands the same way, stands. `keyed` is the gravity that its keys
/// have in the air.
struct Jump {
    double fps = 24, speed = 2, keyed = 4.8, push = .25;
    int standing = 12; // frames before the push and after the landing
    double aslant = 0; // m/s forward in the air

    double flight() const { return 2 * speed / keyed; }
    /// Seconds since the feet leave, which is at a frame.
    double height(double t) const {
        const double back = flight() - t, rate = speed / push;
        if (t >= 0 && back >= 0) return speed * t - keyed * t * t / 2;
        const double s = std::max(std::min(t, back), -push);
        return speed * s + rate * s * s / 2;
    }
    int takes_off() const { return standing + static_cast<int>(std::lround(push * fps)); }
    int lands() const { return takes_off() + static_cast<int>(std::lround(flight() * fps)); }
    int count() const { return lands() + takes_off() + 1; }
};

class Flights : public testing::Test {
protected:
    shot::Poses made(const Jump& jump, const lay::Pose& pose) const {
        shot::Poses poses;
        for (int f = 0; f < jump.count(); ++f) {
            const double t = (f - jump.takes_off()) / jump.fps;
            std::vector<double> moved = pose.translations;
            moved[1] += jump.height(t);
            moved[2] += jump.aslant * std::clamp(t, 0., jump.flight());
            poses.add(f / jump.fps, moved, pose.rotations);
        }
        return poses;
    }
    shot::Poses made(const Jump& jump) const { return made(jump, lay::Pose(figure.get(), shape)); }
    /// Both feet until the last frame before the flight, and from the first after it.
    void stand(const Jump& jump) {
        stances.clear();
        for (int32_t limb = 0; limb < aplomb_figure_limb_count(figure.get()); ++limb) {
            aplomb_limb_info info;
            aplomb_limb_info_init(&info, sizeof info);
            aplomb_figure_limb(figure.get(), limb, &info, nullptr);
            if (info.kind != APLOMB_LEG) continue;
            stances.push_back({limb, 0, jump.takes_off(), APLOMB_FLAT, 0});
            stances.push_back({limb, jump.lands(), jump.count() - 1, APLOMB_FLAT, 0});
        }
    }
    aplomb_clip clip(const shot::Poses& poses) const {
        aplomb_clip clip = poses.clip();
        clip.stances = stances.data(), clip.stance_count = static_cast<int32_t>(stances.size());
        return clip;
    }
    aplomb_clip_balance_options asked(const Jump& jump) {
        range = {jump.takes_off() + 1, jump.lands() - 1};
        aplomb_clip_balance_options options = walk::usual();
        options.flights = 1, options.flight_ranges = &range, options.flight_range_count = 1;
        return options;
    }
    lay::LayFigure shape = lay::LayFigure::adult();
    lay::FigureHandle figure = shape.create();
    std::vector<aplomb_stance_range> stances;
    aplomb_flight_range range{};
};

} // namespace

/// From where the keys leave the ground to where they land; nothing else changes, bit for bit.
TEST_F(Flights, AFlatJumpFallsFreely) {
    const Jump jump;
    stand(jump);
    const shot::Poses keyed = made(jump);
    const Balanced out = walk::balance(figure.get(), keyed, clip(keyed), asked(jump));
    ASSERT_EQ(out.status, APLOMB_OK);
    ASSERT_EQ(out.arcs.size(), 1u);
    const aplomb_arc& arc = out.arcs[0];
    EXPECT_EQ(arc.first, range.first);
    EXPECT_EQ(arc.last, range.last);
    EXPECT_EQ(arc.given, 1);
    EXPECT_NEAR(arc.gravity, jump.keyed, 1e-6);
    EXPECT_LT(arc.slack, 1e-9);
    EXPECT_LT(off_free_fall(figure.get(), out.poses, clip(keyed), range.first, range.last), 1e-8);
    EXPECT_GT(off_free_fall(figure.get(), keyed, clip(keyed), range.first, range.last), 4);
    double highest = 0;
    const std::size_t numbers = 3 * static_cast<std::size_t>(shape.count());
    for (int t = 0; t < jump.count(); ++t) {
        const double s = (t - jump.takes_off()) / jump.fps;
        const bool flies = t >= range.first && t <= range.last;
        const double way = flies ? (g - jump.keyed) * s * (jump.flight() - s) / 2 : 0;
        highest = std::max(highest, way);
        const std::size_t f = static_cast<std::size_t>(t);
        EXPECT_NEAR(out.frames[f].controls.hips_shift[1], way, 1e-9) << t;
        for (std::size_t k = 0; k < numbers; ++k) {
            const double is = out.poses.translations[f * numbers + k],
                         was = keyed.translations[f * numbers + k];
            if (flies && k == 1)
                EXPECT_NEAR(is, was + way, 1e-12) << t;
            else if (flies && k < 3)
                EXPECT_NEAR(is, was, 1e-12) << t;
            else
                EXPECT_EQ(is, was) << t << " " << k;
        }
    }
    EXPECT_NEAR(arc.moved, highest, 1e-12);
    EXPECT_EQ(out.poses.rotations, keyed.rotations);
}

/// The speeds are those of the push: v before and -v after, in between half of g T less each.
TEST_F(Flights, TheJumpOfTheSpeedIsTold) {
    for (const double keyed_gravity : {5., 16.}) {
        Jump jump;
        jump.fps = 120, jump.keyed = keyed_gravity, jump.standing = 60;
        stand(jump);
        const shot::Poses keyed = made(jump);
        const Balanced out = walk::balance(figure.get(), keyed, clip(keyed), asked(jump));
        ASSERT_EQ(out.arcs.size(), 1u);
        const aplomb_arc& arc = out.arcs[0];
        const double jumps = g * jump.flight() / 2 - jump.speed;
        EXPECT_NEAR(arc.take_off[1], jumps, 1e-6);
        EXPECT_NEAR(arc.landing[1], jumps, 1e-6);
        EXPECT_NEAR(arc.take_off[2], 0, 1e-6);
        EXPECT_NEAR(arc.seconds, jump.flight(), 1e-12);
        EXPECT_NEAR(arc.fitting_seconds, 2 * jump.speed / g, 1e-6);
        // In that time it rises as high as v^2 = 2 g h says, which another way goes as fast up as down.
        const double height = g * arc.fitting_seconds * arc.fitting_seconds / 8;
        EXPECT_NEAR(jump.speed * jump.speed, 2 * g * height, 1e-5);
        const long frames = std::lround(arc.fitting_seconds * jump.fps) - 1;
        EXPECT_NE(std::string(arc.text).find(std::to_string(frames) + " frames in the air instead of"),
                  std::string::npos)
            << arc.text;
    }
}

/// In the time that fits, keys and arc are one: nothing moves, no speed jumps, and what is found is inside.
TEST_F(Flights, ARightJumpStays) {
    Jump jump;
    jump.fps = 120, jump.keyed = g, jump.speed = g * .5 / 2, jump.standing = 60;
    const shot::Poses keyed = made(jump);
    stand(jump);
    Balanced out = walk::balance(figure.get(), keyed, clip(keyed), asked(jump));
    ASSERT_EQ(out.arcs.size(), 1u);
    EXPECT_LT(out.arcs[0].moved, 1e-12);
    EXPECT_LT(norm(Vec3{out.arcs[0].take_off[0], out.arcs[0].take_off[1], out.arcs[0].take_off[2]}), 1e-6);
    EXPECT_NEAR(out.arcs[0].fitting_seconds, .5, 1e-6);
    EXPECT_NE(std::string(out.arcs[0].text).find("no speed jumps"), std::string::npos) << out.arcs[0].text;

    aplomb_clip_balance_options found = walk::usual();
    found.flights = 1;
    out = walk::balance(figure.get(), keyed, clip(keyed), found);
    ASSERT_EQ(out.arcs.size(), 1u);
    EXPECT_EQ(out.arcs[0].given, 0);
    EXPECT_GE(out.arcs[0].first, range.first);
    EXPECT_LE(out.arcs[0].last, range.last);
    EXPECT_GT(out.arcs[0].last - out.arcs[0].first, .8 * (range.last - range.first));
    EXPECT_LT(out.arcs[0].moved, 1e-9);
}

/// What is out of balance on the ground is balanced as ever, and the air is free of it.
TEST_F(Flights, TheAirIsFreeOfWhatBalancingDoes) {
    const Jump jump{.aslant = .4};
    stand(jump);
    lay::Pose pose(figure.get(), shape);
    const shot::Poses keyed = made(jump, pose.turn("spine_1", 0, 0, 30));
    const aplomb_clip_balance_options options = asked(jump);
    const Balanced out = walk::balance(figure.get(), keyed, clip(keyed), options),
                   plain = walk::balance(figure.get(), keyed, clip(keyed));
    ASSERT_FALSE(out.ranges.empty());
    EXPECT_TRUE(plain.arcs.empty());
    EXPECT_LT(off_free_fall(figure.get(), out.poses, clip(keyed), range.first, range.last), 1e-7);
    EXPECT_GT(off_free_fall(figure.get(), plain.poses, clip(keyed), range.first, range.last), 4);
}

/// The body and what it carries fall together.
TEST_F(Flights, ALoadFallsWithTheBody) {
    const Jump jump;
    stand(jump);
    lay::Pose pose(figure.get(), shape);
    shot::Poses keyed = made(jump, pose);
    const aplomb_clip_balance_options options = asked(jump);
    // The arm that holds it swings in the air.
    const std::size_t turns = pose.rotations.size();
    for (int t = range.first; t < jump.count(); ++t) {
        const double part = std::clamp((t - jump.takes_off()) / (24 * jump.flight()), 0., 1.);
        lay::Pose swung = pose;
        swung.turn("left_upper_arm", -80 * std::sin(3.14159265358979 * part), 0, 0);
        std::copy(swung.rotations.begin(), swung.rotations.end(),
                  keyed.rotations.begin() + static_cast<std::ptrdiff_t>(static_cast<std::size_t>(t) * turns));
    }
    aplomb_clip given = clip(keyed);
    aplomb_carry carry{};
    carry.load = aplomb_load_make(15, shape.find("left_hand"));
    carry.first = 0, carry.last = jump.count() - 1;
    carry.pick_up = carry.put_down = std::numeric_limits<double>::quiet_NaN();
    given.carries = &carry, given.carry_count = 1;
    const Balanced out = walk::balance(figure.get(), keyed, given, options);
    ASSERT_EQ(out.arcs.size(), 1u);
    EXPECT_LT(off_free_fall(figure.get(), out.poses, given, range.first, range.last), 1e-7);
}

/// As far as an amount is asked for: half the way, half the departure.
TEST_F(Flights, AnAmountIsAPartOfTheWay) {
    const Jump jump;
    stand(jump);
    const shot::Poses keyed = made(jump);
    const std::vector<double> half(static_cast<std::size_t>(jump.count()), .5);
    aplomb_clip_balance_options options = asked(jump);
    options.amounts = half.data();
    const Balanced out = walk::balance(figure.get(), keyed, clip(keyed), options);
    EXPECT_NEAR(out.arcs.at(0).slack, (g - jump.keyed) / 2, 1e-6);
    EXPECT_NEAR(off_free_fall(figure.get(), out.poses, clip(keyed), range.first, range.last),
                (g - jump.keyed) / 2, 1e-6);
}

/// Two seconds a hand's breadth over the ground would be a leap of five metres.
TEST_F(Flights, FurtherThanALegNoBodyIsMoved) {
    Jump jump;
    jump.speed = .4, jump.keyed = .4;
    stand(jump);
    const shot::Poses keyed = made(jump);
    const Balanced out = walk::balance(figure.get(), keyed, clip(keyed), asked(jump));
    aplomb_figure_info info;
    aplomb_figure_info_init(&info, sizeof info);
    aplomb_figure_describe(figure.get(), &info, nullptr);
    EXPECT_NEAR(out.arcs.at(0).moved, info.leg_length, 1e-9);
    EXPECT_GT(out.arcs.at(0).slack, 5);
    EXPECT_NE(std::string(out.arcs[0].text).find("short of it by up to"), std::string::npos)
        << out.arcs[0].text;
}

/// A hop that is keyed too high for its time, with toes that hang: down it goes until they would sink.
TEST_F(Flights, SolesDoNotSinkIntoTheGround) {
    Jump jump;
    jump.speed = 2, jump.keyed = 16;
    stand(jump);
    const lay::Pose stands(figure.get(), shape);
    shot::Poses keyed = made(jump);
    const std::size_t turns = stands.rotations.size();
    for (int t = jump.takes_off() + 1; t < jump.lands(); ++t) {
        lay::Pose hangs = stands;
        hangs.both("foot", 19);
        std::copy(hangs.rotations.begin(), hangs.rotations.end(),
                  keyed.rotations.begin() + static_cast<std::ptrdiff_t>(static_cast<std::size_t>(t) * turns));
    }
    const Balanced out = walk::balance(figure.get(), keyed, clip(keyed), asked(jump));
    const auto lowest = [&](const shot::Poses& poses, int t) {
        double least = std::numeric_limits<double>::infinity();
        const std::size_t joints = static_cast<std::size_t>(shape.count()), f = static_cast<std::size_t>(t);
        std::vector<double> world(16 * joints);
        aplomb_pose_to_matrices(figure.get(), &poses.translations[3 * joints * f],
                                &poses.rotations[4 * joints * f], world.data(), APLOMB_DOUBLE,
                                16 * sizeof(double), APLOMB_WORLD, nullptr);
        for (int32_t limb = 0; limb < aplomb_figure_limb_count(figure.get()); ++limb) {
            aplomb_limb_info info;
            aplomb_limb_info_init(&info, sizeof info);
            aplomb_figure_limb(figure.get(), limb, &info, nullptr);
            for (int k = 0; k < info.sole_point_count; ++k) {
                const double* m = &world[16 * static_cast<std::size_t>(info.sole_joint[k])];
                const double* p = info.sole_points[k];
                least = std::min(least, m[13] + m[1] * p[0] + m[5] * p[1] + m[9] * p[2]);
            }
        }
        return least;
    };
    const double ground = lowest(keyed, jump.takes_off());
    int kept = 0;
    for (int t = range.first; t <= range.last; ++t) {
        const double was = lowest(keyed, t) - ground, is = lowest(out.poses, t) - ground;
        std::printf("frame %d: %.1f cm over the ground, %.1f cm as keyed\n", t, 100 * is, 100 * was);
        EXPECT_GE(is, std::min(was, 0.) - 1e-9) << t;
        kept += was > 1e-6 && is < 1e-6;
    }
    EXPECT_GE(kept, 1);
    EXPECT_GT(out.arcs.at(0).slack, .1);
}

// ---- The arc by itself -----------------------------------------------------------------------------------------

namespace {

struct Path {
    std::vector<double> times, room;
    std::vector<Vec3> centres, ways;
    aplomb::Flying flying() const {
        return {static_cast<int>(times.size()) - 2,
                times.data(),
                centres.data(),
                room.data(),
                {0, 1, 0},
                down,
                10};
    }
    void find() {
        ways.resize(times.size());
        aplomb::ArcFinder finder;
        const auto memory =
            room::room_of([&](aplomb::Layout& layout) { finder.lay_out(layout, times.size()); });
        finder.find(flying(), ways.data());
    }
};

/// Held up on an uneven grid.
Path held_path(double room) {
    Path path;
    for (int k = 0; k < 14; ++k) {
        path.times.push_back(3 + k / 24. + (k % 3) * .01);
        path.centres.push_back({.3 * k, 1 + .02 * k * k, std::sin(k)});
        path.room.push_back(room);
    }
    return path;
}

} // namespace

TEST(Arcs, OnAnyGridTheSecondDifferenceIsGravity) {
    Path path = held_path(100);
    path.find();
    EXPECT_LT(slack_of(path.flying(), path.ways.data()), 1e-9);
    EXPECT_EQ(norm(path.ways.front()) + norm(path.ways.back()), 0);
    EXPECT_GT(slack_of(path.flying(), held_path(100).centres.data()), 1);
}

/// Least squares under a floor: where a frame is free of it, the push on it is none; where it lies on it, upwards.
TEST(Arcs, OnTheFloorWhatIsLeftIsLeast) {
    Path path = held_path(100), floored = held_path(100);
    for (Vec3& c : path.centres)
        c.y = 2 - c.y * .5;
    floored.centres = path.centres;
    path.find();
    double lowest = 0;
    for (const Vec3& way : path.ways)
        lowest = std::min(lowest, way.y);
    ASSERT_LT(lowest, -.02);
    floored.room.assign(floored.room.size(), -.5 * lowest);
    floored.find();
    const int n = static_cast<int>(floored.times.size());
    const auto left = [&](int i) { // of frame i's second difference
        if (i < 1 || i > n - 2) return 0.;
        const auto k = static_cast<std::size_t>(i);
        const auto off = [&](std::size_t j) { return floored.ways[j].y - path.ways[j].y; };
        const double h = floored.times[k] - floored.times[k - 1], s = floored.times[k + 1] - floored.times[k];
        return ((off(k + 1) - off(k)) / s - (off(k) - off(k - 1)) / h) * 2 / (h + s);
    };
    int on_floor = 0;
    for (int i = 1; i < n - 1; ++i) {
        const auto k = static_cast<std::size_t>(i);
        const double h = floored.times[k] - floored.times[k - 1], s = floored.times[k + 1] - floored.times[k];
        double push = -left(i) * 2 / (h * s);
        if (i > 1) push += left(i - 1) * 2 / (h * (floored.times[k] - floored.times[k - 2]));
        if (i + 2 < n) push += left(i + 1) * 2 / (s * (floored.times[k + 2] - floored.times[k]));
        EXPECT_GE(floored.ways[k].y, -floored.room[k] - 1e-15);
        if (floored.ways[k].y > -floored.room[k] + 1e-9) {
            EXPECT_NEAR(push, 0, 1e-3) << i;
        } else {
            ++on_floor;
            EXPECT_GT(push, 0) << i;
        }
    }
    EXPECT_GE(on_floor, 1);
    EXPECT_NEAR(floored.ways[3].x, path.ways[3].x, 1e-15);
}

TEST(Arcs, ASpeedAtAnEndIsThatOfTheParabola) {
    const std::array<double, 5> times = {1, 1.1, 1.15, 1.4, 1.5};
    std::array<Vec3, 5> places;
    for (std::size_t k = 0; k < 5; ++k)
        places[k] = {2 * times[k], 3 * times[k] * times[k], 1};
    Vec3 v;
    ASSERT_TRUE(aplomb::end_velocity(times.data(), places.data(), 5, true, v));
    EXPECT_LT(norm(v - Vec3{2, 9, 0}), 1e-9);
    ASSERT_TRUE(aplomb::end_velocity(times.data(), places.data(), 3, false, v));
    EXPECT_LT(norm(v - Vec3{2, 6, 0}), 1e-9);
    ASSERT_TRUE(aplomb::end_velocity(times.data(), places.data(), 2, false, v));
    EXPECT_LT(norm(v - Vec3{2, 6.3, 0}), 1e-9);
    EXPECT_FALSE(aplomb::end_velocity(times.data(), places.data(), 1, false, v));
    EXPECT_TRUE(std::isnan(aplomb::fitting_seconds(-1, 1, g)));
}

// ---- What there is ---------------------------------------------------------------------------------------------

/// Leaps of recorded people hardly change, and what is said of them is small.
TEST(RecordedFlights, LeapsOfPeopleStay) {
    if (made::reference_is_missing()) GTEST_SKIP();
    for (const char* const name : {"cmu_02_04", "cmu_13_11", "cmu_02_03"})
        for (const std::size_t step : {std::size_t{1}, std::size_t{5}}) {
            const recorded::Clip& of = recorded::clip(name);
            const recorded::Recording recording(of.file, of.metres_per_unit);
            const shot::Poses poses = poses_of(recording, of, step);
            aplomb_clip_balance_options options = walk::usual();
            options.flights = 1;
            const Balanced out = walk::balance(recording.figure(), poses, poses.clip(), options);
            const Vec3 gravity = down / of.metres_per_unit;
            const auto stances = shot::read(recording.figure(), poses.clip()).stances();
            aplomb_clip clip = poses.clip();
            clip.stances = stances.data(), clip.stance_count = static_cast<int32_t>(stances.size());
            for (const aplomb_arc& arc : out.arcs) {
                std::printf("%s: %s\n", name, arc.text);
                EXPECT_LT(arc.moved * of.metres_per_unit, .03) << name;
                EXPECT_LT(off_free_fall(recording.figure(), out.poses, clip, arc.first, arc.last, 1, gravity),
                          1e-5 / of.metres_per_unit)
                    << name;
            }
            if (std::string(name) != "cmu_02_03") {
                EXPECT_EQ(out.arcs.size(), 1u) << name;
            }
        }
}

/// Also a body whose feet its file hangs elsewhere goes along as a whole.
TEST(RecordedFlights, CharactersOfTheZooGoAlongAsAWhole) {
    if (made::reference_is_missing()) GTEST_SKIP();
    int flights = 0;
    for (const char* const file : {"zoo/knight_feet_apart.glb", "zoo/robot_feet_apart.glb", "zoo/frog.glb",
                                   "zoo/husky.glb", "zoo/big_head_mage.glb"}) {
        const recorded::Recording recording(file);
        const double unit = recording.info().metres_per_unit;
        for (int32_t clip = 0; clip < recording.clips(); ++clip) {
            if (recording.clip_name(clip).find("ump") == std::string::npos) continue;
            shot::Poses poses;
            for (const double seconds : recording.times(clip)) {
                const recorded::Pose pose = recording.pose(clip, seconds);
                poses.add(seconds, pose.translations, pose.rotations);
            }
            aplomb_clip given = poses.clip();
            aplomb_clip_reading* handle = nullptr;
            if (aplomb_clip_read(recording.figure(), &given, nullptr, nullptr, &handle, nullptr) != APLOMB_OK)
                continue;
            const shot::Reading reading{std::unique_ptr<aplomb_clip_reading, shot::Destroy>(handle)};
            int32_t found = 0;
            const aplomb_flight* flight = aplomb_clip_flights(reading.handle.get(), &found);
            std::vector<aplomb_flight_range> ranges;
            for (int32_t k = 0; k < found; ++k)
                ranges.push_back({flight[k].first, flight[k].last});
            if (ranges.empty()) continue;
            const auto stances = reading.stances();
            given.stances = stances.data(), given.stance_count = static_cast<int32_t>(stances.size());
            aplomb_clip_balance_options options = walk::usual();
            options.flights = 1, options.flight_ranges = ranges.data();
            options.flight_range_count = static_cast<int32_t>(ranges.size());
            const Balanced out = walk::balance(recording.figure(), poses, given, options);
            for (const aplomb_arc& arc : out.arcs) {
                ++flights;
                const double off =
                    off_free_fall(recording.figure(), out.poses, given, arc.first, arc.last, unit);
                std::printf("%s, %s: %s\n", file, recording.clip_name(clip).c_str(), arc.text);
                EXPECT_NEAR(off, arc.slack, 1e-4 + 1e-4 * arc.slack) << file;
            }
        }
    }
    EXPECT_GE(flights, 4);
}

// ---- Bad input -------------------------------------------------------------------------------------------------

TEST_F(Flights, BadRangesAreNamed) {
    const Jump jump;
    stand(jump);
    const shot::Poses keyed = made(jump);
    const aplomb_clip given = clip(keyed);
    const auto refusal = [&](const std::vector<aplomb_flight_range>& ranges, int32_t flights = 1) {
        aplomb_clip_balance_options options = walk::usual();
        options.flights = flights, options.flight_ranges = ranges.data();
        options.flight_range_count = static_cast<int32_t>(ranges.size());
        std::vector<double> translations = keyed.translations, rotations = keyed.rotations;
        aplomb_clip_balance_result* result = nullptr;
        aplomb_error error{};
        EXPECT_EQ(aplomb_clip_balance(figure.get(), &given, &options, nullptr, translations.data(),
                                      rotations.data(), &result, &error),
                  APLOMB_BAD_ARGUMENT);
        EXPECT_EQ(result, nullptr);
        EXPECT_EQ(translations, keyed.translations);
        return std::string(error.message);
    };
    const int first = jump.takes_off() + 1, last = jump.lands() - 1, end = jump.count() - 1;
    const auto number = [](int n) { return std::to_string(n); };
    EXPECT_NE(
        refusal({{first - 1, last}}).find("(frames " + number(first - 1) + " to " + number(last) + "): the "),
        std::string::npos);
    EXPECT_NE(refusal({{first - 1, last}}).find(" foot stands in frames 0 to " + number(first - 1)),
              std::string::npos);
    EXPECT_NE(refusal({{first, last}, {-1, last}}).find("options.flight_ranges[1] goes from frame -1"),
              std::string::npos);
    EXPECT_NE(refusal({{last, first}}).find("flight_ranges[0] goes from frame "), std::string::npos);
    EXPECT_NE(refusal({{first, end + 1}}).find("the clip has frames 0 to "), std::string::npos);
    EXPECT_NE(refusal({{first, end}}).find("a frame before it and one after it"), std::string::npos);
    EXPECT_NE(refusal({{0, last}}).find("a frame before it and one after it"), std::string::npos);
    EXPECT_NE(refusal({{first, first + 4}, {first + 4, last}}).find("overlaps options.flight_ranges[0]"),
              std::string::npos);
    EXPECT_NE(refusal({{first, last}}, 0).find("options.flights is 0"), std::string::npos);
}

namespace {

int32_t stop_at(double part, void* user) {
    return part >= *static_cast<double*>(user);
}

} // namespace

TEST_F(Flights, CancelAndMemoryLeaveTheKey) {
    const Jump jump;
    stand(jump);
    const shot::Poses keyed = made(jump);
    const aplomb_clip given = clip(keyed);
    for (double part : {0., .05, .5, .95, 1.}) {
        aplomb_clip_balance_options options = asked(jump);
        options.progress = stop_at, options.progress_user = &part;
        std::vector<double> translations = keyed.translations, rotations = keyed.rotations;
        EXPECT_EQ(aplomb_clip_balance(figure.get(), &given, &options, nullptr, translations.data(),
                                      rotations.data(), nullptr, nullptr),
                  APLOMB_CANCELLED)
            << part;
        EXPECT_EQ(translations, keyed.translations);
    }
    struct Meter {
        int left = 0, open = 0;
    };
    const auto allocate = [](std::size_t size, std::size_t, void* user) -> void* {
        Meter& meter = *static_cast<Meter*>(user);
        if (meter.left-- <= 0) return nullptr;
        ++meter.open;
        return std::malloc(size);
    };
    const auto release = [](void* memory, std::size_t, void* user) {
        --static_cast<Meter*>(user)->open;
        std::free(memory);
    };
    for (int calls = 0;; ++calls) {
        Meter meter{calls};
        const aplomb_allocator allocator = {allocate, release, &meter};
        const aplomb_clip_balance_options options = asked(jump);
        std::vector<double> translations = keyed.translations, rotations = keyed.rotations;
        aplomb_clip_balance_result* result = nullptr;
        const aplomb_status status =
            aplomb_clip_balance(figure.get(), &given, &options, &allocator, translations.data(),
                                rotations.data(), &result, nullptr);
        aplomb_clip_balance_result_destroy(result);
        EXPECT_EQ(meter.open, 0) << calls;
        if (status == APLOMB_OK) break;
        ASSERT_EQ(status, APLOMB_OUT_OF_MEMORY) << calls;
        EXPECT_EQ(translations, keyed.translations) << calls;
        ASSERT_LT(calls, 100);
    }
}

/// On twos: each pose once falls as gravity has it, and stays held; what is told goes by the clip's own frames.
TEST_F(Flights, HeldPosesFallAndStayHeld) {
    const Jump jump{.fps = 12};
    const shot::Poses sparse = made(jump);
    stand(jump);
    aplomb_clip_balance_options options = asked(jump);
    const Balanced once = walk::balance(figure.get(), sparse, clip(sparse), options);
    ASSERT_EQ(once.arcs.size(), 1u);
    EXPECT_LT(off_free_fall(figure.get(), once.poses, clip(sparse), once.arcs[0].first, once.arcs[0].last),
              1e-6);
    const std::size_t places = sparse.translations.size() / sparse.times.size(),
                      turns = sparse.rotations.size() / sparse.times.size();
    shot::Poses twos;
    for (std::size_t f = 0; f < 2 * sparse.times.size(); ++f) {
        const auto row = [&](const std::vector<double>& all, std::size_t size) {
            const auto first = all.begin() + static_cast<std::ptrdiff_t>(f / 2 * size);
            return std::vector<double>(first, first + static_cast<std::ptrdiff_t>(size));
        };
        twos.add(static_cast<double>(f) / 24, row(sparse.translations, places), row(sparse.rotations, turns));
    }
    for (aplomb_stance_range& stance : stances)
        stance.first *= 2, stance.last = 2 * stance.last + 1;
    range = {2 * range.first, 2 * range.last + 1};
    options.held = 1;
    const Balanced out = walk::balance(figure.get(), twos, clip(twos), options);
    EXPECT_EQ(out.status, APLOMB_OK);
    for (std::size_t f = 0; f < twos.times.size(); ++f)
        for (std::size_t i = 0; i < places; ++i)
            ASSERT_EQ(out.poses.translations[f * places + i], once.poses.translations[f / 2 * places + i])
                << f;
    ASSERT_EQ(out.arcs.size(), 1u);
    const aplomb_arc &arc = out.arcs[0], &bare = once.arcs[0];
    EXPECT_EQ(arc.first, range.first);
    EXPECT_EQ(arc.last, range.last);
    EXPECT_NEAR(arc.seconds, bare.seconds, 1e-12);
    EXPECT_NEAR(arc.fitting_seconds, bare.fitting_seconds, 1e-9);
    const std::string text = arc.text;
    EXPECT_EQ(text.rfind("Frames " + std::to_string(range.first) + " to " + std::to_string(range.last), 0),
              0u)
        << text;
    // Twice as many frames as there are poses.
    const auto frames = [](const std::string& said) {
        const std::size_t at = said.find("; ");
        return std::atoi(said.c_str() + at + 2);
    };
    EXPECT_NEAR(frames(text), 2 * frames(bare.text), 1) << text << "\n" << bare.text;

    // Found, too.
    options.flight_ranges = nullptr, options.flight_range_count = 0;
    const Jump real{.fps = 12, .keyed = 9.5};
    const shot::Poses falls = made(real);
    stand(real);
    const Balanced found = walk::balance(figure.get(), falls, clip(falls), options);
    EXPECT_EQ(found.arcs.size(), 1u);
}

/// A loop that begins in the air is the one that begins as it stands, frame for frame, on the spot and as it travels.
TEST_F(Flights, AFlightOverALoopsSeamFallsAsWellAsAnyOther) {
    for (const bool given : {true, false}) {
        const Jump jump{.keyed = given ? 6. : 9., .aslant = given ? .8 : 0};
        const double travel = jump.aslant * jump.flight();
        shot::Poses whole = made(jump);
        const int count = jump.count() - 1,
                  by = jump.takes_off() + jump.count() / 8; // the last frame is the first
        const std::size_t places = whole.translations.size() / whole.times.size(),
                          turns = whole.rotations.size() / whole.times.size();
        shot::Poses straight, turned;
        for (const int start : {0, by}) {
            shot::Poses& to = start == 0 ? straight : turned;
            for (int f = 0; f < count; ++f) {
                const auto from = static_cast<std::size_t>((f + start) % count);
                const auto row = [&](const std::vector<double>& all, std::size_t size) {
                    const auto first = all.begin() + static_cast<std::ptrdiff_t>(from * size);
                    return std::vector<double>(first, first + static_cast<std::ptrdiff_t>(size));
                };
                std::vector<double> moved = row(whole.translations, places);
                if (f + start >= count) moved[2] += travel;
                to.add(f / jump.fps, moved, row(whole.rotations, turns));
            }
        }
        stand(jump);
        for (aplomb_stance_range& stance : stances)
            stance.last = std::min(stance.last, count - 1);
        aplomb_clip_balance_options options = asked(jump);
        options.loop = 1;
        if (!given) options.flight_ranges = nullptr, options.flight_range_count = 0;
        const Balanced one = walk::balance(figure.get(), straight, clip(straight), options);
        ASSERT_EQ(one.arcs.size(), 1u);
        std::vector<aplomb_stance_range> over;
        for (const int32_t limb : {stances.front().limb, stances.back().limb})
            for (int f = 0; f < count; ++f) {
                const int at = (f + by) % count;
                const auto has = [&](const aplomb_stance_range& stance) {
                    return stance.limb == limb && stance.first <= at && at <= stance.last;
                };
                if (std::none_of(stances.begin(), stances.end(), has)) continue;
                if (!over.empty() && over.back().limb == limb && over.back().last + 1 == f)
                    over.back().last = f;
                else
                    over.push_back({limb, f, f, APLOMB_FLAT, 0});
            }
        stances = over;
        range = {(range.first - by + count) % count, (range.last - by + count) % count};
        EXPECT_GT(range.first, range.last);
        const Balanced other = walk::balance(figure.get(), turned, clip(turned), options);
        EXPECT_EQ(other.status, APLOMB_OK);
        ASSERT_EQ(other.arcs.size(), 1u);
        const aplomb_arc &a = one.arcs[0], &b = other.arcs[0];
        EXPECT_EQ(b.first, (a.first - by + count) % count);
        EXPECT_EQ(b.last, (a.last - by + count) % count);
        EXPECT_GT(a.moved, .01);
        EXPECT_NEAR(b.moved, a.moved, 1e-6);
        EXPECT_NEAR(b.take_off[1], a.take_off[1], 1e-6);
        EXPECT_NEAR(b.landing[1], a.landing[1], 1e-6);
        EXPECT_NEAR(b.fitting_seconds, a.fitting_seconds, 1e-6);
        double apart = 0;
        for (int f = 0; f < count; ++f)
            for (std::size_t i = 0; i < places; ++i) {
                const auto at = static_cast<std::size_t>(f),
                           from = static_cast<std::size_t>((f + by) % count);
                const double gone = i == 2 && f + by >= count ? travel : 0;
                apart = std::max(apart, std::fabs(other.poses.translations[at * places + i] - gone -
                                                  one.poses.translations[from * places + i]));
            }
        EXPECT_LT(apart, 1e-5);
        std::printf("over the seam: %s\n", b.text);
    }
}

TEST_F(Flights, WhatCannotFlyOverASeamIsRefused) {
    const Jump jump;
    shot::Poses poses = made(jump);
    const int count = jump.count();
    aplomb_clip_balance_options options = asked(jump);
    std::array<aplomb_flight_range, 2> ranges = {{{count - 3, 2}, {1, 1}}};
    options.flight_ranges = ranges.data();
    aplomb_error error{};
    const auto refused = [&] {
        const aplomb_clip given = poses.clip();
        EXPECT_EQ(aplomb_clip_balance(figure.get(), &given, &options, nullptr, poses.translations.data(),
                                      poses.rotations.data(), nullptr, &error),
                  APLOMB_BAD_ARGUMENT);
        return std::string(error.message);
    };
    const std::string last = std::to_string(count - 3);
    EXPECT_EQ(refused(), "options.flight_ranges[0] goes from frame " + last +
                             " to 2; the clip has frames 0 to " + std::to_string(count - 1) + ".");
    options.loop = 1;
    EXPECT_EQ(refused().rfind("options.flight_ranges[0] (frames " + last + " to 2): the left foot stands", 0),
              0u)
        << error.message;
    options.flight_range_count = 2;
    EXPECT_EQ(refused(), "options.flight_ranges[1] (frames 1 to 1) overlaps options.flight_ranges[0] (" +
                             last + " to 2).");
    // A body that nowhere stands.
    options.flight_range_count = 1, ranges[0] = {0, count - 2};
    const aplomb_stance_range stance = {0, count - 1, count - 1, APLOMB_FLAT, 0};
    aplomb_clip given = poses.clip();
    given.stances = &stance, given.stance_count = 1;
    EXPECT_EQ(aplomb_clip_balance(figure.get(), &given, &options, nullptr, poses.translations.data(),
                                  poses.rotations.data(), nullptr, &error),
              APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.message,
                 "options.flight_ranges leave no two frames of the loop, one after the other, in "
                 "which it does not fly.");
}

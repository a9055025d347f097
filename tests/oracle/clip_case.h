// SPDX-License-Identifier: MIT
// Short random clips by seed, and the library's answer to one with all that it was made from.
#pragma once

#include "balance/carries.h"
#include "balance/corpus.h"
#include "clip/correct/asking.h"
#include "clip/correct/interior.h"
#include "clip/room.h"
#include "clip/walk.h"
#include "pose/options.h"

namespace clip_oracle {

struct Case {
    std::string name;
    size_t figure = 0; // of the company
    walk::Walk shot;
    std::vector<aplomb_carry> carries;
    aplomb_options correction = own::default_options();
    aplomb_clip_balance_options options = walk::usual();
    aplomb_clip clip() const {
        aplomb_clip clip = shot.clip();
        clip.carries = carries.data(), clip.carry_count = static_cast<int32_t>(carries.size());
        return clip;
    }
};

/// Frames of a walk from one of them on.
inline walk::Walk window(const walk::Walk& of, const aplomb_figure* figure, int first, int count) {
    const size_t joints = static_cast<size_t>(aplomb_figure_joint_count(figure)),
                 from = static_cast<size_t>(first), frames = static_cast<size_t>(count);
    const auto part = [&](const std::vector<double>& all, size_t width) {
        const auto at = all.begin() + static_cast<std::ptrdiff_t>(from * width);
        return std::vector<double>(at, at + static_cast<std::ptrdiff_t>(frames * width));
    };
    walk::Walk out;
    out.poses = {part(of.poses.times, 1), part(of.poses.translations, 3 * joints),
                 part(of.poses.rotations, 4 * joints)};
    for (aplomb_stance_range range : of.stances) {
        range.first = std::max(range.first - first, 0), range.last = std::min(range.last - first, count - 1);
        if (range.first <= range.last) out.stances.push_back(range);
    }
    return out;
}

/// Both feet stay; hips and trunk go to and fro, from pose to pose.
inline walk::Walk standing(const own::Character& c, own::Dice& dice, int frames, double seconds) {
    const double leg = c.bones.info.leg_length, phase = dice.between(0, 6.3);
    const double aside = dice.within(.05) * leg, fore = dice.within(.05) * leg,
                 low = dice.between(.04, .1) * leg;
    const double bend = dice.within(12), twist = dice.within(10), lean = dice.within(8),
                 reach = dice.within(30);
    walk::Walk out;
    for (int t = 0; t < frames; ++t) {
        const double u = seconds * t / (frames - 1), wave = std::sin(phase + 1.5 * u),
                     other = std::cos(phase + u);
        lay::Pose pose = c.rest_pose();
        pose.move(aside * wave, -low, fore * other);
        pose.turn("hips", .3 * bend * wave, .3 * twist * other, .2 * lean * wave);
        for (const char* joint : {"spine_1", "spine_2", "spine_3"})
            pose.turn(joint, bend * wave / 3, twist * other / 3, lean * other / 3);
        pose.both("upper_arm", -20 + reach * other);
        pose.both("lower_arm", -50);
        for (const char* side : {"left", "right"})
            pose.stand_on(side, [&] {
                const lay::Point a = c.shape.position(c.find(std::string(side) + "_foot"));
                return aplomb::Vec3{a.x, a.y, a.z};
            }());
        out.poses.add(u, pose.translations, pose.rotations);
    }
    for (const char* side : {"left_foot", "right_foot"})
        out.stances.push_back({c.limb(side), 0, frames - 1, APLOMB_FLAT, 0});
    return out;
}

inline aplomb_carry carried(const aplomb_load& load, int frames) {
    return {load, 0, 0, frames - 1, 0, 0.0, 0.0};
}
inline aplomb_carry pack(const own::Character& c, own::Dice& dice, int frames) {
    const double leg = c.bones.info.leg_length, part = dice.between(.05, .35), left = dice.within(.15) * leg;
    return carried(own::load_on(c, "spine_3", part, left, 0, dice.within(.3) * leg), frames);
}
inline aplomb_carry bucket(const own::Character& c, own::Dice& dice, int frames) {
    const double part = dice.between(.03, .25);
    return carried(own::bucket(c, dice.chance(.5) ? "left_hand" : "right_hand", part), frames);
}
inline aplomb_carry box(const own::Character& c, own::Dice& dice, int frames) {
    aplomb_load load;
    if (aplomb_load_at(c.figure.get(), dice.between(.05, .35) * c.bones.body_mass(), "hands", &load, nullptr))
        throw std::runtime_error("nothing to hold with");
    return carried(load, frames);
}

inline std::string described(const Case& c, bool walks, const char* what) {
    char name[120];
    std::snprintf(name, sizeof name, "%s %s, %s, heft %g, flow %g, acceleration %g",
                  c.figure == 0 ? "adult" : "toddler", walks ? "walks" : "stands", what, c.correction.heft,
                  c.options.flow, c.options.key_acceleration);
    return name;
}

/// Half of the cases walk, half stand; two in three carry something. 20 frames.
inline Case make_clip(const own::Company& company, uint64_t seed) {
    constexpr int frames = 20;
    own::Dice dice(seed);
    Case out;
    out.figure = dice.chance(.7) ? 0 : 1;
    const own::Character& c = company[out.figure];
    const bool walks = dice.chance(.5);
    if (walks) {
        const double scale = c.bones.info.leg_length / company[0].bones.info.leg_length;
        walk::Plan plan;
        plan.frames = static_cast<double>(8 + dice.next() % 17);
        plan.steps = 4;
        plan.step = scale * dice.between(.2, .45), plan.both = dice.between(.1, .3);
        plan.lowered = scale * dice.between(.08, .12), plan.ahead = scale * dice.between(0, .07);
        plan.lift = scale * .1, plan.turn = dice.chance(.3) ? dice.within(.3) : 0;
        const walk::Walk all = walk::make(c.figure.get(), c.shape, plan);
        const int room = static_cast<int>(all.poses.times.size()) - frames;
        out.shot = window(all, c.figure.get(),
                          static_cast<int>(dice.next() % static_cast<unsigned>(room + 1)), frames);
    } else {
        out.shot = standing(c, dice, frames, dice.between(.8, 2.5));
    }
    const int what = static_cast<int>(dice.next() % 3);
    if (what == 1) out.carries = {pack(c, dice, frames)};
    if (what == 2) out.carries = {walks ? bucket(c, dice, frames) : box(c, dice, frames)};
    out.correction.heft = dice.one_of({0.0, 0.0, 1.0, 1.0, 0.5});
    out.options.flow = dice.one_of({1.0, 1.0, .5, 0.0});
    out.options.key_acceleration = dice.one_of({1.0, 1.0, .5, 0.0});
    out.options.whole = 1;
    out.name = described(out, walks, what == 0 ? "no load" : what == 1 ? "pack" : walks ? "bucket" : "box");
    return out;
}

/// A figure that stands and sways for long with a load, its frames tied by nothing but the cost of motion.
inline Case make_quasi_static(const own::Company& company, uint64_t seed) {
    constexpr int frames = 200;
    own::Dice dice(seed);
    Case out;
    const own::Character& c = company[0];
    out.shot = standing(c, dice, frames, dice.between(8, 12));
    const bool boxed = dice.chance(.5);
    out.carries = {boxed ? box(c, dice, frames) : pack(c, dice, frames)};
    out.correction.heft = dice.one_of({0.0, 1.0});
    out.options.flow = out.options.key_acceleration = 0;
    out.options.whole = 1;
    out.name = described(out, false, boxed ? "box" : "pack");
    return out;
}

/// The library's inside, as aplomb_clip_balance sets it up for a whole clip.
class Solved final : public aplomb::Ticker {
public:
    Solved(const aplomb_figure* figure, const Case& given)
        : figure_(*figure), given_(given), clip_(given.clip()), correction_(given.correction),
          reading_(shot::read(figure, clip_)), times_(static_cast<size_t>(clip_.frame_count)),
          asking(*figure, shot_, given_.options, correction_) {
        correction_.struct_size = sizeof correction_;
        shot_.begin(*figure, clip_);
        shot_.times = times_.data();
        shot_.fill_times();
        asking_room_ = room::room_of([&](aplomb::Layout& layout) { asking.lay_out(layout); });
        asking.set_up(*reading_.handle);
        aplomb_error error{};
        if (asking.find_motion(&error) || asking.find_needs(&error)) throw std::runtime_error(error.message);
        range_room_ = room::room_of([&](aplomb::Layout& layout) {
            range.lay_out(layout, *figure, count(), asking.is_ring(), false, aplomb::Tasks{});
            interior_.lay_out(layout, *figure, range, asking.is_ring());
        });
        if (asking.bring({0, count() - 1}, correction_, range, &error))
            throw std::runtime_error(error.message);
    }
    aplomb::Proof run() { return interior_.run(range, 1e-4, 150, {1, 0.1}, *this); }
    bool goes_on() override { return true; }

    int count() const { return clip_.frame_count; }
    const aplomb_figure& figure() const { return figure_; }
    const aplomb_options& correction() const { return correction_; }
    const aplomb_clip_balance_options& options() const { return given_.options; }
    const std::vector<double>& times() const { return times_; }

private:
    const aplomb_figure& figure_;
    const Case& given_;
    aplomb_clip clip_;
    aplomb_options correction_;
    shot::Reading reading_;
    aplomb::Shot shot_;
    std::vector<double> times_;
    std::vector<std::max_align_t> asking_room_, range_room_;
    aplomb::Interior interior_;

public:
    aplomb::Asking asking;
    aplomb::Range range;
};

} // namespace clip_oracle

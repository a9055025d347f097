// SPDX-License-Identifier: MIT
// Walks as a beginner keys them: hips in the middle at one height and one speed, feet flat. Stances are given, so that
// one walk has the same ones on every grid.
#pragma once

#include "aplomb/clip.h"
#include "poses.h"
#include "shot.h"

#include <cmath>
#include <vector>

namespace walk {

struct Plan {
    double frames = 14; // a step, at 24 a second
    double step = .42;  // metres
    int steps = 8;
    double both = .15; // part of a step with both feet down
    double fps = 24;
    double begun = 0;      // frames at 24 a second that the walk is under way at the first frame
    bool in_place = false; // a belt runs under it
    bool mirrored = false;
    double lowered = .08;
    double ahead = .04; // hips over the middle of the soles, not over the ankles
    double lift = .10;
    double turn = 0; // to the left with each step, radians
};

struct Walk {
    shot::Poses poses;
    std::vector<aplomb_stance_range> stances;
    std::vector<double> passing,
        contact;               // times: standing on one foot with the other passing; both feet apart
    std::vector<int> standing; // of each passing: 0 left, 1 right foot
    aplomb_clip clip() const {
        aplomb_clip clip = poses.clip();
        clip.stances = stances.data();
        clip.stance_count = static_cast<int32_t>(stances.size());
        return clip;
    }
};

inline int leg_of(const aplomb_figure* figure, aplomb_side side) {
    for (int32_t limb = 0; limb < aplomb_figure_limb_count(figure); ++limb) {
        aplomb_limb_info info;
        aplomb_limb_info_init(&info, sizeof info);
        aplomb_figure_limb(figure, limb, &info, nullptr);
        if (info.kind == APLOMB_LEG && info.side == side) return limb;
    }
    return -1;
}

/// Where a foot is at a time in steps: it stands for 1 + both steps, swings for 1 - both. Foot 0 is set down at steps 0,
/// 2, 4 ...
struct FootAt {
    bool stands;
    double along, up;
};
inline FootAt foot_at(const Plan& plan, int foot, double steps) {
    const double cycle = std::floor((steps - foot) / 2 + 1e-9), within = steps - foot - 2 * cycle;
    const double from = (2 * cycle + foot) * plan.step;
    const double stand = 1 + plan.both;
    if (within <= stand + 1e-9) return {true, from, 0};
    const double u = (within - stand) / (2 - stand), s = u * u * (3 - 2 * u);
    return {false, from + 2 * plan.step * s,
            plan.lift * std::sin(3.14159265358979 * u) * std::sin(3.14159265358979 * u)};
}

/// A place beside the path, which is an arc, and the heading there.
struct OnPath {
    aplomb::Vec3 place;
    aplomb::Quat heading;
};
inline OnPath on_path(const Plan& plan, double along, const aplomb::Vec3& beside) {
    if (plan.turn == 0) return {beside + aplomb::Vec3{0, 0, along}, {}};
    const double angle = plan.turn * along / plan.step, radius = plan.step / plan.turn;
    const aplomb::Quat heading = aplomb::exp_rotation({0, angle, 0});
    return {aplomb::Vec3{radius * (1 - std::cos(angle)), 0, radius * std::sin(angle)} +
                rotate(heading, beside),
            heading};
}

/// The walk starts and ends in motion. Hips are midway between the feet in the middle of the time that both stand.
inline Walk make(const aplomb_figure* figure, const lay::LayFigure& shape, const Plan& plan) {
    Walk walk;
    const double step_time = plan.frames / 24;
    const int count =
        static_cast<int>(std::lround(plan.steps * step_time * plan.fps)) + (plan.in_place ? 0 : 1);
    bool stood[2] = {};
    for (int f = 0; f < count; ++f) {
        const double time = f / plan.fps, steps = (time + plan.begun / 24) / step_time;
        const double along = (steps - .5 - plan.both / 2) * plan.step;
        lay::Pose pose(figure, shape);
        const OnPath hips = on_path(plan, plan.ahead + (plan.in_place ? 0 : along), {});
        pose.move(hips.place.x, -plan.lowered, hips.place.z);
        pose.set("hips", hips.heading * pose.get("hips"));
        for (int foot = 0; foot < 2; ++foot) {
            const bool left = (foot == 0) != plan.mirrored;
            const lay::Point rest = shape.position(shape.find(left ? "left_foot" : "right_foot"));
            const FootAt at = foot_at(plan, foot, steps);
            const std::string side = left ? "left" : "right";
            const OnPath print =
                on_path(plan, at.along - (plan.in_place ? along : 0), {rest.x, rest.y + at.up, rest.z});
            pose.stand_on(side, print.place);
            pose.set(side + "_foot", pose.get(side + "_foot") * print.heading);
            const int limb = leg_of(figure, left ? APLOMB_SIDE_LEFT : APLOMB_SIDE_RIGHT);
            if (at.stands && !stood[foot]) walk.stances.push_back({limb, f, f, APLOMB_FLAT, 0});
            if (at.stands)
                for (auto& range : walk.stances)
                    if (range.limb == limb && range.last == f - 1) range.last = f;
            stood[foot] = at.stands;
        }
        walk.poses.add(time, pose.translations, pose.rotations);
    }
    for (int k = 0; k <= plan.steps; ++k) {
        walk.contact.push_back((k + plan.both / 2) * step_time);
        if (k == plan.steps) break;
        // In step k the foot that was set down at its start stands; the other passes it in the middle.
        walk.passing.push_back((k + .5 + plan.both / 2) * step_time);
        walk.standing.push_back(k % 2);
    }
    return walk;
}

struct DestroyResult {
    void operator()(aplomb_clip_balance_result* result) const { aplomb_clip_balance_result_destroy(result); }
};

struct Balanced {
    aplomb_status status = APLOMB_OK;
    shot::Poses poses;
    std::vector<aplomb_clip_balanced> frames;
    std::vector<aplomb_clip_range> ranges;
    std::vector<aplomb_arc> arcs;
};

inline aplomb_clip_balance_options usual() {
    aplomb_clip_balance_options options;
    aplomb_clip_balance_options_init(&options, sizeof options);
    return options;
}

inline Balanced balance(const aplomb_figure* figure, const shot::Poses& poses, const aplomb_clip& clip,
                        const aplomb_clip_balance_options& options = usual()) {
    Balanced out;
    out.poses = poses;
    aplomb_clip_balance_result* result = nullptr;
    aplomb_error error{};
    out.status = aplomb_clip_balance(figure, &clip, &options, nullptr, out.poses.translations.data(),
                                     out.poses.rotations.data(), &result, &error);
    EXPECT_GE(out.status, 0) << error.message;
    int32_t count = 0;
    const aplomb_clip_balanced* frames = aplomb_clip_balanced_frames(result, &count);
    out.frames.assign(frames, frames + count);
    const aplomb_clip_range* ranges = aplomb_clip_ranges(result, &count);
    out.ranges.assign(ranges, ranges + count);
    const aplomb_arc* arcs = aplomb_clip_arcs(result, &count);
    out.arcs.assign(arcs, arcs + count);
    aplomb_clip_balance_result_destroy(result);
    return out;
}

} // namespace walk

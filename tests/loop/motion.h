// SPDX-License-Identifier: MIT
// Motions for the loop: recorded ones where they are at hand, and a walk as one keys it by hand.
#pragma once

#include <cmath>
#include <string>
#include <vector>

#include "poses.h"
#include "recorded/recording.h"

namespace motion {

using aplomb::Vec3;

struct Frame {
    std::vector<double> translations, rotations;
};

/// Frames at even times.
struct Motion {
    std::string name;
    const aplomb_figure* figure = nullptr;
    double seconds = 1.0 / 60; // between frames
    std::vector<Frame> frames;
    double unit = 1; // metres

    Vec3 place(size_t frame, int32_t joint = -1) const { // world, metres; default: the hips
        aplomb_figure_info info;
        aplomb_figure_info_init(&info, sizeof info);
        aplomb_figure_describe(figure, &info, nullptr);
        return place_in(frames[frame], joint < 0 ? info.hips : joint);
    }
    Vec3 place_in(const Frame& f, int32_t joint) const {
        aplomb::Quat turn;
        return placed(f, joint, turn) * unit;
    }
    Vec3 placed(const Frame& f, int32_t joint, aplomb::Quat& turn) const {
        const size_t j = static_cast<size_t>(joint);
        const double *t = &f.translations[3 * j], *q = &f.rotations[4 * j];
        const Vec3 own{t[0], t[1], t[2]};
        const aplomb::Quat rotation{q[0], q[1], q[2], q[3]};
        aplomb_joint_info info;
        aplomb_joint_info_init(&info, sizeof info);
        aplomb_figure_joint(figure, joint, &info, nullptr);
        if (info.parent < 0) {
            turn = rotation;
            return own;
        }
        aplomb::Quat above;
        const Vec3 from = placed(f, info.parent, above);
        turn = above * rotation;
        return from + aplomb::rotate(above, own);
    }
};

inline Motion recorded_motion(const recorded::Recording& recording, const recorded::Clip& clip,
                              double rate = 60) {
    Motion m;
    m.name = clip.file;
    m.figure = recording.figure();
    m.unit = clip.metres_per_unit;
    m.seconds = 1 / rate;
    const std::vector<double> times = recording.times();
    for (double t = times[clip.first]; t <= times.back(); t += m.seconds) {
        const recorded::Pose pose = recording.pose(0, t);
        m.frames.push_back({pose.translations, pose.rotations});
    }
    return m;
}

/// Steps of 0.42 m of a grown lay figure, hips in the middle: what one keys without thinking of weight. The foot that
/// swings is on the ground for a sixth of a step more at either end.
struct KeyedWalk {
    double step_frames = 14, rate = 24, step_length = 0.42, half_width = 0.08;

    double step_seconds() const { return step_frames / rate; }
    /// Foot `side` (0 left, 1 right) at `time`: along and height.
    void foot(int side, double time, double& along, double& height) const {
        const double phase = time / step_seconds() + side;                    // a step each
        const double stride = std::floor(phase / 2), in = phase - 2 * stride; // 0 to 2
        const double from = 2 * stride - side - 0.5, swing = 1 - 2.0 / 12;
        // Down until 1 + 1/12, then over to the next place.
        const double start = 1 + 1.0 / 12, part = std::fmin(1, std::fmax(0, (in - start) / swing));
        const double smooth = part * part * (3 - 2 * part);
        along = (from + 1 + 2 * smooth) * step_length;
        height = 0.09 * std::sin(part * aplomb::pi) * std::sin(part * aplomb::pi);
    }
    bool bears(int side, double time) const {
        const double phase = time / step_seconds() + side, in = phase - 2 * std::floor(phase / 2);
        const double start = 1 + 1.0 / 12;
        return in <= start || in >= start + (1 - 2.0 / 12);
    }
    lay::Pose pose(const aplomb_figure* figure, const lay::LayFigure& shape, double time) const {
        lay::Pose pose(figure, shape);
        const lay::Point rest[2] = {shape.position(shape.find("left_foot")),
                                    shape.position(shape.find("right_foot"))};
        const double along = step_length * time / step_seconds();
        pose.move(0, -0.05, along - 0.5 * (rest[0].z + rest[1].z) + rest[0].z);
        for (int side = 0; side < 2; ++side) {
            double at = 0, height = 0;
            foot(side, time, at, height);
            pose.stand_on(side == 0 ? "left" : "right",
                          {side == 0 ? half_width : -half_width, rest[side].y + height, at + rest[side].z});
        }
        return pose;
    }
};

} // namespace motion

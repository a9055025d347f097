// SPDX-License-Identifier: MIT
#include "clip/track.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <limits>

#include "capi/handles.h"
#include "figure/frame.h"

namespace aplomb {
namespace {

/// A heel that rises turns about the ball line: points of its part near that line stay down, and do not tell that it rises.
void choose_points(const aplomb_figure& figure, const Sole& sole, bool* tells) {
    const auto forward = [&](const Sole::Point& point) {
        const Joint& joint = figure.joints[point.joint];
        return (joint.neutral_position + rotate(joint.neutral, point.position)).z;
    };
    double back = std::numeric_limits<double>::infinity(), line = -back;
    for (int k = 0; k < sole.point_count; ++k) {
        if (sole.points[k].ball) continue;
        back = std::min(back, forward(sole.points[k]));
        line = std::max(line, forward(sole.points[k]));
    }
    for (int k = 0; k < sole.point_count; ++k)
        tells[k] = sole.points[k].ball || forward(sole.points[k]) <= (back + line) / 2;
}

} // namespace

void Shot::begin(const aplomb_figure& whose, const aplomb_clip& clip) {
    constexpr double standard_gravity = 9.80665; // ISO 80000-3
    given = clip;
    figure = &whose;
    count = clip.frame_count;
    unit = whose.frame.metres_per_unit;
    const Vec3 given_up{clip.ground_normal[0], clip.ground_normal[1], clip.ground_normal[2]};
    const Vec3 figure_up = direction_out(whose.frame, {0, 1, 0});
    up = normalized(norm(given_up) > 0 ? given_up : figure_up);
    gravity = {clip.gravity[0], clip.gravity[1], clip.gravity[2]};
    if (!(norm(gravity) > 0)) gravity = figure_up * -standard_gravity;
    ground_velocity = Vec3{clip.ground_velocity[0], clip.ground_velocity[1], clip.ground_velocity[2]} * unit;
    leg = whose.leg_length;
    walk_speed = std::sqrt(norm(gravity) * leg);
    body_mass = whose.total_mass;
}

void Shot::fill_times() {
    for (int f = 0; f < count; ++f)
        times[f] = given.times ? given.times[f] : f * given.frame_time;
}

size_t Shot::stride(size_t wished, size_t numbers) const {
    return wished > 0 ? wished : numbers * number_size() * static_cast<size_t>(figure->joint_count);
}
const void* Shot::translations(int frame) const {
    return static_cast<const unsigned char*>(given.translations) +
           static_cast<size_t>(frame) * translations_stride();
}
const void* Shot::rotations(int frame) const {
    return static_cast<const unsigned char*>(given.rotations) +
           static_cast<size_t>(frame) * rotations_stride();
}

void Shot::put_out(int frame, const void* places, const void* turns, void* translations,
                   void* rotations) const {
    const size_t row = static_cast<size_t>(frame),
                 pose = static_cast<size_t>(figure->joint_count) * number_size();
    std::memmove(static_cast<unsigned char*>(translations) + row * translations_stride(), places, 3 * pose);
    std::memmove(static_cast<unsigned char*>(rotations) + row * rotations_stride(), turns, 4 * pose);
}

Mat3 turn_of(const double* m) {
    return Mat3::from_columns({m[0], m[1], m[2]}, {m[4], m[5], m[6]}, {m[8], m[9], m[10]});
}

int some_foot(const Figure& figure) {
    for (int limb = 0; limb < figure.limb_count; ++limb)
        if (figure.limbs[limb].sole.point_count > 0) return limb;
    return -1;
}

aplomb_status at_frame(aplomb_status status, int frame, aplomb_error* error) {
    if (!error) return status;
    char text[sizeof error->message];
    std::snprintf(text, sizeof text, "frame %d: %.400s", frame, error->message);
    std::memcpy(error->message, text, sizeof text);
    return status;
}

void Track::lay_out(Layout& layout, const aplomb_figure& figure, size_t frames) {
    for (int limb = 0; limb < figure.limb_count; ++limb) {
        const Sole& sole = figure.limbs[limb].sole;
        give[limb] = layout.take<double>(frames);
        for (int p = 0; p < 2; ++p) {
            PartTrack& to = part[2 * limb + p];
            for (int k = 0; k < sole.point_count; ++k)
                to.exists = to.exists || sole.points[k].ball == (p == ball_part);
            if (!to.exists) continue;
            to.place = layout.take<Vec3>(frames);
            to.height = layout.take<double>(frames);
        }
    }
    centre = layout.take<Vec3>(frames);
    momentum = layout.take<Vec3>(frames);
}

void Tracker::lay_out(Layout& layout, const aplomb_figure& figure) {
    const size_t joints = static_cast<size_t>(figure.joint_count);
    mass_ = layout.take<Mass>(joints);
    now_ = layout.take<Placed>(joints);
    before_ = layout.take<Placed>(joints);
    translations_ = layout.take<double>(3 * joints);
    rotations_ = layout.take<double>(4 * joints);
    worlds_ = layout.take<double>(16 * joints);
}

void Tracker::set_up(const aplomb_figure& figure, double unit) {
    joints_ = figure.joint_count;
    unit_ = unit;
    masses_ = 0, total_ = 0;
    for (int j = 0; j < joints_; ++j) {
        aplomb_joint_info info;
        aplomb_joint_info_init(&info, sizeof info);
        aplomb_figure_joint(&figure, j, &info, nullptr);
        if (!(info.mass > 0)) continue;
        const double* i = info.inertia;
        const Mat3 inertia = {{{i[0], i[3], i[4]}, {i[3], i[1], i[5]}, {i[4], i[5], i[2]}}};
        mass_[masses_++] = {j, info.mass, {info.centre[0], info.centre[1], info.centre[2]}, inertia};
        total_ += info.mass;
    }
    for (int limb = 0; limb < figure.limb_count; ++limb)
        choose_points(figure, figure.limbs[limb].sole, touches_[limb]);
}

aplomb_status Tracker::place(const Shot& shot, int frame, aplomb_error* error) {
    const size_t joints = static_cast<size_t>(joints_);
    const auto read = [&](const void* from, double* to, size_t numbers) {
        if (shot.given.floats)
            std::copy_n(static_cast<const float*>(from), numbers, to);
        else
            std::copy_n(static_cast<const double*>(from), numbers, to);
    };
    read(shot.translations(frame), translations_, 3 * joints);
    read(shot.rotations(frame), rotations_, 4 * joints);
    if (const auto s = aplomb_pose_to_matrices(shot.figure, translations_, rotations_, worlds_, APLOMB_DOUBLE,
                                               16 * sizeof(double), APLOMB_WORLD, error))
        return at_frame(s, shot.given.first_number + frame, error);
    std::swap(now_, before_);
    Vec3 sum;
    for (int k = 0; k < masses_; ++k) {
        const double* m = worlds_ + 16 * static_cast<size_t>(mass_[k].joint);
        now_[k].turn = turn_of(m);
        now_[k].centre = (Vec3{m[12], m[13], m[14]} + now_[k].turn * mass_[k].local) * unit_;
        sum += now_[k].centre * mass_[k].mass;
    }
    centre_ = sum / total_;
    return APLOMB_OK;
}

aplomb_status Tracker::run(const Shot& shot, int first, int last, Track& track, aplomb_error* error) {
    // The frame before belongs to another task, but the change from it to our first frame is ours.
    for (int frame = std::max(first - 1, 0); frame <= last; ++frame) {
        const Vec3 centre_before = centre_;
        if (const auto s = place(shot, frame, error)) return s;
        if (frame >= first && frame > 0) {
            const double step = shot.times[frame] - shot.times[frame - 1];
            Vec3 sum;
            for (int k = 0; k < masses_; ++k) {
                const Placed &a = before_[k], &b = now_[k];
                const Vec3 from = ((a.centre - centre_before) + (b.centre - centre_)) * 0.5;
                const Vec3 moved = (b.centre - a.centre) - (centre_ - centre_before);
                sum += cross(from, moved) * mass_[k].mass;
                const Mat3 turned = b.turn * transpose(a.turn);
                const Vec3 about = Vec3{turned.row[2].y - turned.row[1].z, turned.row[0].z - turned.row[2].x,
                                        turned.row[1].x - turned.row[0].y} *
                                   0.5;
                sum += a.turn * (mass_[k].inertia * transposed_times(a.turn, about));
            }
            track.momentum[frame - 1] = sum / step;
        }
        if (frame < first) continue;
        track.centre[frame] = centre_;
        const auto joint_place = [&](int joint) {
            const double* m = worlds_ + 16 * static_cast<size_t>(joint);
            return Vec3{m[12], m[13], m[14]} * unit_;
        };
        for (int limb = 0; limb < shot.figure->limb_count; ++limb) {
            const Limb& spans = shot.figure->limbs[limb];
            track.give[limb][frame] = spans.length - norm(joint_place(spans.end) - joint_place(spans.upper));
            aplomb_limb_info info;
            if (!track.part[2 * limb].exists && !track.part[2 * limb + 1].exists) continue;
            aplomb_limb_info_init(&info, sizeof info);
            aplomb_figure_limb(shot.figure, limb, &info, nullptr);
            Vec3 middle[2];
            double lowest[2] = {std::numeric_limits<double>::infinity(),
                                std::numeric_limits<double>::infinity()};
            int points[2] = {0, 0};
            for (int k = 0; k < info.sole_point_count; ++k) {
                if (!touches_[limb][k]) continue;
                const double* m = worlds_ + 16 * static_cast<size_t>(info.sole_joint[k]);
                const double* p = info.sole_points[k];
                const Vec3 point = (Vec3{m[12], m[13], m[14]} + turn_of(m) * Vec3{p[0], p[1], p[2]}) * unit_;
                const int part = shot.figure->limbs[limb].sole.points[k].ball ? ball_part : heel_part;
                middle[part] += point, ++points[part];
                lowest[part] = std::min(lowest[part], dot(shot.up, point));
            }
            for (int part = 0; part < 2; ++part) {
                if (points[part] == 0) continue;
                track.part[2 * limb + part].place[frame] = middle[part] / points[part];
                track.part[2 * limb + part].height[frame] = lowest[part];
            }
        }
    }
    return APLOMB_OK;
}

} // namespace aplomb

// SPDX-License-Identifier: MIT
// Keyed poses of the lay figure, put together joint by joint. Turns are (bend forward, twist left, lean
// right) about left, up and forward, in degrees; the lay figure's joint frames are the world's in its rest
// pose.
#pragma once

#include <cmath>
#include <string>
#include <vector>

#include "base/rotation.h"
#include "figures.h"

namespace lay {

class Pose {
public:
    Pose(const aplomb_figure* figure, const LayFigure& shape) : shape_(shape) {
        translations.resize(3 * static_cast<size_t>(shape.count()));
        rotations.resize(4 * static_cast<size_t>(shape.count()));
        aplomb_figure_rest_pose(figure, translations.data(), rotations.data());
    }

    /// Turns a joint further, in its parent's frame.
    Pose& turn(const std::string& joint, double bend, double twist = 0, double lean = 0) {
        const aplomb::Vec3 r = {bend * aplomb::degree, twist * aplomb::degree, lean * aplomb::degree};
        return set(joint, aplomb::exp_rotation(r) * get(joint));
    }
    Pose& both(const std::string& joint, double bend, double twist = 0, double lean = 0) {
        turn("left_" + joint, bend, twist, lean);
        return turn("right_" + joint, bend, -twist, -lean);
    }
    Pose& move(double left, double up, double forward) {
        translations[0] += left, translations[1] += up, translations[2] += forward;
        return *this;
    }
    aplomb::Quat get(const std::string& joint) const {
        const double* q = &rotations[4 * static_cast<size_t>(shape_.find(joint))];
        return {q[0], q[1], q[2], q[3]};
    }
    Pose& set(const std::string& joint, const aplomb::Quat& q) {
        double* out = &rotations[4 * static_cast<size_t>(shape_.find(joint))];
        out[0] = q.x, out[1] = q.y, out[2] = q.z, out[3] = q.w;
        return *this;
    }
    /// World placement of a joint.
    aplomb::Vec3 place(const std::string& joint) const {
        aplomb::Quat q;
        return place(shape_.find(joint), q);
    }
    aplomb::Vec3 place(int32_t joint, aplomb::Quat& turn) const {
        const size_t j = static_cast<size_t>(joint);
        const aplomb::Vec3 t = {translations[3 * j], translations[3 * j + 1], translations[3 * j + 2]};
        const aplomb::Quat r = {rotations[4 * j], rotations[4 * j + 1], rotations[4 * j + 2],
                                rotations[4 * j + 3]};
        if (shape_.parents[j] < 0) {
            turn = r;
            return t;
        }
        aplomb::Quat above;
        const aplomb::Vec3 p = place(shape_.parents[j], above);
        turn = above * r;
        return p + aplomb::rotate(above, t);
    }
    /// Bends a leg so that its ankle comes to `ankle` with the foot level and the knee to the front.
    Pose& stand_on(const std::string& side, const aplomb::Vec3& ankle, double foot_pitch = 0) {
        using namespace aplomb;
        const int32_t thigh = shape_.find(side + "_thigh");
        Quat hips;
        place(shape_.parents[static_cast<size_t>(thigh)], hips);
        const Point h = shape_.position(thigh), k = shape_.position(shape_.find(side + "_shank"));
        const Point a = shape_.position(shape_.find(side + "_foot"));
        const Vec3 upper = {k.x - h.x, k.y - h.y, k.z - h.z}, lower = {a.x - k.x, a.y - k.y, a.z - k.z};
        const Vec3 from = place(side + "_thigh"), way = ankle - from;
        const double l1 = norm(upper), l2 = norm(lower), d = std::min(norm(way), (l1 + l2) * (1 - 1e-12));
        const Vec3 line = normalized(way);
        const Vec3 side_axis = rotate(hips, {1, 0, 0});
        const Vec3 front = normalized(cross(line, side_axis));
        const double along = (d * d + l1 * l1 - l2 * l2) / (2 * d),
                     off = std::sqrt(std::max(0.0, l1 * l1 - along * along));
        const Vec3 knee = from + line * along + front * off;
        const auto frame = [&](const Vec3& axis) {
            const Vec3 y = normalized(axis), x = normalized(reject(side_axis, y));
            return to_quat(Mat3::from_columns(x, y, cross(x, y)));
        };
        const auto rest = [](const Vec3& axis) {
            const Vec3 y = normalized(axis), x = normalized(reject(Vec3{1, 0, 0}, y));
            return to_quat(Mat3::from_columns(x, y, cross(x, y)));
        };
        const Quat w_thigh = frame(knee - from) * conjugate(rest(upper));
        const Quat w_shank = frame(from + line * d - knee) * conjugate(rest(lower));
        set(side + "_thigh", conjugate(hips) * w_thigh);
        set(side + "_shank", conjugate(w_thigh) * w_shank);
        return set(side + "_foot", conjugate(w_shank) * exp_rotation({foot_pitch * degree, 0, 0}));
    }
    /// Lowers the hips until both knees are bent by about this much, feet where they are in the rest pose.
    Pose& soft_knees(double bend) {
        const Point hip = shape_.position(shape_.find("left_thigh")),
                    knee = shape_.position(shape_.find("left_shank"));
        const Point foot = shape_.position(shape_.find("left_foot"));
        const auto length = [](Point a, Point b) {
            return aplomb::norm(aplomb::Vec3{a.x - b.x, a.y - b.y, a.z - b.z});
        };
        const double l1 = length(hip, knee), l2 = length(knee, foot), c = std::cos(bend * aplomb::degree);
        const double d = std::sqrt(l1 * l1 + l2 * l2 + 2 * l1 * l2 * c), forward = hip.z - foot.z;
        move(0, std::sqrt(d * d - forward * forward) - (hip.y - foot.y), 0);
        return plant();
    }
    /// Brings both feet back to where they stand in the rest pose.
    Pose& plant() {
        for (const char* side : {"left", "right"}) {
            const Point p = shape_.position(shape_.find(std::string(side) + "_foot"));
            stand_on(side, {p.x, p.y, p.z});
        }
        return *this;
    }
    aplomb_situation situation() const {
        aplomb_situation s;
        aplomb_situation_init(&s, sizeof s);
        s.translations = translations.data();
        s.rotations = rotations.data();
        return s;
    }

    std::vector<double> translations, rotations;

private:
    const LayFigure& shape_;
};

} // namespace lay

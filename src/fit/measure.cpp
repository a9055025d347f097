// SPDX-License-Identifier: MIT
#include "fit/measure.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <cstring>

namespace aplomb::fit {
namespace {

Vec3 axis(int32_t which) {
    Vec3 unit{};
    unit[std::abs(which) - APLOMB_AXIS_X] = which < 0 ? -1 : 1;
    return unit;
}

double bend(const Turned& upper, const Turned& lower, const Turned& end) {
    const Vec3 a = lower.place - upper.place, b = end.place - lower.place;
    return std::atan2(norm(cross(a, b)), dot(a, b));
}

/// How a is turned against b, each in the frame of what carries it, along the axes.
void turned(const Turned& a, const Turned& a_base, const Turned& b, const Turned& b_base, const Quat& base,
            const Measure::Axes& axes, double unit, double*& out) {
    const Quat of_a = conjugate(a_base.turn) * a.turn, of_b = conjugate(b_base.turn) * b.turn;
    const Vec3 way = rotate(base, log_rotation(normalized(of_a * conjugate(of_b))));
    for (const Vec3& along : axes)
        *out++ = dot(way, along) / unit;
}

} // namespace

int32_t option_index(const char* name) {
    aplomb_option_info info;
    aplomb_option_info_init(&info, sizeof info);
    for (int32_t i = 0; aplomb_option_describe(i, &info, nullptr) == APLOMB_OK; ++i) {
        if (std::strcmp(info.name, name) == 0) return i;
    }
    return -1;
}

double usual_of(const char* name) {
    aplomb_options defaults;
    aplomb_options_init(&defaults, sizeof defaults);
    return aplomb_option_value(&defaults, option_index(name));
}

Measure::Measure(const aplomb_figure* figure)
    : figure_(figure), place_unit_(usual_of("hips_side")), turn_unit_(usual_of("hips_turn")),
      knee_unit_(usual_of("knee_bend")), arm_unit_(usual_of("swivel")) {
    aplomb_figure_info_init(&info_, sizeof info_);
    aplomb_figure_describe(figure, &info_, nullptr);
    place_unit_ *= info_.leg_length;
    matrices_.resize(16 * static_cast<size_t>(info_.joint_count));
    hips_ = keep(info_.hips);
    add(APLOMB_MANNER_HIPS, 3);
    add(APLOMB_MANNER_PELVIS, 3);
    chest_ = info_.chest >= 0 && info_.chest != info_.hips ? keep(info_.chest) : -1;
    if (chest_ >= 0) add(APLOMB_MANNER_SPINE, 3);
    head_ = info_.head >= 0 ? keep(info_.head) : -1;
    if (head_ >= 0) add(APLOMB_MANNER_HEAD, 3);
    for (int32_t l = 0; l < info_.limb_count; ++l) {
        aplomb_limb_info limb;
        aplomb_limb_info_init(&limb, sizeof limb);
        aplomb_figure_limb(figure, l, &limb, nullptr);
        const bool arm = limb.kind == APLOMB_ARM;
        if (arm && chest_ < 0) continue;
        int girdle = -1;
        if (arm) {
            const int32_t joint =
                aplomb_figure_find_role(figure, APLOMB_ROLE_GIRDLE, static_cast<aplomb_side>(limb.side));
            if (joint >= 0) girdle = keep(joint);
        }
        limbs_.push_back({keep(limb.upper), keep(limb.lower), keep(limb.end), girdle, arm});
        if (girdle >= 0) add(APLOMB_MANNER_GIRDLES, 3);
        if (arm) add(APLOMB_MANNER_ARMS, 3);
        add(arm ? APLOMB_MANNER_ARMS : APLOMB_MANNER_KNEES, 1);
    }
    Shape neutral;
    std::vector<double> t(3 * static_cast<size_t>(info_.joint_count)),
        q(4 * static_cast<size_t>(info_.joint_count));
    aplomb_figure_neutral_pose(figure, t.data(), q.data());
    shape(t.data(), q.data(), neutral);
    upright_ = neutral[static_cast<size_t>(hips_)].turn;
}

int Measure::keep(int32_t joint) {
    const auto found = std::find(joints_.begin(), joints_.end(), joint);
    if (found != joints_.end()) return static_cast<int>(found - joints_.begin());
    joints_.push_back(joint);
    return static_cast<int>(joints_.size()) - 1;
}

void Measure::add(int part, int count) {
    parts_.insert(parts_.end(), static_cast<size_t>(count), part);
}

aplomb_status Measure::shape(const double* translations, const double* rotations, Shape& shape,
                             aplomb_error* error) const {
    const aplomb_status status =
        aplomb_pose_to_matrices(figure_, translations, rotations, matrices_.data(), APLOMB_DOUBLE,
                                16 * sizeof(double), APLOMB_WORLD, error);
    shape.clear();
    for (const int32_t joint : joints_) {
        const double* m = &matrices_[16 * static_cast<size_t>(joint)];
        shape.push_back(
            {{m[12], m[13], m[14]},
             to_quat(Mat3::from_columns({m[0], m[1], m[2]}, {m[4], m[5], m[6]}, {m[8], m[9], m[10]}))});
    }
    return status;
}

Measure::Axes Measure::axes(const Shape& keyed) const {
    const Vec3 up = axis(info_.up_axis);
    Vec3 forward = axis(info_.forward_axis);
    const Vec3 faced =
        reject(rotate(keyed[static_cast<size_t>(hips_)].turn * conjugate(upright_), forward), up);
    if (norm(faced) > 1e-3) forward = normalized(faced);
    return {info_.left_handed != 0 ? cross(forward, up) : cross(up, forward), up, forward};
}

void Measure::difference(const Shape& answer, const Shape& wanted, const Axes& axes, double* out) const {
    const auto a = [&](int i) -> const Turned& { return answer[static_cast<size_t>(i)]; };
    const auto b = [&](int i) -> const Turned& { return wanted[static_cast<size_t>(i)]; };
    constexpr Turned world{{0, 0, 0}, {0, 0, 0, 1}};
    const Vec3 way = a(hips_).place - b(hips_).place;
    for (const Vec3& along : axes)
        *out++ = dot(way, along) / place_unit_;
    turned(a(hips_), world, b(hips_), world, world.turn, axes, turn_unit_, out);
    if (chest_ >= 0) turned(a(chest_), a(hips_), b(chest_), b(hips_), b(hips_).turn, axes, turn_unit_, out);
    const int under = chest_ >= 0 ? chest_ : hips_;
    if (head_ >= 0) turned(a(head_), a(under), b(head_), b(under), b(under).turn, axes, turn_unit_, out);
    for (const Limb& l : limbs_) {
        if (l.arm) {
            // Each joint against what carries it: a hand's unevenness at the girdle must not count twice.
            const Quat chest = b(chest_).turn;
            if (l.girdle >= 0)
                turned(a(l.girdle), a(chest_), b(l.girdle), b(chest_), chest, axes, arm_unit_, out);
            const int above = l.girdle >= 0 ? l.girdle : chest_;
            turned(a(l.upper), a(above), b(l.upper), b(above), b(above).turn, axes, arm_unit_, out);
        }
        *out++ = (bend(a(l.upper), a(l.lower), a(l.end)) - bend(b(l.upper), b(l.lower), b(l.end))) /
                 (l.arm ? arm_unit_ : knee_unit_);
    }
}

} // namespace aplomb::fit

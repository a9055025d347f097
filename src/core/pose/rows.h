// SPDX-License-Identifier: MIT
// What a pose must keep to, as rows c >= 0: the support's half-planes, the bounds on the whole
// correction, reach and joint limits of bearing limbs. Limits of lean joints are bounds on y.
#pragma once

#include "model/push.h"
#include "pose/evaluation.h"
#include "support/half_planes.h"

namespace aplomb {

enum class RowKind : uint8_t { edge, chest, hips, reach, fold, start_limit, end_limit };

struct Row {
    RowKind kind = RowKind::edge;
    int8_t index = 0; // half-plane, or fixed limb
    int8_t axis = 0;  // of a joint limit
    int8_t sign = 1;  // +1: lowest, -1: highest
    double bound = 0;
    double scale = 1; // metres or radians in one unit of the row
    double rate = 1;  // its inverse
};

inline constexpr int most_rows(int limbs) {
    return max_half_planes + 2 + 14 * limbs;
}
inline constexpr int max_curves = 3 + 3; // of the bounds on chest and hips

class Rows {
public:
    /// `memory` has room for most_rows. The support's half-planes come first.
    Rows(const Figure& figure, const Model& model, const Stiffness& stiffness, const HalfPlanes& support,
         Row* memory);

    int count() const { return count_; }
    const Row& operator[](int i) const { return row_[i]; }
    /// Measures what values of rows need and the placed model does not have.
    void measure(Evaluation& e) const;
    /// In metres or radians; a row that cannot be measured is far from its bound.
    double value(const Evaluation& e, int row) const;
    /// Adds weight times the gradient of a row's value in its own units.
    void push(const Evaluation& e, int row, double weight, Push& push) const;
    /// The bounds on chest and hips: their curvature by a multiplier is the sum of three squares.
    bool is_round(int row) const {
        return row_[row].kind == RowKind::chest || row_[row].kind == RowKind::hips;
    }
    void push_curve(const Evaluation& e, int row, int axis, double multiplier, Push& push) const;

private:
    void add(RowKind kind, int index, int axis, int sign, double bound, double scale);
    void add_limb(int limb);
    void add_limits(RowKind kind, int limb, const Vec3& keyed, const Limits& limits);
    Quat start_frame(const ModelState& state, int limb) const;
    Quat end_frame(const ModelState& state, int limb) const;

    const Figure& figure_;
    const Model& model_;
    const Reduction& r_;
    const HalfPlanes& support_;
    Row* row_;
    int count_ = 0;
    // Keyed rotations; those of what rides on a span are against the span's own frame.
    Quat limb_parent_[max_limbs], limb_upper_[max_limbs], end_parent_[max_limbs], end_[max_limbs];
};

} // namespace aplomb

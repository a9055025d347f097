// SPDX-License-Identifier: MIT
#include "clip/correct/band.h"

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include <algorithm>

namespace aplomb {
namespace {

using Matrix = Eigen::MatrixXd;
using Part = Eigen::Map<Matrix, 0, Eigen::OuterStride<>>;
using Line = Eigen::Map<Eigen::VectorXd>;

} // namespace

void Band::lay_out(Layout& layout, int frames, int size, bool ring) {
    frames_ = frames, size_ = size, ring_ = ring;
    area_ = size * size;
    rows_ = (ring ? 4 : 2) * size;
    own_ = layout.take<double>(static_cast<size_t>(frames) * static_cast<size_t>(area_));
    below_ = layout.take<double>(static_cast<size_t>(frames) * static_cast<size_t>(rows_ * size));
}

void Band::clear() {
    std::fill_n(own_, static_cast<size_t>(frames_) * static_cast<size_t>(area_), 0.0);
    std::fill_n(below_, static_cast<size_t>(frames_) * static_cast<size_t>(rows_ * size_), 0.0);
}

double* Band::between(int later, int earlier) const {
    int slot = later - earlier - 1; // 0: next, 1: next but one
    if (ring_ && later >= interior()) slot = earlier < interior() ? 2 + later - interior() : 0;
    return lower(earlier) + slot * size_;
}

Band::Block Band::block(int row_frame, int column_frame) const {
    if (row_frame == column_frame) return {own(row_frame), 1, size_};
    if (row_frame > column_frame) return {between(row_frame, column_frame), 1, rows_};
    return {between(column_frame, row_frame), rows_, 1};
}

bool Band::factor() {
    const int n = size_, inner = interior();
    for (int t = 0; t < frames_; ++t) {
        Part diagonal(own(t), n, n, Eigen::OuterStride<>(n));
        for (int i = 0; i < n; ++i) {
            if (!(diagonal(i, i) > 0)) return false;
        }
        Eigen::LLT<Eigen::Ref<Matrix, 0, Eigen::OuterStride<>>> factor(diagonal);
        if (factor.info() != Eigen::Success) return false;
        // The frames that this one reaches: the next two within the inner part, the border.
        int target[4], slot[4], count = 0;
        for (int k = 1; k <= 2; ++k) {
            if (t + k < inner) target[count] = t + k, slot[count++] = k - 1;
        }
        if (ring_ && t < inner) {
            for (int k = 0; k < 2; ++k)
                target[count] = inner + k, slot[count++] = 2 + k;
        } else if (ring_ && t == inner) {
            target[count] = inner + 1, slot[count++] = 0;
        }
        const auto below = [&](int k) {
            return Part(lower(t) + slot[k] * n, n, n, Eigen::OuterStride<>(rows_));
        };
        for (int k = 0; k < count; ++k) {
            Part b = below(k);
            diagonal.triangularView<Eigen::Lower>().transpose().solveInPlace<Eigen::OnTheRight>(b);
        }
        for (int k = 0; k < count; ++k) {
            Part(own(target[k]), n, n, Eigen::OuterStride<>(n))
                .selfadjointView<Eigen::Lower>()
                .rankUpdate(below(k), -1.0);
            for (int j = 0; j < k; ++j)
                Part(between(target[k], target[j]), n, n, Eigen::OuterStride<>(rows_)).noalias() -=
                    below(k) * below(j).transpose();
        }
    }
    return true;
}

void Band::solve(double* x) const {
    const int n = size_, inner = interior();
    const auto each_below = [&](int t, auto visit) {
        const auto block = [&](int target, int slot) {
            visit(target, Part(lower(t) + slot * n, n, n, Eigen::OuterStride<>(rows_)));
        };
        if (t + 1 < inner) block(t + 1, 0);
        if (t + 2 < inner) block(t + 2, 1);
        if (ring_ && t < inner) block(inner, 2), block(inner + 1, 3);
        if (ring_ && t == inner) block(inner + 1, 0);
    };
    const auto diagonal = [&](int t) { return Part(own_ + t * area_, n, n, Eigen::OuterStride<>(n)); };
    for (int t = 0; t < frames_; ++t) {
        Line own(x + t * n, n);
        diagonal(t).triangularView<Eigen::Lower>().solveInPlace(own);
        each_below(t, [&](int target, const Part& b) { Line(x + target * n, n).noalias() -= b * own; });
    }
    for (int t = frames_ - 1; t >= 0; --t) {
        Line own(x + t * n, n);
        each_below(
            t, [&](int target, const Part& b) { own.noalias() -= b.transpose() * Line(x + target * n, n); });
        diagonal(t).triangularView<Eigen::Lower>().transpose().solveInPlace(own);
    }
}

} // namespace aplomb

// SPDX-License-Identifier: MIT
#include "clip/correct/band.h"

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include <algorithm>
#include <cstdlib>
#include <initializer_list>

namespace aplomb {
namespace {

using Matrix = Eigen::MatrixXd;
using Part = Eigen::Map<Matrix, 0, Eigen::OuterStride<>>;
using Line = Eigen::Map<Eigen::VectorXd>;

constexpr int long_row = 16; // frames

} // namespace

void Band::lay_out(Layout& layout, int frames, int size, bool ring, const Tasks& tasks) {
    frames_ = frames, size_ = size, ring_ = ring, tasks_ = tasks;
    middle_ = !ring && frames >= long_row ? frames / 2 - 1 : frames;
    area_ = size * size;
    rows_ = (ring ? 4 : 2) * size;
    own_ = layout.take<double>(static_cast<size_t>(frames) * static_cast<size_t>(area_));
    below_ = layout.take<double>(static_cast<size_t>(frames) * static_cast<size_t>(rows_ * size));
}

void Band::clear(int frame) {
    std::fill_n(own(frame), area_, 0.0);
    std::fill_n(lower(frame), rows_ * size_, 0.0);
}

bool Band::goes_first(int frame, int other) const {
    if (is_middle(frame) || is_middle(other)) return is_middle(other) && (!is_middle(frame) || frame < other);
    return frame < middle_ ? frame < other : frame > other;
}

double* Band::between(int later, int first) const {
    int slot = std::abs(later - first) - 1; // 0: next, 1: next but one
    if (ring_ && later >= interior()) slot = first < interior() ? 2 + later - interior() : 0;
    return lower(first) + slot * size_;
}

Band::Block Band::block(int row_frame, int column_frame) const {
    if (row_frame == column_frame) return {own(row_frame), 1, size_};
    if (goes_first(column_frame, row_frame)) return {between(row_frame, column_frame), 1, rows_};
    return {between(column_frame, row_frame), rows_, 1};
}

Band::Reach Band::reach(int t) const {
    Reach all;
    const int inner = interior();
    if (t == middle_ + 2) { // the first of the middle frames goes first, here as everywhere
        all.add(t - 2, 1), all.add(t - 1, 0);
        return all;
    }
    if (t == middle_) all.add(t + 1, 0);
    if (t > middle_ + 2) all.add(t - 1, 0), all.add(t - 2, 1);
    for (int k = 1; k <= 2; ++k)
        if (t < middle_ && t + k < inner) all.add(t + k, k - 1);
    if (ring_ && t < inner) all.add(inner, 2), all.add(inner + 1, 3);
    if (ring_ && t == inner) all.add(inner + 1, 0);
    return all;
}

template<class Visit>
bool Band::forward(const Visit& visit) const {
    bool good[2] = {true, true};
    if (middle_ == frames_) {
        for (int t = 0; t < frames_ && good[0]; ++t)
            good[0] = visit(t);
        return good[0];
    }
    // The last two of each half reach the middle frames, which may be touched in one order alone.
    tasks_.both(frames_, [&](int half) {
        if (half == 0)
            for (int t = 0; t < middle_ - 2 && good[0]; ++t)
                good[0] = visit(t);
        else
            for (int t = frames_ - 1; t > middle_ + 3 && good[1]; --t)
                good[1] = visit(t);
    });
    if (!good[0] || !good[1]) return false;
    for (const int t : {middle_ - 2, middle_ - 1, middle_ + 3, middle_ + 2, middle_, middle_ + 1})
        if (!visit(t)) return false;
    return true;
}

template<class Visit>
void Band::back(const Visit& visit) const {
    if (middle_ == frames_) {
        for (int t = frames_ - 1; t >= 0; --t)
            visit(t);
        return;
    }
    visit(middle_ + 1), visit(middle_);
    tasks_.both(frames_, [&](int half) {
        if (half == 0)
            for (int t = middle_ - 1; t >= 0; --t)
                visit(t);
        else
            for (int t = middle_ + 2; t < frames_; ++t)
                visit(t);
    });
}

bool Band::eliminate(int t) {
    const int n = size_;
    Part diagonal(own(t), n, n, Eigen::OuterStride<>(n));
    for (int i = 0; i < n; ++i) {
        if (!(diagonal(i, i) > 0)) return false;
    }
    Eigen::LLT<Eigen::Ref<Matrix, 0, Eigen::OuterStride<>>> factor(diagonal);
    if (factor.info() != Eigen::Success) return false;
    const Reach to = reach(t);
    const auto below = [&](int k) {
        return Part(lower(t) + to.slot[k] * n, n, n, Eigen::OuterStride<>(rows_));
    };
    for (int k = 0; k < to.count; ++k) {
        Part b = below(k);
        diagonal.triangularView<Eigen::Lower>().transpose().solveInPlace<Eigen::OnTheRight>(b);
    }
    for (int k = 0; k < to.count; ++k) {
        Part(own(to.target[k]), n, n, Eigen::OuterStride<>(n))
            .selfadjointView<Eigen::Lower>()
            .rankUpdate(below(k), -1.0);
        for (int j = 0; j < k; ++j)
            Part(between(to.target[k], to.target[j]), n, n, Eigen::OuterStride<>(rows_)).noalias() -=
                below(k) * below(j).transpose();
    }
    return true;
}

bool Band::factor() {
    return forward([&](int t) { return eliminate(t); });
}

void Band::solve(double* x) const {
    const int n = size_;
    const auto diagonal = [&](int t) { return Part(own(t), n, n, Eigen::OuterStride<>(n)); };
    const auto below = [&](int t, int slot) {
        return Part(lower(t) + slot * n, n, n, Eigen::OuterStride<>(rows_));
    };
    forward([&](int t) {
        Line at(x + t * n, n);
        diagonal(t).triangularView<Eigen::Lower>().solveInPlace(at);
        const Reach to = reach(t);
        for (int k = 0; k < to.count; ++k)
            Line(x + to.target[k] * n, n).noalias() -= below(t, to.slot[k]) * at;
        return true;
    });
    back([&](int t) {
        Line at(x + t * n, n);
        const Reach to = reach(t);
        for (int k = 0; k < to.count; ++k)
            at.noalias() -= below(t, to.slot[k]).transpose() * Line(x + to.target[k] * n, n);
        diagonal(t).triangularView<Eigen::Lower>().transpose().solveInPlace(at);
    });
}

} // namespace aplomb

// SPDX-License-Identifier: MIT
#include "clip/correct/filter.h"

#include <cmath>

namespace aplomb {
namespace {

constexpr double around = 7; // times T, the nearer the more: so long that what feet ask for evens out

} // namespace

void Filter::lay_out(Layout& layout, int frames, bool ring) {
    band_.lay_out(layout, frames, 1, ring, {});
    weight_ = layout.take<double>(static_cast<size_t>(frames));
    known_ = layout.take<double>(static_cast<size_t>(frames));
    line_ = layout.take<double>(static_cast<size_t>(frames));
}

void Filter::set_up(const Grid& grid, const Swing* swing, double part) {
    grid_ = grid;
    find_around(swing);
    still_ = grid.count == 1 && !grid.ring && !grid.still_before && !grid.still_after;
    for (int t = 0; t < grid.count; ++t)
        still_ = still_ || !(swing[t].square > 0);
    if (still_) return;
    for (int t = 0; t < grid.count; ++t)
        band_.clear(t);
    // Each row is multiplied by its cell over `square`, so that the matrix is symmetric.
    for (int t = 0; t < grid.count; ++t) {
        const bool open_before = grid.before(t) < 0 && !grid.still_before;
        const bool open_after = grid.after(t) < 0 && !grid.still_after;
        const double h = open_before ? grid.gap[t + 1] : grid.gap[t], k = open_after ? h : grid.gap[t + 1];
        const double rate = swing[t].pressing * (h + k) / 2 / (swing[t].square * part * part);
        double& own = band_.block(t, t)(0, 0);
        weight_[t] = rate;
        own += rate;
        const auto beyond =
            [&](double gap) { // beyond the end the need stays, and d nears it by the same part each frame
                const double b = rate > 0 ? 1 / (rate * gap) : INFINITY;
                const double kept = 1 + 1 / (2 * b) - std::sqrt(1 / b + 1 / (4 * b * b));
                own += (1 - kept) / gap;
                weight_[t] += (1 - kept) / gap;
            };
        if (open_before)
            beyond(h);
        else
            own += 1 / h;
        if (open_after)
            beyond(k);
        else
            own += 1 / k;
        if (grid.after(t) >= 0) band_.block(t, grid.after(t))(0, 0) -= 1 / grid.gap[t + 1];
    }
    band_.factor();
}

void Filter::find_around(const Swing* swing) {
    const int last = grid_.count - 1;
    for (int t = 0; t <= last; ++t)
        known_[t] = swing[t].known;
    around_[0] = {0, 1, 0, 0, 0}, around_[1] = {last, -1, 0, last, 0};
    for (Around& a : around_) {
        a.seconds = around * std::sqrt(swing[a.end].square);
        double seconds = 0;
        for (int t = a.end; t >= 0 && t <= last && seconds < a.seconds; t += a.step) {
            if (known_[t] < 1 && a.unsure == std::abs(t - a.end)) ++a.unsure;
            a.last = t;
            seconds += grid_.gap[t + (a.step > 0)];
        }
    }
}

void Filter::run(double* need, int stride) const {
    if (still_) return;
    for (const Around& a : around_) {
        if (a.unsure == 0) continue;
        double sum = 0, all = 0, seconds = 0;
        for (int t = a.end; t != a.last + a.step; t += a.step) {
            const double weight = known_[t] * (grid_.gap[t] + grid_.gap[t + 1]) * (a.seconds - seconds);
            seconds += grid_.gap[t + (a.step > 0)];
            sum += weight * need[t * stride], all += weight;
        }
        if (!(all > 0)) continue;
        for (int k = 0; k < a.unsure; ++k) {
            const int t = a.end + k * a.step;
            need[t * stride] = known_[t] * need[t * stride] + (1 - known_[t]) * (sum / all);
        }
    }
    for (int t = 0; t < grid_.count; ++t)
        line_[t] = weight_[t] * need[t * stride];
    band_.solve(line_);
    for (int t = 0; t < grid_.count; ++t)
        need[t * stride] = line_[t];
}

} // namespace aplomb

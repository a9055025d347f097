// SPDX-License-Identifier: MIT
#include "clip/correct/filter.h"

#include <cmath>

namespace aplomb {

void Filter::lay_out(Layout& layout, int frames, bool ring) {
    band_.lay_out(layout, frames, 1, ring, {});
    weight_ = layout.take<double>(static_cast<size_t>(frames));
    line_ = layout.take<double>(static_cast<size_t>(frames));
}

void Filter::set_up(const Grid& grid, const Swing* swing) {
    grid_ = grid;
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
        const double rate = swing[t].pressing * (h + k) / 2 / swing[t].square;
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

void Filter::run(double* need, int stride) const {
    if (still_) return;
    for (int t = 0; t < grid_.count; ++t)
        line_[t] = weight_[t] * need[t * stride];
    band_.solve(line_);
    for (int t = 0; t < grid_.count; ++t)
        need[t * stride] = line_[t];
}

} // namespace aplomb

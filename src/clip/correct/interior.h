// SPDX-License-Identifier: MIT
// A primal-dual interior point on a range: every row that is near its bound has a gap and a multiplier, the support's
// rows of a frame share a slack, and one factor of a banded matrix serves a step. J. Nocedal and S. Wright, Numerical
// Optimization, 2nd ed. 2006, ch. 19; Gauss-Newton Hessian with the curvature of round rows.
#pragma once

#include "clip/correct/range.h"

namespace aplomb {

/// Asked before every step.
class Ticker {
public:
    virtual bool goes_on() = 0;

protected:
    ~Ticker() = default;
};

struct Proof {
    bool converged = false;
    bool ended = false; // by the ticker
    int steps = 0;
    // The first and the last are relative to 1 + the largest multiplier, in y / sigma and units of rows.
    double stationarity = 0, violation = 0, complementarity = 0;
};

class Interior {
public:
    void lay_out(Layout& layout, const Figure& figure, const Range& range, bool ring);
    /// How far from its bounds a run begins: the further, the less it is held up where it starts past many.
    struct Start {
        double barrier, gap;
    };
    /// Starts from the frames' y.
    Proof run(Range& range, double tolerance, int most_steps, const Start& start, Ticker& ticker);
    /// With gaps and multipliers of the run before.
    Proof go_on(Range& range, double tolerance, int most_steps, Ticker& ticker);
    /// Slower and surer (surely.cpp), from the frames' y.
    Proof run_surely(Range& range, double tolerance, int most_steps, double barrier, Ticker& ticker);

private:
    /// A row near its bound; without a gap it is far.
    struct Hold {
        double gap = 0, multiplier = 0;
        double gap_step = 0, multiplier_step = 0;
        bool is_near = false;
    };
    /// The slack of a frame's support.
    struct Give {
        Hold own; // its gap is the slack
        double curvature = 0, push = 0;
        Vec2 follows;       // the balance point
        double product = 0; // of all pairs of the frame, in sum
        int pairs = 0;
        // In the plane of the balance point: pull of the multipliers, push of a step, and curvature.
        Vec2 plane_pull, plane_push;
        double plane_curvature[3] = {}; // fore fore, fore left, left left
    };
    Hold* holds(int t) const { return hold_ + static_cast<size_t>(t) * rows_; }

    Proof run(Range& range, double tolerance, int most_steps, Ticker& ticker);
    void assemble(Range& range);
    void choose_barrier();
    void stand_off(const Range& range);
    void add_frame(Range& range, int task, int t);
    void add_limits(const Range& range, int t, double* matrix);
    void hold_edges(const Range& range, int t);
    /// The frames from `first` to before `end`: of the coupling between frames only what falls to these is added.
    struct Part {
        int first, end;
        bool has(int frame) const { return frame >= first && frame < end; }
    };
    void add_motion(const Range& range, int t, const Part& part);
    void add_edges(const Range& range, int t, const Part& part);
    void leave_out(const Range& range, int t);
    /// The greatest values over some frames, in the units of Proof: of multipliers, and of what is left to solve.
    struct Left {
        double largest = 0, worst = 0, apart = 0, both = 0;
    };
    void measure(const Range& range, int t, Left& left) const;
    void take_in(Hold& hold, double value);
    double push_of(const Hold& hold, double value) const;
    void finish_hold(Hold& hold, double value, double rate, double change);
    double price_of(const Moment& frame) const;
    double rate_of(const Moment& frame, const Hold& hold, double value) const;
    double pull_of(const Hold& hold) const;
    double gap_at(double value, double price) const;
    double cost_of_limit(double value, double price) const;
    double slack_at(const Range& range, int t) const;
    void hold_surely(Hold& hold, double gap, double most);
    double cost_with_barrier(const Range& range) const;
    double cost_with_barrier(const Range& range, int t) const;
    bool descend(Range& range);
    Vec2 pull_of_edges(const Range& range, int t) const;
    void find_curvature(Range& range, int task, int t, double* matrix) const;
    Vec2 point_step(const Range& range, int t) const;
    void find_steps(const Range& range, int t);
    double length(const Range& range) const;
    double length(const Range& range, int t) const;
    void damp(double before);
    void take_step(Range& range, double length);
    void take_step(Range& range, int t, double length);
    template<class Visit>
    void each_limit(const Range& range, int t, Visit visit) const;
    template<class Visit>
    void each_pair(const Range& range, int t, Visit visit) const;
    template<class Visit>
    void each_pair(const Range& range, Visit visit) const;

    size_t rows_ = 0;     // of a frame: its own, then two bounds of each variable
    size_t own_rows_ = 0; // where bounds begin
    int n_ = 0, count_ = 0;
    Band band_;
    double* gradient_ = nullptr; // of the Lagrangian
    double* step_ = nullptr;     // right-hand side, then the step
    Hold* hold_ = nullptr;
    Give* give_ = nullptr;
    double barrier_ = 1, least_barrier_ = 0, last_length_ = 1, damping_ = 1, largest_ = 0;
    Start start_{};
    bool surely_ = false;
    double price_ = 0;     // of a unit by which a limit gives
    double stiffness_ = 0; // added to the curvature of each variable
    Proof proof_;
};

} // namespace aplomb

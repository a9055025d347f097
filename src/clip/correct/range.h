// SPDX-License-Identifier: MIT
// The problem of a range of frames, all at once:
//
//     least  sum over t of  cell_t [ f_t(y_t) + price slack_t + 1/2 tau^4 |D^2 x_t|^2_W ]
//
// with f_t, limits and reach of the single pose (pose/problem.h), D^2 the second time difference, of the hips in the
// world and of all other variables in their own axes, tau longer for the trunk's bends and the hips' height, W = diag 1/sigma^2
// with the largest sigma of all frames (a load changes sigma from frame to frame, which must not count as motion of a body that
// keeps still), and the support's rows on the moving balance point
//     P_t = p_t(x_t) - flow T^2 D^2 [c(x) - c(0)]_t,
// p the balance point as gravity less the keyed acceleration has it, c the centre of mass on the ground.
#pragma once

#include "clip/correct/moment.h"
#include "clip/correct/tasks.h"

namespace aplomb {

class Range {
public:
    /// Memory for `count` frames of a figure.
    void lay_out(Layout& layout, const Figure& figure, int count, bool ring, bool swivels,
                 const Tasks& tasks);
    /// Needs every frame's key, support, rest and sway; `grid` has its gaps in gaps().
    void set_up(const Figure& figure, const aplomb_options& options, const Grid& grid, const Swing* swing);

    int count() const { return count_; }
    int variables() const { return variables_; }
    int stride() const { return derivatives_[0].stride; } // of gradients' lines
    double* gaps() { return gaps_; }
    Moment& operator[](int t) { return frames_[t]; }
    const Moment& operator[](int t) const { return frames_[t]; }
    const Grid& grid() const { return grid_; }

    /// Fills all frames for their y. False where one is no number.
    bool evaluate();
    const Tasks& tasks() const { return tasks_; }
    /// The derivatives of a frame's own part, until the task's next call; its gradients and rows near their bound stay.
    Derivatives& differentiate(int task, int t, double window);
    /// A row of the support for the balance point in motion, in its units, without slack.
    double edge(const Moment& frame, int row) const;
    /// By how much those rows fall short, in those units.
    double short_of(const Moment& frame) const;
    double cost() const;
    double cost_of_motion() const;

    /// Begins again where no frame is far past a limit: all frames are drawn back towards their keys, and together, so that
    /// the start stays smooth.
    void start_within();
    /// Sets every frame as it is keyed, without the loads' offers to neck and arms.
    void put_back();

    /// How the second difference at one frame follows its neighbours; those that stay as keyed are left out.
    struct Tie {
        int frame;
        double weight;      // of D^2
        Mat3 shift, turn;   // of scaled variables
        const double* part; // of all other variables: their factors
    };
    struct Ties {
        int count = 0;
        Tie tie[3];
        double cell = 0; // with tau^4
    };
    /// Frames -1 and count() are those beyond still ends.
    Ties ties(int t) const;
    /// The scaled second difference.
    void second_difference(const Ties& ties, double* out) const;

    /// Gathers a number per variable of a frame by shared places; 0 where the frame has no variable of that place.
    void gather(const Moment& frame, const double* own, double* shared) const;

    /// Converts between a frame's axes on the ground and those that all frames share.
    Vec2 shared(const Moment& frame, const Vec2& own) const;
    Vec2 owned(const Moment& frame, const Vec2& shared) const;

private:
    struct WaysHome {
        static constexpr int numbers = 10;
        double number[numbers]; // three ways, and phi
    };
    void find_ways_home(const Moment& frame, WaysHome& to) const;
    Vec3 support_answer(int t) const;
    void offer_smoothly();
    void ask_smoothly();
    double smoothed(int place) const;
    void find_parts();
    void round_gaps(double curvature);
    void set_up(const Figure& figure, const aplomb_options& options, int t);
    bool evaluate(Moment& frame);
    void find_moved(int t);

    int count_ = 0, variables_ = 0, swivel_base_ = 0, pull_place_ = 0;
    double* offers_ = nullptr;
    Moment* frames_ = nullptr;
    Grid grid_{};
    double rate_ = 1; // of a cell's weight
    double* gaps_ = nullptr;
    int32_t* group_[Tasks::most] = {}; // one for each task
    Tasks tasks_;
    Derivatives derivatives_[Tasks::most] = {}; // one for each task
    Filter filter_, quick_;                     // of the whole body, and within the trunk
    bool rests_ = true;                         // the hips answer the support
    WaysHome* ways_home_ = nullptr;
    double* middles_ = nullptr; // all frames' y^, in metres and radians, hips in the world
    double scale_[most_places] = {},
           motion_scale_[Reduction::first_block] = {}; // of the hips, as they count for motion
};

} // namespace aplomb

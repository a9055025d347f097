// SPDX-License-Identifier: MIT
// The problem of a whole clip once more (design section 6), on the single pose as tests/balance/jet_problem.h states it:
// what frames ask for, filtered over time; the cost of all frames with that of motion; rows on the balance point in motion.
// From the library come what a moment is made of (situation, reduction, what a load asks for, with its closed forms
// filtered), each frame's own rest point and support as it is asked for, and the keyed acceleration.
#pragma once

#include <Eigen/Dense>
#include <Eigen/Sparse>

#include <memory>

#include "balance/jet_problem.h"
#include "oracle/clip_case.h"

namespace clip_oracle {

inline constexpr int most = 16; // variables of a frame
using Jet = ceres::Jet<double, most>;
using Plane = Eigen::Vector2d;

/// One frame at one setting of its variables.
template<class T>
struct At {
    std::vector<T> residual; // the frame's cost is half of the sum of their squares
    std::vector<T> row;      // at least 0, in the rows' units
    Eigen::Matrix<T, 2, 1> point,
        way; // still balance point, own axes; way of the centre of mass, the first frame's
};

struct Frame {
    std::unique_ptr<own::JetModel> model;
    std::unique_ptr<own::JetProblem> problem;
    int size = 0;
    std::vector<double> sigma, lowest, highest; // bounds of y = x / sigma
    std::vector<double> middle;                 // metres and radians
    std::vector<aplomb::Row> rows;
    aplomb::Vec2 aim;
    double weight = 1, sway = 0; // flow T^2
    Eigen::Vector3d keyed_centre;
    Eigen::Matrix3d shift_axes, turn_axes;
    Eigen::Matrix2d to_own;                      // from the first frame's axes on the ground
    std::vector<std::pair<Plane, double>> edges; // own axes, as the library asks for them
};

/// A second difference.
struct Second {
    int frame[3];
    double weight[3];
    int count = 0;
};

class ClipProblem {
public:
    static constexpr double price = 12; // of 1 % of leg length

    explicit ClipProblem(Solved& solved);

    int count() const { return static_cast<int>(frames_.size()); }
    const Frame& operator[](int t) const { return frames_[static_cast<size_t>(t)]; }
    int size() const { return size_; } // variables of all frames
    int first(int t) const { return first_[static_cast<size_t>(t)]; }
    double unit() const { return unit_; } // of slacks and edges, metres
    /// The cost of motion is half of the square of this times y.
    const Eigen::SparseMatrix<double>& motion() const { return motion_; }
    /// For the cost of motion: none at an open end.
    Second second(int t) const;
    /// For the balance point: a body comes from rest, or comes to it, beyond an open end.
    Second swing(int t) const;

    template<class T>
    At<T> at(int t, const T* y) const;
    /// The keyed balance point's way to where it is in motion follows this of each frame's `way`.
    Plane moved(int t, const std::vector<Plane>& ways) const;
    /// Metres that the balance point in motion is short of, at most over all edges.
    double short_of(int t, const Plane& point, const std::vector<Plane>& ways) const;

    struct Value {
        double cost = 0, slack = 0, violation = 0; // slack in metres, violation in the rows' units
    };
    Value value(const std::vector<double>& y) const;

    /// A leg is keyed as straight as reach allows: there the hips' slope has two values.
    bool straight = false;
    /// Greatest difference from what the library found: metres and radians.
    double off_aim = 0, off_middle = 0;

private:
    bool is_end(int t) const { return !ring_ && (t == 0 || t + 1 == count()); }
    double rest_of(int t) const;
    void even_out(std::vector<Eigen::VectorXd>& needs) const;
    void filter(std::vector<Eigen::VectorXd>& needs, double of_time) const;
    void find_targets(Solved& solved);
    void find_motion();

    std::vector<Frame> frames_;
    std::vector<int> first_;
    std::vector<double> times_, pressing_, square_, known_;
    bool ring_ = false;
    int size_ = 0, blocks_ = 0;
    double unit_ = 1, gap_ = 0, mean_ = 0;
    Eigen::SparseMatrix<double> motion_;
};

template<class T>
At<T> ClipProblem::at(int t, const T* y) const {
    const Frame& f = (*this)[t];
    std::vector<T> x(static_cast<size_t>(f.size));
    for (size_t i = 0; i < x.size(); ++i)
        x[i] = y[i] * f.sigma[i];
    const own::Placed<T> placed = f.model->place<T>(x.data());
    At<T> at;
    at.residual = f.problem->residuals<T>(x.data(), placed, f.middle.data(), f.aim);
    for (const aplomb::Row& row : f.rows)
        at.row.push_back(f.problem->row<T>(row, x.data(), placed) / T(row.scale));
    at.point = placed.balance_point;
    const own::Vec<T> moved = f.model->centre_of_mass(placed) - f.keyed_centre.cast<T>();
    const Frame& base = frames_.front();
    at.way = {moved.dot(own::Vec<T>(base.shift_axes.col(0).cast<T>())),
              moved.dot(own::Vec<T>(base.shift_axes.col(1).cast<T>()))};
    return at;
}

} // namespace clip_oracle

// SPDX-License-Identifier: MIT
// Sequential quadratic programming on the pose problem: Gauss-Newton Hessian plus a symmetric rank-one
// estimate of the curvature that it leaves out, a trust box, an L1 merit function whose weights follow the
// multipliers, and one slack for the support's rows. J. Nocedal and S. Wright, Numerical Optimization, 2nd
// ed. 2006, ch. 18.
#pragma once

#include "solve/few_rows.h"

namespace aplomb {

struct Effort {
    bool exact = false;
    int max_iterations = 60;
    int max_evaluations = 1000000; // the last iteration may pass it by two
    const Point* rival = nullptr;  // an answer to beat; a descent that cannot, or that is there, is given up
    bool resigns = false;          // and one that seems to go there
    bool goes_on =
        false; // in a frame to come: it ends sooner, and shortens a step rather than finding it anew
    bool measured = false; // answer.at is evaluated; if it is the start, that is not done again
};

enum class Ending { converged, cut_off };

/// The multiplier of a row or, with row < 0, of the bound on variable -1 - row.
struct Active {
    int row;
    double multiplier;
};

/// One start's answer, with its proof.
struct Answer {
    Point* at = nullptr;
    Ending ending = Ending::cut_off;
    bool stuck = false; // nothing was found that keeps to the limits; `at` is the key
    int iterations = 0, evaluations = 0;
    double violation = 0; // of limits and reach, metres or radians
    double slack = 0;     // of the support, metres
    double stationarity = 0, complementarity = 0;
    double aside[2][most_variables]; // Derivatives::aside, of the last derivatives that were taken
    int active_count = 0;
    Active active[max_near_rows + most_variables];
};

class Descent {
public:
    void lay_out(Layout& layout, const ProblemSize& size);
    /// `spare`: one of the problem's points that no answer uses.
    void begin(Point* spare) { trial_ = spare; }

    /// Goes down from `y`. `answer.at` is one of the problem's points; it may have changed places with the spare one
    /// afterwards.
    void run(const Problem& problem, const Effort& effort, const double* y, Answer& answer);

private:
    struct Merit {
        double hard = 10, support = 0; // weights
    };
    struct Progress {
        double before = 0, promised = 0; // merit here, and what the step is to gain
        bool slack = false;              // the support has to give
        bool level = false;              // as near to the end as was asked for
        bool nearly_level = false;       // hardly anything left to gain
    };
    bool box_binds(const Problem& problem) const;
    bool is_stuck(const Problem& problem, const Point& here, const Progress& progress) const;
    bool is_beaten(const Problem& problem, const Effort& effort, const Answer& answer,
                   const Progress& progress) const;
    bool find_step(const Problem& problem, const Point& here);
    Progress judge(const Problem& problem, const Effort& effort, const Point& here) const;
    bool is_done(const Problem& problem, const Effort& effort, const Point& e,
                 const Progress& progress) const;
    double try_step(const Problem& problem, const Point& here, const Progress& progress);
    bool correct_step(const Problem& problem, const Point& here);
    void move(const Problem& problem, const Effort& effort, Answer& answer, Progress& progress);
    void take_trial(Answer& answer);
    double merit_noise(const Progress& progress) const;
    double longest_move(const Problem& problem) const;
    void fit_box(double gained, double longest, double noise, const Progress& progress);
    void learn_from_trial(const Problem& problem, const Point& here);
    bool is_long_and_good(double gained, const Progress& progress) const;
    void build_matrix(const Problem& problem, int size);
    void stiffen(const Problem& problem);
    bool factor(const Problem& problem, int size);
    void set_bounds(const Problem& problem, const Point& here);
    bool is_within_box(const Problem& problem) const;
    bool step_without_slack(const Problem& problem, const double* gradient);
    void place(const Problem& problem, const Point& from, Point& to);
    bool go_light(const Problem& problem, const Effort& effort, Point& at, double gained,
                  const Progress& progress);
    bool step_on(const Problem& problem, Answer& answer);
    void differentiate(const Problem& problem, Point& at);
    Quadratic::Outcome dense_step(const Problem& problem, const Point& here);
    Quadratic::Outcome step(const Problem& problem, const Point& here, double relax);
    double merit(const Point& e) const;
    double predicted_merit(const Problem& problem, const Point& here) const;
    void follow_multipliers(const Problem& problem);
    void learn_curvature(const Problem& problem, const Point& from, const Point& to);
    bool is_own_bound(int variable) const;
    double complementarity(const Problem& problem, const Point& e) const;
    double lagrangian_gradient(const Problem& problem, double* out) const;
    void prove(const Problem& problem, Answer& answer) const;
    double largest_multiplier(const Problem& problem) const;

    FewRows few_rows_;
    Quadratic quadratic_;
    Derivatives derivatives_;
    Point* trial_ = nullptr;
    Merit merit_;
    double radius_ = 0, box_ = 0; // the trust box now, and that of the last step
    bool slack_used_ = false, curved_ = false, dense_ = false;
    bool gives_ = false;    // the last dense step asked for slack: so will the next, and few rows do without
    bool factored_ = false; // the dense step's matrix, as the derivatives at hand have it
    int evaluations_ = 0;
    bool light_ = false; // the residuals' derivatives were kept from the step before
    int stride_ = 0, learn_from_ = 1;
    double* curvature_ = nullptr; // lower half
    double *d_ = nullptr, *lowest_ = nullptr, *highest_ = nullptr, *bound_multiplier_ = nullptr;
    double *lagrangian_ = nullptr, *linear_ = nullptr;
    QuadraticRow rows_[max_near_rows];
    double* row_multiplier_ = nullptr; // of the last step, by row
};

} // namespace aplomb

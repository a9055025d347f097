// SPDX-License-Identifier: MIT
// Steps, crowds and solvers that are called wrongly.
#include <gtest/gtest.h>

#include <functional>
#include <limits>

#include "figures.h"
#include "hostile/told.h"

namespace hostile {
namespace {

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

struct Bench {
    lay::FigureHandle figure = lay::LayFigure::adult().create();
    std::vector<double> translations = std::vector<double>(66), rotations = std::vector<double>(88);
    aplomb_solver* solver = nullptr;
    aplomb_situation situation;
    aplomb_pace pace;
    aplomb_frame frame{0.04, {0, 0, 0}};
    aplomb_step_state state{};
    aplomb_error error{};

    Bench() {
        aplomb_figure_rest_pose(figure.get(), translations.data(), rotations.data());
        aplomb_solver_create(figure.get(), nullptr, &solver, nullptr);
        aplomb_situation_init(&situation, sizeof situation);
        situation.translations = translations.data(), situation.rotations = rotations.data();
        aplomb_pace_init(&pace, sizeof pace);
    }
    ~Bench() { aplomb_solver_destroy(solver); }
    aplomb_status step(const aplomb_frame* given) {
        std::vector<double> t(66), r(88);
        return aplomb_step(solver, &situation, nullptr, &pace, given, t.data(), r.data(), nullptr, &error);
    }
    aplomb_status many(std::vector<aplomb_job> jobs) {
        return aplomb_balance_many(jobs.data(), static_cast<int32_t>(jobs.size()), nullptr, nullptr, &error);
    }
};

struct Case {
    const char* told;
    std::function<aplomb_status(Bench&)> call;
};

const Case cases[] = {
    {"ok: ", [](Bench& b) { return b.step(&b.frame); }},
    {"bad argument: frame is NULL.", [](Bench& b) { return b.step(nullptr); }},
    {"bad argument: frame.seconds is -1; 0 to 1e6 are allowed.",
     [](Bench& b) {
         b.frame.seconds = -1;
         return b.step(&b.frame);
     }},
    {"bad argument: frame.seconds is nan; 0 to 1e6 are allowed.",
     [](Bench& b) {
         b.frame.seconds = unknown;
         return b.step(&b.frame);
     }},
    {"bad argument: frame.acceleration[1] is nan.",
     [](Bench& b) {
         b.frame.acceleration[1] = unknown;
         return b.step(&b.frame);
     }},
    {"bad argument: pace.smoothing is -1; 0 to 1e9 are allowed.",
     [](Bench& b) {
         b.pace.smoothing = -1;
         return b.step(&b.frame);
     }},
    {"wrong version: pace: struct_size is 3; this library knows up to 40. Set it up with its _init function.",
     [](Bench& b) {
         b.pace.struct_size = 3;
         return b.step(&b.frame);
     }},
    {"bad argument: state.count is 31; 0 to 30 are allowed.",
     [](Bench& b) {
         b.state.count = 31;
         return aplomb_solver_restore(b.solver, &b.state, &b.error);
     }},
    {"bad argument: state has a value that is not finite.",
     [](Bench& b) {
         b.state.hips[0] = unknown;
         return aplomb_solver_restore(b.solver, &b.state, &b.error);
     }},
    {"bad argument: solver is NULL.",
     [](Bench& b) { return aplomb_solver_restore(nullptr, &b.state, &b.error); }},
    {"bad argument: figure is NULL.",
     [](Bench& b) { return aplomb_solver_take(b.solver, nullptr, &b.error); }},
    {"bad argument: jobs[0].solver is NULL.", [](Bench& b) { return b.many({aplomb_job{}}); }},
    {"bad argument: jobs is NULL, but job_count is 1.",
     [](Bench& b) { return aplomb_balance_many(nullptr, 1, nullptr, nullptr, &b.error); }},
    {"bad argument: job_count is -1; it must not be negative.",
     [](Bench& b) { return aplomb_balance_many(nullptr, -1, nullptr, nullptr, &b.error); }},
    {"bad argument: jobs[0]: translations is NULL.",
     [](Bench& b) {
         aplomb_job job{};
         job.solver = b.solver;
         return b.many({job});
     }},
    {"bad argument: jobs[1]: frame.seconds is -1; 0 to 1e6 are allowed.",
     [](Bench& b) {
         std::vector<double> t(66), r(88);
         const aplomb_frame back{-1, {0, 0, 0}};
         aplomb_job good{};
         good.solver = b.solver, good.situation = &b.situation;
         good.translations = t.data(), good.rotations = r.data();
         aplomb_job bad = good, worse = good;
         bad.frame = &back, worse.situation = nullptr;
         return b.many({good, bad, worse});
     }},
    {"bad argument: situation.translations is NULL; 3 numbers per joint are needed.",
     [](Bench& b) {
         b.situation.translations = nullptr;
         return b.step(&b.frame);
     }},
    {"bad argument: situation.rotations is NULL; 4 numbers per joint are needed.",
     [](Bench& b) {
         b.situation.rotations = nullptr;
         return b.step(&b.frame);
     }},
    {"bad argument: The number of loads is 99; it must be 0 to 8.",
     [](Bench& b) {
         b.situation.load_count = 99;
         return b.step(&b.frame);
     }},
    {"bad argument: contacts is NULL, but their number is 2.",
     [](Bench& b) {
         b.situation.contact_count = 2;
         return b.step(&b.frame);
     }},
    {"bad argument: contacts[2].limb is 0, as is contacts[1]'s; a limb has one contact.",
     [](Bench& b) {
         const aplomb_contact twice[3] = {aplomb_contact_make(1, APLOMB_BEARING),
                                          aplomb_contact_make(0, APLOMB_BEARING),
                                          aplomb_contact_make(0, APLOMB_HELD)};
         b.situation.contacts = twice, b.situation.contact_count = 3;
         return b.step(&b.frame);
     }},
    {"bad argument: pulls is NULL, but their number is 1.",
     [](Bench& b) {
         b.situation.pull_count = 1;
         return b.step(&b.frame);
     }},
};

TEST(HostileSituation, Calls) {
    for (const Case& c : cases) {
        Bench bench;
        EXPECT_EQ(told(c.call(bench), bench.error), c.told);
    }
}

} // namespace
} // namespace hostile

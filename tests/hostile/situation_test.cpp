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
    aplomb_frame frame;
    aplomb_step_state state{};
    aplomb_error error{};

    Bench() {
        aplomb_figure_rest_pose(figure.get(), translations.data(), rotations.data());
        aplomb_solver_create(figure.get(), nullptr, &solver, nullptr);
        aplomb_situation_init(&situation, sizeof situation);
        situation.translations = translations.data(), situation.rotations = rotations.data();
        aplomb_pace_init(&pace, sizeof pace);
        aplomb_frame_init(&frame, sizeof frame);
        frame.seconds = 0.04;
    }
    ~Bench() { aplomb_solver_destroy(solver); }
    aplomb_status step(const aplomb_frame* given) {
        std::vector<double> t(66), r(88);
        return aplomb_step(solver, &state, &situation, nullptr, &pace, given, t.data(), r.data(), nullptr,
                           &error);
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
    {"bad argument: frame.seconds is -1; 0 to 1e+06 are allowed.",
     [](Bench& b) {
         b.frame.seconds = -1;
         return b.step(&b.frame);
     }},
    {"bad argument: frame.seconds is nan; 0 to 1e+06 are allowed.",
     [](Bench& b) {
         b.frame.seconds = unknown;
         return b.step(&b.frame);
     }},
    {"bad argument: frame.velocity[1] is nan; it must be -1e+06 to 1e+06.",
     [](Bench& b) {
         b.frame.velocity[1] = unknown;
         return b.step(&b.frame);
     }},
    {"bad argument: frame.ahead_seconds is -0.3; a pose ahead is above 0 and at most 2 seconds away.",
     [](Bench& b) {
         b.frame.ahead_translations = b.translations.data(), b.frame.ahead_rotations = b.rotations.data();
         b.frame.ahead_seconds = -0.3;
         return b.step(&b.frame);
     }},
    {"bad argument: frame has ahead_rotations, but ahead_translations is NULL; a pose has both.",
     [](Bench& b) {
         b.frame.ahead_rotations = b.rotations.data();
         return b.step(&b.frame);
     }},
    {"bad argument: frame.ahead_contact_count is 1, but ahead_contacts is NULL.",
     [](Bench& b) {
         b.frame.ahead_contact_count = 1;
         return b.step(&b.frame);
     }},
    {"bad argument: The number of ahead_contacts is 17; it must be 0 to 16.",
     [](Bench& b) {
         const aplomb_contact contact = aplomb_contact_make(0, APLOMB_BEARING);
         b.frame.ahead_contacts = &contact, b.frame.ahead_contact_count = 17;
         return b.step(&b.frame);
     }},
    {"bad argument: ahead: contacts[0].limb is 99; it must be -1 to 3.",
     [](Bench& b) {
         aplomb_contact contact = aplomb_contact_make(99, APLOMB_BEARING);
         b.frame.ahead_translations = b.translations.data(), b.frame.ahead_rotations = b.rotations.data();
         b.frame.ahead_contacts = &contact, b.frame.ahead_contact_count = 1;
         return b.step(&b.frame);
     }},
    {"bad argument: contacts[0].limb is 7; it must be -1 to 3.",
     [](Bench& b) {
         const aplomb_contact of_another = aplomb_contact_make(7, APLOMB_BEARING);
         b.situation.contacts = &of_another, b.situation.contact_count = 1;
         return b.step(&b.frame);
     }},
    {"bad argument: pace.turns is -1; 0 to 1e+09 are allowed.",
     [](Bench& b) {
         b.pace.turns = -1;
         return b.step(&b.frame);
     }},
    {"wrong version: pace: struct_size is 3; this library knows up to 32. Set it up with its _init function.",
     [](Bench& b) {
         b.pace.struct_size = 3;
         return b.step(&b.frame);
     }},
    {"bad argument: state.figure is 1, of another figure; the solver's is 2049237864. Zero the state to "
     "start anew.",
     [](Bench& b) {
         b.state.version = 3, b.state.figure = 1;
         return b.step(&b.frame);
     }},
    {"bad argument: state is NULL.",
     [](Bench& b) {
         return aplomb_step(b.solver, nullptr, &b.situation, nullptr, nullptr, &b.frame,
                            b.translations.data(), b.rotations.data(), nullptr, &b.error);
     }},
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
    {"bad argument: jobs[1]: frame.seconds is -1; 0 to 1e+06 are allowed.",
     [](Bench& b) {
         std::vector<double> t(66), r(88);
         aplomb_frame back = b.frame;
         back.seconds = -1;
         aplomb_job good{};
         good.solver = b.solver, good.situation = &b.situation;
         good.translations = t.data(), good.rotations = r.data();
         aplomb_job bad = good, worse = good;
         bad.frame = &back, bad.state = &b.state, worse.situation = nullptr;
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

// SPDX-License-Identifier: MIT
// Frame after frame: the correction never jumps, ends on the still answer bit for bit, and what it remembers can
// be saved.
#include <gtest/gtest.h>

#include <cmath>
#include <cstring>
#include <memory>
#include <string>
#include <vector>

#include "capi/solver.h"
#include "poses.h"

namespace {

constexpr double frame_time = 1.0 / 60;

struct DestroySolver {
    void operator()(aplomb_solver* solver) const { aplomb_solver_destroy(solver); }
};
using SolverHandle = std::unique_ptr<aplomb_solver, DestroySolver>;

SolverHandle make_solver(const aplomb_figure* figure) {
    aplomb_solver* solver = nullptr;
    EXPECT_EQ(aplomb_solver_create(figure, nullptr, &solver, nullptr), APLOMB_OK);
    return SolverHandle(solver);
}

/// A written pose with its result.
struct Written {
    aplomb_status status = APLOMB_OK;
    std::vector<double> translations, rotations;
    aplomb_result result;
};

bool same_pose(const Written& a, const Written& b) {
    const auto same = [](const std::vector<double>& p, const std::vector<double>& q) {
        return p.size() == q.size() && std::memcmp(p.data(), q.data(), p.size() * sizeof(double)) == 0;
    };
    return same(a.translations, b.translations) && same(a.rotations, b.rotations);
}

class Steps : public testing::Test {
protected:
    Steps() : shape(lay::LayFigure::adult()), figure(shape.create()), solver(make_solver(figure.get())) {
        aplomb_pace_init(&pace, sizeof pace);
        aplomb_figure_info_init(&info, sizeof info);
        EXPECT_EQ(aplomb_figure_describe(figure.get(), &info, nullptr), APLOMB_OK);
    }

    lay::Pose stand() const { return lay::Pose(figure.get(), shape).soft_knees(10); }
    aplomb_load box(double mass) const {
        aplomb_load load = aplomb_load_make(mass, shape.find("spine_3"));
        load.offset[2] = 0.35;
        return load;
    }
    Written written() const {
        Written w;
        w.translations.resize(3 * static_cast<size_t>(shape.count()));
        w.rotations.resize(4 * static_cast<size_t>(shape.count()));
        aplomb_result_init(&w.result, sizeof w.result);
        return w;
    }
    Written step(const aplomb_situation& s, double forward_acceleration = 0) {
        Written w = written();
        const aplomb_frame frame = {frame_time, {0, 0, forward_acceleration}};
        aplomb_error error{};
        w.status = aplomb_step(solver.get(), &s, nullptr, &pace, &frame, w.translations.data(),
                               w.rotations.data(), &w.result, &error);
        EXPECT_GE(w.status, 0) << error.message;
        return w;
    }
    Written still(const aplomb_situation& s) const {
        Written w = written();
        const SolverHandle fresh = make_solver(figure.get());
        w.status = aplomb_balance(fresh.get(), &s, nullptr, w.translations.data(), w.rotations.data(),
                                  &w.result, nullptr);
        return w;
    }
    double hips_way(const Written& a, const Written& b) const {
        double sum = 0;
        for (int i = 0; i < 3; ++i)
            sum += std::pow(a.result.controls.hips_shift[i] - b.result.controls.hips_shift[i], 2);
        return std::sqrt(sum);
    }
    double chest_way(const Written& a, const Written& b) const {
        double sum = 0;
        for (int i = 0; i < 3; ++i)
            sum += std::pow(a.result.controls.chest[i] - b.result.controls.chest[i], 2);
        return std::sqrt(sum);
    }
    /// Steps until the still answer is reached; every step within the pace. Returns how many it took.
    int settle(const aplomb_situation& s, Written last) {
        const Written end = still(s);
        for (int i = 1; i < 200; ++i) {
            const Written now = step(s);
            EXPECT_LE(hips_way(now, last), pace.hips * info.leg_length * frame_time * 1.0001 + 1e-9) << i;
            EXPECT_LE(chest_way(now, last), pace.turns * frame_time * 1.02 + 1e-9) << i;
            if (now.status != APLOMB_SETTLING) {
                EXPECT_TRUE(same_pose(now, end)) << i;
                EXPECT_EQ(now.status, end.status);
                EXPECT_EQ(now.result.way, 1);
                return i;
            }
            EXPECT_LT(now.result.way, 1);
            last = now;
        }
        ADD_FAILURE() << "it never settles";
        return 0;
    }

    lay::LayFigure shape;
    lay::FigureHandle figure;
    SolverHandle solver;
    aplomb_pace pace;
    aplomb_figure_info info;
};

TEST_F(Steps, TheFirstOneStartsAtTheStillAnswer) {
    const lay::Pose pose = stand();
    const aplomb_load load = box(20);
    aplomb_situation s = pose.situation();
    s.loads = &load, s.load_count = 1;
    const Written first = step(s);
    EXPECT_EQ(first.status, APLOMB_OK);
    EXPECT_TRUE(same_pose(first, still(s)));
}

TEST_F(Steps, ALoadIsPickedUpAndPutDown) {
    const lay::Pose pose = stand();
    const aplomb_load load = box(25);
    aplomb_situation empty = pose.situation(), loaded = empty;
    loaded.loads = &load, loaded.load_count = 1;
    const Written before = step(empty);
    EXPECT_EQ(before.result.changed, 0);
    EXPECT_GT(settle(loaded, before), 3);
    const Written carrying = step(loaded);
    EXPECT_GT(settle(empty, carrying), 3);
    const Written after = step(empty);
    EXPECT_TRUE(same_pose(after, before)); // the key itself
}

TEST_F(Steps, AFootIsLiftedAtOnce) {
    const lay::Pose pose = stand();
    aplomb_situation both = pose.situation();
    std::vector<aplomb_contact> contacts;
    for (int32_t i = 0; i < info.limb_count; ++i) {
        aplomb_limb_info limb;
        aplomb_limb_info_init(&limb, sizeof limb);
        aplomb_figure_limb(figure.get(), i, &limb, nullptr);
        const bool left_foot = limb.kind == APLOMB_LEG && limb.side == APLOMB_SIDE_LEFT;
        contacts.push_back(aplomb_contact_make(i, limb.kind != APLOMB_LEG ? APLOMB_FREE
                                                  : left_foot             ? APLOMB_HELD
                                                                          : APLOMB_BEARING));
    }
    aplomb_situation one = both;
    one.contacts = contacts.data(), one.contact_count = static_cast<int32_t>(contacts.size());
    const Written before = step(both);
    EXPECT_GT(settle(one, before), 5);
    EXPECT_GT(settle(both, step(one)), 5);
}

TEST_F(Steps, TheStateIsSavedAndRestored) {
    const lay::Pose pose = stand();
    const aplomb_load load = box(25);
    aplomb_situation empty = pose.situation(), loaded = empty;
    loaded.loads = &load, loaded.load_count = 1;
    step(empty);
    for (int i = 0; i < 3; ++i)
        step(loaded);
    aplomb_step_state state;
    ASSERT_EQ(aplomb_solver_state(solver.get(), &state, nullptr), APLOMB_OK);
    const Written expected = step(loaded);
    ASSERT_EQ(expected.status, APLOMB_SETTLING);
    for (int i = 0; i < 5; ++i)
        step(loaded);
    ASSERT_EQ(aplomb_solver_restore(solver.get(), &state, nullptr), APLOMB_OK);
    EXPECT_TRUE(same_pose(step(loaded), expected));
    aplomb_solver_reset(solver.get());
    EXPECT_TRUE(same_pose(step(loaded), still(loaded)));
    state.correction[0] = std::nan("");
    aplomb_error error{};
    EXPECT_EQ(aplomb_solver_restore(solver.get(), &state, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.message, "state has a value that is not finite.");
}

TEST_F(Steps, ATeleportStartsAnew) {
    const lay::Pose pose = stand();
    lay::Pose far = pose;
    far.move(3, 0, 0);
    const aplomb_load load = box(25);
    aplomb_situation empty = pose.situation(), there = far.situation();
    there.loads = &load, there.load_count = 1;
    step(empty);
    EXPECT_TRUE(same_pose(step(there), still(there)));
}

TEST_F(Steps, TheBodyLeansIntoAStartAndForgetsIt) {
    // On the balls of the feet there is little room behind, so a start must be leaned into.
    const lay::Pose pose = stand();
    const aplomb_load load = box(15);
    aplomb_situation s = pose.situation();
    s.loads = &load, s.load_count = 1;
    const Written at_rest = step(s);
    Written starting = at_rest;
    for (int i = 0; i < 60; ++i)
        starting = step(s, 1.5);
    EXPECT_GT(starting.result.controls.hips_shift[2], at_rest.result.controls.hips_shift[2] + 0.005);
    EXPECT_GT(starting.result.controls.hips_turn[0] + starting.result.controls.chest[0],
              at_rest.result.controls.hips_turn[0] + at_rest.result.controls.chest[0] + 0.02);
    Written after = starting;
    for (int i = 0; i < 600; ++i)
        after = step(s);
    EXPECT_TRUE(same_pose(after, still(s)));
}

TEST_F(Steps, AFailureLeavesTheLastGoodCorrection) {
    const lay::Pose pose = stand();
    lay::Pose broken = pose;
    broken.rotations[5] = std::nan("");
    const aplomb_load load = box(25);
    aplomb_situation s = pose.situation(), bad = broken.situation();
    s.loads = &load, s.load_count = 1;
    const Written good = step(s);
    Written w = good;
    const aplomb_frame frame = {frame_time, {0, 0, 0}};
    aplomb_error error{};
    EXPECT_EQ(aplomb_step(solver.get(), &bad, nullptr, nullptr, &frame, w.translations.data(),
                          w.rotations.data(), &w.result, &error),
              APLOMB_BAD_POSE);
    EXPECT_TRUE(same_pose(w, good));
    aplomb_step_state state;
    aplomb_solver_state(solver.get(), &state, nullptr);
    EXPECT_EQ(state.running, 1);
    EXPECT_TRUE(same_pose(step(s), good));
}

TEST_F(Steps, BadArgumentsAreNamed) {
    const lay::Pose pose = stand();
    const aplomb_situation s = pose.situation();
    Written w = written();
    const auto refused = [&](const aplomb_pace* p, const aplomb_frame* f) {
        aplomb_error error{};
        EXPECT_EQ(aplomb_step(solver.get(), &s, nullptr, p, f, w.translations.data(), w.rotations.data(),
                              nullptr, &error),
                  APLOMB_BAD_ARGUMENT);
        return std::string(error.message);
    };
    aplomb_frame frame = {-1, {0, 0, 0}};
    EXPECT_EQ(refused(nullptr, nullptr), "frame is NULL.");
    EXPECT_EQ(refused(nullptr, &frame), "frame.seconds is -1; 0 to 1e6 are allowed.");
    frame = {1, {0, std::nan(""), 0}};
    EXPECT_EQ(refused(nullptr, &frame), "frame.acceleration[1] is nan.");
    frame = {1, {0, 0, 0}};
    pace.turns = -2;
    EXPECT_EQ(refused(&pace, &frame), "pace.turns is -2; 0 to 1e9 are allowed.");
}

TEST_F(Steps, EachGroupHasItsAmount) {
    const lay::Pose pose = stand();
    const aplomb_load load = box(15);
    aplomb_situation s = pose.situation();
    s.loads = &load, s.load_count = 1;
    aplomb_options options;
    aplomb_options_init(&options, sizeof options);
    options.amount_spine = 0.5;
    Written full = still(s), part = written();
    part.status = aplomb_balance(solver.get(), &s, &options, part.translations.data(), part.rotations.data(),
                                 &part.result, nullptr);
    EXPECT_EQ(part.status, APLOMB_OK);
    EXPECT_NEAR(part.result.controls.hips_shift[2], full.result.controls.hips_shift[2], 1e-12);
    EXPECT_NEAR(part.result.controls.chest[0], 0.5 * full.result.controls.chest[0], 1e-3);
    EXPECT_LT(part.result.controls.neck[0], full.result.controls.neck[0]); // it follows the chest
}

TEST_F(Steps, MemoryOfTheCallersAndAnotherFigure) {
    const size_t size = aplomb_solver_size(figure.get());
    std::vector<unsigned char> bytes(size + 64);
    void* memory = bytes.data() + (64 - reinterpret_cast<uintptr_t>(bytes.data()) % 64) % 64;
    aplomb_solver* own = nullptr;
    aplomb_error error{};
    EXPECT_EQ(aplomb_solver_create_in(figure.get(), memory, size - 1, &own, &error), APLOMB_OUT_OF_MEMORY);
    EXPECT_EQ(own, nullptr);
    ASSERT_EQ(aplomb_solver_create_in(figure.get(), memory, size, &own, &error), APLOMB_OK) << error.message;

    lay::LayFigure small = lay::LayFigure::toddler(), large = lay::LayFigure::detailed();
    const lay::FigureHandle toddler = small.create(), detailed = large.create();
    EXPECT_EQ(aplomb_solver_take(own, detailed.get(), &error), APLOMB_OUT_OF_MEMORY);
    EXPECT_EQ(aplomb_solver_take(own, toddler.get(), &error), APLOMB_OK) << error.message;
    lay::Pose pose(toddler.get(), small);
    const aplomb_situation s = pose.soft_knees(8).situation();
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    EXPECT_EQ(aplomb_read(own, &s, nullptr, &reading, &error), APLOMB_OK) << error.message;
    aplomb_solver_destroy(own); // gives nothing back
}

#ifndef NDEBUG
TEST_F(Steps, ASolverInUseIsRefusedInDebugBuilds) {
    const lay::Pose pose = stand();
    const aplomb_situation s = pose.situation();
    Written w = written();
    solver->in_use = true;
    aplomb_error error{};
    EXPECT_EQ(
        aplomb_balance(solver.get(), &s, nullptr, w.translations.data(), w.rotations.data(), nullptr, &error),
        APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.message, "solver is in use by another call; a solver serves one thread at a time.");
    solver->in_use = false;
    EXPECT_EQ(
        aplomb_balance(solver.get(), &s, nullptr, w.translations.data(), w.rotations.data(), nullptr, &error),
        APLOMB_OK);
}
#endif

// ---- Crowds -------------------------------------------------------------------------------------------------

TEST_F(Steps, ACrowdGetsTheSameBitsHoweverItIsRun) {
    constexpr int count = 40, solvers = 10;
    std::vector<lay::Pose> poses;
    std::vector<aplomb_load> loads;
    std::vector<aplomb_situation> situations;
    for (int i = 0; i < count; ++i) {
        poses.push_back(stand());
        poses.back().turn("spine_1", i * 0.3, i * 0.1);
        loads.push_back(box(i));
    }
    for (int i = 0; i < count; ++i) {
        situations.push_back(poses[static_cast<size_t>(i)].situation());
        situations.back().loads = &loads[static_cast<size_t>(i)], situations.back().load_count = 1;
    }
    std::vector<SolverHandle> own;
    for (int i = 0; i < solvers; ++i)
        own.push_back(make_solver(figure.get()));
    int32_t threads = 3;
    for (aplomb_run_tasks run : {aplomb_run_tasks(nullptr), aplomb_run_tasks(aplomb_run_on_threads)}) {
        std::vector<Written> out(count, written());
        std::vector<aplomb_job> jobs(count);
        for (size_t i = 0; i < count; ++i) {
            jobs[i] = aplomb_job{};
            jobs[i].solver = own[i / (count / solvers)].get();
            jobs[i].situation = &situations[i];
            jobs[i].translations = out[i].translations.data(), jobs[i].rotations = out[i].rotations.data();
        }
        EXPECT_EQ(aplomb_balance_many(jobs.data(), count, run, &threads, nullptr), APLOMB_OK);
        for (size_t i = 0; i < count; ++i)
            EXPECT_TRUE(same_pose(out[i], still(situations[i]))) << i;
    }
}

TEST_F(Steps, ACrowdSaysTheGravestStatus) {
    const lay::Pose pose = stand();
    lay::Pose broken = pose;
    broken.translations[0] = std::nan("");
    const aplomb_situation good = pose.situation(), bad = broken.situation();
    Written w = written();
    std::vector<aplomb_job> jobs(2);
    for (aplomb_job& job : jobs) {
        job = aplomb_job{};
        job.solver = solver.get();
        job.translations = w.translations.data(), job.rotations = w.rotations.data();
    }
    jobs[0].situation = &bad, jobs[1].situation = &good;
    EXPECT_EQ(aplomb_balance_many(jobs.data(), 2, nullptr, nullptr, nullptr), APLOMB_BAD_POSE);
    EXPECT_EQ(jobs[1].status, APLOMB_OK);
    aplomb_error error{};
    jobs[1].solver = nullptr;
    EXPECT_EQ(aplomb_balance_many(jobs.data(), 2, nullptr, nullptr, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.message, "jobs[1].solver is NULL.");
}

} // namespace

// SPDX-License-Identifier: MIT
// Frame after frame, through the C API: what the loop remembers is the caller's, may be copied, saved and restored, and
// is the same whatever solver works on it. How it moves is tests/loop's.
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
        aplomb_frame_init(&frame, sizeof frame);
        frame.seconds = frame_time;
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
    Written step(const aplomb_situation& s) { return step(solver.get(), state, s); }
    Written step(aplomb_solver* with, aplomb_step_state& of, const aplomb_situation& s) const {
        Written w = written();
        aplomb_error error{};
        w.status = aplomb_step(with, &of, &s, nullptr, &pace, &frame, w.translations.data(),
                               w.rotations.data(), &w.result, &error);
        EXPECT_GE(w.status, 0) << error.message;
        return w;
    }
    /// Of what a load does to a body beside (heft) the loop knows nothing yet.
    Written still(const aplomb_situation& s, double heft = 0) const {
        Written w = written();
        const SolverHandle fresh = make_solver(figure.get());
        aplomb_options options;
        aplomb_options_init(&options, sizeof options);
        options.heft = heft;
        w.status = aplomb_balance(fresh.get(), &s, &options, w.translations.data(), w.rotations.data(),
                                  &w.result, nullptr);
        return w;
    }
    lay::LayFigure shape;
    lay::FigureHandle figure;
    SolverHandle solver;
    aplomb_step_state state{};
    aplomb_pace pace;
    aplomb_frame frame;
    aplomb_figure_info info;
};

bool same_state(const aplomb_step_state& a, const aplomb_step_state& b) {
    return std::memcmp(&a, &b, sizeof a) == 0;
}

TEST_F(Steps, AStateIsFourKibibytes) {
    EXPECT_EQ(sizeof(aplomb_step_state), 4096u);
}

TEST_F(Steps, TheFirstOneStartsAtItsAnswer) {
    const lay::Pose pose = stand();
    const aplomb_load load = box(20);
    aplomb_situation s = pose.situation();
    s.loads = &load, s.load_count = 1;
    const Written first = step(s), end = still(s, 1);
    EXPECT_EQ(first.status, APLOMB_OK);
    EXPECT_EQ(first.result.trust, 1);
    EXPECT_EQ(first.result.lag, 0);
    for (size_t i = 0; i < first.translations.size(); ++i)
        EXPECT_NEAR(first.translations[i], end.translations[i], 1e-9);
    for (size_t i = 0; i < first.rotations.size(); ++i)
        EXPECT_NEAR(first.rotations[i], end.rotations[i], 1e-9);
}

TEST_F(Steps, WithNothingToCorrectTheKeyComesBackBitForBit) {
    const lay::Pose pose = stand();
    const aplomb_load load = box(25);
    aplomb_situation empty = pose.situation(), loaded = empty;
    loaded.loads = &load, loaded.load_count = 1;
    Written w = step(empty);
    EXPECT_EQ(w.result.changed, 0);
    for (int i = 0; i < 60; ++i)
        w = step(loaded);
    EXPECT_EQ(w.result.changed, 1);
    for (int i = 0; i < 600; ++i)
        w = step(empty);
    EXPECT_EQ(w.result.changed, 0);
    EXPECT_EQ(w.translations, pose.translations);
    EXPECT_EQ(w.rotations, pose.rotations);
}

TEST_F(Steps, AStateIsSavedAndGoesOnWithAnotherSolver) {
    const lay::Pose pose = stand();
    const aplomb_load load = box(25);
    aplomb_situation empty = pose.situation(), loaded = empty;
    loaded.loads = &load, loaded.load_count = 1;
    step(empty);
    for (int i = 0; i < 3; ++i)
        step(loaded);
    std::vector<unsigned char> saved(sizeof state);
    std::memcpy(saved.data(), &state, sizeof state);
    std::vector<Written> expected;
    for (int i = 0; i < 5; ++i)
        expected.push_back(step(loaded));
    aplomb_step_state restored;
    std::memcpy(&restored, saved.data(), sizeof restored);
    const SolverHandle other = make_solver(figure.get());
    for (int i = 0; i < 5; ++i)
        EXPECT_TRUE(same_pose(step(other.get(), restored, loaded), expected[static_cast<size_t>(i)])) << i;
    EXPECT_TRUE(same_state(restored, state));
    state = aplomb_step_state{};
    EXPECT_EQ(step(loaded).result.lag, 0); // anew
}

TEST_F(Steps, OneSolverServesManyCharacters) {
    constexpr size_t count = 7;
    const lay::Pose pose = stand();
    std::vector<aplomb_load> loads;
    for (size_t i = 0; i < count; ++i)
        loads.push_back(box(3.0 * static_cast<double>(i)));
    std::vector<aplomb_step_state> shared(count), apart(count);
    std::vector<SolverHandle> own;
    for (size_t i = 0; i < count; ++i)
        own.push_back(make_solver(figure.get()));
    for (size_t f = 0; f < 20; ++f) {
        for (size_t i = 0; i < count; ++i) {
            aplomb_situation s = pose.situation();
            s.loads = &loads[(i + f / 5) % count], s.load_count = 1;
            EXPECT_TRUE(same_pose(step(solver.get(), shared[i], s), step(own[i].get(), apart[i], s)));
            EXPECT_TRUE(same_state(shared[i], apart[i]));
        }
    }
}

TEST_F(Steps, WithoutSecondsNothingMovesOn) {
    const lay::Pose pose = stand();
    const aplomb_load load = box(25);
    aplomb_situation empty = pose.situation(), loaded = empty;
    loaded.loads = &load, loaded.load_count = 1;
    step(empty);
    for (int i = 0; i < 4; ++i)
        step(loaded);
    frame.seconds = 0;
    const Written first = step(loaded);
    const aplomb_step_state before = state;
    EXPECT_TRUE(same_pose(step(loaded), first));
    EXPECT_TRUE(same_state(state, before));
}

TEST_F(Steps, AStateOfAnotherVersionOrFigureIsRefused) {
    const lay::Pose pose = stand();
    const aplomb_situation s = pose.situation();
    step(s);
    lay::LayFigure small = lay::LayFigure::toddler();
    const lay::FigureHandle toddler = small.create();
    const SolverHandle other = make_solver(toddler.get());
    lay::Pose child(toddler.get(), small);
    const aplomb_situation little = child.soft_knees(8).situation();
    Written w = written();
    const Written untouched = w;
    aplomb_error error{};
    const auto refused = [&](aplomb_step_state& of) {
        const aplomb_status status = aplomb_step(other.get(), &of, &little, nullptr, nullptr, &frame,
                                                 w.translations.data(), w.rotations.data(), nullptr, &error);
        EXPECT_EQ(same_pose(w, untouched), status != APLOMB_OK);
        return status;
    };
    EXPECT_EQ(refused(state), APLOMB_BAD_ARGUMENT);
    EXPECT_NE(std::string(error.message).find("of another figure"), std::string::npos) << error.message;
    aplomb_step_state newer = state;
    newer.version = 99;
    EXPECT_EQ(refused(newer), APLOMB_WRONG_VERSION);
    state = aplomb_step_state{};
    EXPECT_EQ(refused(state), APLOMB_OK); // a character that changes its figure starts anew
}

TEST_F(Steps, AFailureLeavesTheLastGoodCorrection) {
    const lay::Pose pose = stand();
    lay::Pose broken = pose;
    broken.rotations[5] = std::nan("");
    const aplomb_load load = box(25);
    aplomb_situation s = pose.situation(), bad = broken.situation();
    s.loads = &load, s.load_count = 1;
    step(pose.situation());
    for (int i = 0; i < 5; ++i)
        step(s);
    const aplomb_step_state before = state;
    aplomb_step_state twin = state;
    Written w = written();
    const Written untouched = w;
    aplomb_error error{};
    for (int i = 0; i < 10; ++i)
        EXPECT_EQ(aplomb_step(solver.get(), &state, &bad, nullptr, nullptr, &frame, w.translations.data(),
                              w.rotations.data(), &w.result, &error),
                  APLOMB_BAD_POSE);
    EXPECT_STREQ(error.field, "rotations");
    EXPECT_TRUE(same_pose(w, untouched));
    EXPECT_TRUE(same_state(state, before));
    EXPECT_TRUE(same_pose(step(s), step(make_solver(figure.get()).get(), twin, s)));
    // The same for a pose that is shown ahead.
    const aplomb_step_state after = state;
    frame.ahead_translations = broken.translations.data(), frame.ahead_rotations = broken.rotations.data();
    lay::Pose aside = pose;
    const aplomb_situation moved = aside.move(.01, 0, 0).situation();
    EXPECT_EQ(aplomb_step(solver.get(), &state, &moved, nullptr, nullptr, &frame, w.translations.data(),
                          w.rotations.data(), &w.result, &error),
              APLOMB_BAD_POSE);
    EXPECT_EQ(std::string(error.message).rfind("ahead: ", 0), 0u) << error.message;
    EXPECT_TRUE(same_state(state, after));
}

TEST_F(Steps, ATensionIsAForce) {
    const lay::Pose pose = stand();
    aplomb_load loads[2] = {box(25), box(5)};
    loads[1].hanging = 1, loads[1].hang = .3;
    aplomb_situation s = pose.situation();
    s.loads = loads, s.load_count = 2;
    double tensions[6] = {std::nan(""), 0, 0, 0, 50, std::nan("")}; // of what does not hang it is not read
    frame.tensions = tensions;
    const aplomb_step_state before = state;
    Written w = written();
    const Written untouched = w;
    aplomb_error error{};
    EXPECT_EQ(aplomb_step(solver.get(), &state, &s, nullptr, nullptr, &frame, w.translations.data(),
                          w.rotations.data(), &w.result, &error),
              APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.field, "tensions");
    EXPECT_EQ(error.index, 1);
    EXPECT_TRUE(same_pose(w, untouched));
    EXPECT_TRUE(same_state(state, before));
    tensions[5] = 0;
    EXPECT_GE(aplomb_step(solver.get(), &state, &s, nullptr, nullptr, &frame, w.translations.data(),
                          w.rotations.data(), &w.result, &error),
              0);
}

TEST_F(Steps, MotionInTheSituationIsTheLoopsOwn) {
    const lay::Pose pose = stand();
    const aplomb_load load = box(15);
    aplomb_situation s = pose.situation(), moved = s;
    s.loads = moved.loads = &load, s.load_count = moved.load_count = 1;
    moved.com_acceleration[2] = 3, moved.angular_momentum_rate[0] = 50;
    aplomb_step_state other{};
    EXPECT_TRUE(same_pose(step(s), step(solver.get(), other, moved)));
}

TEST_F(Steps, EachGroupHasItsAmount) {
    const lay::Pose pose = stand();
    const aplomb_load load = box(15);
    aplomb_situation s = pose.situation();
    s.loads = &load, s.load_count = 1;
    aplomb_options options;
    aplomb_options_init(&options, sizeof options);
    options.heft = 0, options.amount_spine = 0.5;
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
            EXPECT_TRUE(same_pose(out[i], still(situations[i], 1))) << i;
    }
}

TEST_F(Steps, ACrowdStepsWithASolverToAThread) {
    constexpr int count = 40;
    const lay::Pose pose = stand();
    std::vector<aplomb_load> loads;
    for (int i = 0; i < count; ++i)
        loads.push_back(box(i));
    const SolverHandle half[2] = {make_solver(figure.get()), make_solver(figure.get())};
    std::vector<aplomb_step_state> states(count), alone(count);
    int32_t threads = 2;
    for (int f = 0; f < 8; ++f) {
        std::vector<aplomb_situation> situations(count, pose.situation());
        std::vector<Written> out(count, written());
        std::vector<aplomb_job> jobs(count);
        for (size_t i = 0; i < count; ++i) {
            situations[i].loads = &loads[(i + static_cast<size_t>(f / 4)) % count],
            situations[i].load_count = 1;
            jobs[i] = aplomb_job{};
            jobs[i].solver = half[2 * i / count].get();
            jobs[i].state = &states[i], jobs[i].frame = &frame, jobs[i].situation = &situations[i];
            jobs[i].translations = out[i].translations.data(), jobs[i].rotations = out[i].rotations.data();
        }
        EXPECT_GE(aplomb_balance_many(jobs.data(), count, aplomb_run_on_threads, &threads, nullptr), 0);
        for (size_t i = 0; i < count; ++i)
            EXPECT_TRUE(same_pose(out[i], step(solver.get(), alone[i], situations[i]))) << i;
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

// SPDX-License-Identifier: MIT
// The loop over a motion, and what is measured on the way.
#pragma once

#include <ctime>
#include <functional>

#include "motion.h"
#include "step/memory.h"

namespace motion {

struct DestroySolver {
    void operator()(aplomb_solver* solver) const { aplomb_solver_destroy(solver); }
};
using SolverHandle = std::unique_ptr<aplomb_solver, DestroySolver>;

inline SolverHandle make_solver(const aplomb_figure* figure) {
    aplomb_solver* solver = nullptr;
    if (aplomb_solver_create(figure, nullptr, &solver, nullptr)) throw std::runtime_error("no solver");
    return SolverHandle(solver);
}

inline double thread_microseconds() {
    timespec now;
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
    return 1e6 * static_cast<double>(now.tv_sec) + 1e-3 * static_cast<double>(now.tv_nsec);
}

/// One frame's outcome; metres and world axes.
struct Outcome {
    aplomb_status status = APLOMB_OK;
    Frame written;
    aplomb_result result{};
    Vec3 shift; // of the hips from the key
    aplomb::Vec3 turn;
    double microseconds = 0;
    bool stands[aplomb::most_feet] = {};
    Vec3 need, lag;
};

/// A character on its way.
class Character {
public:
    explicit Character(const Motion& motion) : motion_(motion), solver_(make_solver(motion.figure)) {
        aplomb_figure_info_init(&info_, sizeof info_);
        aplomb_figure_describe(motion.figure, &info_, nullptr);
        aplomb_frame_init(&frame, sizeof frame);
        frame.seconds = motion.seconds;
        aplomb_pace_init(&pace, sizeof pace);
    }

    Outcome step(const Frame& keyed, const std::vector<aplomb_load>& loads = {},
                 const std::vector<aplomb_contact>* contacts = nullptr) {
        aplomb_situation s;
        aplomb_situation_init(&s, sizeof s);
        s.translations = keyed.translations.data(), s.rotations = keyed.rotations.data();
        s.loads = loads.data(), s.load_count = static_cast<int32_t>(loads.size());
        if (contacts) s.contacts = contacts->data(), s.contact_count = static_cast<int32_t>(contacts->size());
        Outcome o;
        o.written = keyed;
        aplomb_result_init(&o.result, sizeof o.result);
        const double start = thread_microseconds();
        o.status = aplomb_step(solver_.get(), &state, &s, nullptr, &pace, &frame,
                               o.written.translations.data(), o.written.rotations.data(), &o.result, &error);
        o.microseconds = thread_microseconds() - start;
        aplomb::Quat was, is;
        const Vec3 from = motion_.placed(keyed, info_.hips, was),
                   to = motion_.placed(o.written, info_.hips, is);
        o.shift = (to - from) * motion_.unit;
        o.turn = aplomb::log_rotation(is * aplomb::conjugate(was));
        aplomb::StepMemory memory;
        std::memcpy(static_cast<void*>(&memory), state.numbers, sizeof memory);
        for (int k = 0; k < aplomb::most_feet; ++k)
            o.stands[k] = memory.foot[k].standing > 0;
        o.need = memory.need.aim, o.lag = memory.lag.aim;
        return o;
    }

    double leg() const { return info_.leg_length * motion_.unit; }

    aplomb_step_state state{};
    aplomb_frame frame;
    aplomb_pace pace;
    aplomb_error error{};

private:
    const Motion& motion_;
    SolverHandle solver_;
    aplomb_figure_info info_;
};

inline std::vector<Outcome> run(const Motion& motion, const std::vector<aplomb_load>& loads = {}) {
    Character character(motion);
    std::vector<Outcome> out;
    for (const Frame& frame : motion.frames)
        out.push_back(character.step(frame, loads));
    return out;
}

/// The level direction in which the hips travel over the whole motion; forward of the world where they stay.
inline void travel_axes(const Motion& m, const Vec3& up, Vec3& along, Vec3& aside) {
    Vec3 way = aplomb::reject(m.place(m.frames.size() - 1) - m.place(0), up);
    if (aplomb::norm(way) < 0.3) way = aplomb::any_perpendicular(up);
    along = aplomb::normalized(way);
    aside = aplomb::cross(up, along);
}

struct Range {
    double low = 1e30, high = -1e30;
    void add(double v) { low = std::fmin(low, v), high = std::fmax(high, v); }
    double size() const { return high > low ? high - low : 0; }
};

/// Turning points whose way back is more than `least`.
inline int reversals(const std::vector<double>& values, double least) {
    int count = 0, direction = 0;
    double extreme = values.empty() ? 0 : values[0];
    for (const double v : values) {
        if (direction == 0) {
            if (std::fabs(v - extreme) > least) direction = v > extreme ? 1 : -1, extreme = v;
            continue;
        }
        if ((v - extreme) * direction > 0) extreme = v;
        if ((extreme - v) * direction > least) direction = -direction, extreme = v, ++count;
    }
    return count;
}

} // namespace motion

// SPDX-License-Identifier: MIT
// Thin C++20 wrapper over aplomb.h: ownership, spans, and an exception where the C call returns a negative status.
// It adds nothing of its own; every promise and unit is the C header's.
#pragma once

#include <aplomb/aplomb.h>

#ifndef __cpp_concepts // of C++20; std::span is as old
#error "aplomb.hpp needs C++20: compile with -std=c++20, in CMake set CMAKE_CXX_STANDARD to 20."
#else
#include <memory>
#include <span>
#include <stdexcept>
#include <string>
#include <vector>

namespace aplomb {

/// A negative status, with its sentence.
class Error : public std::runtime_error {
public:
    explicit Error(const aplomb_error& error) : std::runtime_error(error.message), detail(error) {}
    aplomb_error detail;
};

/// Throws where `status` is negative; else gives it back.
inline aplomb_status check(aplomb_status status, const aplomb_error& error) {
    if (status < 0) throw Error(error);
    return status;
}

struct Pose {
    std::vector<double> translations, rotations; // 3 and 4 per joint

    explicit Pose(int32_t joints = 0)
        : translations(3 * static_cast<size_t>(joints)), rotations(4 * static_cast<size_t>(joints)) {}
};

inline aplomb_figure_desc figure_desc() {
    aplomb_figure_desc desc;
    aplomb_figure_desc_init(&desc, sizeof desc);
    return desc;
}

inline aplomb_options options() {
    aplomb_options made;
    aplomb_options_init(&made, sizeof made);
    return made;
}

class Figure {
public:
    explicit Figure(const aplomb_figure_desc& desc, const aplomb_allocator* allocator = nullptr) {
        aplomb_figure* made = nullptr;
        aplomb_error error{};
        check(aplomb_figure_create(&desc, allocator, &made, &error), error);
        m_handle.reset(made);
    }

    const aplomb_figure* get() const { return m_handle.get(); }
    int32_t joint_count() const { return aplomb_figure_joint_count(get()); }
    int32_t find(const std::string& name) const { return aplomb_figure_find_joint(get(), name.c_str()); }
    int32_t find(aplomb_role role, aplomb_side side) const {
        return aplomb_figure_find_role(get(), role, side);
    }
    /// At "hands", "left-hand", "right-hand", "back" or a joint's name.
    aplomb_load load(double mass, const std::string& place) const {
        aplomb_load made;
        aplomb_error error{};
        check(aplomb_load_at(get(), mass, place.c_str(), &made, &error), error);
        return made;
    }
    Pose rest_pose() const {
        Pose pose(joint_count());
        aplomb_figure_rest_pose(get(), pose.translations.data(), pose.rotations.data());
        return pose;
    }

private:
    struct Destroy {
        void operator()(aplomb_figure* figure) const { aplomb_figure_destroy(figure); }
    };
    std::unique_ptr<aplomb_figure, Destroy> m_handle;
};

/// The keyed pose, stance and loads; they must outlive it.
inline aplomb_situation situation(const Pose& pose, std::span<const aplomb_load> loads = {},
                                  std::span<const aplomb_contact> contacts = {}) {
    aplomb_situation made;
    aplomb_situation_init(&made, sizeof made);
    made.translations = pose.translations.data();
    made.rotations = pose.rotations.data();
    made.loads = loads.data();
    made.load_count = static_cast<int32_t>(loads.size());
    made.contacts = contacts.data();
    made.contact_count = static_cast<int32_t>(contacts.size());
    return made;
}

struct Correction {
    aplomb_status status; // 0 in balance, > 0 read the result first
    Pose pose;
    aplomb_result result;
};

/// One thread's working memory; the figure must outlive it.
class Solver {
public:
    explicit Solver(const Figure& figure, const aplomb_allocator* allocator = nullptr)
        : m_joints(figure.joint_count()) {
        aplomb_solver* made = nullptr;
        aplomb_error error{};
        check(aplomb_solver_create(figure.get(), allocator, &made, &error), error);
        m_handle.reset(made);
    }

    aplomb_solver* get() const { return m_handle.get(); }
    Correction balance(const aplomb_situation& keyed, const aplomb_options& wishes = options()) {
        Correction made{APLOMB_OK, Pose(m_joints), {}};
        aplomb_result_init(&made.result, sizeof made.result);
        aplomb_error error{};
        made.status = check(aplomb_balance(get(), &keyed, &wishes, made.pose.translations.data(),
                                           made.pose.rotations.data(), &made.result, &error),
                            error);
        return made;
    }
    aplomb_reading read(const aplomb_situation& keyed, const aplomb_options& wishes = options()) {
        aplomb_reading reading;
        aplomb_reading_init(&reading, sizeof reading);
        aplomb_error error{};
        check(aplomb_read(get(), &keyed, &wishes, &reading, &error), error);
        return reading;
    }

private:
    struct Destroy {
        void operator()(aplomb_solver* solver) const { aplomb_solver_destroy(solver); }
    };
    int32_t m_joints;
    std::unique_ptr<aplomb_solver, Destroy> m_handle;
};

} // namespace aplomb

#endif

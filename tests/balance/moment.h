// SPDX-License-Identifier: MIT
// One moment of one figure with everything that a call of aplomb_balance needs, and its answer.
#pragma once

#include <memory>
#include <vector>

#include "balance/kinematics.h"
#include "poses.h"

namespace own {

struct DestroySolver {
    void operator()(aplomb_solver* solver) const { aplomb_solver_destroy(solver); }
};
using SolverHandle = std::unique_ptr<aplomb_solver, DestroySolver>;

inline SolverHandle make_solver(const aplomb_figure* figure) {
    aplomb_solver* solver = nullptr;
    aplomb_error error{};
    if (aplomb_solver_create(figure, nullptr, &solver, &error)) throw std::runtime_error(error.message);
    return SolverHandle(solver);
}

inline aplomb_options default_options() {
    aplomb_options options;
    aplomb_options_init(&options, sizeof options);
    return options;
}

/// A figure, what is known of it, and a solver that all moments of a test share.
struct Character {
    explicit Character(lay::LayFigure given)
        : shape(std::move(given)), figure(shape.create()), bones(figure.get()),
          solver(make_solver(figure.get())) {}
    lay::Pose rest_pose() const { return lay::Pose(figure.get(), shape); }
    int32_t find(const std::string& joint) const { return shape.find(joint); }
    int32_t limb(const std::string& end) const {
        for (size_t i = 0; i < bones.limbs.size(); ++i) {
            if (bones.limbs[i].end == shape.find(end)) return static_cast<int32_t>(i);
        }
        throw std::runtime_error("no limb ends at " + end);
    }

    lay::LayFigure shape;
    lay::FigureHandle figure;
    Bones bones;
    SolverHandle solver;
};

struct Answer {
    aplomb_status status = APLOMB_OK;
    std::vector<double> translations, rotations;
    aplomb_result result{};
    aplomb_error error{};
    World world;
};

struct Moment {
    std::vector<double> translations, rotations;
    std::vector<aplomb_contact> contacts; // empty: the stance that the pose shows
    std::vector<aplomb_load> loads;
    std::vector<aplomb_pull> pulls;
    aplomb_options options = default_options();
    double gravity[3] = {0, 0, 0};
    double acceleration[3] = {0, 0, 0}, momentum_rate[3] = {0, 0, 0};

    Moment() = default;
    explicit Moment(const lay::Pose& pose) : translations(pose.translations), rotations(pose.rotations) {}

    aplomb_situation situation() const {
        aplomb_situation s;
        aplomb_situation_init(&s, sizeof s);
        s.translations = translations.data(), s.rotations = rotations.data();
        s.contacts = contacts.empty() ? nullptr : contacts.data();
        s.contact_count = static_cast<int32_t>(contacts.size());
        s.loads = loads.data(), s.load_count = static_cast<int32_t>(loads.size());
        s.pulls = pulls.data(), s.pull_count = static_cast<int32_t>(pulls.size());
        for (int i = 0; i < 3; ++i)
            s.gravity[i] = gravity[i], s.com_acceleration[i] = acceleration[i],
            s.angular_momentum_rate[i] = momentum_rate[i];
        return s;
    }
};

inline Answer balance(const Character& character, aplomb_solver* solver, const Moment& moment) {
    Answer a;
    a.translations.resize(moment.translations.size());
    a.rotations.resize(moment.rotations.size());
    aplomb_result_init(&a.result, sizeof a.result);
    const aplomb_situation situation = moment.situation();
    a.status = aplomb_balance(solver, &situation, &moment.options, a.translations.data(), a.rotations.data(),
                              &a.result, &a.error);
    if (a.status >= 0) a.world = character.bones.world(a.translations.data(), a.rotations.data());
    return a;
}

inline Answer balance(const Character& character, const Moment& moment) {
    return balance(character, character.solver.get(), moment);
}

inline aplomb_reading read(const Character& character, const Moment& moment) {
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    aplomb_error error{};
    const aplomb_situation situation = moment.situation();
    if (aplomb_read(character.solver.get(), &situation, &moment.options, &reading, &error) < 0)
        throw std::runtime_error(error.message);
    return reading;
}

/// The reading of a corrected pose.
inline aplomb_reading read(const Character& character, const Moment& moment, const Answer& answer) {
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    aplomb_error error{};
    const aplomb_situation situation = moment.situation();
    if (aplomb_read_corrected(character.solver.get(), &situation, &moment.options, answer.translations.data(),
                              answer.rotations.data(), &answer.result, &reading, &error) < 0)
        throw std::runtime_error(error.message);
    return reading;
}

} // namespace own

// SPDX-License-Identifier: MIT
// A lay figure in a pose of its own, read through the public API.
#pragma once

#include <cmath>
#include <stdexcept>
#include <string>
#include <vector>

#include "figures.h"

namespace lay {

inline constexpr double pi = 3.14159265358979323846;
inline constexpr double degree = pi / 180;

struct DestroySolver {
    void operator()(aplomb_solver* solver) const { aplomb_solver_destroy(solver); }
};

class Scene {
public:
    explicit Scene(LayFigure made = LayFigure::adult()) : lay(std::move(made)), figure(lay.create()) {
        aplomb_solver* created = nullptr;
        if (aplomb_solver_create(figure.get(), nullptr, &created, nullptr))
            throw std::runtime_error("no solver");
        solver.reset(created);
        translations.resize(static_cast<size_t>(3 * lay.count()));
        rotations.resize(static_cast<size_t>(4 * lay.count()));
        aplomb_figure_neutral_pose(figure.get(), translations.data(), rotations.data());
        aplomb_situation_init(&situation, sizeof situation);
    }

    /// Turns a joint by `angle` about one of its parent's axes: 0 left, 1 up, 2 forward.
    Scene& turn(const std::string& joint, int axis, double angle) {
        double* q = &rotations[static_cast<size_t>(4 * lay.find(joint))];
        double t[4] = {0, 0, 0, std::cos(angle / 2)};
        t[axis] = std::sin(angle / 2);
        const double r[4] = {t[3] * q[0] + t[0] * q[3] + t[1] * q[2] - t[2] * q[1],
                             t[3] * q[1] - t[0] * q[2] + t[1] * q[3] + t[2] * q[0],
                             t[3] * q[2] + t[0] * q[1] - t[1] * q[0] + t[2] * q[3],
                             t[3] * q[3] - t[0] * q[0] - t[1] * q[1] - t[2] * q[2]};
        std::copy(r, r + 4, q);
        return *this;
    }
    /// Bends the trunk by `angle` in all, evenly; positive forward.
    Scene& bend(double angle) {
        for (const char* joint : {"spine_1", "spine_2", "spine_3"})
            turn(joint, 0, angle / 3);
        return *this;
    }
    /// Leans the trunk to the right by `angle` in all.
    Scene& lean_right(double angle) {
        for (const char* joint : {"spine_1", "spine_2", "spine_3"})
            turn(joint, 2, angle / 3);
        return *this;
    }
    /// Thigh forward, knee bent: the foot leaves the ground.
    Scene& lift_foot(const std::string& side) {
        return turn(side + "_thigh", 0, -50 * degree).turn(side + "_shank", 0, 70 * degree);
    }
    Scene& load_in_front(double mass, double reach, double height = 0) {
        aplomb_load load = aplomb_load_make(mass, lay.find("spine_3"));
        load.offset[1] = height;
        load.offset[2] = reach;
        loads.push_back(load);
        return *this;
    }
    int32_t limb_of(const std::string& end) const {
        for (int32_t i = 0; i < aplomb_figure_limb_count(figure.get()); ++i) {
            aplomb_limb_info info;
            aplomb_limb_info_init(&info, sizeof info);
            aplomb_figure_limb(figure.get(), i, &info, nullptr);
            if (info.end == lay.find(end)) return i;
        }
        throw std::runtime_error("no limb ends in " + end);
    }
    Scene& contact(const std::string& end, aplomb_hold hold, aplomb_footing footing = APLOMB_FLAT) {
        aplomb_contact c = aplomb_contact_make(limb_of(end), hold);
        c.footing = footing;
        contacts.push_back(c);
        return *this;
    }
    /// Bearing points on the hips' joint, in its own frame.
    Scene& patch(const std::vector<double>& points) {
        aplomb_contact c = aplomb_contact_make(-1, APLOMB_BEARING);
        c.joint = lay.find("hips");
        c.points = points.data();
        c.point_count = static_cast<int32_t>(points.size() / 3);
        contacts.push_back(c);
        return *this;
    }

    aplomb_status try_read(aplomb_reading& reading, aplomb_error* error = nullptr) {
        fill();
        aplomb_reading_init(&reading, sizeof reading);
        return aplomb_read(solver.get(), &situation, nullptr, &reading, error);
    }
    aplomb_reading read() {
        aplomb_reading reading;
        aplomb_error error{};
        if (try_read(reading, &error)) throw std::runtime_error(error.message);
        return reading;
    }
    void fill() {
        situation.translations = translations.data();
        situation.rotations = rotations.data();
        situation.contacts = contacts.empty() ? nullptr : contacts.data();
        situation.contact_count = static_cast<int32_t>(contacts.size());
        situation.loads = loads.data();
        situation.load_count = static_cast<int32_t>(loads.size());
        situation.pulls = pulls.data();
        situation.pull_count = static_cast<int32_t>(pulls.size());
    }

    LayFigure lay;
    FigureHandle figure;
    std::unique_ptr<aplomb_solver, DestroySolver> solver;
    std::vector<double> translations, rotations;
    std::vector<aplomb_contact> contacts;
    std::vector<aplomb_load> loads;
    std::vector<aplomb_pull> pulls;
    aplomb_situation situation;
};

inline std::string cues_of(const aplomb_reading& reading) {
    std::string all;
    for (int i = 0; i < reading.cue_count; ++i)
        all += std::string(reading.cues[i].text) + "\n";
    return all;
}
inline bool says(const aplomb_reading& reading, const std::string& words) {
    return cues_of(reading).find(words) != std::string::npos;
}

} // namespace lay

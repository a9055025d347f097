// SPDX-License-Identifier: MIT
// A recorded file with its figure, read frame by frame.
#pragma once

#include "aplomb/files.h"
#include "base/rotation.h"
#include "io/opened.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <cstring>
#include <memory>
#include <string>
#include <vector>

namespace recorded {

using aplomb::Quat;
using aplomb::Vec3;

struct DestroySolver {
    void operator()(aplomb_solver* solver) const { aplomb_solver_destroy(solver); }
};
using Solver = std::unique_ptr<aplomb_solver, DestroySolver>;

inline Solver solver_of(const aplomb_figure* figure) {
    aplomb_solver* solver = nullptr;
    EXPECT_EQ(aplomb_solver_create(figure, nullptr, &solver, nullptr), APLOMB_OK);
    return Solver(solver);
}

struct Pose {
    std::vector<double> translations, rotations;
    aplomb_situation situation() const {
        aplomb_situation s;
        aplomb_situation_init(&s, sizeof s);
        s.translations = translations.data(), s.rotations = rotations.data();
        return s;
    }
};

inline aplomb_reading read(aplomb_solver* solver, const aplomb_situation& situation) {
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    aplomb_error error{};
    EXPECT_EQ(aplomb_read(solver, &situation, nullptr, &reading, &error), APLOMB_OK) << error.message;
    return reading;
}

inline Vec3 vector(const double* p) {
    return {p[0], p[1], p[2]};
}

class Recording {
public:
    /// `metres_per_unit` 0: without help.
    explicit Recording(const std::string& file, double metres_per_unit = 0) {
        aplomb_character_options options;
        aplomb_character_options_init(&options, sizeof options);
        options.metres_per_unit = metres_per_unit;
        aplomb_character* opened = nullptr;
        aplomb_error error{};
        EXPECT_EQ(aplomb_character_open((made::reference / file).c_str(), &options, &opened, &error),
                  APLOMB_OK)
            << error.message;
        m_character.reset(opened);
        m_solver = solver_of(figure());
        m_joints = static_cast<std::size_t>(aplomb_figure_joint_count(figure()));
    }
    const aplomb_figure* figure() const { return aplomb_character_figure(m_character.get()); }
    aplomb_solver* solver() const { return m_solver.get(); }
    int32_t clips() const { return aplomb_character_clip_count(m_character.get()); }
    std::string clip_name(int32_t clip) const { return aplomb_character_clip_name(m_character.get(), clip); }
    aplomb_figure_info info() const {
        aplomb_figure_info info;
        aplomb_figure_info_init(&info, sizeof info);
        EXPECT_EQ(aplomb_figure_describe(figure(), &info, nullptr), APLOMB_OK);
        return info;
    }
    aplomb_limb_info limb(int32_t index) const {
        aplomb_limb_info info;
        aplomb_limb_info_init(&info, sizeof info);
        EXPECT_EQ(aplomb_figure_limb(figure(), index, &info, nullptr), APLOMB_OK);
        return info;
    }
    /// The body's centre of mass once more: the sum over joints of mass by place.
    Vec3 centre_of(const std::vector<double>& worlds) const {
        Vec3 sum{0, 0, 0};
        double mass = 0;
        for (std::size_t j = 0; j < m_joints; ++j) {
            aplomb_joint_info joint;
            aplomb_joint_info_init(&joint, sizeof joint);
            EXPECT_EQ(aplomb_figure_joint(figure(), static_cast<int32_t>(j), &joint, nullptr), APLOMB_OK);
            sum = sum + in_world(&worlds[16 * j], joint.centre) * joint.mass;
            mass += joint.mass;
        }
        return sum * (1 / mass);
    }
    bool has(aplomb_role role, aplomb_side side = APLOMB_SIDE_FROM_NAME) const {
        return aplomb_figure_find_role(figure(), role, side) >= 0;
    }
    std::vector<double> times(int32_t clip = 0) const {
        std::vector<double> seconds(
            static_cast<std::size_t>(aplomb_character_key_times(m_character.get(), clip, nullptr, 0)));
        aplomb_character_key_times(m_character.get(), clip, seconds.data(),
                                   static_cast<int32_t>(seconds.size()));
        return seconds;
    }
    Pose pose(int32_t clip, double seconds) const {
        Pose pose{std::vector<double>(3 * m_joints), std::vector<double>(4 * m_joints)};
        aplomb_error error{};
        EXPECT_EQ(aplomb_character_pose(m_character.get(), clip, seconds, pose.translations.data(),
                                        pose.rotations.data(), &error),
                  APLOMB_OK)
            << error.message;
        return pose;
    }
    /// Column-major world matrices, one joint after another.
    std::vector<double> worlds(const Pose& pose) const {
        std::vector<double> matrices(16 * m_joints);
        EXPECT_EQ(aplomb_pose_to_matrices(figure(), pose.translations.data(), pose.rotations.data(),
                                          matrices.data(), APLOMB_DOUBLE, 16 * sizeof(double), APLOMB_WORLD,
                                          nullptr),
                  APLOMB_OK);
        return matrices;
    }
    /// The limb's sole as it lies in the world.
    std::vector<Vec3> sole(const std::vector<double>& worlds, int32_t index) const {
        const aplomb_limb_info foot = limb(index);
        std::vector<Vec3> points;
        for (std::size_t k = 0; k < static_cast<std::size_t>(foot.sole_point_count); ++k) {
            const double* matrix = &worlds[16 * static_cast<std::size_t>(foot.sole_joint[k])];
            points.push_back(in_world(matrix, foot.sole_points[k]));
        }
        return points;
    }
    /// The limbs that are legs: left, right.
    std::vector<int32_t> legs() const {
        std::vector<int32_t> found;
        for (const aplomb_side side : {APLOMB_SIDE_LEFT, APLOMB_SIDE_RIGHT})
            for (int32_t i = 0; i < aplomb_figure_limb_count(figure()); ++i)
                if (limb(i).kind == APLOMB_LEG && limb(i).side == side) found.push_back(i);
        return found;
    }

private:
    made::Character m_character;
    Solver m_solver;
    std::size_t m_joints = 0;

    static Vec3 in_world(const double* m, const double* p) {
        return {m[0] * p[0] + m[4] * p[1] + m[8] * p[2] + m[12],
                m[1] * p[0] + m[5] * p[1] + m[9] * p[2] + m[13],
                m[2] * p[0] + m[6] * p[1] + m[10] * p[2] + m[14]};
    }
};

/// The feet that bear, with their whole soles, whatever part of them the pose shows as touching.
inline aplomb_reading read_flat(const Recording& recording, const Pose& pose, std::vector<int32_t> limbs) {
    std::vector<aplomb_contact> contacts;
    for (const int32_t limb : limbs)
        contacts.push_back(aplomb_contact_make(limb, APLOMB_BEARING));
    aplomb_situation situation = pose.situation();
    situation.contacts = contacts.data();
    situation.contact_count = static_cast<int32_t>(contacts.size());
    return read(recording.solver(), situation);
}

/// Facts of SOURCES.md; rows before `first` are an added T-pose and the way out of it.
struct Clip {
    const char* file;
    double metres_per_unit;
    std::size_t frames, first;
};
inline const Clip clips[] = {
    {"clips/cmu_02_01.bvh", 0.056444, 344, 1},         {"clips/cmu_02_03.bvh", 0.056444, 174, 1},
    {"clips/cmu_02_04.bvh", 0.056444, 484, 1},         {"clips/cmu_02_06.bvh", 0.056444, 2236, 1},
    {"clips/cmu_03_01.bvh", 0.056444, 433, 1},         {"clips/cmu_05_03.bvh", 0.056444, 435, 1},
    {"clips/cmu_06_01.bvh", 0.056444, 495, 1},         {"clips/cmu_07_04.bvh", 0.056444, 450, 1},
    {"clips/cmu_12_01_other_rig.bvh", 0.01, 524, 10},  {"clips/cmu_13_11_other_rig.bvh", 0.01, 416, 10},
    {"clips/cmu_13_35_other_rig.bvh", 0.01, 1202, 10}, {"clips/zombie_z_up.bvh", 0.0396, 779, 0},
    {"poses/cmu115_lift_poses.bvh", 0.056444, 7, 0},
};
inline const Clip& clip(const std::string& part) {
    return *std::find_if(std::begin(clips), std::end(clips),
                         [&](const Clip& c) { return std::string(c.file).find(part) != std::string::npos; });
}

} // namespace recorded

// SPDX-License-Identifier: MIT
// The recorded gait's model as one of our figures.
#pragma once

#include "gait_model.h"

namespace recorded {

/// The model as one of our figures: its masses, centres and inertias, soles between its foot markers.
class GaitFigure {
public:
    explicit GaitFigure(const Model& model) {
        const std::vector<Frame> rest = model.place([](const std::string&) { return 0.0; });
        std::vector<int32_t> parents, roles, sides;
        std::vector<const char*> names;
        std::vector<double> translations, masses, centres, inertias;
        for (std::size_t i = 0; i < model.segments.size(); ++i) {
            const Segment& s = model.segments[i];
            const Vec3 from =
                s.parent < 0 ? Vec3{0, 0, 0} : rest[static_cast<std::size_t>(s.parent)].position;
            const Vec3 t = rest[i].position - from;
            parents.push_back(s.parent), names.push_back(s.name.c_str());
            translations.insert(translations.end(), {t.x, t.y, t.z});
            masses.push_back(s.mass);
            centres.insert(centres.end(), {s.centre.x, s.centre.y, s.centre.z});
            inertias.insert(inertias.end(), s.inertia.begin(), s.inertia.end());
            roles.push_back(role_of(s.name));
            sides.push_back(s.name.ends_with("_l")   ? APLOMB_SIDE_LEFT
                            : s.name.ends_with("_r") ? APLOMB_SIDE_RIGHT
                                                     : APLOMB_SIDE_MIDDLE);
        }
        const Soles soles(model);
        aplomb_figure_desc desc;
        aplomb_figure_desc_init(&desc, sizeof desc);
        desc.joint_count = static_cast<int32_t>(parents.size());
        desc.parents = parents.data(), desc.translations = translations.data(), desc.names = names.data();
        desc.roles = roles.data(), desc.sides = sides.data();
        desc.forward_axis = APLOMB_AXIS_X;
        desc.masses = masses.data(), desc.centres = centres.data(), desc.inertias = inertias.data();
        desc.soles = soles.patches, desc.sole_count = 2;
        aplomb_error error{};
        EXPECT_EQ(aplomb_figure_create(&desc, nullptr, &m_figure, &error), APLOMB_OK) << error.message;
        m_solver = solver_of(m_figure);
    }
    ~GaitFigure() {
        m_solver.reset();
        aplomb_figure_destroy(m_figure);
    }
    GaitFigure(const GaitFigure&) = delete;
    GaitFigure& operator=(const GaitFigure&) = delete;

    const aplomb_figure* figure() const { return m_figure; }
    aplomb_solver* solver() const { return m_solver.get(); }
    Pose pose(const std::vector<Frame>& frames) const {
        std::vector<double> matrices;
        for (const Frame& f : frames) {
            for (const Vec3& axis : {Vec3{1, 0, 0}, Vec3{0, 1, 0}, Vec3{0, 0, 1}}) {
                const Vec3 c = rotate(f.turn, axis);
                matrices.insert(matrices.end(), {c.x, c.y, c.z, 0});
            }
            matrices.insert(matrices.end(), {f.position.x, f.position.y, f.position.z, 1});
        }
        Pose pose{std::vector<double>(3 * frames.size()), std::vector<double>(4 * frames.size())};
        aplomb_error error{};
        EXPECT_EQ(aplomb_pose_from_matrices(m_figure, matrices.data(), APLOMB_DOUBLE, 16 * sizeof(double),
                                            APLOMB_WORLD, pose.translations.data(), pose.rotations.data(),
                                            &error),
                  APLOMB_OK)
            << error.message;
        return pose;
    }

private:
    aplomb_figure* m_figure = nullptr;
    Solver m_solver;

    /// Left and right, as the markers on the shoes bound them.
    struct Soles {
        std::vector<double> points[2];
        aplomb_patch patches[2];
        explicit Soles(const Model& model) {
            for (std::size_t side = 0; side < 2; ++side) {
                for (const char* name : {".Heel", ".Midfoot.Lat", ".Toe.Lat", ".Toe.Tip", ".Toe.Med"}) {
                    const Vec3 p = model.marker((side == 0 ? "L" : "R") + std::string(name));
                    points[side].insert(points[side].end(), {p.x, 0, p.z});
                }
                patches[side] = {model.find(side == 0 ? "calcn_l" : "calcn_r"), 5, points[side].data()};
            }
        }
    };
    static int32_t role_of(const std::string& name) {
        const std::pair<const char*, aplomb_role> roles[] = {
            {"pelvis", APLOMB_ROLE_HIPS}, {"femur", APLOMB_ROLE_THIGH},  {"tibia", APLOMB_ROLE_SHANK},
            {"talus", APLOMB_ROLE_FOOT},  {"calcn", APLOMB_ROLE_HELPER}, {"toes", APLOMB_ROLE_TOE},
            {"torso", APLOMB_ROLE_SPINE}};
        for (const auto& [start, role] : roles)
            if (name.starts_with(start)) return role;
        ADD_FAILURE() << name;
        return APLOMB_ROLE_HELPER;
    }
};

/// Segments by the angles of the .mot at a time.
inline std::vector<Frame> by_angles(const Model& model, const Table& angles, double time) {
    return model.place([&](const std::string& name) {
        const double value = angles.value(time, name);
        const bool length = name == "pelvis_tx" || name == "pelvis_ty" || name == "pelvis_tz";
        return length ? value : value * aplomb::degree;
    });
}

} // namespace recorded

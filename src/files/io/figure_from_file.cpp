// SPDX-License-Identifier: MIT
#include "io/figure_from_file.h"

#include "io/fault.h"
#include "io/skin.h"

#include <algorithm>
#include <cmath>

namespace aplomb::io {
namespace {

/// The arrays that aplomb_figure_desc points to.
struct Arrays {
    std::vector<int32_t> parents, roles, sides;
    std::vector<double> translations, rotations, tips, masses, centres, inertias, limits;
    std::vector<const char*> names;
    std::vector<aplomb_patch> soles;
    std::vector<double> positions, weights; // of the skin
    std::vector<int32_t> influences;
};

void append(std::vector<double>& list, const Vec3& v) {
    list.insert(list.end(), {v.x, v.y, v.z});
}

/// The skin in the pose that the figure is measured in.
void add_skin(const CharacterFile& file, const Pose& pose, Arrays& arrays) {
    const Skin* skin = file.skin();
    if (skin == nullptr) return;
    for (const Vec3& place : skinned(*skin, file.joints(), pose))
        append(arrays.positions, place);
    for (std::size_t v = 0; v < skin->bound.size(); ++v) {
        for (const int bone : skin->influences[v])
            arrays.influences.push_back(bone < 0 ? -1 : skin->bones[static_cast<std::size_t>(bone)].joint);
        arrays.weights.insert(arrays.weights.end(), skin->weights[v].begin(), skin->weights[v].end());
    }
}

Arrays arrays_of(const CharacterFile& file, const Description& description, const Pose& pose) {
    Arrays arrays;
    for (std::size_t i = 0; i < file.joints().size(); ++i) {
        const SkeletonJoint& joint = file.joints()[i];
        const JointDescription& given = description.joints[i];
        const Quat& q = pose.rotations[i];
        arrays.parents.push_back(joint.parent);
        arrays.names.push_back(joint.name.c_str());
        arrays.roles.push_back(given.role);
        arrays.sides.push_back(given.side);
        append(arrays.translations, pose.translations[i]);
        arrays.rotations.insert(arrays.rotations.end(), {q.x, q.y, q.z, q.w});
        append(arrays.tips, joint.tip);
        for (std::size_t k = 0; k < 6; ++k)
            arrays.limits.push_back(given.limits ? (*given.limits)[k] : unknown);
    }
    for (const SoleDescription& sole : description.soles)
        arrays.soles.push_back(
            {sole.joint, static_cast<int32_t>(sole.points.size() / 3), sole.points.data()});
    return arrays;
}

FigurePointer create(const CharacterFile& file, const Arrays& arrays, const Description& description) {
    aplomb_figure_desc desc;
    aplomb_figure_desc_init(&desc, sizeof desc);
    desc.joint_count = static_cast<int32_t>(arrays.parents.size());
    desc.parents = arrays.parents.data();
    desc.translations = arrays.translations.data();
    desc.rotations = arrays.rotations.data();
    desc.names = arrays.names.data();
    desc.roles = arrays.roles.data();
    desc.sides = arrays.sides.data();
    desc.tips = arrays.tips.data();
    desc.metres_per_unit = description.metres_per_unit;
    desc.up_axis = description.up;
    desc.forward_axis = description.forward;
    desc.mass_table = description.mass_table;
    desc.total_mass = description.total_mass;
    if (!arrays.masses.empty()) {
        desc.masses = arrays.masses.data();
        desc.centres = arrays.centres.data();
        desc.inertias = arrays.inertias.data();
    }
    desc.limits = arrays.limits.data();
    desc.soles = arrays.soles.data();
    desc.sole_count = static_cast<int32_t>(arrays.soles.size());
    aplomb_skin skin{};
    if (const Skin* own = file.skin()) {
        skin = {static_cast<int32_t>(own->bound.size()),
                static_cast<int32_t>(own->triangles.size() / 3),
                arrays.positions.data(),
                arrays.influences.data(),
                arrays.weights.data(),
                own->triangles.data()};
        desc.skin = &skin;
    }
    aplomb_figure* figure = nullptr;
    aplomb_error error{};
    const aplomb_status status = aplomb_figure_create(&desc, nullptr, &figure, &error);
    if (status != APLOMB_OK) throw Fault{status, error.message, error.field, error.index};
    return FigurePointer(figure);
}

aplomb_joint_info joint_info(const aplomb_figure& figure, int32_t joint) {
    aplomb_joint_info info;
    aplomb_joint_info_init(&info, sizeof info);
    aplomb_figure_joint(&figure, joint, &info, nullptr);
    return info;
}

aplomb_figure_info figure_info(const aplomb_figure& figure) {
    aplomb_figure_info info;
    aplomb_figure_info_init(&info, sizeof info);
    aplomb_figure_describe(&figure, &info, nullptr);
    return info;
}

bool has_mass(const JointDescription& joint) {
    return joint.mass || joint.centre || joint.inertia;
}

/// Puts the given masses over those that `base` has from the table.
void add_masses(const Description& description, const aplomb_figure& base, Arrays& arrays) {
    for (std::size_t i = 0; i < description.joints.size(); ++i) {
        const aplomb_joint_info info = joint_info(base, static_cast<int32_t>(i));
        const JointDescription& given = description.joints[i];
        arrays.masses.push_back(given.mass.value_or(info.mass));
        for (std::size_t k = 0; k < 3; ++k)
            arrays.centres.push_back(given.centre ? (*given.centre)[k] : info.centre[k]);
        for (std::size_t k = 0; k < 6; ++k)
            arrays.inertias.push_back(given.inertia ? (*given.inertia)[k] : info.inertia[k]);
    }
}

} // namespace

FigurePointer make_figure(const CharacterFile& file, const Description& description, const Pose& pose) {
    Arrays arrays = arrays_of(file, description, pose);
    add_skin(file, pose, arrays);
    FigurePointer figure = create(file, arrays, description);
    if (std::none_of(description.joints.begin(), description.joints.end(), has_mass)) return figure;
    add_masses(description, *figure, arrays);
    return create(file, arrays, description);
}

FigurePointer probe_figure(const CharacterFile& file, Description description, const Pose& pose) {
    description.metres_per_unit = 1;
    description.mass_table = APLOMB_MASS_DE_LEVA_MALE;
    description.total_mass = 0;
    description.soles.clear();
    try {
        Arrays arrays = arrays_of(file, description, pose);
        add_skin(file, pose, arrays);
        return create(file, arrays, description);
    } catch (const Fault& fault) {
        if (fault.status == APLOMB_OUT_OF_MEMORY) throw;
        return nullptr;
    }
}

double stature_of(const aplomb_figure& figure) {
    return figure_info(figure).stature;
}

Description describe_figure(const aplomb_figure& figure, const Description& given) {
    Description result = given;
    result.total_mass = figure_info(figure).total_mass;
    for (std::size_t i = 0; i < result.joints.size(); ++i) {
        const aplomb_joint_info info = joint_info(figure, static_cast<int32_t>(i));
        JointDescription& joint = result.joints[i];
        joint.role = info.role;
        joint.side = info.side;
        joint.mass = info.mass;
        joint.centre = {info.centre[0], info.centre[1], info.centre[2]};
        std::array<double, 6> inertia, limits;
        std::copy_n(info.inertia, 6, inertia.begin());
        std::copy_n(info.limits, 6, limits.begin());
        joint.inertia = inertia;
        joint.limits.reset();
        if (std::any_of(limits.begin(), limits.end(), [](double limit) { return std::isfinite(limit); }))
            joint.limits = limits;
    }
    return result;
}

} // namespace aplomb::io

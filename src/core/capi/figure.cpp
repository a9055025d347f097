// SPDX-License-Identifier: MIT
// aplomb_figure_*: creating a figure and asking it about itself.
#include "base/block.h"
#include "capi/handles.h"

#include "base/structs.h"
#include "figure/build.h"
#include "figure/frame.h"

using namespace aplomb;

namespace {

aplomb_figure_desc default_description() {
    aplomb_figure_desc desc{};
    desc.struct_size = sizeof desc;
    desc.metres_per_unit = 1;
    desc.up_axis = APLOMB_AXIS_Y;
    desc.forward_axis = APLOMB_AXIS_Z;
    return desc;
}

aplomb_status check_figure(const aplomb_figure* figure, aplomb_error* error) {
    if (figure) return APLOMB_OK;
    return fail(error, APLOMB_BAD_ARGUMENT, "figure", -1, "figure is NULL.");
}

aplomb_status check_index(const char* name, int32_t index, int32_t count, aplomb_error* error) {
    if (index >= 0 && index < count) return APLOMB_OK;
    return fail(error, APLOMB_BAD_ARGUMENT, name, index, "%s is %d; this figure has 0 to %d.", name, index,
                count - 1);
}

/// Turns an inertia from anatomical to host axes: R^T I R with R the frame's rotation.
void put_inertia(const Frame& frame, const Inertia& i, double* target) {
    const Mat3 r = axes_in(frame);
    const Mat3 ours = {{{i.xx, i.xy, i.xz}, {i.xy, i.yy, i.yz}, {i.xz, i.yz, i.zz}}};
    const Mat3 host = transpose(r) * ours * r;
    const double six[6] = {host.row[0].x, host.row[1].y, host.row[2].z,
                           host.row[0].y, host.row[0].z, host.row[1].z};
    for (int k = 0; k < 6; ++k)
        target[k] = six[k];
}

/// In the header's order: bend, twist, lean.
void put_spine_share(const Figure& figure, int32_t joint, double* target) {
    for (int32_t k = 0; k < figure.spine_count; ++k) {
        if (figure.spine[k].joint != joint) continue;
        const Vec3& share = figure.spine[k].share;
        target[0] = share.x;
        target[1] = share.y;
        target[2] = share.z;
    }
}

/// Which host axis one of the anatomical axes is.
int32_t axis_of(const Vec3& host) {
    int32_t axis = 0;
    for (int32_t k = 1; k < 3; ++k) {
        if (std::fabs(host[k]) > std::fabs(host[axis])) axis = k;
    }
    return host[axis] > 0 ? axis + 1 : -(axis + 1);
}

void put_sole_points(const Figure& figure, const Sole& sole, aplomb_limb_info& info) {
    info.sole_point_count = sole.point_count;
    for (int i = 0; i < max_sole_points; ++i) {
        const bool used = i < sole.point_count;
        info.sole_joint[i] = used ? sole.points[i].joint : -1;
        if (used) put(info.sole_points[i], length_out(figure.frame, sole.points[i].position));
    }
}

/// One joint of a pose, out to host units and axes.
void put_local(const Figure& figure, int32_t joint, const Vec3& translation, const Quat& rotation,
               double* translations, double* rotations) {
    const size_t i = static_cast<size_t>(joint);
    put(translations + 3 * i, length_out(figure.frame, translation));
    put(rotations + 4 * i, rotation_out(figure.frame, rotation));
}

bool same_text(const char* a, const char* b) {
    return std::strcmp(a, b) == 0;
}

} // namespace

void aplomb_figure_desc_init(aplomb_figure_desc* desc, size_t size) {
    init_struct(desc, size, default_description());
}
void aplomb_joint_info_init(aplomb_joint_info* info, size_t size) {
    init_struct(info, size, {});
}
void aplomb_limb_info_init(aplomb_limb_info* info, size_t size) {
    init_struct(info, size, {});
}
void aplomb_figure_info_init(aplomb_figure_info* info, size_t size) {
    init_struct(info, size, {});
}

aplomb_status aplomb_figure_create(const aplomb_figure_desc* desc, const aplomb_allocator* allocator,
                                   aplomb_figure** figure, aplomb_error* error) {
    if (!figure)
        return fail(error, APLOMB_BAD_ARGUMENT, "figure", -1, "figure is NULL; it takes the new figure.");
    *figure = nullptr;
    if (const auto s = check_struct(desc, "desc", error)) return s;
    if (const auto s = check_allocator(allocator, error)) return s;
    const auto take = [](Layout& layout) -> Figure* { return layout.take<aplomb_figure>(1); };
    Figure* built = nullptr;
    const aplomb_status status =
        build_figure(read_struct(desc, default_description()), allocator, take, &built, error);
    *figure = static_cast<aplomb_figure*>(built);
    return status;
}

void aplomb_figure_destroy(aplomb_figure* figure) {
    destroy_figure(figure);
}

int32_t aplomb_figure_joint_count(const aplomb_figure* figure) {
    return figure ? figure->joint_count : 0;
}

int32_t aplomb_figure_find_joint(const aplomb_figure* figure, const char* name) {
    if (!figure || !name || !name[0]) return -1;
    for (int32_t j = 0; j < figure->joint_count; ++j) {
        if (same_text(figure->joints[j].name, name)) return j;
    }
    return -1;
}

int32_t aplomb_figure_find_role(const aplomb_figure* figure, aplomb_role role, aplomb_side side) {
    if (!figure) return -1;
    for (int32_t j = 0; j < figure->joint_count; ++j) {
        const Joint& joint = figure->joints[j];
        if (joint.role == role && (side == APLOMB_SIDE_FROM_NAME || joint.side == side)) return j;
    }
    return -1;
}

aplomb_status aplomb_figure_joint(const aplomb_figure* figure, int32_t joint, aplomb_joint_info* info,
                                  aplomb_error* error) {
    if (const auto s = check_figure(figure, error)) return s;
    if (const auto s = check_index("joint", joint, figure->joint_count, error)) return s;
    if (const auto s = check_struct(info, "info", error)) return s;

    const Joint& from = figure->joints[joint];
    aplomb_joint_info full{};
    full.parent = from.parent;
    full.role = from.role;
    full.side = from.side;
    full.name = from.name;
    full.mass = from.mass;
    put(full.centre, length_out(figure->frame, from.centre));
    put_inertia(figure->frame, from.inertia, full.inertia);
    for (int axis = 0; axis < 3; ++axis) {
        full.limits[2 * axis] = from.limits.lowest[axis];
        full.limits[2 * axis + 1] = from.limits.highest[axis];
    }
    full.mass_origin = from.mass_origin;
    full.limit_origin = from.limit_origin;
    put_spine_share(*figure, joint, full.spine_share);
    write_struct(info, full);
    return APLOMB_OK;
}

int32_t aplomb_figure_limb_count(const aplomb_figure* figure) {
    return figure ? figure->limb_count : 0;
}

aplomb_status aplomb_figure_limb(const aplomb_figure* figure, int32_t limb, aplomb_limb_info* info,
                                 aplomb_error* error) {
    if (const auto s = check_figure(figure, error)) return s;
    if (const auto s = check_index("limb", limb, figure->limb_count, error)) return s;
    if (const auto s = check_struct(info, "info", error)) return s;

    const Limb& from = figure->limbs[limb];
    const double unit = figure->frame.metres_per_unit;
    aplomb_limb_info full{};
    full.kind = from.kind;
    full.side = from.side;
    full.upper = from.upper;
    full.lower = from.lower;
    full.end = from.end;
    full.toe = from.toe;
    full.length = from.length / unit;
    full.sole_length = from.sole.length / unit;
    full.sole_breadth = from.sole.breadth / unit;
    full.sole_origin = from.sole.origin;
    put(full.palm, length_out(figure->frame, from.palm));
    put_sole_points(*figure, from.sole, full);
    write_struct(info, full);
    return APLOMB_OK;
}

aplomb_status aplomb_figure_describe(const aplomb_figure* figure, aplomb_figure_info* info,
                                     aplomb_error* error) {
    if (const auto s = check_figure(figure, error)) return s;
    if (const auto s = check_struct(info, "info", error)) return s;

    const double unit = figure->frame.metres_per_unit;
    aplomb_figure_info full{};
    full.joint_count = figure->joint_count;
    full.limb_count = figure->limb_count;
    full.total_mass = figure->total_mass;
    full.stature = figure->stature / unit;
    full.leg_length = figure->leg_length / unit;
    full.metres_per_unit = unit;
    full.up_axis = axis_of(direction_out(figure->frame, {0, 1, 0}));
    full.forward_axis = axis_of(direction_out(figure->frame, {0, 0, 1}));
    full.hips = figure->hips;
    full.chest = figure->chest;
    full.head = figure->head;
    full.remark_count = figure->remark_count;
    full.mass_source = figure->mass_source;
    full.left_handed = figure->frame.left_handed;
    write_struct(info, full);
    return APLOMB_OK;
}

const char* aplomb_figure_doubt(const aplomb_figure* figure, int32_t index, int32_t* kind) {
    if (!figure || index < 0) return nullptr;
    for (int32_t i = 0; i < figure->remark_count; ++i) {
        const Remark& remark = figure->remarks[i];
        if (remark.doubt == APLOMB_DOUBT_NONE || index-- > 0) continue;
        if (kind) *kind = remark.doubt;
        return remark.text;
    }
    return nullptr;
}

const char* aplomb_figure_remark(const aplomb_figure* figure, int32_t index) {
    if (!figure || index < 0 || index >= figure->remark_count) return nullptr;
    return figure->remarks[index].text;
}

aplomb_status aplomb_figure_rest_pose(const aplomb_figure* figure, double* translations, double* rotations) {
    if (!figure || !translations || !rotations) return APLOMB_BAD_ARGUMENT;
    for (int32_t j = 0; j < figure->joint_count; ++j) {
        const Joint& joint = figure->joints[j];
        put_local(*figure, j, joint.rest_translation, joint.rest_rotation, translations, rotations);
    }
    return APLOMB_OK;
}

aplomb_status aplomb_figure_neutral_pose(const aplomb_figure* figure, double* translations,
                                         double* rotations) {
    if (!figure || !translations || !rotations) return APLOMB_BAD_ARGUMENT;
    for (int32_t j = 0; j < figure->joint_count; ++j) {
        const Joint& joint = figure->joints[j];
        Vec3 translation = joint.neutral_position;
        Quat rotation = joint.neutral;
        if (joint.parent >= 0) {
            const Joint& parent = figure->joints[joint.parent];
            const Quat to_parent = conjugate(parent.neutral);
            translation = rotate(to_parent, translation - parent.neutral_position);
            rotation = normalized(to_parent * rotation);
        }
        put_local(*figure, j, translation, rotation, translations, rotations);
    }
    return APLOMB_OK;
}

// SPDX-License-Identifier: MIT
#include "figure/build.h"

#include <cstdarg>
#include <cstdio>
#include <cstdlib>
#include <cstring>

#include "base/block.h"
#include "base/error.h"
#include "figure/description.h"
#include "figure/frame.h"
#include "figure/steps.h"

namespace aplomb {
namespace {

constexpr int32_t remark_capacity = 64;
constexpr size_t remark_room = 8192;
constexpr size_t block_alignment = alignof(std::max_align_t);

/// What the figure's one block of memory holds.
struct Parts {
    Figure* figure;
    Joint* joints;
    int32_t* order;
    Remark* remarks;
    char* remark_text;
    char* names;
};

size_t names_size(const aplomb_figure_desc& desc) {
    size_t size = 0;
    for (int32_t j = 0; desc.names && j < desc.joint_count; ++j) {
        if (desc.names[j]) size += std::strlen(desc.names[j]) + 1;
    }
    return size;
}

using Take = Figure* (*)(Layout&);

Parts lay_out(Layout& layout, const aplomb_figure_desc& desc, Take take) {
    Parts parts;
    parts.figure = take(layout);
    parts.joints = layout.take<Joint>(static_cast<size_t>(desc.joint_count));
    parts.order = layout.take<int32_t>(static_cast<size_t>(desc.joint_count));
    parts.remarks = layout.take<Remark>(remark_capacity);
    parts.remark_text = layout.take<char>(remark_room);
    parts.names = layout.take<char>(names_size(desc));
    return parts;
}

/// Memory that is needed during the build only.
struct BuildRoom {
    Vec3* translations;
    Quat* rotations;
    Placement* rest;
    bool* has_tip;
};

BuildRoom lay_out_room(Layout& layout, const aplomb_figure_desc& desc) {
    const size_t count = static_cast<size_t>(desc.joint_count);
    BuildRoom room;
    room.translations = layout.take<Vec3>(count);
    room.rotations = layout.take<Quat>(count);
    room.rest = layout.take<Placement>(count);
    room.has_tip = layout.take<bool>(count);
    return room;
}

Vec3 unit_of(int32_t axis) {
    Vec3 v;
    v[std::abs(axis) - 1] = axis > 0 ? 1.0 : -1.0;
    return v;
}

Frame frame_of(const aplomb_figure_desc& desc) {
    Frame frame = {desc.metres_per_unit, {}, desc.left_handed != 0};
    const Vec3 up = reflected(frame, unit_of(desc.up_axis)),
               forward = reflected(frame, unit_of(desc.forward_axis));
    frame.to_anatomical = to_quat(Mat3{{cross(up, forward), up, forward}});
    return frame;
}

void copy_joints(const aplomb_figure_desc& desc, const Parts& parts, const BuildRoom& room) {
    const Frame& frame = parts.figure->frame;
    char* name = parts.names;
    for (int32_t j = 0; j < desc.joint_count; ++j) {
        const size_t i = static_cast<size_t>(j);
        Joint& joint = parts.joints[j];
        joint.parent = joint.carrier = desc.parents[j];
        const double* t = desc.translations + 3 * i;
        joint.rest_translation = length_in(frame, {t[0], t[1], t[2]});
        if (const double* q = desc.rotations ? desc.rotations + 4 * i : nullptr)
            joint.rest_rotation = rotation_in(frame, normalized(Quat{q[0], q[1], q[2], q[3]}));
        const double* tip = desc.tips ? desc.tips + 3 * i : nullptr;
        room.has_tip[j] = tip && !std::isnan(tip[0]);
        if (room.has_tip[j]) joint.tip = length_in(frame, {tip[0], tip[1], tip[2]});
        if (desc.names && desc.names[j]) {
            const size_t size = std::strlen(desc.names[j]) + 1;
            std::memcpy(name, desc.names[j], size);
            joint.name = name;
            name += size;
        }
        room.translations[j] = joint.rest_translation;
        room.rotations[j] = joint.rest_rotation;
    }
}

aplomb_status run_steps(Draft& draft, aplomb_error* error) {
    if (const auto s = find_carriers(draft, error)) return s;
    if (const auto s = find_roles(draft, error)) return s;
    if (const auto s = find_limbs(draft, error)) return s;
    if (const auto s = build_neutral(draft, error)) return s;
    find_front(draft);
    if (const auto s = share_mass(draft, error)) return s;
    share_trunk(draft);
    if (const auto s = set_limits(draft, error)) return s;
    if (const auto s = set_soles(draft, error)) return s;
    find_doubts(draft);
    return check_sound(draft, error);
}

aplomb_status fill(const aplomb_figure_desc& desc, const Parts& parts, const BuildRoom& room,
                   aplomb_error* error) {
    Figure& figure = *parts.figure;
    figure.frame = frame_of(desc);
    figure.joint_count = desc.joint_count;
    figure.joints = parts.joints;
    figure.order = parts.order;
    figure.remarks = parts.remarks;
    copy_joints(desc, parts, room);
    place_joints(figure, {room.translations, room.rotations}, room.rest);

    Draft draft = {figure, desc, room.rest, room.has_tip};
    draft.remark_text = parts.remark_text;
    draft.remark_room = remark_room;
    draft.remark_capacity = remark_capacity;
    return run_steps(draft, error);
}

aplomb_status out_of_memory(size_t size, aplomb_error* error) {
    return fail(error, APLOMB_OUT_OF_MEMORY, "allocator", -1, "The allocator returned NULL for %zu bytes.",
                size);
}

} // namespace

void Draft::remark(const char* format, ...) {
    va_list values;
    va_start(values, format);
    add_remark(APLOMB_DOUBT_NONE, format, values);
    va_end(values);
}

void Draft::doubt(aplomb_doubt kind, const char* format, ...) {
    va_list values;
    va_start(values, format);
    add_remark(kind, format, values);
    va_end(values);
}

void Draft::add_remark(aplomb_doubt kind, const char* format, va_list values) {
    static const char more[] = "There were more remarks than there is room for.";
    if (figure.remark_count == remark_capacity) return;
    char* text = remark_text + remark_used;
    const size_t room = remark_room - remark_used;
    const int length = std::vsnprintf(text, room, format, values);
    const bool fits = length >= 0 && static_cast<size_t>(length) < room;
    if (!fits || figure.remark_count == remark_capacity - 1) {
        figure.remarks[figure.remark_count++] = {more};
        remark_capacity = figure.remark_count;
        return;
    }
    figure.remarks[figure.remark_count++] = {text, kind};
    remark_used += static_cast<size_t>(length) + 1;
}

aplomb_status build_figure(const aplomb_figure_desc& desc, const aplomb_allocator* allocator, Take take,
                           Figure** figure, aplomb_error* error) {
    *figure = nullptr;
    if (const auto s = check_description(desc, error)) return s;

    Layout measure, measure_scratch;
    lay_out(measure, desc, take);
    lay_out_room(measure_scratch, desc);
    const aplomb_allocator source = allocator_or_default(allocator);
    void* block = source.allocate(measure.used(), block_alignment, source.user);
    if (!block) return out_of_memory(measure.used(), error);
    void* scratch_block = source.allocate(measure_scratch.used(), block_alignment, source.user);
    if (!scratch_block) {
        source.deallocate(block, measure.used(), source.user);
        return out_of_memory(measure_scratch.used(), error);
    }

    Layout layout(block), scratch_layout(scratch_block);
    const Parts parts = lay_out(layout, desc, take);
    parts.figure->allocator = source;
    parts.figure->block_size = measure.used();
    const aplomb_status status = fill(desc, parts, lay_out_room(scratch_layout, desc), error);
    source.deallocate(scratch_block, measure_scratch.used(), source.user);
    if (status) {
        destroy_figure(parts.figure);
        return status;
    }
    *figure = parts.figure;
    return APLOMB_OK;
}

void destroy_figure(Figure* figure) {
    if (!figure) return;
    const aplomb_allocator source = figure->allocator;
    source.deallocate(figure, figure->block_size, source.user);
}

} // namespace aplomb

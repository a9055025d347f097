// SPDX-License-Identifier: MIT
#include "report/check.h"

#include <cmath>
#include <cstdio>
#include <limits>
#include <string>

#include "io/fault.h"

namespace aplomb::report {
namespace {

using io::Fault;

[[noreturn]] void refuse(aplomb_status status, const std::string& field, int index, std::string sentence) {
    throw Fault{status, std::move(sentence), field, index};
}
[[noreturn]] void refuse(const std::string& field, std::string sentence) {
    refuse(APLOMB_BAD_ARGUMENT, field, -1, std::move(sentence));
}

std::string shown(double value) {
    char text[32];
    std::snprintf(text, sizeof text, "%g", value);
    return text;
}

/// "before.rotations[7]"
std::string element(const std::string& field, int64_t index) {
    return field + '[' + std::to_string(index) + ']';
}

void check_finite(const double* values, int64_t count, const std::string& field, aplomb_status status) {
    for (int64_t i = 0; i < count; ++i)
        if (!std::isfinite(values[i]))
            refuse(status, field, static_cast<int>(i),
                   element(field, i) + " is " + shown(values[i]) + "; it must be finite.");
}

void check_turn(const double* q, const std::string& field, int index, const std::string& what,
                aplomb_status status) {
    const double length = std::sqrt(q[0] * q[0] + q[1] * q[1] + q[2] * q[2] + q[3] * q[3]);
    if (!(std::fabs(length - 1) <= 1e-4))
        refuse(status, field, index,
               field + ": " + what + " has length " + shown(length) + "; it must be 1.");
}

void check_size(uint32_t size, size_t expected, const std::string& field) {
    if (size != expected)
        refuse(APLOMB_WRONG_VERSION, field, -1,
               field + ": struct_size is " + std::to_string(size) + ", not " + std::to_string(expected) +
                   ". Set it up with its _init function.");
}

void check_count(int32_t count, int32_t most, const std::string& field) {
    if (count < 0 || count > most)
        refuse(field,
               field + " is " + std::to_string(count) + "; it must be 0 to " + std::to_string(most) + ".");
}

void check_reading(const aplomb_reading& reading, const std::string& field) {
    check_size(reading.struct_size, sizeof(aplomb_reading), field);
    check_count(reading.edge_count, APLOMB_MAX_EDGES, field + ".edge_count");
    check_count(reading.zone_count, APLOMB_MAX_EDGES, field + ".zone_count");
    check_count(reading.contact_count, APLOMB_MAX_CONTACTS, field + ".contact_count");
    check_count(reading.load_count, APLOMB_MAX_LOADS, field + ".load_count");
    check_count(reading.cue_count, APLOMB_MAX_CUES, field + ".cue_count");
    const auto finite = [&](const double* values, int64_t count, const char* name) {
        check_finite(values, count, field + name, APLOMB_BAD_ARGUMENT);
    };
    finite(reading.centre, 3, ".centre");
    finite(reading.body_centre, 3, ".body_centre");
    for (const auto& point : reading.line_of_action)
        finite(point, 3, ".line_of_action");
    for (int i = 0; i < reading.load_count; ++i)
        finite(reading.load_centre[i], 3, ".load_centre");
    if (reading.pressing == 0) return;
    finite(reading.balance_point, 3, ".balance_point");
    finite(reading.home, 3, ".home");
    finite(reading.tip_direction, 3, ".tip_direction");
    finite(&reading.margin, 1, ".margin");
    finite(&reading.margin_asked, 1, ".margin_asked");
    for (int i = 0; i < reading.edge_count; ++i)
        finite(reading.area[i], 3, ".area");
    for (int i = 0; i < reading.zone_count; ++i)
        finite(reading.zone[i], 3, ".zone");
}

void check_pose(const aplomb_drawn_pose& pose, const std::string& name, int32_t joints,
                const aplomb_mesh* mesh) {
    if (pose.translations == nullptr || pose.rotations == nullptr || pose.reading == nullptr)
        refuse(name, name + ": translations, rotations and reading are all needed; one is NULL.");
    check_finite(pose.translations, 3 * int64_t{joints}, name + ".translations", APLOMB_BAD_POSE);
    check_finite(pose.rotations, 4 * int64_t{joints}, name + ".rotations", APLOMB_BAD_POSE);
    for (int32_t j = 0; j < joints; ++j)
        check_turn(pose.rotations + 4 * j, name + ".rotations", j,
                   "the rotation of joint " + std::to_string(j), APLOMB_BAD_POSE);
    check_reading(*pose.reading, name + ".reading");
    if (pose.skin == nullptr) return;
    if (mesh == nullptr) refuse(name + ".skin", name + ".skin is given, but the picture's mesh is NULL.");
    check_finite(pose.skin, 3 * int64_t{mesh->vertex_count}, name + ".skin", APLOMB_BAD_ARGUMENT);
}

void check_mesh(const aplomb_picture& picture) {
    const aplomb_mesh& mesh = *picture.mesh;
    if (mesh.vertex_count < 1 || mesh.triangle_count < 1 || mesh.triangles == nullptr)
        refuse("mesh", "mesh: it has " + std::to_string(mesh.vertex_count) + " vertices and " +
                           std::to_string(mesh.triangle_count) + " triangles" +
                           (mesh.triangles == nullptr ? ", and triangles is NULL" : "") +
                           "; there must be at least one.");
    for (int64_t i = 0; i < 3 * int64_t{mesh.triangle_count}; ++i)
        if (mesh.triangles[i] < 0 || mesh.triangles[i] >= mesh.vertex_count)
            refuse(APLOMB_BAD_ARGUMENT, "mesh.triangles", static_cast<int>(i),
                   element("mesh.triangles", i) + " is " + std::to_string(mesh.triangles[i]) +
                       "; the mesh has vertices 0 to " + std::to_string(mesh.vertex_count - 1) + ".");
    if (picture.before.skin == nullptr && picture.after.skin == nullptr)
        refuse("before.skin", "before.skin is NULL, but the picture has a mesh; set both or neither.");
}

/// Pulls and patches are drawn at their joints, which must exist.
void check_touching(const aplomb_situation& situation, int32_t joints) {
    const auto check_joint = [joints](int32_t joint, const std::string& name, int32_t i) {
        if (joint < 0 || joint >= joints)
            refuse(APLOMB_BAD_ARGUMENT, name, i,
                   element(name, i) + ".joint is " + std::to_string(joint) + "; it must be 0 to " +
                       std::to_string(joints - 1) + ".");
    };
    check_count(situation.pull_count, APLOMB_MAX_PULLS, "situation.pull_count");
    if (situation.pulls == nullptr && situation.pull_count > 0)
        refuse("situation.pulls",
               "situation.pulls is NULL, but pull_count is " + std::to_string(situation.pull_count) + ".");
    for (int32_t i = 0; i < situation.pull_count; ++i) {
        check_joint(situation.pulls[i].joint, "situation.pulls", i);
        check_finite(situation.pulls[i].point, 3, "situation.pulls.point", APLOMB_BAD_ARGUMENT);
        check_finite(situation.pulls[i].force, 3, "situation.pulls.force", APLOMB_BAD_ARGUMENT);
    }
    for (int32_t i = 0; situation.contacts != nullptr && i < situation.contact_count; ++i) {
        const aplomb_contact& contact = situation.contacts[i];
        if (contact.limb >= 0 || contact.hold != APLOMB_BEARING) continue;
        check_joint(contact.joint, "situation.contacts", i);
        const std::string name = element("situation.contacts", i);
        check_count(contact.point_count, 16, name + ".point_count");
        if (contact.points == nullptr)
            refuse(APLOMB_BAD_ARGUMENT, "situation.contacts", i, name + ".points is NULL.");
        check_finite(contact.points, 3 * contact.point_count, name + ".points", APLOMB_BAD_ARGUMENT);
    }
}

void check_situation(const aplomb_situation& situation, int32_t joints) {
    check_size(situation.struct_size, sizeof(aplomb_situation), "situation");
    check_count(situation.load_count, APLOMB_MAX_LOADS, "situation.load_count");
    check_count(situation.contact_count, APLOMB_MAX_CONTACTS, "situation.contact_count");
    if (situation.loads == nullptr && situation.load_count > 0)
        refuse("situation.loads",
               "situation.loads is NULL, but load_count is " + std::to_string(situation.load_count) + ".");
    for (int32_t i = 0; i < situation.load_count; ++i)
        if (!std::isfinite(situation.loads[i].mass) || !std::isfinite(situation.loads[i].hang))
            refuse(APLOMB_BAD_ARGUMENT, "situation.loads", i,
                   element("situation.loads", i) + ": mass and hang must be finite.");
    if (situation.contacts == nullptr && situation.contact_count > 0)
        refuse("situation.contacts", "situation.contacts is NULL, but contact_count is " +
                                         std::to_string(situation.contact_count) + ".");
    check_finite(situation.gravity, 3, "situation.gravity", APLOMB_BAD_ARGUMENT);
    check_touching(situation, joints);
}

void check_camera(const aplomb_camera& camera) {
    check_finite(camera.position, 3, "camera.position", APLOMB_BAD_ARGUMENT);
    check_turn(camera.rotation, "camera.rotation", -1, "the rotation", APLOMB_BAD_ARGUMENT);
    const bool angle = camera.vertical_angle > 0 && camera.vertical_angle < 3.14159;
    if (!angle && camera.vertical_angle != 0)
        refuse("camera.vertical_angle", "camera.vertical_angle is " + shown(camera.vertical_angle) +
                                            "; it must be 0 or an angle below half a turn.");
    if (!angle && !(camera.height > 0 && std::isfinite(camera.height)))
        refuse("camera.height",
               "camera.height is " + shown(camera.height) + "; in parallel projection it must be above 0.");
    if (camera.aspect != 0 && !(camera.aspect >= 0.05 && camera.aspect <= 20))
        refuse("camera.aspect", "camera.aspect is " + shown(camera.aspect) + "; it must be 0 or 0.05 to 20.");
}

void check_foot(const aplomb_foot_suggestion& foot) {
    check_size(foot.struct_size, sizeof(aplomb_foot_suggestion), "foot");
    check_count(foot.outline_count, APLOMB_MAX_EDGES, "foot.outline_count");
    for (int32_t i = 0; i < foot.outline_count; ++i)
        check_finite(foot.outline[i], 3, "foot.outline", APLOMB_BAD_ARGUMENT);
}

void check_sheet(const aplomb_sheet& sheet, const std::string& name) {
    if (sheet.columns < 1 || sheet.columns > 12)
        refuse(name + ".columns",
               name + ".columns is " + std::to_string(sheet.columns) + "; it must be 1 to 12.");
    if (sheet.cell_count < 1 || sheet.cells == nullptr)
        refuse(name + ".cells", name + ".cells: there must be at least one cell.");
    for (int32_t i = 0; i < sheet.cell_count; ++i) {
        const aplomb_cell& cell = sheet.cells[i];
        const std::string place = element(name + ".cells", i);
        if (cell.picture == nullptr) continue;
        if (cell.view < APLOMB_VIEW_FRONT || cell.view > APLOMB_VIEW_TOP)
            refuse(APLOMB_BAD_ARGUMENT, "cells", i,
                   place + ".view is " + std::to_string(cell.view) +
                       "; it must be front (0), side (1) or top (2).");
        if (cell.marks != 0 && cell.marks != 1)
            refuse(APLOMB_BAD_ARGUMENT, "cells", i,
                   place + ".marks is " + std::to_string(cell.marks) + "; it must be 0 or 1.");
        try {
            check_picture(cell.picture);
        } catch (Fault& fault) {
            fault.message = place + ".picture: " + fault.message;
            throw;
        }
    }
}

} // namespace

void check_path(const char* path) {
    if (path == nullptr || path[0] == '\0') refuse("path", "path is NULL or empty.");
}

void check_picture(const aplomb_picture* picture) {
    if (picture == nullptr) refuse("picture", "picture is NULL.");
    check_size(picture->struct_size, sizeof(aplomb_picture), "picture");
    if (picture->figure == nullptr) refuse("figure", "figure is NULL.");
    if (picture->mesh != nullptr) check_mesh(*picture);
    if (picture->situation != nullptr)
        check_situation(*picture->situation, aplomb_figure_joint_count(picture->figure));
    if (picture->camera != nullptr) check_camera(*picture->camera);
    if (picture->foot != nullptr) check_foot(*picture->foot);
    if (picture->result != nullptr) {
        check_size(picture->result->struct_size, sizeof(aplomb_result), "result");
        const aplomb_controls& c = picture->result->controls;
        for (const double* part : {c.hips_shift, c.hips_turn, c.chest, c.neck})
            check_finite(part, 3, "result.controls", APLOMB_BAD_ARGUMENT);
        check_count(picture->result->gave_way_count, APLOMB_MAX_CONTACTS, "result.gave_way_count");
        for (int32_t i = 0; i < picture->result->gave_way_count; ++i)
            check_finite(&picture->result->gave_way[i].place, 1, "result.gave_way.place",
                         APLOMB_BAD_ARGUMENT),
                check_finite(&picture->result->gave_way[i].attitude, 1, "result.gave_way.attitude",
                             APLOMB_BAD_ARGUMENT);
    }
    const int32_t joints = aplomb_figure_joint_count(picture->figure);
    check_pose(picture->before, "before", joints, picture->mesh);
    if (picture->after.translations != nullptr) check_pose(picture->after, "after", joints, picture->mesh);
}

void check_sheets(const aplomb_sheet* sheets, int32_t sheet_count) {
    if (sheets == nullptr) refuse("sheets", "sheets is NULL.");
    if (sheet_count < 1)
        refuse("sheets",
               "sheets: there must be at least one; sheet_count is " + std::to_string(sheet_count) + ".");
    for (int32_t i = 0; i < sheet_count; ++i)
        check_sheet(sheets[i], element("sheets", i));
}

void check_shot_page(const aplomb_shot_page* page) {
    if (page == nullptr) refuse("page", "page is NULL.");
    check_size(page->struct_size, sizeof(aplomb_shot_page), "page");
    if (page->figure == nullptr) refuse("figure", "figure is NULL.");
    if (page->clip == nullptr || page->frames == nullptr)
        refuse("clip", "clip and frames are both needed; one is NULL.");
    check_size(page->clip->struct_size, sizeof(aplomb_clip), "clip");
    if (page->frame_count < 1 || page->frame_count != page->clip->frame_count)
        refuse("frame_count", "frame_count is " + std::to_string(page->frame_count) + ", but the clip's is " +
                                  std::to_string(page->clip->frame_count) + ".");
    const auto check_list = [](const void* items, int32_t count, int32_t most, const char* name) {
        check_count(count, most, std::string(name) + "_count");
        if (count > 0 && items == nullptr)
            refuse(name, std::string(name) + " is NULL, but its count is " + std::to_string(count) + ".");
    };
    const int32_t many = std::numeric_limits<int32_t>::max();
    check_list(page->stances, page->stance_count, many, "stances");
    check_list(page->falls, page->fall_count, many, "falls");
    check_list(page->flights, page->flight_count, many, "flights");
    check_list(page->steps, page->step_count, many, "steps");
    check_list(page->notes, page->note_count, many, "notes");
    check_list(page->arcs, page->arc_count, many, "arcs");
    check_list(page->worst, page->worst_count, 4, "worst");
    check_list(page->strip, page->strip_count, 12, "strip");
    const auto check_frames = [&](int32_t first, int32_t last, const char* name, int32_t index) {
        if (first < 0 || first > last || last >= page->frame_count)
            refuse(APLOMB_BAD_ARGUMENT, name, index,
                   element(name, index) + " goes from frame " + std::to_string(first) + " to " +
                       std::to_string(last) + "; the clip has frames 0 to " +
                       std::to_string(page->frame_count - 1) + ".");
    };
    for (int32_t k = 0; k < page->stance_count; ++k) {
        const aplomb_stance_range& range = page->stances[k];
        check_frames(range.first, range.last, "stances", k);
        if (range.limb < 0 || range.limb >= aplomb_figure_limb_count(page->figure))
            refuse(APLOMB_BAD_ARGUMENT, "stances", k,
                   element("stances", k) + ".limb is " + std::to_string(range.limb) + ".");
    }
    for (int32_t k = 0; k < page->fall_count; ++k)
        check_frames(page->falls[k].first, page->falls[k].last, "falls", k);
    for (int32_t k = 0; k < page->step_count; ++k)
        if (page->steps[k].limb < 0 || page->steps[k].limb >= aplomb_figure_limb_count(page->figure))
            refuse(APLOMB_BAD_ARGUMENT, "steps", k,
                   element("steps", k) + ".limb is " + std::to_string(page->steps[k].limb) + ".");
    const auto check_moments = [&](const aplomb_drawn_moment* moments, int32_t count, const char* name) {
        for (int32_t k = 0; k < count; ++k) {
            check_frames(moments[k].frame, moments[k].frame, name, k);
            check_picture(moments[k].picture);
        }
    };
    check_moments(page->worst, page->worst_count, "worst");
    check_moments(page->strip, page->strip_count, "strip");
    if (page->after == nullptr) return;
    const aplomb_shot_page& after = *page->after;
    try {
        if (after.after != nullptr)
            refuse("after", "after is set; what was corrected has no after of its own.");
        check_shot_page(&after);
    } catch (io::Fault& fault) {
        fault.message = "after: " + fault.message;
        throw;
    }
    if (after.figure != page->figure || after.frame_count != page->frame_count)
        refuse("after", "after is of another figure or has another count of frames.");
    const auto alike = [](const aplomb_drawn_moment* a, const aplomb_drawn_moment* b, int32_t count) {
        return std::equal(a, a + count, b, [](const auto& p, const auto& q) { return p.frame == q.frame; });
    };
    if (after.worst_count != page->worst_count || after.strip_count != page->strip_count ||
        !alike(page->worst, after.worst, page->worst_count) ||
        !alike(page->strip, after.strip, page->strip_count))
        refuse("after", "after draws other frames than the page itself.");
}

void check_motion(const aplomb_motion* motion) {
    if (motion == nullptr) refuse("motion", "motion is NULL.");
    check_size(motion->struct_size, sizeof(aplomb_motion), "motion");
    if (motion->picture_count < 1 || motion->picture_count > 10000)
        refuse("picture_count",
               "picture_count is " + std::to_string(motion->picture_count) + "; it must be 1 to 10000.");
    if (motion->pictures == nullptr) refuse("pictures", "pictures is NULL.");
    if (!(motion->frames_per_second > 0 && motion->frames_per_second <= 1000))
        refuse("frames_per_second", "frames_per_second is " + shown(motion->frames_per_second) +
                                        "; it must be above 0, and at most 1000.");
    if (motion->view < 0 || motion->view > APLOMB_VIEW_TOP)
        refuse("view", "view is " + std::to_string(motion->view) + "; it must be an aplomb_view.");
    for (int32_t i = 0; i < motion->picture_count; ++i) {
        try {
            check_picture(motion->pictures + i);
        } catch (io::Fault& fault) {
            fault.message = element("pictures", i) + ": " + fault.message;
            throw;
        }
    }
}

} // namespace aplomb::report

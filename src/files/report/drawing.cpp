// SPDX-License-Identifier: MIT
#include "report/drawing.h"

#include <algorithm>
#include <cmath>

#include "io/fault.h"
#include "report/body.h"
#include "report/marks.h"

namespace aplomb::report {
namespace {

std::string words(const char* text) {
    return text == nullptr ? "" : text;
}

Half make_half(const Drawing& drawing, const aplomb_drawn_pose& pose, const Posture& keyed, const char* id) {
    Half half;
    half.id = id;
    half.caption = words(pose.caption);
    half.reading = pose.reading;
    half.posture = place(drawing.body, pose.translations, pose.rotations);
    half.body = lay_figure(drawing.body, half.posture);
    half.loads = load_forms(drawing.body, *drawing.picture, keyed, half.posture, *pose.reading);
    half.middle = drawing.body.length_in(pose.reading->body_centre);
    if (drawing.picture->mesh != nullptr && pose.skin != nullptr) {
        half.skin.reserve(static_cast<size_t>(drawing.picture->mesh->vertex_count));
        for (int32_t i = 0; i < drawing.picture->mesh->vertex_count; ++i)
            half.skin.push_back(drawing.body.length_in(pose.skin + 3 * static_cast<size_t>(i)));
    }
    return half;
}

std::vector<aplomb_contact> read_contacts(const aplomb_picture& picture) {
    const aplomb_situation* s = picture.situation;
    if (s != nullptr && s->contacts != nullptr)
        return {s->contacts, s->contacts + std::clamp(s->contact_count, 0, APLOMB_MAX_CONTACTS)};
    std::vector<aplomb_contact> contacts(APLOMB_MAX_CONTACTS);
    const int32_t count = aplomb_stance_default(picture.figure, picture.before.translations,
                                                picture.before.rotations, contacts.data(), nullptr);
    contacts.resize(static_cast<size_t>(std::max(count, 0)));
    return contacts;
}

/// The side view is seen from the side that the loads are on, or without loads from that of the pulls; a symmetric figure
/// from its right, so that it faces right.
bool more_on_left(const Drawing& drawing) {
    const aplomb_situation* s = drawing.picture->situation;
    const aplomb_reading& r = *drawing.picture->before.reading;
    if (s == nullptr) return false;
    double moment = 0, mass = 0;
    const int32_t loads = s->loads == nullptr ? 0 : s->load_count;
    for (int i = 0; i < std::min({loads, r.load_count, APLOMB_MAX_LOADS}); ++i) {
        const Vec3 arm = drawing.body.length_in(r.load_centre[i]) - drawing.body.length_in(r.body_centre);
        moment += s->loads[i].mass * dot(arm, drawing.left);
        mass += s->loads[i].mass;
    }
    if (loads == 0) {
        for (const PullArrow& arrow : pull_arrows(drawing, drawing.before)) {
            moment += arrow.newtons * dot(arrow.from - drawing.before.middle, drawing.left);
            mass += arrow.newtons;
        }
    }
    return moment > 0.03 * drawing.body.stature * mass && mass > 0;
}

void set_ground(Drawing& drawing) {
    double ground = 1e30;
    for (const Half* half : {&drawing.before, &drawing.after})
        if (half->reading != nullptr)
            for (int i = 0; i < std::clamp(half->reading->edge_count, 0, APLOMB_MAX_EDGES); ++i)
                ground = std::min(ground, drawing.body.length_in(half->reading->area[i]).y);
    if (ground > 1e29) ground = body_extent(drawing.before, drawing.views[front_view]).bottom;
    drawing.ground = ground;
}

void set_camera(Drawing& drawing, const aplomb_camera& camera) {
    const double* r = camera.rotation;
    const Quat turn = drawing.body.rotation_in(normalized(Quat{r[0], r[1], r[2], r[3]}));
    constexpr double own_up[3] = {0, 1, 0}, own_near[3] = {0, 0, 1};
    const Vec3 up = rotate(turn, drawing.body.direction_in(own_up)),
               near = rotate(turn, drawing.body.direction_in(own_near));
    drawing.camera.view = {cross(up, near), up, near};
    drawing.camera.eye = drawing.body.length_in(camera.position);
    drawing.camera.perspective = camera.vertical_angle > 0;
}

} // namespace

Drawing make_drawing(const aplomb_picture& picture) {
    Drawing d;
    d.picture = &picture;
    if (!read_body(picture.figure, d.body))
        throw io::Fault{APLOMB_BAD_FIGURE, "figure cannot be read.", "figure"};
    d.contacts = read_contacts(picture);
    d.has_after = picture.after.translations != nullptr;
    d.lines = picture.lines == 1;
    const Posture keyed = place(d.body, picture.before.translations, picture.before.rotations);
    const Quat face = facing(d.body, keyed);
    d.left = rotate(face, {1, 0, 0}), d.up = {0, 1, 0}, d.forward = rotate(face, {0, 0, 1});
    if (picture.situation != nullptr) d.down = d.body.length_in(picture.situation->gravity);
    d.down = norm(d.down) > 0 ? normalized(d.down) : -d.up;

    d.before = make_half(d, picture.before, keyed, "before");
    d.before.heading = d.has_after ? "BEFORE" : "POSE";
    if (d.has_after) {
        d.after = make_half(d, picture.after, keyed, "after");
        d.after.heading = "AFTER";
    }
    d.from_left = more_on_left(d);
    // First-angle projection (ISO 5456-2): the view from above stands below the front view, front edge down.
    d.views[front_view] = {d.left, d.up, d.forward};
    d.views[side_view] = d.from_left ? View{-d.forward, d.up, d.left} : View{d.forward, d.up, -d.left};
    d.views[top_view] = {d.left, -d.forward, d.up};
    set_ground(d);
    if (picture.camera != nullptr) set_camera(d, *picture.camera);
    return d;
}

} // namespace aplomb::report

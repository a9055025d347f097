// SPDX-License-Identifier: MIT
#include "report/drawing.h"

#include <algorithm>
#include <cmath>

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

/// The side view looks from the side that the loads are on; a symmetric one from the right, facing right.
bool loads_on_left(const Drawing& drawing) {
    const aplomb_situation* s = drawing.picture->situation;
    const aplomb_reading& r = *drawing.picture->before.reading;
    if (s == nullptr || s->loads == nullptr) return false;
    double moment = 0, mass = 0;
    for (int i = 0; i < std::min({s->load_count, r.load_count, APLOMB_MAX_LOADS}); ++i) {
        const Vec3 arm = drawing.body.length_in(r.load_centre[i]) - drawing.body.length_in(r.body_centre);
        moment += s->loads[i].mass * dot(arm, drawing.left);
        mass += s->loads[i].mass;
    }
    return moment > 0.03 * drawing.body.stature * mass && mass > 0;
}

void set_ground(Drawing& drawing) {
    double ground = 1e30;
    for (const Half* half : {&drawing.before, &drawing.after})
        if (half->reading != nullptr)
            for (int i = 0; i < std::clamp(half->reading->edge_count, 0, APLOMB_MAX_EDGES); ++i)
                ground = std::min(ground, drawing.body.length_in(half->reading->area[i]).y);
    if (ground > 1e29) ground = extent(drawing.before.body, drawing.views[front_view]).bottom;
    drawing.ground = ground;
}

} // namespace

Drawing make_drawing(const aplomb_picture& picture, Body body) {
    Drawing d;
    d.picture = &picture;
    d.body = std::move(body);
    d.contacts = read_contacts(picture);
    d.has_after = picture.after.translations != nullptr;
    const Posture keyed = place(d.body, picture.before.translations, picture.before.rotations);
    fit_soles(d.body, keyed, picture, *picture.before.reading);

    const Quat face = facing(d.body, keyed);
    d.left = rotate(face, {1, 0, 0}), d.up = {0, 1, 0}, d.forward = rotate(face, {0, 0, 1});
    if (picture.situation != nullptr) d.down = d.body.length_in(picture.situation->gravity);
    d.down = norm(d.down) > 0 ? normalized(d.down) : -d.up;
    d.from_left = loads_on_left(d);
    // First-angle projection (ISO 5456-2): the view from above stands below the front view, front edge down.
    d.views[front_view] = {d.left, d.up, d.forward};
    d.views[side_view] = d.from_left ? View{-d.forward, d.up, d.left} : View{d.forward, d.up, -d.left};
    d.views[top_view] = {d.left, -d.forward, d.up};

    d.before = make_half(d, picture.before, keyed, "before");
    d.before.heading = d.has_after ? "BEFORE" : "POSE";
    if (d.has_after) {
        d.after = make_half(d, picture.after, keyed, "after");
        d.after.heading = "AFTER";
    }
    set_ground(d);
    return d;
}

std::string contact_words(const Drawing& drawing, const Half& half, size_t contact) {
    const aplomb_contact& c = drawing.contacts[contact];
    if (c.hold == APLOMB_HELD) return "held";
    if (c.hold != APLOMB_BEARING) return "free";
    for (int i = 0; i < std::clamp(half.reading->contact_count, 0, APLOMB_MAX_CONTACTS); ++i) {
        const aplomb_contact_reading& r = half.reading->contacts[i];
        const bool same = c.limb >= 0 ? r.limb == c.limb : r.limb < 0 && r.joint == c.joint;
        if (same && std::isfinite(r.share)) return fixed(100 * r.share, 0) + " % bearing";
    }
    return "bearing";
}

std::string offset_words(const Drawing& drawing, const Vec3& offset) {
    const double forward = dot(offset, drawing.forward), left = dot(offset, drawing.left);
    return drawing.length(std::fabs(forward)) + (forward < 0 ? " back, " : " forward, ") +
           drawing.length(std::fabs(left)) + (left < 0 ? " right" : " left");
}

std::string verdict(const Half& half) {
    if (half.reading->pressing == 0) return "NOT PRESSING ON THE GROUND";
    return half.reading->in_balance != 0 ? "in balance" : "OUT OF BALANCE";
}

namespace {

std::string angle_words(double radians, const char* positive, const char* negative) {
    return fixed(std::fabs(radians) / degree, 1) + "\xC2\xB0 " + (radians < 0 ? negative : positive);
}

std::string natural_words(const aplomb_load_reading& load) {
    if (load.tells == 0) return "balance does not tell here";
    if (!std::isfinite(load.natural)) return "no mass at all";
    return load.natural > 0 ? fixed(load.natural, 1) + " kg" : "nothing";
}

std::string limb_words(const Body& body, int32_t limb) {
    const BodyLimb& l = body.limbs[static_cast<size_t>(limb)];
    return std::string(aplomb_side_text(l.side)) + (l.kind == APLOMB_ARM ? " hand" : " foot");
}

using Rows = std::vector<std::pair<std::string, std::string>>;

void add_load_rows(const Drawing& drawing, const Half& half, Rows& rows) {
    const aplomb_situation* s = drawing.picture->situation;
    if (s == nullptr || s->loads == nullptr) return;
    for (int i = 0; i < std::min({s->load_count, half.reading->load_count, 3}); ++i)
        rows.emplace_back("load of " + fixed(s->loads[i].mass, 1) + " kg reads as",
                          natural_words(half.reading->loads[i]));
}

/// Hands, knees and seats that bear or are held; feet are labelled in the picture.
void add_contact_rows(const Drawing& drawing, const Half& half, Rows& rows) {
    for (size_t i = 0; i < drawing.contacts.size(); ++i) {
        const aplomb_contact& c = drawing.contacts[i];
        const bool limb = c.limb >= 0 && static_cast<size_t>(c.limb) < drawing.body.limbs.size();
        if (c.hold == APLOMB_FREE ||
            (limb && drawing.body.limbs[static_cast<size_t>(c.limb)].kind != APLOMB_ARM))
            continue;
        aplomb_joint_info info;
        aplomb_joint_info_init(&info, sizeof info);
        std::string name = "contact";
        if (limb)
            name = limb_words(drawing.body, c.limb);
        else if (aplomb_figure_joint(drawing.picture->figure, c.joint, &info, nullptr) == APLOMB_OK)
            name = words(info.name);
        rows.emplace_back(name, contact_words(drawing, half, i));
    }
}

} // namespace

Rows number_rows(const Drawing& drawing, const Half& half) {
    const aplomb_reading& r = *half.reading;
    const double unit = drawing.body.metres_per_unit;
    Rows rows;
    if (r.pressing != 0) {
        rows.emplace_back("margin", drawing.signed_length(r.margin * unit) + " (asked for " +
                                        drawing.length(r.margin_asked * unit) + ")");
        const Vec3 offset = drawing.body.length_in(r.balance_point) - drawing.body.length_in(r.home);
        rows.emplace_back("balance point from home", offset_words(drawing, offset));
    }
    rows.emplace_back("lean of the trunk", angle_words(r.trunk_fore, "forward", "back") + ", " +
                                               angle_words(r.trunk_side, "right", "left"));
    rows.emplace_back("body / with loads", fixed(r.body_mass, 1) + " kg / " + fixed(r.total_mass, 1) + " kg");
    add_load_rows(drawing, half, rows);
    add_contact_rows(drawing, half, rows);
    return rows;
}

} // namespace aplomb::report

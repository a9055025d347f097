// SPDX-License-Identifier: MIT
#include "capi/reading.h"

#include <cstring>

#include "figure/frame.h"

namespace aplomb {
namespace {

/// Writes points and directions in the host's units and axes.
struct Writer {
    const Frame& frame;
    const Ground& ground;

    void point(double* out, const Vec3& ours) const { put(out, length_out(frame, ours)); }
    void point(double* out, const Vec2& ours) const { point(out, ground.lift(ours)); }
    void direction(double* out, const Vec3& ours) const { put(out, direction_out(frame, ours)); }
    double length(double metres) const { return metres / frame.metres_per_unit; }
};

void put_support(const Writer& to, const Support& support, const Area& zone, const Aim& aim,
                 aplomb_reading& out) {
    out.edge_count = support.area.count, out.zone_count = zone.count;
    for (int i = 0; i < support.area.count; ++i)
        to.point(out.area[i], support.area.corner[i]);
    for (int i = 0; i < zone.count; ++i)
        to.point(out.zone[i], zone.corner[i]);
    out.margin_asked = to.length(support.margin_asked);
    to.point(out.home, aim.home);
    to.point(out.rest_point, aim.rest_point);
}

void put_tip(const Writer& to, const Tip& tip, aplomb_reading& out) {
    out.margin = to.length(tip.margin);
    to.point(out.edge[0], tip.from);
    to.point(out.edge[1], tip.to);
    to.direction(out.tip_direction, to.ground.fore * tip.outwards.fore + to.ground.left * tip.outwards.left);
    out.tip_angle = tip.angle, out.tip_energy = tip.energy;
}

void put_contacts(const Writer& to, const Key& s, const Findings& f, aplomb_reading& out) {
    out.contact_count = s.stance.contact_count;
    for (int i = 0; i < s.stance.contact_count; ++i) {
        const Contact& c = s.stance.contact[i];
        const Share& share = f.share[i];
        aplomb_contact_reading& reading = out.contacts[i];
        reading.limb = c.limb, reading.joint = c.joint;
        reading.share = share.best;
        reading.share_min = share.range.lowest, reading.share_max = share.range.highest;
        reading.place = share.place;
        to.point(reading.centre, share.centre);
    }
}

void put_load(const ReadsAs& read, aplomb_load_reading& out) {
    out.stands_min = read.stands.lowest, out.stands_max = read.stands.highest;
    out.rests_min = read.rests.lowest, out.rests_max = read.rests.highest;
    out.natural = read.natural, out.countered = read.countered;
    out.tells = read.tells;
}

void put_cues(const Findings& f, aplomb_reading& out) {
    static_assert(sizeof f.cue[0].text == sizeof out.cues[0].text);
    out.cue_count = f.cue_count;
    for (int i = 0; i < f.cue_count; ++i) {
        out.cues[i].value = f.cue[i].value;
        std::memcpy(out.cues[i].text, f.cue[i].text, std::strlen(f.cue[i].text)); // the rest stays 0
    }
}

void put_body(const Writer& to, const Figure& figure, const Key& s, const Findings& f, aplomb_reading& out) {
    out.body_mass = figure.total_mass, out.total_mass = f.total_mass;
    to.point(out.body_centre, s.body.first_moment / figure.total_mass);
    to.point(out.centre, f.centre);
    to.point(out.balance_point, s.balance_point);
    out.trunk_fore = f.lean.fore, out.trunk_side = f.lean.side;
    out.knees = f.sunk.knees, out.knees_mass = f.sunk.mass;
    out.pelvis_side = f.sunk.pelvis, out.shoulders_side = f.sunk.shoulders;
    for (int i = 0; i < line_points; ++i)
        to.point(out.line_of_action[i], f.line[i]);
    out.load_count = s.load_count;
    for (int i = 0; i < s.load_count; ++i) {
        put_load(f.load[i], out.loads[i]);
        to.point(out.load_centre[i], s.load[i].centre);
    }
}

} // namespace

aplomb_reading public_reading(const Figure& figure, const Key& s, const Support& support, const Area& zone,
                              const Aim& aim, const Findings& f) {
    aplomb_reading out{};
    const Writer to = {figure.frame, s.ground};
    out.in_balance = f.in_balance, out.pressing = f.presses;
    out.friction_needed = f.friction_needed;
    put_body(to, figure, s, f, out);
    put_support(to, support, zone, aim, out);
    put_tip(to, f.tip, out);
    put_contacts(to, s, f, out);
    put_cues(f, out);
    return out;
}

} // namespace aplomb

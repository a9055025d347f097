// SPDX-License-Identifier: MIT
// What acts on a body beside its loads: pulls as arrows with their newtons, and patches that bear.
#include <algorithm>
#include <cmath>

#include "report/marks.h"

namespace aplomb::report {
namespace {

constexpr const char* pull_colour = "#00795A";
constexpr const char* patch_style =
    R"(class="patch" fill="#56B4E9" fill-opacity="0.4" stroke="#1F6F9C" stroke-width="1.6" stroke-linejoin="round")";
constexpr double shortest = 0.14, longest = 0.34; // of the stature
constexpr double head_length = 9, head_breadth = 4;
constexpr double least_shown = 12; // page units: shorter, the arrow leads to the viewer or away
constexpr double weight_of_kg = 9.80665;

/// A point of a joint's own frame, in space.
Vec3 in_space(const Drawing& drawing, const Posture& posture, int32_t joint, const double* point) {
    const auto j = static_cast<size_t>(joint);
    const Vec3 turned = rotate(drawing.body.neutral_rotations[j], {point[0], point[1], point[2]});
    return sole_place(posture, {joint, drawing.body.length_in(turned)});
}

} // namespace

std::vector<PullArrow> pull_arrows(const Drawing& drawing, const Half& half) {
    std::vector<PullArrow> arrows;
    const aplomb_situation* s = drawing.picture->situation;
    if (s == nullptr || s->pulls == nullptr) return arrows;
    for (int32_t i = 0; i < s->pull_count; ++i) {
        const aplomb_pull& pull = s->pulls[i];
        const Vec3 force = drawing.body.direction_in(pull.force);
        const double newtons = norm(force);
        if (!(newtons > 0)) continue;
        const double weights = newtons / (weight_of_kg * std::max(drawing.body.total_mass, 1e-6));
        const double length = std::clamp(weights, shortest, longest) * drawing.body.stature;
        const Vec3 from = in_space(drawing, half.posture, pull.joint, pull.point);
        arrows.push_back({from, from + force * (length / newtons), newtons});
    }
    return arrows;
}

void draw_pulls(SvgWriter& svg, const Drawing& drawing, const Half& half, const Placement& placement,
                const Frame& frame) {
    for (const PullArrow& arrow : pull_arrows(drawing, half)) {
        if (!placement.visible(arrow.from) || !placement.visible(arrow.to)) continue;
        const Point from = placement.at(arrow.from), to = placement.at(arrow.to);
        const double length = span_of(to.x - from.x, to.y - from.y);
        if (length < least_shown) continue;
        const Point way{(to.x - from.x) / length, (to.y - from.y) / length};
        const Point neck{to.x - way.x * head_length, to.y - way.y * head_length};
        const std::string colour = std::string("\"") + pull_colour + "\"";
        svg.line(from, neck, R"(stroke="#FFFFFF" stroke-width="4.5")");
        svg.line(from, neck, R"(class="pull" stroke-width="2.2" stroke=)" + colour);
        svg.polygon({to,
                     {neck.x - way.y * head_breadth, neck.y + way.x * head_breadth},
                     {neck.x + way.y * head_breadth, neck.y - way.x * head_breadth}},
                    "fill=" + colour);
        const std::string words = number(arrow.newtons, arrow.newtons < 10 ? 1 : 0) + " N";
        const double half_width = text_width(words, drawing.words) / 2;
        const double x = std::clamp(to.x + way.x * (half_width + 4), frame.left + half_width,
                                    std::max(frame.left, frame.right - 2 * half_width) + half_width);
        const double y = to.y + (std::fabs(way.y) > 0.5 ? (way.y > 0 ? 14.0 : -5.0) : -7.0);
        svg.text(
            {x, y}, words, drawing.words, Anchor::middle,
            R"(font-weight="bold" stroke="#FFFFFF" stroke-width="2.5" stroke-linejoin="round" paint-order="stroke" fill=)" +
                colour);
    }
}

void draw_patches(SvgWriter& svg, const Drawing& drawing, const Placement& placement) {
    for (const aplomb_contact& contact : drawing.contacts) {
        if (contact.limb >= 0 || contact.hold != APLOMB_BEARING) continue;
        std::vector<Point> corners;
        for (int32_t i = 0; i < contact.point_count; ++i) // it stays where it is keyed
            corners.push_back(placement.at(
                in_space(drawing, drawing.before.posture, contact.joint, contact.points + 3 * i)));
        svg.polygon(corners, patch_style);
    }
}

} // namespace aplomb::report

// SPDX-License-Identifier: MIT
// What acts on a body beside its loads: pulls as arrows with their newtons, and what bears beside the feet.
#include <algorithm>
#include <cmath>
#include <optional>

#include "report/marks.h"
#include "report/taken.h"

namespace aplomb::report {
namespace {

constexpr const char* arrow_style =
    R"(fill="#00795A" stroke="#FFFFFF" stroke-width="2.2" stroke-linejoin="round" paint-order="stroke")";
constexpr const char* end_on_style =
    R"(class="pull-end-on" fill="#FFFFFF" stroke="#00795A" stroke-width="1.6")";
constexpr const char* words_style =
    R"(font-weight="bold" stroke="#FFFFFF" stroke-width="2.5" stroke-linejoin="round" paint-order="stroke" fill="#00795A")";
constexpr const char* patch_style =
    R"(class="patch" fill="#56B4E9" fill-opacity="0.4" stroke="#1F6F9C" stroke-width="1.2" stroke-linejoin="round")";
constexpr const char* patch_ground = R"(fill="#FFFFFF" fill-opacity="0.85")"; // so that it shows on the body
constexpr double shortest = 0.14, longest = 0.34;                             // of the stature
constexpr double half_point = 0.02; // of the stature: a hand or a point that bears is a square of twice that
constexpr double head_length = 9, head_breadth = 4, half_shaft = 1.2;
constexpr double end_on_radius = 4.5;
constexpr double least_shown = 12; // page units: shorter, the arrow leads to the viewer or away
constexpr double same_place = 6;   // page units: nearer, two arrows are drawn as one
constexpr double words_gap = 4;
constexpr double patch_height = 6;
constexpr double weight_of_kg = 9.80665;

/// A point of a joint's own frame, in space.
Vec3 in_space(const Drawing& drawing, const Posture& posture, int32_t joint, const double* point) {
    const auto j = static_cast<size_t>(joint);
    const Vec3 turned = rotate(drawing.body.neutral_rotations[j], {point[0], point[1], point[2]});
    return sole_place(posture, {joint, drawing.body.length_in(turned)});
}

/// An arrow on the page.
struct DrawnPull {
    Point from, to;
    double newtons;
    int count = 1; // pulls of this size that lie on one another, such as both hands' from the side

    double length() const { return span_of(to.x - from.x, to.y - from.y); }
    bool lies_on(const DrawnPull& other) const {
        return std::fabs(newtons - other.newtons) < 1e-6 * newtons &&
               span_of(from.x - other.from.x, from.y - other.from.y) < same_place &&
               span_of(to.x - other.to.x, to.y - other.to.y) < same_place;
    }
};

void draw_arrow(SvgWriter& svg, Point from, Point to) {
    const double length = span_of(to.x - from.x, to.y - from.y);
    const Point along{(to.x - from.x) / length, (to.y - from.y) / length};
    const Point neck{to.x - along.x * head_length, to.y - along.y * head_length};
    const auto aside = [&](Point p, double by) { return Point{p.x - along.y * by, p.y + along.x * by}; };
    svg.polygon({aside(from, half_shaft), aside(neck, half_shaft), aside(neck, head_breadth), to,
                 aside(neck, -head_breadth), aside(neck, -half_shaft), aside(from, -half_shaft)},
                std::string(R"(class="pull" )") + arrow_style);
}

/// Its point, or its feathers: the sign of drawings for what leads to the viewer or away.
void draw_end_on(SvgWriter& svg, Point at, bool to_viewer) {
    svg.circle(at, end_on_radius + 1, R"(fill="#FFFFFF")");
    svg.circle(at, end_on_radius, end_on_style);
    const double half = end_on_radius * std::sqrt(0.5);
    if (to_viewer) {
        svg.circle(at, 1.6, R"(fill="#00795A")");
        return;
    }
    for (const double side : {-1.0, 1.0})
        svg.line({at.x - half, at.y - side * half}, {at.x + half, at.y + side * half},
                 R"(stroke="#00795A" stroke-width="1.4")");
}

/// Where words fit in the frame: beyond the arrow's point, else beside it.
std::vector<Rectangle> places_at(const DrawnPull& pull, const Rectangle& words, const Frame& frame) {
    std::vector<Rectangle> framed;
    const double length = pull.length();
    const Point along{(pull.to.x - pull.from.x) / length, (pull.to.y - pull.from.y) / length};
    const double up = along.x > 0 ? 1 : -1; // which side of the arrow is the upper one
    const Point above{along.y * up, -along.x * up}, below{-above.x, -above.y};
    const Point middle{(pull.from.x + pull.to.x) / 2, (pull.from.y + pull.to.y) / 2};
    const std::pair<Point, Point> places[] = {{pull.to, along},   {pull.to, above}, {middle, above},
                                              {pull.from, above}, {pull.to, below}, {middle, below},
                                              {pull.from, below}};
    for (const auto& [at, side] : places) {
        const double off =
            words_gap + std::fabs(side.x) * words.half_width + std::fabs(side.y) * words.half_height;
        Rectangle place = words;
        place.middle = {at.x + side.x * off, at.y + side.y * off};
        if (place.middle.x - place.half_width >= frame.left &&
            place.middle.x + place.half_width <= frame.right &&
            place.middle.y - place.half_height >= frame.top &&
            place.middle.y + place.half_height <= frame.bottom)
            framed.push_back(place);
    }
    return framed;
}

/// The first that covers nothing, else one that is on the body, else one that has only no other words in it.
std::optional<Rectangle> best_of(const std::vector<Rectangle>& places, const Taken& taken,
                                 const SvgWriter& svg) {
    for (const Rectangle& place : places)
        if (!taken.meets(place, false)) return place;
    for (const Rectangle& place : places)
        if (!taken.meets_marks(place)) return place;
    for (const Rectangle& place : places)
        if (!svg.has_words(place)) return place;
    return {};
}

void draw_newtons(SvgWriter& svg, const DrawnPull& pull, double size, const Frame& frame,
                  const Taken& taken) {
    const std::string words = (pull.count > 1 ? std::to_string(pull.count) + " \xC3\x97 " : "") +
                              number(pull.newtons, pull.newtons < 10 ? 1 : 0) + " N";
    // Where there is no room, the row in the reading is enough.
    if (const auto place = best_of(places_at(pull, around(words, size, 1), frame), taken, svg))
        svg.text_in(*place, words, size, words_style);
}

/// A few points are widened, so that there is something to see.
std::vector<Vec3> widened(const Drawing& drawing, const std::vector<Vec3>& points) {
    if (points.size() > 2) return points;
    std::vector<Vec3> corners;
    const double half = half_point * drawing.body.stature;
    for (const Vec3& p : points) {
        for (const auto& [left, forward] :
             {std::pair{-1, -1}, std::pair{1, -1}, std::pair{1, 1}, std::pair{-1, 1}})
            corners.push_back(p + drawing.left * (left * half) + drawing.forward * (forward * half));
    }
    return corners;
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
    std::vector<DrawnPull> drawn;
    for (const PullArrow& arrow : pull_arrows(drawing, half)) {
        if (!placement.visible(arrow.from) || !placement.visible(arrow.to)) continue;
        const DrawnPull pull{placement.at(arrow.from), placement.at(arrow.to), arrow.newtons};
        if (pull.length() < least_shown) {
            draw_end_on(svg, pull.from, placement.ahead(arrow.to) < placement.ahead(arrow.from));
            continue;
        }
        const auto same = std::find_if(drawn.begin(), drawn.end(),
                                       [&](const DrawnPull& other) { return pull.lies_on(other); });
        if (same != drawn.end())
            ++same->count;
        else
            drawn.push_back(pull);
    }
    for (const DrawnPull& pull : drawn)
        draw_arrow(svg, pull.from, pull.to);
    if (drawn.empty()) return;
    const Taken taken(svg, drawing, half, placement, frame);
    for (const DrawnPull& pull : drawn)
        draw_newtons(svg, pull, drawing.words, frame, taken);
}

void draw_pull_sample(SvgWriter& svg, Point at) {
    draw_arrow(svg, {at.x - 10, at.y}, {at.x + 10, at.y});
}

std::vector<std::vector<Vec3>> bearing_patches(const Drawing& drawing) {
    std::vector<std::vector<Vec3>> patches;
    const Posture& posture = drawing.before.posture; // what bears stays where it is keyed
    for (const aplomb_contact& contact : drawing.contacts) {
        if (contact.hold != APLOMB_BEARING) continue;
        std::vector<Vec3> points;
        if (contact.limb < 0) {
            for (int32_t i = 0; i < contact.point_count; ++i)
                points.push_back(in_space(drawing, posture, contact.joint, contact.points + 3 * i));
        } else if (static_cast<size_t>(contact.limb) < drawing.body.limbs.size()) {
            const BodyLimb& limb = drawing.body.limbs[static_cast<size_t>(contact.limb)];
            if (limb.kind == APLOMB_ARM) points.push_back(sole_place(posture, {limb.end, limb.palm}));
        }
        if (!points.empty()) patches.push_back(widened(drawing, points));
    }
    return patches;
}

void draw_patches(SvgWriter& svg, const Drawing& drawing, const Placement& placement) {
    for (const std::vector<Vec3>& patch : bearing_patches(drawing)) {
        if (!std::all_of(patch.begin(), patch.end(), [&](const Vec3& p) { return placement.visible(p); }))
            continue;
        std::vector<Point> corners;
        for (const Vec3& corner : patch)
            corners.push_back(placement.at(corner));
        svg.polygon(corners, patch_style);
    }
}

void draw_patches_edge_on(SvgWriter& svg, const Drawing& drawing, const Placement& placement) {
    for (const std::vector<Vec3>& patch : bearing_patches(drawing)) {
        double left = 1e30, right = -1e30, y = -1e30;
        for (const Vec3& corner : patch) {
            const Point at = placement.at(corner);
            left = std::min(left, at.x), right = std::max(right, at.x), y = std::max(y, at.y);
        }
        svg.rectangle({left, y}, right - left, patch_height, patch_ground);
        svg.rectangle({left, y}, right - left, patch_height, patch_style);
    }
}

} // namespace aplomb::report

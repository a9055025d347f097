// SPDX-License-Identifier: MIT
// From above: where each foot stands, and the way of the balance point among them. Sizes are CSS pixels.
#include <algorithm>
#include <cmath>

#include "report/marks.h"
#include "report/shot.h"
#include "report/view.h"

namespace aplomb::report {
namespace {

constexpr double widest = 1000, tallest = 420, room = 20;
constexpr double words = 13;
constexpr int most_points = 1500, most_ticks = 16;

/// The print of a foot from where it was set down until it left: points of the sole on the ground, metres.
using Print = std::vector<Vec3>;

/// Where points that move with a belt are drawn: as if the ground stood still.
Vec3 on_still_ground(const Shot& shot, const Vec3& point, int f) {
    return point - shot.body.length_in(shot.page.clip->ground_velocity) * shot.frame(f).time;
}

std::vector<Print> prints_of(const Shot& shot) {
    std::vector<Print> prints;
    for (int k = 0; k < shot.page.stance_count;) {
        const aplomb_stance_range& start = shot.page.stances[k];
        int last = start.last, middle = (start.first + start.last) / 2;
        // Heel, flat and ball follow upon each other: one stand, seen where it is flat.
        for (++k; k < shot.page.stance_count; ++k) {
            const aplomb_stance_range& next = shot.page.stances[k];
            if (next.limb != start.limb || next.first != last + 1) break;
            last = next.last;
            if (next.footing == APLOMB_FLAT) middle = (next.first + next.last) / 2;
        }
        const BodyLimb& limb = shot.body.limbs[static_cast<size_t>(start.limb)];
        if (limb.sole.size() < 3) continue;
        const Posture posture = shot.posture(middle);
        Print print;
        for (const SolePoint& point : limb.sole)
            print.push_back(on_still_ground(shot, sole_place(posture, point), middle));
        prints.push_back(std::move(print));
    }
    return prints;
}

using Path = std::vector<Vec3>; // NaN where there is none

Path path_of(const Shot& shot, const double (aplomb_clip_frame::*point)[3]) {
    Path path;
    for (int f = 0; f < shot.count(); ++f)
        path.push_back(on_still_ground(shot, shot.body.length_in(shot.frame(f).*point), f));
    return path;
}

bool known(const Vec3& p) {
    return std::isfinite(p.x) && std::isfinite(p.z);
}

/// Along the travel to the right; a figure that stays faces down the page, as in the other views from above.
View choose_view(const Shot& shot, const Path& still) {
    const auto first = std::find_if(still.begin(), still.end(), known);
    const auto last = std::find_if(still.rbegin(), still.rend(), known);
    const Quat face = facing(shot.body, shot.posture(0));
    View view{rotate(face, {1, 0, 0}), rotate(face, {0, 0, -1}), {0, 1, 0}};
    if (first == still.end()) return view;
    Vec3 way = *last - *first;
    way.y = 0;
    if (norm(way) > 0.3 * shot.body.stature)
        view.right = normalized(way), view.up = cross(view.near, view.right);
    return view;
}

/// The points of frames `first` to `last` in runs without gaps, thinned.
void draw_path(SvgWriter& svg, const Placement& placement, const Path& path, int first, int last,
               const char* style) {
    const int step = std::max(1, (last - first + 1) / most_points);
    std::vector<Point> run;
    const auto end_run = [&] {
        if (run.size() > 1) svg.path(path_data(run, false), style);
        run.clear();
    };
    for (int f = first; f <= last; f += step) {
        const Vec3& p = path[static_cast<size_t>(f)];
        if (known(p))
            run.push_back(placement.at(p));
        else
            end_run();
    }
    end_run();
}

int tick_step(const Shot& shot) {
    int step = 1;
    for (const int more : {2, 5, 10, 12, 24, 48, 100, 200, 500, 1000, 2000, 5000, 10000, 100000})
        if (shot.count() / step > most_ticks) step = more;
    return step;
}

void draw_ticks(SvgWriter& svg, const Shot& shot, const Placement& placement, const Path& path,
                const Frame& frame) {
    const int step = tick_step(shot);
    std::vector<Point> labels;
    for (int f = 0; f < shot.count(); ++f) {
        if (shot.number(f) % step != 0 || !known(path[static_cast<size_t>(f)])) continue;
        const Point at = placement.at(path[static_cast<size_t>(f)]);
        svg.circle(at, 2.4, R"(fill="#000000" stroke="#FFFFFF" stroke-width="0.8")");
        const bool free = std::none_of(labels.begin(), labels.end(), [&](Point other) {
            return std::fabs(other.x - at.x) < 26 && std::fabs(other.y - at.y) < 14;
        });
        if (!free || at.x < frame.left || at.x > frame.right || at.y < frame.top || at.y > frame.bottom)
            continue;
        labels.push_back(at);
        svg.text({at.x, at.y - 6}, std::to_string(shot.number(f)), words, Anchor::middle,
                 R"(stroke="#FFFFFF" stroke-width="2.5" stroke-linejoin="round" paint-order="stroke")");
    }
}

std::string sample(const char* text, const char* style) {
    SvgWriter svg(26, 14);
    svg.line({1, 7}, {25, 7}, style);
    return "<li>" + svg.finish() + escape(text) + "</li>\n";
}

constexpr const char* moving_style = R"(fill="none" stroke="#000000" stroke-width="1.3")";
constexpr const char* still_style = R"(fill="none" stroke="#606060" stroke-width="1" stroke-dasharray="5 3")";
constexpr const char* falling_style =
    R"(fill="none" stroke="#D55E00" stroke-width="5" stroke-opacity="0.55" stroke-linecap="round")";

} // namespace

std::string path_picture(const Shot& shot, const char* id) {
    const Path moving = path_of(shot, &aplomb_clip_frame::point),
               still = path_of(shot, &aplomb_clip_frame::still_point);
    const std::vector<Print> prints = prints_of(shot);
    const View view = choose_view(shot, still);
    Box box;
    const auto add = [&](const Vec3& p) {
        if (known(p)) box.add(dot(p, view.right), dot(p, view.up));
    };
    for (const Print& print : prints)
        std::for_each(print.begin(), print.end(), add);
    std::for_each(still.begin(), still.end(), add);
    if (!(box.left <= box.right)) return "";
    const double beside = 0.05 * shot.body.stature; // the path in motion may go a little way beyond
    box.add(box.left - beside, box.bottom - beside), box.add(box.right + beside, box.top + beside);

    const double scale = std::min((widest - 2 * room) / box.width(), (tallest - 2 * room) / box.height());
    const double bar = scale_bar_width(shot.body, scale);
    const double width = std::max(scale * box.width(), bar + 80) + 2 * room,
                 height = scale * box.height() + 2 * room;
    SvgWriter svg(width, height, "The balance point's path among the feet, from above", id);
    const Placement placement{
        view, {width / 2 - scale * (box.left + box.right) / 2, room + scale * box.top}, scale};
    for (const Print& print : prints) {
        std::vector<Point> drawn;
        for (const Vec3& p : print)
            drawn.push_back(placement.at(p));
        svg.polygon(hull_of(std::move(drawn)),
                    R"(fill="#56B4E9" fill-opacity="0.35" stroke="#1F6F9C" stroke-width="1")");
    }
    draw_path(svg, placement, still, 0, shot.count() - 1, still_style);
    for (int k = 0; k < shot.page.fall_count; ++k)
        draw_path(svg, placement, moving, shot.page.falls[k].first, shot.page.falls[k].last, falling_style);
    draw_path(svg, placement, moving, 0, shot.count() - 1, moving_style);
    draw_ticks(svg, shot, placement, moving, {0, width, 0, height});
    draw_scale_bar(svg, shot.body, {width - 12 - bar, height - 10}, scale);
    svg.text({width - 18 - bar, height - 5}, scale_words(shot.body), words, Anchor::end);
    return R"(<div class="path">)" + svg.finish() + "</div>\n" +
           R"(<ul class="legend" aria-label="Legend of the path">)" + "\n" +
           sample("balance point in motion, with numbers of frames", moving_style) +
           sample("as if the body were still", still_style) + sample("out of balance", falling_style) +
           "</ul>\n";
}

} // namespace aplomb::report

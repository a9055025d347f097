// SPDX-License-Identifier: MIT
// All sizes are CSS pixels; the page fits windows from 360 to 1280 of them and A4, landscape.
#include "report/shot_page.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/trig.h"
#include "report/html.h"
#include "report/html_sheets.h"
#include "report/shot.h"

namespace aplomb::report {
namespace {

constexpr const char* style = R"(
.verdict { margin: 2px 0 14px; font-size: 19px; line-height: 1.3; font-weight: bold; }
.out { color: #D55E00; }
.notes { margin: 0 0 20px; padding-left: 24px; max-width: 900px; } .notes li { margin-bottom: 4px; }
.sheet { margin: 0 0 20px; } .sheet h2 { font-size: 17px; }
section { margin: 0 0 28px; }
.path svg { margin: 0 auto; }
.legend { display: flex; flex-wrap: wrap; gap: 4px 18px; margin: 6px 0 0; padding: 0; list-style: none; font-size: 13px;
  color: #404040; }
.legend li { display: flex; align-items: center; gap: 6px; }
.plots { display: grid; grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); gap: 18px 40px; }
figure { margin: 0; } figure svg { width: 100%; }
.columns { display: grid; grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); gap: 24px 40px; align-items: start; }
.ranges table { width: 100%; font-variant-numeric: tabular-nums; }
.ranges caption { text-align: left; font-size: 17px; line-height: 1.25; font-weight: bold; padding-bottom: 6px; }
.ranges td, .ranges th { padding: 2px 12px 2px 0; text-align: left; vertical-align: top; border-bottom: 1px solid #C0C0C0; }
.ranges thead th, .ranges thead td { border-bottom: 1px solid #000; }
.ranges tbody th { font-weight: normal; }
.shade { display: inline-block; width: 22px; height: 11px; background: #D55E00; opacity: 0.22; }
@media screen and (max-width: 900px) { .plots, .columns { grid-template-columns: minmax(0, 1fr); }
  .sheet svg text { visibility: hidden; } /* too small to be read; the captions stay */ }
@media print {
  section { margin: 0 0 10px; } p.note { margin: 0; } .notes { margin: 0 0 6px; } .verdict { margin: 0 0 6px; font-size: 16px; }
  section.sheet { break-before: auto; page: auto; margin: 0 0 12px; }
  section.sheet .plate { max-width: calc(0.78 * var(--paper)); } section.upright .plate { max-width: calc(0.58 * var(--paper)); } .sheet, figure, .path { break-inside: avoid; } .over-time { break-before: page; }
  .columns { display: block; columns: 2; column-gap: 28px; font-size: 9pt; line-height: 1.3; }
  .ranges { margin-bottom: 10px; } .ranges tr { break-inside: avoid; } .ranges td, .ranges th { padding: 1px 10px 1px 0; }
  .plots { gap: 6px 28px; max-width: 90%; }
}
)";

const char* footing_words(int32_t footing) {
    return footing == APLOMB_ON_BALL ? "ball" : footing == APLOMB_ON_HEEL ? "heel" : "flat";
}

std::string seconds(double value) {
    return fixed(value, 2) + " s";
}

/// `which`: "Keyed: ", or nothing.
std::string verdict(const Shot& shot, const std::string& which) {
    const int frames = shot.falling();
    const std::string all = std::to_string(shot.count()) + (shot.count() == 1 ? " frame" : " frames");
    if (frames == 0) return element("p", which + "in balance in " + all, R"(class="verdict")");
    const std::string ranges =
        shot.page.fall_count == 1 ? "" : ", in " + std::to_string(shot.page.fall_count) + " ranges";
    return element("p", which + "OUT OF BALANCE in " + std::to_string(frames) + " of " + all + ranges,
                   R"(class="verdict out")");
}

/// How fast the ground moves under a walk on the spot, on a belt or on a deck.
std::string ground(const Shot& shot) {
    const double speed = norm(shot.body.length_in(shot.page.clip->ground_velocity));
    if (!(speed > 0)) return "";
    return element("p", "The ground under the feet moves at " + fixed(speed, 2) + " m/s.");
}

std::string notes(const Shot& shot, const char* heading) {
    if (shot.page.note_count == 0) return "";
    std::string out = "<section>\n" + element("h2", heading) +
                      R"(<ol class="notes">)"
                      "\n";
    for (int k = 0; k < shot.page.note_count; ++k)
        out += element("li", shot.page.notes[k].text);
    return out + "</ol>\n</section>\n";
}

/// What a moment is like, in a few lines.
std::string moment_caption(const Shot& shot, int f) {
    const aplomb_clip_frame& frame = shot.frame(f);
    if (frame.contact_count == 0) return "in the air";
    if (!(frame.margin == frame.margin)) return "hardly presses on the ground";
    std::string text = std::string(frame.margin < 0 ? "" : "+") + shot.length(frame.margin) + " in motion";
    return text + "\n" + (frame.still_margin < 0 ? "" : "+") + shot.length(frame.still_margin) +
           " as if still";
}

std::string moment_name(const Shot& shot, int f) {
    return "frame " + std::to_string(shot.number(f)) + ", " + seconds(shot.frame(f).time);
}

/// Front and side of the worst moments as keyed, below them as corrected, and from above both beside each other.
std::string worst_before_and_after(const Shot& shot, const Shot& after) {
    if (shot.page.worst_count == 0) return "";
    const int count = shot.page.worst_count;
    std::vector<std::string> names, captions;
    for (int k = 0; k < count; ++k) {
        const int f = shot.page.worst[k].frame;
        names.push_back(moment_name(shot, f));
        captions.push_back(moment_caption(shot, f)), captions.push_back(moment_caption(after, f));
    }
    std::vector<aplomb_cell> cells;
    std::vector<const char*> columns;
    for (const Shot* which : {&shot, &after})
        for (int k = 0; k < count; ++k)
            for (const aplomb_view view : {APLOMB_VIEW_FRONT, APLOMB_VIEW_SIDE})
                cells.push_back({which->page.worst[k].picture, view, 1, nullptr});
    for (int k = 0; k < 2 * count; ++k) {
        const Shot& which = k % 2 == 0 ? shot : after;
        cells.push_back(
            {which.page.worst[k / 2].picture, APLOMB_VIEW_TOP, 1, captions[static_cast<size_t>(k)].c_str()});
        columns.push_back(k % 2 == 0 ? names[static_cast<size_t>(k / 2)].c_str() : "");
    }
    const char* const rows[] = {"keyed", "corrected", "above: keyed, corrected"};
    aplomb_sheet sheet{};
    sheet.title = count == 1 ? "The worst moment" : "The worst moments";
    sheet.columns = 2 * count;
    sheet.cell_count = static_cast<int32_t>(cells.size());
    sheet.cells = cells.data(), sheet.column_names = columns.data(), sheet.row_names = rows;
    return sheet_section(sheet, "worst", "h2");
}

/// Front, side and top of the worst moments, the top below the front.
std::string worst_section(const Shot& shot) {
    if (shot.page.worst_count == 0) return "";
    std::vector<std::string> names, captions;
    for (int k = 0; k < shot.page.worst_count; ++k) {
        const int f = shot.page.worst[k].frame;
        names.push_back(moment_name(shot, f)), captions.push_back(moment_caption(shot, f));
    }
    // Fewer than three moments of an upright body are drawn no larger than three would be.
    const bool upright = std::none_of(shot.body.limbs.begin(), shot.body.limbs.end(),
                                      [](const BodyLimb& limb) { return limb.kind == APLOMB_FORE_LEG; });
    const int places = upright ? std::max(shot.page.worst_count, 3) : shot.page.worst_count;
    std::vector<aplomb_cell> cells;
    std::vector<const char*> columns;
    for (const aplomb_view view : {APLOMB_VIEW_FRONT, APLOMB_VIEW_TOP})
        for (int k = 0; k < places; ++k) {
            const bool there = k < shot.page.worst_count, front = view == APLOMB_VIEW_FRONT;
            const aplomb_picture* picture = there ? shot.page.worst[k].picture : nullptr;
            const char* caption = there && !front ? captions[static_cast<size_t>(k)].c_str() : nullptr;
            cells.push_back({picture, view, 1, caption});
            cells.push_back({front ? picture : nullptr, APLOMB_VIEW_SIDE, 1, nullptr});
        }
    for (int k = 0; k < places; ++k)
        columns.push_back(k < shot.page.worst_count ? names[static_cast<size_t>(k)].c_str() : ""),
            columns.push_back("");
    aplomb_sheet sheet{};
    sheet.title = shot.page.worst_count == 1 ? "The worst moment, with its margin"
                                             : "The worst moments, with the margin";
    sheet.columns = 2 * places;
    sheet.cell_count = static_cast<int32_t>(cells.size());
    sheet.cells = cells.data(), sheet.column_names = columns.data();
    return sheet_section(sheet, "worst", "h2");
}

std::string strip_section(const Shot& shot, const Shot* after) {
    if (shot.page.strip_count == 0) return "";
    std::vector<const Shot*> rows = {&shot};
    if (after) rows.push_back(after);
    std::vector<std::string> captions;
    for (const Shot* row : rows)
        for (int k = 0; k < shot.page.strip_count; ++k) {
            const int f = shot.page.strip[k].frame;
            captions.push_back(moment_name(shot, f) + "\n" + moment_caption(*row, f));
        }
    std::vector<aplomb_cell> cells;
    for (const Shot* row : rows)
        for (int k = 0; k < shot.page.strip_count; ++k)
            cells.push_back(
                {row->page.strip[k].picture, APLOMB_VIEW_SIDE, 1, captions[cells.size()].c_str()});
    const char* const names[] = {"keyed", "corrected"};
    aplomb_sheet sheet{};
    sheet.title = "From beginning to end, with the margin";
    sheet.columns = shot.page.strip_count;
    sheet.cell_count = static_cast<int32_t>(cells.size());
    sheet.cells = cells.data();
    if (after) sheet.row_names = names;
    return sheet_section(sheet, "strip", "h2");
}

std::string range_table(const char* caption, const Cells& headings, std::vector<Cells> rows) {
    if (rows.empty()) return "";
    // table() wants an empty corner above the rows' names; here that column has a name, too.
    std::string made = table(caption, Cells(headings.begin() + 1, headings.end()), rows);
    const std::string corner = "<td></td>";
    made.replace(made.find(corner), corner.size(), element("th", headings.front(), R"(scope="col")"));
    return R"(<section class="ranges">)" + made + "</section>\n";
}

std::string stance_table(const Shot& shot) {
    std::vector<Cells> rows;
    for (int k = 0; k < shot.page.stance_count; ++k) {
        const aplomb_stance_range& range = shot.page.stances[k];
        const bool foot = !shot.body.limbs[static_cast<size_t>(range.limb)].sole.empty();
        rows.push_back({shot.frames(range.first, range.last), shot.limb(range.limb),
                        foot ? footing_words(range.footing) : "bearing",
                        seconds(shot.lasting(range.first, range.last)), shot.length(range.slip)});
    }
    return range_table("What stands", {"frames", "part", "on its", "for", "slides"}, std::move(rows));
}

/// Ranges that were corrected, with the most that hips and chest did in each.
std::string changed_table(const Shot& after) {
    const aplomb_clip_balanced* balanced = after.page.balanced;
    std::vector<Cells> rows;
    const auto length = [](const double* v) { return std::sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]); };
    for (int first = 0, last; balanced && first < after.count(); first = last + 1) {
        last = first;
        if (balanced[first].range < 0) continue;
        double hips = 0, chest = 0, slack = 0;
        for (int f = first; f < after.count() && balanced[f].range == balanced[first].range; ++f) {
            hips = std::max(hips, length(balanced[f].controls.hips_shift));
            chest = std::max(chest, length(balanced[f].controls.chest));
            slack = std::max(slack, balanced[f].slack);
            last = f;
        }
        rows.push_back({after.frames(first, last), after.length(hips), fixed(chest / degree, 1) + "\xC2\xB0",
                        slack > 1e-5 ? after.length(slack / after.body.metres_per_unit) : "in reach"});
    }
    return range_table("Corrected; other frames are as keyed",
                       {"frames", "hips at most", "chest at most", "short by"}, std::move(rows));
}

std::string arc_list(const Shot& after) {
    std::string items;
    for (int k = 0; k < after.page.arc_count; ++k)
        items += element("li", after.page.arcs[k].text);
    return items.empty() ? "" : element("h2", "Flights, now on free-fall arcs") + "<ul>" + items + "</ul>\n";
}

std::string fall_table(const Shot& shot, const char* heading) {
    std::vector<Cells> rows;
    for (int k = 0; k < shot.page.fall_count; ++k) {
        const aplomb_fall_range& fall = shot.page.falls[k];
        rows.push_back({shot.frames(fall.first, fall.last), seconds(shot.lasting(fall.first, fall.last)),
                        std::to_string(shot.number(fall.worst)), shot.length(fall.margin),
                        shot.length(fall.short_of)});
    }
    return range_table(heading, {"frames", "for", "worst", "margin there", "short by"}, std::move(rows));
}

std::string flight_table(const Shot& shot, const char* heading) {
    std::vector<Cells> rows;
    for (int k = 0; k < shot.page.flight_count; ++k) {
        const aplomb_flight& flight = shot.page.flights[k];
        rows.push_back(
            {shot.frames(flight.first, flight.last), seconds(shot.lasting(flight.first, flight.last)),
             fixed(flight.gravity, 2) + " m/s\xC2\xB2",
             flight.free_fall != 0 ? "free fall" : "not a free fall", shot.length(flight.deviation)});
    }
    return range_table(heading, {"frames", "for", "falls at", "reads", "off its arc"}, std::move(rows));
}

std::string step_table(const Shot& shot) {
    std::vector<Cells> rows;
    for (int k = 0; k < shot.page.step_count; ++k) {
        const aplomb_foot_step& step = shot.page.steps[k];
        rows.push_back({std::to_string(shot.number(step.frame)), shot.limb(step.limb), seconds(step.seconds),
                        fixed(step.implied_leg * shot.body.metres_per_unit, 2) + " m"});
    }
    return range_table("Steps", {"frame", "set down", "since the last", "as of a leg of (common practice)"},
                       std::move(rows));
}

std::string carry_table(const Shot& shot) {
    std::vector<Cells> rows;
    const aplomb_clip& clip = *shot.page.clip;
    for (int r = 0; r < clip.carry_count; ++r) {
        const aplomb_carry& carry = clip.carries[r];
        std::string holders;
        for (const int32_t holder : carry.load.holder) {
            aplomb_joint_info info;
            aplomb_joint_info_init(&info, sizeof info);
            if (holder < 0 || aplomb_figure_joint(shot.page.figure, holder, &info, nullptr) != APLOMB_OK)
                continue;
            holders +=
                (holders.empty() ? "" : " and ") + std::string(info.name != nullptr ? info.name : "a joint");
        }
        rows.push_back({shot.frames(carry.first, carry.last), fixed(carry.load.mass, 1) + " kg", holders});
    }
    return range_table("What is carried", {"frames", "load", "by"}, std::move(rows));
}

} // namespace

std::string shot_page(const aplomb_shot_page& page) {
    const Shot shot(page);
    std::optional<Shot> corrected;
    if (page.after) corrected.emplace(*page.after);
    const Shot* after = corrected ? &*corrected : nullptr;
    const std::string title =
        page.title != nullptr && page.title[0] != '\0' ? page.title : "Balance of a clip";
    std::string out = html_start(title, sheet_style() + style) + html_patterns() + element("h1", title) +
                      "<main>\n" + verdict(shot, after ? "Keyed: " : "");
    if (after) out += verdict(*after, "Corrected: ");
    out += ground(shot) + notes(shot, after ? "First to look at, as keyed" : "First to look at");
    if (after)
        out += notes(*after, "First to look at, as corrected") + worst_before_and_after(shot, *after);
    else
        out += worst_section(shot);
    out += strip_section(shot, after);
    const std::string above = "The balance point among the feet, from above";
    out += "<section>\n" + element("h2", above + (after ? ", as keyed" : "")) + path_picture(shot, "path") +
           "</section>\n";
    if (after)
        out += "<section>\n" + element("h2", "The same, as corrected") + path_picture(*after, "path-after") +
               "</section>\n";
    const char* const shaded = !after ? "out of balance: short of the margin asked for"
                                      : "out of balance as keyed: short of the margin asked for; darker: as "
                                        "corrected, too";
    out += R"(<section class="over-time">)" + element("h2", "Over time") + plots(shot, after) +
           R"(<ul class="legend"><li><span class="shade"></span>)" + shaded + "</li></ul>\n</section>\n";
    out += R"(<div class="columns">)"
           "\n<div>\n" +
           stance_table(shot) + "</div>\n<div>\n";
    if (after)
        out += changed_table(*after) + arc_list(*after) +
               fall_table(shot, "Out of balance in motion, as keyed") +
               fall_table(*after, "Out of balance in motion, as corrected");
    else
        out += fall_table(shot, "Out of balance in motion");
    out += carry_table(shot) + flight_table(shot, after ? "In the air, as keyed" : "In the air") +
           step_table(shot) + "</div>\n</div>\n</main>\n";
    return out + html_note() + html_end();
}

} // namespace aplomb::report

// SPDX-License-Identifier: MIT
#include "report/parts.h"

#include <algorithm>

#include "report/legend.h"
#include "report/marks.h"
#include "report/mass_bar.h"
#include "report/page_views.h"
#include "report/words.h"
#include "json/json.h"

namespace aplomb::report {
namespace {

// Coarser than for print, finer than a screen's dot: drawn while somebody waits.
constexpr double screen_cells = 0.6, screen_tolerance = 0.15;
constexpr double narrowest_bar = 340;
constexpr double least_height = 260; // of a body in a narrow room: small views in a row before large ones

Json views_of(const Drawing& drawing, const Half& half, const Sizes& sizes) {
    Json views = Json::object();
    for (const ViewName name : sizes.order) {
        const PageView view = page_view(drawing, half, sizes, name);
        views[view.name] = {{"words", view.words}, {"width", view.width}, {"svg", view.svg}};
    }
    return views;
}

Json pose_of(const Drawing& drawing, const Half& half, const Sizes* sizes) {
    Json pose = {{"heading", half.heading},
                 {"caption", half.caption},
                 {"verdict", headline(drawing, half)},
                 {"out", out_of_balance(half)}};
    if (sizes != nullptr) pose["views"] = views_of(drawing, half, *sizes);
    return pose;
}

Json loads_of(const Drawing& drawing, double room) {
    Json loads = Json::array();
    for (int i = 0; i < load_count(drawing); ++i) {
        const aplomb_load& load = drawing.picture->situation->loads[i];
        Json item = {{"load", load_words(drawing, load)},
                     {"before", load_sentence(drawing.before, i, drawing.has_after ? "Before" : "The pose")}};
        if (drawing.has_after) item["after"] = load_sentence(drawing.after, i, "After");
        if (room > 0)
            item["bar"] = mass_bar(drawing, i, "mass-" + std::to_string(i + 1),
                                   std::clamp(room, narrowest_bar, mass_bar_width));
        loads.push_back(item);
    }
    return loads;
}

Json readings_of(const Drawing& drawing) {
    Json rows = Json::array();
    const Rows before = reading_rows(drawing, drawing.before);
    const Rows after = drawing.has_after ? reading_rows(drawing, drawing.after) : Rows();
    for (size_t i = 0; i < before.size(); ++i) {
        Json row = Json::array({before[i].first, before[i].second});
        if (drawing.has_after) row.push_back(after[i].second);
        rows.push_back(row);
    }
    return rows;
}

Json legend_of(const std::vector<LegendItem>& items) {
    Json legend = Json::array();
    for (const LegendItem& item : items)
        legend.push_back(Json{{"svg", item.svg}, {"words", item.words}, {"of", item.of}});
    return legend;
}

} // namespace

std::string page_parts(Drawing drawing, double room) {
    drawing.lines = true; // drawn always: the host hides them
    drawing.finest = screen_cells;
    drawing.tolerance = screen_tolerance;
    drawing.words = page_words;
    Sizes sizes;
    if (room > 0) sizes = measure(drawing, room, least_height);
    const Sizes* drawn = room > 0 ? &sizes : nullptr;
    Json parts = Json::object();
    parts["before"] = pose_of(drawing, drawing.before, drawn);
    if (drawing.has_after) parts["after"] = pose_of(drawing, drawing.after, drawn);
    parts["loads"] = loads_of(drawing, room);
    parts["readings"] = readings_of(drawing);
    parts["cues"] = Json::array();
    for (const std::string& cue : cue_words(drawing))
        parts["cues"].push_back(cue);
    parts["text"] = text_words(drawing);
    if (drawing.picture->result != nullptr) {
        parts["controls"] = Json::array();
        for (const std::vector<std::string>& row : control_rows(drawing))
            parts["controls"].push_back(row);
    }
    if (room > 0) {
        SvgWriter marks(1, 1);
        define_marks(marks);
        parts["marks"] = marks.finish();
        parts["legend"] = legend_of(picture_legend(drawing));
        parts["bar_legend"] = legend_of(mass_legend());
        SvgWriter bar(scale_bar_width(drawing.body, sizes.scale), 4);
        draw_scale_bar(bar, drawing.body, {0.5, 0.5}, sizes.scale);
        parts["scale"] = {{"words", scale_words(drawing.body)},
                          {"width", scale_bar_width(drawing.body, sizes.scale)},
                          {"svg", bar.finish()}};
    }
    return parts.dump(-1, ' ', Json::Broken::replaced);
}

} // namespace aplomb::report

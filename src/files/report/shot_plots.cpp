// SPDX-License-Identifier: MIT
// Numbers over time as plain lines with units, lightly shaded where the body is out of balance. Sizes are CSS pixels.
#include <algorithm>
#include <cmath>
#include <limits>

#include "base/trig.h"
#include "report/html.h"
#include "report/shot.h"

namespace aplomb::report {
namespace {

constexpr double width = 596, title_height = 26, paper_height = 124, axis_height = 26;
constexpr double left = 46, right = 588;
constexpr double words = 12;
constexpr int most_points = 700; // of a line: more than its width shows
constexpr const char* bridge_style =
    R"(class="bridge" fill="none" stroke="#606060" stroke-width="0.9" stroke-dasharray="1 3")";
constexpr const char* dashes[] = {"", R"( stroke-dasharray="6 3")", R"( stroke-dasharray="2 2.5")",
                                  R"( stroke-dasharray="9 3 2 3")"};

struct Line {
    std::string name;
    std::vector<double> values; // NaN where there is none
    bool thin = false;          // a bound, not a reading
    bool bridged = false;       // faint dots lead over frames without a value
};

struct Plot {
    std::string title, id;
    std::vector<Line> lines;
    const char* zero = nullptr; // what the line at 0 means
    double least = 1;           // the least range that the axis shows: smaller changes are not blown up
};

/// Steps of 1, 2 or 5 times a power of ten, three to seven of them.
double nice_step(double range) {
    const double power = std::pow(10, std::floor(std::log10(range / 3)));
    for (const double times : {5.0, 2.0})
        if (power * times <= range / 3) return power * times;
    return power;
}

struct Range {
    double low = std::numeric_limits<double>::infinity(), high = -low;
    void add(double v) { low = std::min(low, v), high = std::max(high, v); }
};

/// The range of nearly all values: a few that lie far off end at the plot's edge.
Range range_of(const Plot& plot) {
    Range range;
    for (const Line& line : plot.lines) {
        std::vector<double> values;
        for (const double v : line.values)
            if (std::isfinite(v)) values.push_back(v);
        if (values.empty()) continue;
        std::sort(values.begin(), values.end());
        const size_t off = values.size() / 100;
        range.add(values[off]), range.add(values[values.size() - 1 - off]);
    }
    if (!(range.low <= range.high)) return {0, 1};
    range.add(0);
    if (range.high - range.low < plot.least) range.high = range.low + plot.least;
    const double room = std::max(0.06 * (range.high - range.low), 1e-9);
    return {range.low < 0 ? range.low - room : 0, range.high + room};
}

class Paper {
public:
    Paper(const Shot& shot, const Plot& plot, double from)
        : top(from), bottom(from + paper_height), shot_(shot), range_(range_of(plot)) {}

    double x(double seconds) const {
        const double first = shot_.frame(0).time, all = shot_.frame(shot_.count() - 1).time - first;
        return all > 0 ? left + (right - left) * (seconds - first) / all : (left + right) / 2;
    }
    double y(double value) const {
        const double part =
            (std::clamp(value, range_.low, range_.high) - range_.low) / (range_.high - range_.low);
        return bottom - (bottom - top) * part;
    }

    void shade(SvgWriter& svg, const Shot& falling) const {
        for (int k = 0; k < falling.page.fall_count; ++k) {
            const aplomb_fall_range& fall = falling.page.falls[k];
            const double from = x(middle(fall.first, fall.first - 1)),
                         to = x(middle(fall.last, fall.last + 1));
            svg.rectangle({from, top}, std::max(to - from, 1.0), bottom - top,
                          R"(fill="#D55E00" fill-opacity="0.16")");
        }
    }

    void name_zero(SvgWriter& svg, const char* zero) const {
        svg.text({right, y(0) - 4}, zero, words - 1, Anchor::end,
                 R"(fill="#404040" stroke="#FFFFFF" stroke-width="2.5" paint-order="stroke")");
    }

    void grid(SvgWriter& svg) const {
        const double step = nice_step(range_.high - range_.low);
        for (double v = std::ceil(range_.low / step) * step; v <= range_.high + 1e-9; v += step) {
            const bool nought = std::fabs(v) < step / 2;
            svg.line({left, y(v)}, {right, y(v)},
                     nought ? R"(stroke="#000000" stroke-width="0.8")"
                            : R"(stroke="#D0D0D0" stroke-width="0.6")");
            svg.text({left - 6, y(v) + 4}, aplomb::report::number(nought ? 0 : v, 3), words, Anchor::end);
        }
        svg.line({left, bottom}, {right, bottom}, R"(stroke="#000000" stroke-width="0.8")");
        const int every = std::max(1, static_cast<int>(std::ceil(nice_step(shot_.count()))));
        double end = -100;
        for (int f = 0; f < shot_.count(); ++f) {
            if (shot_.number(f) % every != 0) continue;
            const double at = x(shot_.frame(f).time);
            svg.line({at, bottom}, {at, bottom + 4}, R"(stroke="#000000" stroke-width="0.8")");
            const std::string text = std::to_string(shot_.number(f));
            if (at - text_width(text, words) / 2 < end + 6 || at + text_width(text, words) / 2 > right - 34)
                continue;
            svg.text({at, bottom + 17}, text, words, Anchor::middle);
            end = at + text_width(text, words) / 2;
        }
        svg.text({right, bottom + 17}, "frame", words, Anchor::end, R"(fill="#404040")");
    }

    void draw(SvgWriter& svg, const Line& line, const std::string& style) const {
        const int bucket = std::max(1, 2 * shot_.count() / most_points);
        std::vector<Point> run, before;
        const auto end_run = [&] {
            if (line.bridged && !run.empty() && !before.empty())
                svg.path(path_data({before.back(), run.front()}, false), bridge_style);
            if (!run.empty()) before = run;
            if (run.size() == 1) run.push_back({run[0].x + 0.5, run[0].y});
            if (run.size() > 1) svg.path(path_data(run, false), style);
            run.clear();
        };
        for (int start = 0; start < shot_.count(); start += bucket) {
            const int last = std::min(start + bucket, shot_.count()) - 1;
            int low = -1, high = -1; // the extremes of what is thinned out, which both stay
            for (int f = start; f <= last; ++f) {
                const double v = line.values[static_cast<size_t>(f)];
                if (!std::isfinite(v)) continue;
                if (low < 0 || v < line.values[static_cast<size_t>(low)]) low = f;
                if (high < 0 || v > line.values[static_cast<size_t>(high)]) high = f;
            }
            if (low < 0) {
                end_run();
                continue;
            }
            for (const int f : {std::min(low, high), std::max(low, high)})
                if (run.empty() || low != high || f == start)
                    run.push_back({x(shot_.frame(f).time), y(line.values[static_cast<size_t>(f)])});
            if (low == high && run.size() > 1 && run.back().x == run[run.size() - 2].x) run.pop_back();
        }
        end_run();
    }

    const double top, bottom;

private:
    double middle(int f, int other) const {
        const int o = std::clamp(other, 0, shot_.count() - 1);
        return (shot_.frame(f).time + shot_.frame(o).time) / 2;
    }
    const Shot& shot_;
    Range range_;
};

std::string line_style(const Line& line, size_t index) {
    if (line.thin) return R"(fill="none" stroke="#606060" stroke-width="0.9" stroke-dasharray="1.5 2.5")";
    return std::string(R"(fill="none" stroke="#000000" stroke-width="1.4" stroke-linejoin="round")") +
           dashes[std::min<size_t>(index, 3)];
}

constexpr double sample = 26, gap = 5, between = 8; // of a line's sample; before its name; after it

double name_width(const Line& line) {
    return line.name.empty() ? 0 : sample + gap + text_width(line.name, words) + between;
}

double names_width(const Plot& plot) {
    double wide = -between;
    for (const Line& line : plot.lines)
        wide += name_width(line);
    return wide;
}

/// Samples and names of the lines, flush right, in a line of text of their own where the title leaves no room.
void draw_names(SvgWriter& svg, const Plot& plot, double baseline) {
    double at = right - names_width(plot);
    for (size_t k = 0; k < plot.lines.size(); ++k) {
        const Line& line = plot.lines[k];
        if (line.name.empty()) continue;
        svg.line({at, baseline - 4}, {at + sample, baseline - 4}, line_style(line, k));
        svg.text({at + sample + gap, baseline}, line.name, words);
        at += name_width(line);
    }
}

std::string draw_plot(const Shot& shot, const Shot* after, const Plot& plot) {
    const bool beside = text_width(plot.title, words + 1) + 10 < right - names_width(plot);
    const double top = title_height + (beside ? 0 : 16);
    SvgWriter svg(width, top + paper_height + axis_height, plot.title + " over time", plot.id);
    const Paper paper(shot, plot, top);
    svg.text({2, 15}, plot.title, words + 1, Anchor::start, R"(font-weight="bold")");
    paper.shade(svg, shot);
    if (after) paper.shade(svg, *after);
    paper.grid(svg);
    for (size_t k = 0; k < plot.lines.size(); ++k)
        paper.draw(svg, plot.lines[k], line_style(plot.lines[k], k));
    if (plot.zero) paper.name_zero(svg, plot.zero);
    draw_names(svg, plot, beside ? 15 : 31);
    return "<figure>" + svg.finish() + "</figure>\n";
}

template<class Value>
std::vector<double> over_time(const Shot& shot, Value value) {
    std::vector<double> values;
    for (int f = 0; f < shot.count(); ++f)
        values.push_back(value(shot.frame(f)));
    return values;
}

/// One line; where there is a corrected shot, its line before the keyed one's.
template<class Value>
std::vector<Line> before_and_after(const Shot& shot, const Shot* after, const char* alone, Value value) {
    if (!after) return {{alone, over_time(shot, value)}};
    return {{"corrected", over_time(*after, value)}, {"keyed", over_time(shot, value)}};
}

std::vector<Line> by_limb(const Shot& shot, const double (aplomb_clip_frame::*member)[APLOMB_MAX_LIMBS],
                          double unit, bool legs_alone) {
    std::vector<Line> lines;
    for (size_t limb = 0; limb < shot.body.limbs.size(); ++limb) {
        std::vector<double> values =
            over_time(shot, [&](const aplomb_clip_frame& f) { return (f.*member)[limb] * unit; });
        const bool used = std::any_of(values.begin(), values.end(), [](double v) { return v > 0; });
        if (legs_alone ? shot.body.limbs[limb].kind == APLOMB_ARM : !used) continue;
        lines.push_back({shot.limb(static_cast<int>(limb)), std::move(values)});
    }
    return lines;
}

std::vector<Plot> limb_plots(const Shot& shot, const Shot& after, double unit) {
    const auto give = &aplomb_clip_frame::give;
    std::vector<Line> keyed = by_limb(shot, give, unit, true), corrected = by_limb(after, give, unit, true);
    std::vector<Plot> made;
    for (size_t k = 0; k < keyed.size(); ++k) {
        const std::string name = keyed[k].name;
        keyed[k].name = "corrected", corrected[k].name = "keyed";
        std::swap(keyed[k].values, corrected[k].values);
        made.push_back({"Give of the " + name + ", " + shot.length_unit(),
                        "plot-give-" + std::to_string(k + 1),
                        {std::move(keyed[k]), std::move(corrected[k])}});
    }
    return made;
}

/// What is carried in each frame with its full weight, and what it reads as.
std::vector<Plot> load_plots(const Shot& shot, const Shot* after) {
    std::vector<Plot> made;
    const aplomb_clip& clip = *shot.page.clip;
    int things = 0;
    for (int r = 0; r < clip.carry_count; ++r)
        things = std::max(things, clip.carries[r].which + 1);
    for (int thing = 0; thing < std::min(things, APLOMB_MAX_LOADS); ++thing) {
        std::vector<double> mass(static_cast<size_t>(shot.count()), std::numeric_limits<double>::quiet_NaN());
        double most = 0;
        for (int r = 0; r < clip.carry_count; ++r) {
            const aplomb_carry& carry = clip.carries[r];
            if (carry.which != thing) continue;
            most = carry.load.mass;
            for (int f = std::max(carry.first, 0); f <= std::min(carry.last, shot.count() - 1); ++f)
                mass[static_cast<size_t>(f)] = carry.load.mass;
        }
        const auto reads_as = [&](const aplomb_clip_frame& f) { return f.reads_as[thing]; };
        Plot plot{"Load of " + fixed(most, 1) + " kg reads as, kg", "plot-load-" + std::to_string(thing + 1),
                  before_and_after(shot, after, "reads as", reads_as)};
        // Frames in which balance does not tell, as on one foot, would leave the line in scraps.
        for (Line& line : plot.lines)
            line.bridged = true;
        plot.lines.push_back({"weighs", std::move(mass), true});
        made.push_back(std::move(plot));
    }
    return made;
}

/// What was done to hips and chest.
std::vector<Plot> change_plots(const Shot& after, const aplomb_clip_balanced* balanced, double unit) {
    const auto over_frames = [&](auto value) {
        std::vector<double> values;
        for (int f = 0; f < after.count(); ++f)
            values.push_back(value(balanced[f].controls));
        return values;
    };
    const auto shift = [&](int axis) {
        return over_frames([&](const aplomb_controls& c) { return c.hips_shift[axis] * unit; });
    };
    const auto turn = [&](int axis) {
        return over_frames([&](const aplomb_controls& c) { return c.chest[axis] / degree; });
    };
    return {{std::string("Hips moved, ") + after.length_unit(),
             "plot-hips",
             {{"left", shift(0)}, {"up", shift(1)}, {"forward", shift(2)}}},
            {"Chest turned against them, degrees",
             "plot-chest",
             {{"forward", turn(0)}, {"right", turn(2)}, {"twist", turn(1)}},
             nullptr,
             5}};
}

} // namespace

std::string plots(const Shot& shot, const Shot* after) {
    const double unit = shot.body.metres_per_unit * shot.lengths_per_metre();
    const std::string lengths = std::string(", ") + shot.length_unit();
    const auto length = [&](double aplomb_clip_frame::*member) {
        return [=](const aplomb_clip_frame& f) { return f.*member * unit; };
    };
    const auto angle = [&](double aplomb_clip_frame::*member) {
        return [=](const aplomb_clip_frame& f) { return f.*member / degree; };
    };
    const char* edge = "the feet's edge";
    std::vector<Plot> all;
    const auto add = [&](std::vector<Plot> more) {
        for (Plot& plot : more)
            all.push_back(std::move(plot));
    };
    Line asked{"asked for", over_time(shot, length(&aplomb_clip_frame::margin_asked)), true};
    const auto in_motion = length(&aplomb_clip_frame::margin),
               still = length(&aplomb_clip_frame::still_margin);
    Plot margin{"Margin" + lengths, "plot-margin", {}, edge};
    if (after) {
        margin.title = "Margin in motion" + lengths;
        margin.lines = before_and_after(shot, after, "", in_motion);
    } else {
        margin.lines = {{"in motion", over_time(shot, in_motion)}, {"as if still", over_time(shot, still)}};
    }
    margin.lines.push_back(std::move(asked));
    all.push_back(std::move(margin));
    if (after && after->page.arc_count > 0) {
        const auto height = [&](const aplomb_clip_frame& f) {
            return shot.body.length_in(f.centre).y * shot.lengths_per_metre();
        };
        all.push_back({"Height of the centre of mass" + lengths, "plot-height",
                       before_and_after(shot, after, "", height)});
    }
    if (after && after->page.balanced) add(change_plots(*after, after->page.balanced, unit));
    const auto fore = angle(&aplomb_clip_frame::trunk_fore), side = angle(&aplomb_clip_frame::trunk_side);
    if (after) {
        all.push_back({"Lean of the trunk forward, degrees", "plot-lean",
                       before_and_after(shot, after, "", fore), nullptr, 10});
        all.push_back({"Lean of the trunk to the right, degrees", "plot-lean-right",
                       before_and_after(shot, after, "", side), nullptr, 10});
        add(limb_plots(shot, *after, unit));
    }
    all.push_back({after ? "Share of the weight, corrected, %" : "Share of the weight, %", "plot-share",
                   by_limb(after ? *after : shot, &aplomb_clip_frame::share, 100, false)});
    if (!after) {
        all.push_back({"Lean of the trunk, degrees",
                       "plot-lean",
                       {{"forward", over_time(shot, fore)}, {"to the right", over_time(shot, side)}},
                       nullptr,
                       10});
        all.push_back(
            {"Give of the legs" + lengths, "plot-give", by_limb(shot, &aplomb_clip_frame::give, unit, true)});
    }
    add(load_plots(shot, after));
    all.push_back({"Margin of the extrapolated centre of mass" + lengths, "plot-extrapolated",
                   before_and_after(shot, after, "", length(&aplomb_clip_frame::extrapolated_margin)), edge});
    std::string out = R"(<div class="plots">)"
                      "\n";
    for (const Plot& plot : all)
        out += draw_plot(shot, after, plot);
    return out + "</div>\n";
}

} // namespace aplomb::report

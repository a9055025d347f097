// SPDX-License-Identifier: MIT
// All sizes are CSS pixels, 1/96 inch. All frames are drawn into one picture, from one side and at one place; a few lines
// of script show one of them at a time. Without script, and on paper, the moments tell the motion.
#include "report/html_motion.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "report/body.h"
#include "report/html.h"
#include "report/views.h"

namespace aplomb::report {
namespace {

constexpr double stage_width = 1000, stage_height = 460, room = 12;
constexpr double strip_width = 1000, moment_height = 170;
constexpr std::size_t most_moments = 8;
constexpr const char* ground_line = R"(stroke="#000000" stroke-width="1" vector-effect="non-scaling-stroke")";

constexpr const char* style = R"(
.stage { margin: 0 0 10px; }
.stage svg, .moments svg { width: 100%; }
.stage .frame { display: none; }
.stage .shown { display: inline; }
.play { font: inherit; padding: 4px 18px; border: 1px solid #000; background: #fff; color: #000; }
.play:focus-visible { outline: 2px solid #000; outline-offset: 2px; }
.controls { display: flex; gap: 16px; align-items: center; margin: 0 0 28px; font-variant-numeric: tabular-nums; }
.moments { display: flex; border-top: 1px solid #808080; padding-top: 8px; }
.moments figure { margin: 0; flex: 1 1 0; min-width: 0; }
.moments figcaption { text-align: center; font-size: 12.5px; padding-top: 4px; }
.text { margin: 0 0 10px; font-size: 13.5px; white-space: pre-line; }
@media (max-width: 700px) { .moments { flex-wrap: wrap; } .moments figure { flex: 0 0 25%; } }
@media print { .stage, .controls { display: none; } }
)";

// Shows the frame that the clock says while it plays. It has no character that XML would interpret.
constexpr const char* script = R"(
(function () {
  var stage = document.querySelector('.stage'), button = document.querySelector('.play');
  var count = document.querySelector('.count'), frames = stage.querySelectorAll('.frame');
  var rate = Number(stage.dataset.rate), first = Number(stage.dataset.first), now = 0, started = null;
  function show(next) {
    frames[now].classList.remove('shown');
    now = next;
    frames[now].classList.add('shown');
    count.textContent = 'frame ' + (first + now) + ' of ' + first + ' to ' + (first + frames.length - 1);
  }
  function tick(time) {
    if (started === null) return;
    // The first frame's clock may stand before the click.
    var next = Math.floor(Math.max(0, time - started) / 1000 * rate) % frames.length;
    if (next !== now) show(next);
    requestAnimationFrame(tick);
  }
  button.addEventListener('click', function () {
    var playing = started !== null;
    button.textContent = playing ? 'Play' : 'Stop';
    started = playing ? null : performance.now() - now / rate * 1000;
    if (!playing) requestAnimationFrame(tick);
  });
  document.querySelector('.controls').hidden = false;
}());
)";

const Half& shown(const Drawing& drawing) {
    return drawing.has_after ? drawing.after : drawing.before;
}

/// What is drawn of a frame.
Box frame_box(const Drawing& drawing, const View& view) {
    Box box = body_extent(shown(drawing), view);
    if (drawing.has_after) box.add(body_extent(drawing.before, view));
    if (!shown(drawing).loads.empty()) box.add(extent(shown(drawing).loads, view));
    return box;
}

void draw_frame(SvgWriter& svg, const Drawing& drawing, const Placement& placement, const Frame& frame,
                const std::string& id) {
    draw_solids(svg, drawing, shown(drawing), placement, frame);
    if (drawing.has_after) draw_keyed_outline(svg, drawing, placement, frame, "keyed-" + id);
}

std::string frame_words(const aplomb_motion& motion, std::size_t frame) {
    return "frame " + std::to_string(motion.first_number + static_cast<int>(frame));
}

class MotionPage {
public:
    explicit MotionPage(const aplomb_motion& motion) : m_(motion), name_(static_cast<ViewName>(motion.view)) {
        for (int32_t i = 0; i < motion.picture_count; ++i) {
            drawings_.push_back(make_drawing(motion.pictures[i]));
            if (i == 0) view_ = drawings_[0].views[name_];
            boxes_.push_back(frame_box(drawings_.back(), view_));
            whole_.add(boxes_.back());
        }
        whole_.bottom = std::min(whole_.bottom, ground());
    }

    std::string text() const {
        const char* title = m_.title != nullptr ? m_.title : "A shot";
        std::string out = html_start(title, style) + html_patterns() + "<main>\n" + element("h1", title);
        if (m_.text != nullptr) out += element("p", m_.text, R"(class="text")");
        return out + stage() + controls() + strip() + html_note() + "</main>\n<script>" + script +
               "</script>\n" + html_end();
    }

private:
    double ground() const { return name_ == top_view ? whole_.bottom : drawings_[0].ground; }

    std::string stage() const {
        const double scale = std::min((stage_width - 2 * room) / std::max(whole_.width(), 1e-3),
                                      (stage_height - 2 * room) / std::max(whole_.height(), 1e-3));
        // Always of the same width, so that a narrow shot is no taller than a wide one.
        const double height = scale * whole_.height() + 2 * room;
        const double left = (stage_width - scale * whole_.width()) / 2 - scale * whole_.left;
        const Placement placement = {view_, {left, room + scale * whole_.top}, scale};
        const Frame frame = {0, stage_width, 0, height};
        SvgWriter svg(stage_width, height, "The shot, " + std::string(view_words(drawings_[0], name_)),
                      "shot");
        const double base = room + scale * (whole_.top - ground());
        svg.line({0, base}, {stage_width, base}, ground_line);
        for (std::size_t i = 0; i < drawings_.size(); ++i) {
            svg.open("g", i == 0 ? R"(class="frame shown")" : R"(class="frame")");
            draw_frame(svg, drawings_[i], placement, frame, "shot-" + std::to_string(i));
            svg.close("g");
        }
        return R"(<div class="stage" data-rate=")" + number(m_.frames_per_second, 4) + R"(" data-first=")" +
               std::to_string(m_.first_number) + "\">" + svg.finish() + "</div>\n";
    }

    std::string controls() const {
        return R"(<div class="controls" hidden="hidden"><button type="button" class="play">Play</button>)"
               R"(<span class="count">)" +
               frame_words(m_, 0) + " of " + std::to_string(m_.first_number) + " to " +
               std::to_string(m_.first_number + m_.picture_count - 1) + "</span></div>\n";
    }

    std::string strip() const {
        const std::size_t count = std::min(most_moments, drawings_.size());
        std::vector<std::size_t> moments;
        for (std::size_t k = 0; k < count; ++k)
            moments.push_back((k * (drawings_.size() - 1) + (count - 1) / 2) /
                              std::max<std::size_t>(count - 1, 1));
        double wide = 1e-3;
        for (const std::size_t moment : moments)
            wide = std::max(wide, boxes_[moment].width());
        const double cell = strip_width / static_cast<double>(count);
        const double scale =
            std::min((cell - 2 * 4) / wide, (moment_height - 2 * 4) / std::max(whole_.height(), 1e-3));
        const double height = scale * whole_.height() + 2 * 4;
        std::string out = R"(<div class="moments">)";
        for (const std::size_t moment : moments) {
            const Box& box = boxes_[moment];
            const double middle = (box.left + box.right) / 2, base = 4 + scale * (whole_.top - ground());
            const std::string id = "moment-" + std::to_string(moment);
            SvgWriter svg(cell, height, frame_words(m_, moment), id);
            svg.line({0, base}, {cell, base}, ground_line);
            draw_frame(svg, drawings_[moment],
                       {view_, {cell / 2 - scale * middle, 4 + scale * whole_.top}, scale},
                       {0, cell, 0, height}, id);
            out += "<figure>" + svg.finish() + element("figcaption", frame_words(m_, moment)) + "</figure>\n";
        }
        return out + "</div>\n";
    }

    const aplomb_motion& m_;
    ViewName name_;
    View view_;
    std::vector<Drawing> drawings_;
    std::vector<Box> boxes_;
    Box whole_;
};

} // namespace

std::string html_motion(const aplomb_motion& motion) {
    return MotionPage(motion).text();
}

} // namespace aplomb::report

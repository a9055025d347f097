// SPDX-License-Identifier: MIT
#include "cli/dots_overlay.h"

#include <algorithm>
#include <cmath>

#include "cli/failure.h"
#include "cli/numbers.h"
#include "cli/place.h"
#include "cli/text.h"

namespace aplomb::cli {
namespace {

struct Pixel {
    double x = 0, y = 0;
};

constexpr const char* figure_colour = "#0072B2";
constexpr const char* load_colour = "#E69F00";
constexpr const char* area_colour = "#56B4E9";
constexpr const char* out_colour = "#D55E00";

std::string base64(const std::string& bytes) { // RFC 4648
    static const char letters[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    std::string text;
    for (std::size_t k = 0; k < bytes.size(); k += 3) {
        unsigned three = 0;
        for (std::size_t i = 0; i < 3; ++i)
            three = three << 8 | (k + i < bytes.size() ? static_cast<unsigned char>(bytes[k + i]) : 0U);
        for (std::size_t i = 0; i < 4; ++i)
            text += k + i > bytes.size() ? '=' : letters[three >> (18 - 6 * i) & 63];
    }
    return text;
}

std::string escape(const std::string& text) {
    std::string out;
    for (const char c : text)
        out += c == '&'   ? "&amp;"
               : c == '<' ? "&lt;"
               : c == '>' ? "&gt;"
               : c == '"' ? "&quot;"
                          : std::string(1, c);
    return out;
}

constexpr double words_size = 17;

class Painter {
public:
    explicit Painter(const Overlay& overlay)
        : o_(overlay), answer_(answer_of(*o_.drawing, o_.answer)),
          keyed_(*o_.character, o_.moment->translations.data(), o_.moment->rotations.data()),
          corrected_(*o_.character, o_.made->pose.translations.data(), o_.made->pose.rotations.data()) {
        measure();
    }

    std::string svg() {
        const double text_height = unit_ * (26.0 * static_cast<double>(lines_.size()) + 96);
        std::string all =
            "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" "
            "width=\"" +
            n(width_) + "\" height=\"" + n(height_ + text_height) + "\" viewBox=\"" + n(left_) + " " +
            n(top_) + " " + n(width_) + " " + n(height_ + text_height) +
            "\" font-family=\"sans-serif\">\n<title>" + escape(o_.title) + "</title>\n";
        all += "<rect x=\"" + n(left_) + "\" y=\"" + n(top_) +
               "\" width=\"100%\" height=\"100%\" fill=\"#fff\"/>\n";
        if (o_.image)
            all += "<image x=\"0\" y=\"0\" width=\"" + n(o_.image->width) + "\" height=\"" +
                   n(o_.image->height) + "\" opacity=\".6\" xlink:href=\"data:" + o_.image->kind +
                   ";base64," + base64(o_.image->bytes) + "\"/>\n";
        ground();
        body(keyed_, "#fff", 4.4, .75);
        body(keyed_, figure_colour, 1.6, 1);
        if (changed()) {
            body(corrected_, "#fff", 9, .75);
            body(corrected_, figure_colour, 5, 1);
        }
        for (int32_t k = 0; k < o_.made->before.load_count; ++k) {
            load(o_.made->before, k, !changed());
            if (changed()) load(o_.made->after, k, true);
        }
        dots();
        plumb(o_.made->before, !changed());
        if (changed()) plumb(o_.made->after, true);
        legend();
        return all + out_ + "</svg>\n";
    }

private:
    static std::string n(double value) { return short_number(value, 2); }
    bool changed() const { return o_.made->result.changed != 0; }

    Pixel at(const Vec3& world) const {
        const double point[3] = {world.x, world.y, world.z};
        double pixels[2] = {0, 0};
        aplomb_drawing_project(o_.drawing->get(), o_.answer, point, pixels, nullptr);
        return {pixels[0], pixels[1]};
    }
    Pixel at(const double* p) const { return at(Vec3{p[0], p[1], p[2]}); }

    /// The picture's frame, or one about the dots; a unit is a thousandth of the stature's height in pixels, and more.
    void measure() {
        const double stature = o_.character->info().stature * answer_.scale;
        if (o_.image)
            width_ = o_.image->width, height_ = o_.image->height;
        else {
            double low[2] = {1e30, 1e30}, high[2] = {-1e30, -1e30};
            for (const auto& p : o_.dots->places)
                for (int k = 0; k < 2; ++k)
                    if (!std::isnan(p[k])) low[k] = std::min(low[k], p[k]), high[k] = std::max(high[k], p[k]);
            left_ = low[0] - .35 * stature, top_ = low[1] - .1 * stature;
            width_ = high[0] - low[0] + .7 * stature, height_ = high[1] - low[1] + .25 * stature;
        }
        unit_ = std::max(width_, height_) / 900;
        constexpr double breadth = .5; // of the size: a letter's in a sentence
        for (const std::string& text : o_.words)
            fold(text, static_cast<std::size_t>((width_ - 48 * unit_) / (breadth * words_size * unit_)));
    }

    /// Breaks a sentence into lines, never between a number and its unit.
    void fold(std::string text, std::size_t most) {
        while (text.size() > most) {
            std::size_t cut = text.rfind(' ', most);
            while (cut != std::string::npos && cut > 0 && text[cut - 1] >= '0' && text[cut - 1] <= '9')
                cut = text.rfind(' ', cut - 1);
            if (cut == std::string::npos || cut == 0) break;
            lines_.push_back(text.substr(0, cut));
            text.erase(0, cut + 1);
        }
        lines_.push_back(text);
    }

    void polyline(const std::vector<Pixel>& points, const std::string& style, bool closed = false) {
        out_ += closed ? "<polygon points=\"" : "<polyline points=\"";
        for (const Pixel& p : points)
            out_ += n(p.x) + "," + n(p.y) + " ";
        out_ += "\" " + style + "/>\n";
    }
    std::string stroke(const char* colour, double breadth, double opacity = 1) const {
        return std::string("fill=\"none\" stroke=\"") + colour + "\" stroke-width=\"" + n(breadth * unit_) +
               "\" stroke-linecap=\"round\" stroke-linejoin=\"round\" stroke-opacity=\"" + n(opacity) + "\"";
    }
    void words(double x, double y, const std::string& text, const std::string& style) {
        out_ += "<text x=\"" + n(x) + "\" y=\"" + n(y) + "\" " + style + ">" + escape(text) + "</text>\n";
    }

    Vec3 joint(const Places& places, const char* name) const {
        return places[aplomb_figure_find_joint(o_.character->figure(), name)].position;
    }
    Vec3 tip(const Places& places, const char* name, int which) const {
        const Attitude& at = places[aplomb_figure_find_joint(o_.character->figure(), name)];
        const double* p = answer_.tips[which];
        return at.position + at.turn * Vec3{p[0], p[1], p[2]};
    }
    void body(const Places& p, const char* colour, double breadth, double opacity) {
        const std::string style = stroke(colour, breadth, opacity);
        const auto chain = [&](const std::vector<const char*>& names, int end = -1) {
            std::vector<Pixel> points;
            for (const char* name : names)
                points.push_back(at(joint(p, name)));
            if (end >= 0) points.push_back(at(tip(p, names.back(), end)));
            polyline(points, style);
        };
        chain({"hips", "spine_1", "spine_2", "spine_3", "neck", "head"});
        const Pixel low = at(joint(p, "head")), high = at(tip(p, "head", 0));
        const double round = .5 * std::hypot(high.x - low.x, high.y - low.y);
        const double angle = std::atan2(high.x - low.x, low.y - high.y) * 180 / pi;
        const Pixel middle{.5 * (low.x + high.x), .5 * (low.y + high.y)};
        out_ += "<ellipse cx=\"" + n(middle.x) + "\" cy=\"" + n(middle.y) + "\" rx=\"" + n(.75 * round) +
                "\" ry=\"" + n(round) + "\" transform=\"rotate(" + n(angle) + " " + n(middle.x) + " " +
                n(middle.y) + ")\" " + style + "/>\n";
        chain({"left_upper_arm", "neck", "right_upper_arm"});
        chain({"left_thigh", "hips", "right_thigh"});
        chain({"left_upper_arm", "left_lower_arm", "left_hand"}, 1);
        chain({"right_upper_arm", "right_lower_arm", "right_hand"}, 2);
        chain({"left_thigh", "left_shank", "left_foot", "left_toe"}, 3);
        chain({"right_thigh", "right_shank", "right_foot", "right_toe"}, 4);
    }

    /// From above the area is a polygon, from the side a line: it gets some height, so that it can be seen.
    void ground() {
        const aplomb_reading& r = o_.made->before;
        const double half = 1.2 * o_.character->info().stature;
        polyline({at(Vec3{-half, 0, 0}), at(Vec3{half, 0, 0})}, stroke("#999", 1));
        if (r.edge_count == 0) return;
        std::vector<Pixel> area;
        double low = 1e30, high = -1e30;
        for (int32_t k = 0; k < r.edge_count; ++k) {
            area.push_back(at(r.area[k]));
            low = std::min(low, area.back().x), high = std::max(high, area.back().x);
        }
        const double y = at(Vec3{}).y;
        polyline(area,
                 std::string("fill=\"") + area_colour + "\" fill-opacity=\".35\" stroke=\"" + area_colour +
                     "\" stroke-width=\"" + n(1.5 * unit_) + "\"",
                 true);
        out_ += "<rect x=\"" + n(low) + "\" y=\"" + n(y) + "\" width=\"" + n(high - low) + "\" height=\"" +
                n(9 * unit_) + "\" fill=\"" + area_colour + "\" fill-opacity=\".8\"/>\n";
    }

    void load(const aplomb_reading& r, int32_t k, bool bold) {
        const Pixel p = at(r.load_centre[k]);
        const double half = (bold ? 14 : 11) * unit_;
        out_ += "<rect x=\"" + n(p.x - half) + "\" y=\"" + n(p.y - half) + "\" width=\"" + n(2 * half) +
                "\" height=\"" + n(2 * half) + "\" fill=\"" + load_colour + "\" fill-opacity=\"" +
                (bold ? ".8" : ".15") + "\" stroke=\"#7a4f00\" stroke-width=\"" + n(1.2 * unit_) + "\"/>\n";
        if (bold)
            words(p.x + half + 6 * unit_, p.y + 5 * unit_,
                  kilograms(o_.situation->carried[static_cast<std::size_t>(k)].mass),
                  "font-weight=\"bold\" fill=\"#7a4f00\" stroke=\"#fff\" stroke-width=\"" + n(4 * unit_) +
                      "\" paint-order=\"stroke\" font-size=\"" + n(15 * unit_) + "\"");
    }

    void dots() {
        for (const auto& p : o_.dots->places) {
            if (std::isnan(p[0])) continue;
            out_ += "<circle cx=\"" + n(p[0]) + "\" cy=\"" + n(p[1]) + "\" r=\"" + n(3.2 * unit_) +
                    "\" fill=\"#fff\" stroke=\"#333\" stroke-width=\"" + n(1.2 * unit_) + "\"/>\n";
        }
    }

    /// From the centre of mass to the ground; bold where it is the one that counts.
    void plumb(const aplomb_reading& r, bool bold) {
        if (!r.pressing) return;
        const Pixel centre = at(r.centre), foot = at(r.balance_point);
        const char* colour = r.in_balance ? "#000" : out_colour;
        const double breadth = bold ? 2.4 : 1.3;
        polyline({centre, foot}, stroke("#fff", breadth + 2.5, .7));
        polyline({centre, foot},
                 stroke(colour, breadth) + " stroke-dasharray=\"" + n(9 * unit_) + " " + n(6 * unit_) + "\"");
        const double s = 5 * unit_;
        polyline({{foot.x - s, foot.y - s}, foot, {foot.x + s, foot.y - s}}, stroke(colour, breadth));
        const double radius = (bold ? 10 : 7) * unit_;
        const std::string round =
            "<circle cx=\"" + n(centre.x) + "\" cy=\"" + n(centre.y) + "\" r=\"" + n(radius) + "\" ";
        out_ += round + "fill=\"#fff\"/>\n";
        for (const double side : {1.0, -1.0})
            out_ += "<path d=\"M " + n(centre.x) + " " + n(centre.y) + " V " + n(centre.y - side * radius) +
                    " A " + n(radius) + " " + n(radius) + " 0 0 1 " + n(centre.x + side * radius) + " " +
                    n(centre.y) + " Z\" fill=\"" + colour + "\"/>\n";
        out_ += round + "fill=\"none\" stroke=\"" + colour + "\" stroke-width=\"" + n(1.5 * unit_) + "\"/>\n";
    }

    void legend() {
        const double size = words_size * unit_, line = 26 * unit_, x = left_ + 24 * unit_;
        double y = top_ + height_ + 34 * unit_;
        out_ += "<rect x=\"" + n(left_) + "\" y=\"" + n(top_ + height_) + "\" width=\"" + n(width_) +
                "\" height=\"100%\" fill=\"#fff\"/>\n";
        const auto sample = [&](double from, double wide, const std::string& text) {
            words(from + wide + 8 * unit_, y + 6 * unit_, text,
                  "font-size=\"" + n(size) + "\" fill=\"#222\"");
            return from + wide + 8 * unit_ + .56 * size * static_cast<double>(text.size()) + 24 * unit_;
        };
        double from = x;
        const double wide = 34 * unit_;
        polyline({{from, y}, {from + wide, y}}, stroke(figure_colour, 1.6));
        from = sample(from, wide, "as drawn");
        if (changed()) {
            polyline({{from, y}, {from + wide, y}}, stroke(figure_colour, 5));
            from = sample(from, wide, "corrected");
        }
        polyline({{from, y}, {from + wide, y}},
                 stroke("#000", 2) + " stroke-dasharray=\"" + n(9 * unit_) + " " + n(6 * unit_) + "\"");
        from = sample(from, wide, "plumb line");
        out_ += "<rect x=\"" + n(from) + "\" y=\"" + n(y - 5 * unit_) + "\" width=\"" + n(wide) +
                "\" height=\"" + n(9 * unit_) + "\" fill=\"" + area_colour + "\" fill-opacity=\".8\"/>\n";
        sample(from, wide, "support area");
        y += line + 6 * unit_;
        for (const std::string& text : lines_) {
            words(x, y + 6 * unit_, text, "font-size=\"" + n(size) + "\" fill=\"#222\"");
            y += line;
        }
    }

    const Overlay& o_;
    aplomb_drawing_answer answer_;
    Places keyed_, corrected_;
    std::vector<std::string> lines_; // words, no longer than the picture is broad
    double left_ = 0, top_ = 0, width_ = 0, height_ = 0, unit_ = 1;
    std::string out_;
};

} // namespace

std::string overlay_svg(const Overlay& overlay) {
    return Painter(overlay).svg();
}

} // namespace aplomb::cli

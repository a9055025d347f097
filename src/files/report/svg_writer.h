// SPDX-License-Identifier: MIT
// Writes SVG 1.1 text: escaped strings, numbers with fixed decimals whatever the locale is.
#pragma once

#include <cmath>
#include <string>
#include <string_view>
#include <vector>

namespace aplomb::report {

/// A point of the page, in its own unit (1/96 inch), y down.
struct Point {
    double x = 0, y = 0;
};

/// The same bits everywhere, which std::hypot does not give.
inline double span_of(double x, double y) {
    return std::sqrt(x * x + y * y);
}
/// `value` with at most `decimals` digits behind the point, trailing zeros dropped.
std::string number(double value, int decimals = 2);
/// `value` with exactly `decimals` digits; never "-0.0".
std::string fixed(double value, int decimals);
/// Text that may stand in an attribute or between tags. Control characters and broken UTF-8 become U+FFFD.
std::string escape(std::string_view text);
/// Roughly how wide a text is at a font size, on the wide side.
double text_width(std::string_view text, double size);
/// Whether a line may end at the space text[at]: not between a number and its unit.
bool may_break(std::string_view text, size_t at);
/// Lines no wider than `width`; line breaks in the text are kept.
std::vector<std::string> wrap(std::string_view text, double width, double size);

enum class Anchor { start, middle, end };

/// A part of the page.
struct Rectangle {
    Point middle;
    double half_width = 0, half_height = 0;

    bool holds(Point p) const;
    bool meets(const Rectangle& r) const;
};

/// What words in one line cover, `pad` about them, when they stand in the middle of it.
Rectangle around(std::string_view words, double size, double pad);

class SvgWriter {
public:
    /// A file of its own.
    SvgWriter(double width, double height, std::string_view title);
    /// A picture within a page. `id` is unique there; `title` says what it shows to those who do not see it.
    SvgWriter(double width, double height, std::string_view title, std::string_view id);
    /// An ornament within a page, or what its pictures share: not read out.
    SvgWriter(double width, double height);

    /// `style` is attributes, such as R"(fill="none")".
    void open(std::string_view element, std::string_view attributes);
    void close(std::string_view element);
    void line(Point from, Point to, std::string_view style);
    void circle(Point centre, double radius, std::string_view style);
    void rectangle(Point corner, double width, double height, std::string_view style);
    void path(std::string_view data, std::string_view style);
    void polygon(const std::vector<Point>& points, std::string_view style);
    void text(Point at, std::string_view words, double size, Anchor anchor = Anchor::start,
              std::string_view style = "");
    /// Words in the middle of a place.
    void text_in(const Rectangle& place, std::string_view words, double size, std::string_view style);
    void raw(std::string_view markup) { out_ += markup; }
    /// Whether words stand there already.
    bool has_words(const Rectangle& place) const;

    std::string finish();

private:
    std::string out_;
    std::vector<Rectangle> words_;
};

/// "M x y L x y ... Z"
std::string path_data(const std::vector<Point>& points, bool closed = true);

} // namespace aplomb::report

// SPDX-License-Identifier: MIT
// SVG 1.1 (W3C, 2011); characters that XML 1.0 allows: section 2.2 there.
#include "report/svg_writer.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstdint>

namespace aplomb::report {

/// The quick way, good for most numbers of a drawing. False where the digits may not be those of std::to_chars.
static bool small_number(double value, int decimals, std::string& text) {
    constexpr int64_t powers[] = {1, 10, 100, 1000};
    constexpr double largest = 1e9, doubt = 1e-5; // beside a half, where a product's rounding could tell
    if (decimals < 0 || decimals > 3 || !(std::fabs(value) < largest / 1000)) return false;
    const double scaled = std::fabs(value) * static_cast<double>(powers[decimals]),
                 whole = std::floor(scaled);
    if (std::fabs(scaled - whole - 0.5) < doubt) return false;
    const int64_t number = static_cast<int64_t>(whole) + (scaled - whole > 0.5);
    char digits[24];
    const auto end = std::to_chars(digits, digits + sizeof digits, number);
    text.assign(digits, end.ptr);
    if (decimals > 0) {
        const auto places = static_cast<size_t>(decimals);
        if (text.size() <= places) text.insert(0, places + 1 - text.size(), '0');
        text.insert(text.size() - places, 1, '.');
    }
    if (value < 0 && number != 0) text.insert(0, 1, '-');
    return true;
}

std::string fixed(double value, int decimals) {
    if (std::string text; small_number(value, decimals, text)) return text;
    char digits[400];
    const auto end = std::to_chars(digits, digits + sizeof digits, value, std::chars_format::fixed, decimals);
    std::string text(digits, end.ptr);
    if (text.size() > 1 && text[0] == '-' && text.find_first_not_of("-0.") == std::string::npos)
        text.erase(0, 1);
    return text;
}

std::string number(double value, int decimals) {
    std::string text = fixed(value, decimals);
    if (text.find('.') == std::string::npos) return text;
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text.pop_back();
    return text;
}

namespace {

/// Bytes of the well-formed UTF-8 character at the start of `text`; 0 where there is none.
size_t character_length(std::string_view text) {
    const auto byte = [&](size_t i) { return static_cast<uint8_t>(text[i]); };
    const uint8_t first = byte(0);
    const size_t length = first < 0x80 ? 1 : first >= 0xf0 && first < 0xf5 ? 4 : first >= 0xe0 ? 3 : 2;
    if (length == 1) return 1;
    if (first < 0xc2 || first >= 0xf5 || text.size() < length) return 0;
    for (size_t i = 1; i < length; ++i)
        if ((byte(i) & 0xc0) != 0x80) return 0;
    const bool overlong = (first == 0xe0 && byte(1) < 0xa0) || (first == 0xf0 && byte(1) < 0x90);
    const bool outside = (first == 0xed && byte(1) >= 0xa0) || (first == 0xf4 && byte(1) >= 0x90);
    const bool not_a_character = first == 0xef && byte(1) == 0xbf && byte(2) >= 0xbe;
    return overlong || outside || not_a_character ? 0 : length;
}

void append_escaped(std::string& out, std::string_view character) {
    const char c = character[0];
    if (c == '&')
        out += "&amp;";
    else if (c == '<')
        out += "&lt;";
    else if (c == '>')
        out += "&gt;";
    else if (c == '"')
        out += "&quot;";
    else if (static_cast<uint8_t>(c) < 0x20 && c != '\t' && c != '\n' && c != '\r')
        out += "\xEF\xBF\xBD";
    else
        out += character;
}

size_t count_characters(std::string_view text) {
    size_t count = 0;
    for (const char c : text)
        count += (static_cast<uint8_t>(c) & 0xc0) != 0x80;
    return count;
}

} // namespace

std::string escape(std::string_view text) {
    std::string out;
    while (!text.empty()) {
        const size_t length = character_length(text);
        if (length == 0)
            out += "\xEF\xBF\xBD";
        else
            append_escaped(out, text.substr(0, length));
        text.remove_prefix(length == 0 ? 1 : length);
    }
    return out;
}

double text_width(std::string_view text, double size) {
    return 0.57 * size * static_cast<double>(count_characters(text));
}

bool may_break(std::string_view text, size_t at) {
    const auto digit = [](char c) { return c >= '0' && c <= '9'; };
    return at == 0 || at + 1 >= text.size() || !digit(text[at - 1]) || digit(text[at + 1]);
}

namespace {

/// The first space from `start` on where a line may end.
size_t next_break(std::string_view text, size_t start) {
    size_t at = text.find(' ', start);
    while (at != std::string_view::npos && !may_break(text, at))
        at = text.find(' ', at + 1);
    return at;
}

void wrap_line(std::string_view rest, double width, double size, std::vector<std::string>& lines) {
    std::string line;
    while (!rest.empty()) {
        const size_t end = next_break(rest, 1);
        const std::string_view word = rest.substr(0, end);
        if (!line.empty() && text_width(line, size) + text_width(word, size) > width) {
            lines.push_back(line);
            line = word.substr(word[0] == ' ' ? 1 : 0);
        } else {
            line += word;
        }
        rest = end == std::string_view::npos ? std::string_view{} : rest.substr(end);
    }
    if (!line.empty()) lines.push_back(line);
}

} // namespace

std::vector<std::string> wrap(std::string_view text, double width, double size) {
    std::vector<std::string> lines;
    while (!text.empty()) {
        const size_t end = text.find('\n');
        wrap_line(text.substr(0, end), width, size, lines);
        text = end == std::string_view::npos ? std::string_view{} : text.substr(end + 1);
    }
    return lines;
}

namespace {

constexpr double above_baseline = 0.38; // of the size: the middle of words

} // namespace

bool Rectangle::holds(Point p) const {
    return std::fabs(p.x - middle.x) < half_width && std::fabs(p.y - middle.y) < half_height;
}

bool Rectangle::meets(const Rectangle& r) const {
    return std::fabs(r.middle.x - middle.x) < half_width + r.half_width &&
           std::fabs(r.middle.y - middle.y) < half_height + r.half_height;
}

Rectangle around(std::string_view words, double size, double pad) {
    return {{}, text_width(words, size) / 2 + pad, 0.52 * size + pad};
}

SvgWriter::SvgWriter(double width, double height, std::string_view title) {
    const std::string w = number(width), h = number(height);
    // Physical size in millimetres, so that a print comes out on one sheet.
    out_ = R"(<?xml version="1.0" encoding="UTF-8"?>)"
           "\n"
           R"(<svg xmlns="http://www.w3.org/2000/svg" width=")" +
           number(width * 25.4 / 96) + R"(mm" height=")" + number(height * 25.4 / 96) +
           R"(mm" viewBox="0 0 )" + w + ' ' + h +
           R"(" font-family="Helvetica, Arial, 'DejaVu Sans Condensed', sans-serif" fill="#000000">)" +
           "\n<title>" + escape(title) + "</title>\n";
    rectangle({0, 0}, width, height, R"(fill="#FFFFFF")");
}

SvgWriter::SvgWriter(double width, double height, std::string_view title, std::string_view id) {
    const std::string w = number(width), h = number(height), name = escape(id) + "-title";
    out_ = R"(<svg xmlns="http://www.w3.org/2000/svg" width=")" + w + R"(" height=")" + h +
           R"(" viewBox="0 0 )" + w + ' ' + h + R"(" role="img" aria-labelledby=")" + name +
           R"("><title id=")" + name + R"(">)" + escape(title) + "</title>\n";
}

SvgWriter::SvgWriter(double width, double height) {
    const std::string w = number(width), h = number(height);
    out_ = R"(<svg xmlns="http://www.w3.org/2000/svg" width=")" + w + R"(" height=")" + h +
           R"(" viewBox="0 0 )" + w + ' ' + h + R"(" aria-hidden="true">)" + "\n";
}

void SvgWriter::open(std::string_view element, std::string_view attributes) {
    out_ += '<';
    out_ += element;
    if (!attributes.empty()) out_ += ' ';
    out_ += attributes;
    out_ += ">\n";
}

void SvgWriter::close(std::string_view element) {
    out_ += "</";
    out_ += element;
    out_ += ">\n";
}

void SvgWriter::line(Point from, Point to, std::string_view style) {
    out_ += R"(<line x1=")" + number(from.x) + R"(" y1=")" + number(from.y) + R"(" x2=")" + number(to.x) +
            R"(" y2=")" + number(to.y) + R"(" )";
    out_ += style;
    out_ += "/>\n";
}

void SvgWriter::circle(Point centre, double radius, std::string_view style) {
    out_ += R"(<circle cx=")" + number(centre.x) + R"(" cy=")" + number(centre.y) + R"(" r=")" +
            number(radius) + R"(" )";
    out_ += style;
    out_ += "/>\n";
}

void SvgWriter::rectangle(Point corner, double width, double height, std::string_view style) {
    out_ += R"(<rect x=")" + number(corner.x) + R"(" y=")" + number(corner.y) + R"(" width=")" +
            number(width) + R"(" height=")" + number(height) + R"(" )";
    out_ += style;
    out_ += "/>\n";
}

void SvgWriter::path(std::string_view data, std::string_view style) {
    out_ += R"(<path d=")";
    out_ += data;
    out_ += R"(" )";
    out_ += style;
    out_ += "/>\n";
}

void SvgWriter::polygon(const std::vector<Point>& points, std::string_view style) {
    path(path_data(points), style);
}

void SvgWriter::text(Point at, std::string_view words, double size, Anchor anchor, std::string_view style) {
    static constexpr const char* names[] = {"start", "middle", "end"};
    out_ += R"(<text x=")" + number(at.x) + R"(" y=")" + number(at.y) + R"(" font-size=")" + number(size) +
            R"(" text-anchor=")" + names[static_cast<int>(anchor)] + R"(" )";
    out_ += style;
    out_ += '>' + escape(words) + "</text>\n";
    Rectangle place = around(words, size, 0);
    const double aside = anchor == Anchor::start ? 1 : anchor == Anchor::end ? -1 : 0;
    place.middle = {at.x + aside * place.half_width, at.y - above_baseline * size};
    words_.push_back(place);
}

void SvgWriter::text_in(const Rectangle& place, std::string_view words, double size, std::string_view style) {
    text({place.middle.x, place.middle.y + above_baseline * size}, words, size, Anchor::middle, style);
}

bool SvgWriter::has_words(const Rectangle& place) const {
    return std::any_of(words_.begin(), words_.end(),
                       [&](const Rectangle& words) { return place.meets(words); });
}

std::string SvgWriter::finish() {
    return out_ + "</svg>\n";
}

std::string path_data(const std::vector<Point>& points, bool closed) {
    std::string data;
    for (const Point& p : points)
        data += (data.empty() ? "M" : "L") + number(p.x) + ' ' + number(p.y);
    return closed ? data + 'Z' : data;
}

} // namespace aplomb::report

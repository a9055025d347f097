// SPDX-License-Identifier: MIT
#include "report/marks.h"

#include <cmath>

namespace aplomb::report {
namespace {

/// The roundest length of up to three tenths of the stature, metres.
double scale_length(const Body& body) {
    const double most = 0.3 * body.stature;
    const double length = std::pow(10, std::floor(std::log10(most)));
    for (const double step : {5.0, 2.0})
        if (length * step <= most) return length * step;
    return length;
}

} // namespace

std::string scale_words(const Body& body) {
    const double length = scale_length(body);
    if (body.stature > 10) return number(length, 1) + " m";
    return body.stature < 0.3 ? number(1000 * length, 1) + " mm" : number(100 * length, 1) + " cm";
}

double scale_bar_width(const Body& body, double scale) {
    return scale * scale_length(body) + 1;
}

void draw_scale_bar(SvgWriter& svg, const Body& body, Point at, double scale) {
    const double width = scale * scale_length(body);
    svg.rectangle(at, width / 2, 3, R"(fill="#000000" stroke="#000000" stroke-width="0.8")");
    svg.rectangle({at.x + width / 2, at.y}, width / 2, 3,
                  R"(fill="#FFFFFF" stroke="#000000" stroke-width="0.8")");
}

} // namespace aplomb::report

// SPDX-License-Identifier: MIT
#include "sheets/captions.h"

#include <cmath>
#include <cstdio>
#include <numbers>

namespace sheets {
namespace {

std::string number(double value, int decimals) {
    char text[32];
    std::snprintf(text, sizeof text, "%.*f", decimals, value);
    return text;
}

/// Appends "4.0 cm back" to a list, where it is worth a word.
void add_part(std::string& list, double value, double least, const char* unit, const char* positive,
              const char* negative) {
    if (std::fabs(value) < least) return;
    list +=
        (list.empty() ? "" : ", ") + number(std::fabs(value), 1) + unit + (value > 0 ? positive : negative);
}

/// Turns about left bend forward, about forward lean to the right; hips' and spine's add up to the chest's.
std::string chest_lean(const Scene& scene) {
    constexpr double least = 1.5; // degrees; less does not show
    constexpr double degree = std::numbers::pi / 180;
    const aplomb_controls& c = scene.result.controls;
    std::string lean;
    add_part(lean, (c.hips_turn[0] + c.chest[0]) / degree, least, "\u00b0 ", "forward", "back");
    add_part(lean, (c.hips_turn[2] + c.chest[2]) / degree, least, "\u00b0 ", "to the right", "to the left");
    return lean;
}

/// The beekeeper faces +Z, so left is +X.
std::string way_text(double left, double forward) {
    if (std::fabs(left) > std::fabs(forward)) return left > 0 ? "to the left" : "to the right";
    return forward > 0 ? "forward" : "back";
}

} // namespace

std::string mass_text(double mass) {
    return number(mass, mass < 10 ? 1 : 0) + " kg";
}

std::string lean_text(const Scene& scene) {
    const std::string lean = chest_lean(scene);
    return "Chest " + (lean.empty() ? "upright" : lean);
}

std::string correction_text(const Scene& scene) {
    const double* shift = scene.result.controls.hips_shift;
    std::string hips;
    add_part(hips, 100 * shift[2], 0.5, " cm ", "forward", "back");
    add_part(hips, 100 * shift[0], 0.5, " cm ", "to the left", "to the right");
    return lean_text(scene) + (hips.empty() ? "" : "\nHips " + hips);
}

std::string reads_as_text(const Scene& scene) {
    const double mass = scene.after.loads[0].countered;
    const std::string reach = scene.status == APLOMB_OUT_OF_REACH ? "; out of reach" : "";
    return (std::isfinite(mass) ? "reads as " + mass_text(mass) : std::string("balance does not tell")) +
           reach;
}

std::string load_caption(double mass, const Scene& scene) {
    return mass_text(mass) + ", " + reads_as_text(scene) + "\n" + correction_text(scene);
}

std::string verdict_text(const aplomb_reading& reading) {
    const std::string distance = number(std::fabs(100 * reading.margin), 1) + " cm";
    if (reading.margin >= reading.margin_asked) return "Stands: " + distance + " inside the edge";
    const std::string way = way_text(reading.tip_direction[0], reading.tip_direction[2]);
    if (reading.margin < 0) return "Tips " + way + ": " + distance + " past the edge";
    return "Only just stands, would tip " + way + ": " + distance + " inside the edge";
}

std::string from_home_text(const aplomb_reading& reading) {
    const double left = reading.balance_point[0] - reading.home[0];
    const double forward = reading.balance_point[2] - reading.home[2];
    return "Balance point " + number(100 * std::hypot(left, forward), 1) + " cm " + way_text(left, forward) +
           " of home";
}

} // namespace sheets

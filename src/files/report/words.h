// SPDX-License-Identifier: MIT
// A reading and a correction in words and numbers with units.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "report/drawing.h"

namespace aplomb::report {

/// A name and its value.
using Rows = std::vector<std::pair<std::string, std::string>>;

/// The balance point lies outside the support area, or there is none.
bool out_of_balance(const Half& half);
/// "in balance", "too near the edge", "OUT OF BALANCE", "NOT PRESSING ON THE GROUND"
std::string verdict(const Half& half);
/// The verdict, and whether a load is left unanswered: the pose counters less than half of its mass.
std::string headline(const Drawing& drawing, const Half& half);
/// What a limb's end does: "62 % bearing", "held", "gave way 16.0 cm", "free".
std::string contact_words(const Drawing& drawing, const Half& half, size_t contact);
/// "left foot", "right hind foot"
std::string limb_words(const Body& body, const BodyLimb& limb);
/// "1.2 cm forward, 0.3 cm left", "at home"
std::string offset_words(const Drawing& drawing, const Vec3& offset);

/// Who holds a load: "both hands", "right hand", a joint's name.
std::string holder_words(const Drawing& drawing, const aplomb_load& load);
/// How many loads have a reading in every pose drawn.
int load_count(const Drawing& drawing);
/// The mass that a load reads as: after a correction what of it is countered. NaN: none.
double reads_as(const aplomb_load_reading& load);
/// "14.1 kg", "nothing", "no mass at all", "balance does not tell here"
std::string reads_as_words(const aplomb_load_reading& load);
/// "4.2 to 31.2 kg", "up to 31.2 kg", "12.0 kg and more", "any mass", "no mass"
std::string range_words(double least, double most);

/// The few rows beside the view from above.
Rows number_rows(const Drawing& drawing, const Half& half);
/// Everything that a pose's reading says; the same names for both poses of a drawing.
Rows reading_rows(const Drawing& drawing, const Half& half);
/// A way to the left, up and forward in metres, each part with its word.
std::vector<std::string> shift_words(const Drawing& drawing, const double* metres);
/// A turn's bend, lean and twist, each with its word.
std::vector<std::string> turn_words(const double* turn);
/// The picture's own text, what held the pose back in one line.
std::string text_words(const Drawing& drawing);
/// Stands over the cues.
inline constexpr const char* cues_heading = "How it reads (common practice)";
/// The cues as they stand under that heading, each with its half's.
std::vector<std::string> cue_words(const Drawing& drawing);

} // namespace aplomb::report

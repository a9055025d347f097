// SPDX-License-Identifier: MIT
#include "cli/clip_text.h"

#include <algorithm>
#include <cmath>

#include "cli/numbers.h"
#include "cli/stance.h"
#include "cli/text.h"

namespace aplomb::cli {
namespace {

Json point(const double* v) {
    return Json::array({known(v[0]), known(v[1]), known(v[2])});
}

/// "as 0.0 to 14.2 kg, in the middle 6.1 kg" over the frames in which its mass is told.
std::string reads_as_text(const Shot& shot, const aplomb_carry& carry) {
    std::vector<double> told;
    const auto frames = listed(shot.reading, aplomb_clip_frames);
    for (int f = carry.first; f <= carry.last; ++f) {
        const double mass = frames[static_cast<size_t>(f)].reads_as[carry.which];
        if (std::isfinite(mass)) told.push_back(mass);
    }
    if (told.empty()) return "balance does not tell";
    std::sort(told.begin(), told.end());
    return fixed_number(told.front(), 1) + " to " + kilograms(told.back()) + ", mostly about " +
           kilograms(told[told.size() / 2]);
}

} // namespace

Json known(double value) {
    return std::isfinite(value) ? Json(value) : Json(nullptr);
}

double Shot::lasting(int from, int to) const {
    const auto at = [&](int frame) { return times[static_cast<size_t>(frame)]; };
    if (count() == 1) return 0;
    return at(to) - at(from) + (to + 1 < count() ? at(to + 1) - at(to) : at(to) - at(to - 1));
}

int thing_count(const Carries& carries) {
    int count = 0;
    for (const aplomb_carry& carry : carries.value)
        count = std::max(count, carry.which + 1);
    return count;
}

std::string text_of(const Shot& shot) {
    const ClipReading& r = shot.reading;
    std::string text;
    const auto notes = listed(r, aplomb_clip_notes);
    text += notes.empty() ? "Nothing stands out.\n" : "First to look at:\n";
    for (const aplomb_clip_note& note : notes)
        text += std::string("  ") + note.text + "\n";
    Table stances({false, true, true});
    for (const aplomb_stance_range& range : listed(r, aplomb_clip_stances))
        stances.add({range_text(shot.character, range, shot.first),
                     fixed_number(shot.lasting(range.first, range.last), 2) + " s",
                     "slides " + centimetres(range.slip * shot.unit)});
    text += "\nWhat stands, by frames, as --stance and --ranges take it:\n" + stances.text();
    Table carries({true, false, true, true});
    for (size_t k = 0; k < shot.carries.value.size(); ++k) {
        const aplomb_carry& carry = shot.carries.value[k];
        carries.add({kilograms(carry.load.mass), printable(shot.carries.places[k]),
                     shot.frames(carry.first, carry.last), reads_as_text(shot, carry)});
    }
    if (!carries.empty()) text += "\nWhat is carried, and what it reads as:\n" + carries.text();
    Table falls({true, false, false});
    for (const aplomb_fall_range& fall : listed(r, aplomb_clip_falls))
        falls.add({shot.frames(fall.first, fall.last), "worst at " + std::to_string(shot.first + fall.worst),
                   "margin " + centimetres(fall.margin * shot.unit)});
    if (!falls.empty())
        text += std::string("\nOut of balance") + (shot.blocking ? "" : " in motion") + ":\n" + falls.text();
    Table flights({true, true, false});
    for (const aplomb_flight& flight : listed(r, aplomb_clip_flights))
        flights.add({shot.frames(flight.first, flight.last), fixed_number(flight.gravity, 2) + " m/s2",
                     flight.free_fall ? "free fall" : "not a free fall"});
    if (!flights.empty()) text += "\nIn the air:\n" + flights.text();
    Table steps({false, true, true, false});
    for (const aplomb_foot_step& step : listed(r, aplomb_clip_steps))
        steps.add(
            {limb_word(shot.character, step.limb), "at " + std::to_string(shot.first + step.frame),
             fixed_number(step.seconds, 2) + " s",
             "as of a leg of " + fixed_number(step.implied_leg * shot.unit, 2) + " m (common practice)"});
    if (!steps.empty()) text += "\nSteps:\n" + steps.text();
    return text;
}

std::string csv_of(const Shot& shot) {
    std::string text =
        "frame,seconds,contacts,in_balance,flight,centre_x,centre_y,centre_z,still_x,still_y,still_z,"
        "still_margin,point_x,point_y,point_z,margin,margin_asked,extrapolated_margin,trunk_fore,"
        "trunk_side";
    const int limbs = shot.character.limb_count();
    for (int limb = 0; limb < limbs; ++limb)
        text += "," + quoted_cell("share_" + limb_word(shot.character, limb));
    for (int limb = 0; limb < limbs; ++limb)
        text += "," + quoted_cell("give_" + limb_word(shot.character, limb));
    const int things = thing_count(shot.carries);
    for (int thing = 0; thing < things; ++thing)
        text += ",load_" + std::to_string(thing + 1) + "_reads_as";
    text += "\n";
    int number = shot.first;
    for (const aplomb_clip_frame& f : listed(shot.reading, aplomb_clip_frames)) {
        text += std::to_string(number++) + "," + cell(f.time) + "," + std::to_string(f.contact_count) + "," +
                std::to_string(f.in_balance) + "," + (f.flight < 0 ? "" : std::to_string(f.flight));
        for (const double* v : {f.centre, f.still_point})
            for (int i = 0; i < 3; ++i)
                text += "," + cell(v[i]);
        text += "," + cell(f.still_margin);
        for (const double v : {f.point[0], f.point[1], f.point[2], f.margin, f.margin_asked,
                               f.extrapolated_margin, f.trunk_fore, f.trunk_side})
            text += "," + cell(v);
        for (int limb = 0; limb < limbs; ++limb)
            text += "," + cell(f.share[limb]);
        for (int limb = 0; limb < limbs; ++limb)
            text += "," + cell(f.give[limb]);
        for (int thing = 0; thing < things; ++thing)
            text += "," + cell(f.reads_as[thing]);
        text += "\n";
    }
    return text;
}

std::string json_of(const Shot& shot) {
    const ClipReading& r = shot.reading;
    Json stances = Json::array(), falls = Json::array(), flights = Json::array(), steps = Json::array(),
         notes = Json::array(), frames = Json::array(), loads = Json::array();
    for (const auto& s : listed(r, aplomb_clip_stances))
        stances.push_back({{"limb", limb_word(shot.character, s.limb)},
                           {"first", shot.first + s.first},
                           {"last", shot.first + s.last},
                           {"footing", footing_word(s.footing)},
                           {"slip", s.slip}});
    for (size_t k = 0; k < shot.carries.value.size(); ++k) {
        const aplomb_carry& c = shot.carries.value[k];
        loads.push_back({{"load", c.which + 1},
                         {"mass", c.load.mass},
                         {"place", shot.carries.places[k]},
                         {"first", shot.first + c.first},
                         {"last", shot.first + c.last}});
    }
    for (const auto& f : listed(r, aplomb_clip_falls))
        falls.push_back({{"first", shot.first + f.first},
                         {"last", shot.first + f.last},
                         {"worst", shot.first + f.worst},
                         {"margin", f.margin}});
    for (const auto& f : listed(r, aplomb_clip_flights))
        flights.push_back({{"first", shot.first + f.first},
                           {"last", shot.first + f.last},
                           {"gravity", f.gravity},
                           {"scale", known(f.scale)},
                           {"free_fall", f.free_fall != 0}});
    for (const auto& s : listed(r, aplomb_clip_steps))
        steps.push_back({{"limb", limb_word(shot.character, s.limb)},
                         {"frame", shot.first + s.frame},
                         {"seconds", s.seconds},
                         {"implied_leg", s.implied_leg}});
    for (const auto& n : listed(r, aplomb_clip_notes))
        notes.push_back({{"frame", shot.first + n.frame}, {"value", n.value}, {"text", n.text}});
    int number = shot.first;
    for (const auto& f : listed(r, aplomb_clip_frames)) {
        Json shares = Json::object(), gives = Json::object(), masses = Json::array();
        for (int limb = 0; limb < shot.character.limb_count(); ++limb) {
            shares[limb_word(shot.character, limb)] = known(f.share[limb]);
            gives[limb_word(shot.character, limb)] = known(f.give[limb]);
        }
        for (int thing = 0; thing < thing_count(shot.carries); ++thing)
            masses.push_back(known(f.reads_as[thing]));
        frames.push_back({{"frame", number++},
                          {"seconds", f.time},
                          {"contacts", f.contact_count},
                          {"in_balance", f.in_balance != 0},
                          {"centre", point(f.centre)},
                          {"still_point", point(f.still_point)},
                          {"still_margin", known(f.still_margin)},
                          {"point", point(f.point)},
                          {"margin", known(f.margin)},
                          {"margin_asked", known(f.margin_asked)},
                          {"extrapolated", point(f.extrapolated)},
                          {"extrapolated_margin", known(f.extrapolated_margin)},
                          {"trunk_fore", f.trunk_fore},
                          {"trunk_side", f.trunk_side},
                          {"shares", shares},
                          {"give", gives},
                          {"loads_read_as", masses}});
    }
    const double* v = shot.clip.ground_velocity;
    const Json whole = {
        {"ground_velocity", point(v)}, {"notes", notes},     {"stances", stances}, {"loads", loads},
        {"out_of_balance", falls},     {"flights", flights}, {"steps", steps},     {"frames", frames}};
    return whole.dump(2, ' ', Json::Broken::replaced) + "\n";
}

} // namespace aplomb::cli

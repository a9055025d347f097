// SPDX-License-Identifier: MIT
// aplomb read --frames: which foot stands when, where the weight goes and what falls, over many frames of a clip.
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <memory>

#include "aplomb/clip.h"
#include "cli/commands.h"
#include "cli/failure.h"
#include "cli/frames.h"
#include "cli/numbers.h"
#include "cli/situation.h"
#include "cli/stance.h"
#include "cli/text.h"
#include "json/json.h"

namespace aplomb::cli {
namespace {

struct DestroyReading {
    void operator()(aplomb_clip_reading* reading) const { aplomb_clip_reading_destroy(reading); }
};

template<class T>
std::vector<T> listed(const aplomb_clip_reading* reading,
                      const T* (*call)(const aplomb_clip_reading*, int32_t*)) {
    int32_t count = 0;
    const T* items = call(reading, &count);
    return {items, items + count};
}

void refuse_options_of_one_frame(const MomentArguments& moment) {
    const auto refuse = [](bool given, const char* option) {
        if (given) throw Failure{std::string(option) + " is for one frame and does not go with --frames"};
    };
    refuse(moment.frame.has_value(), "--frame");
    refuse(moment.time.has_value(), "--time");
    refuse(!moment.stance.empty(), "--stance");
    refuse(!moment.holds.empty(), "--hold");
    refuse(!moment.picture.empty(), "--picture");
    refuse(!moment.page.empty(), "--page");
    refuse(moment.lines, "--lines");
}

void set_belt(const std::string& text, double metres_per_unit, double* velocity) {
    if (text.empty()) return;
    const std::vector<std::string> parts = split(text, ',');
    if (parts.size() != 3) throw Failure{"--belt " + text + ": three numbers are needed, such as 0,0,-1.2"};
    for (std::size_t i = 0; i < 3; ++i) {
        const auto value = parse_number(parts[i]);
        if (!value) throw Failure{"--belt " + text + ": '" + parts[i] + "' is not a number"};
        velocity[i] = *value / metres_per_unit;
    }
}

/// A line that grows on a terminal, and nothing where nobody looks.
int32_t show_progress(double part, void*) {
    constexpr int width = 40;
    const int done = static_cast<int>(part * width);
    std::fprintf(stderr, "\r[%s%s]", std::string(static_cast<std::size_t>(done), '=').c_str(),
                 std::string(static_cast<std::size_t>(width - done), ' ').c_str());
    if (part >= 1) std::fprintf(stderr, "\r%*s\r", width + 2, "");
    return 0;
}

/// What was read, and how it is said.
struct Shot {
    const Character& character;
    int first;
    double unit;
    std::unique_ptr<aplomb_clip_reading, DestroyReading> reading;

    std::string frames(int from, int to) const {
        return std::to_string(first + from) + " to " + std::to_string(first + to);
    }
};

const char* footing_word(int32_t footing) {
    return footing == APLOMB_FLAT ? "flat" : footing == APLOMB_ON_BALL ? "ball" : "heel";
}

std::string text_of(const Shot& shot) {
    const aplomb_clip_reading* r = shot.reading.get();
    std::string text;
    const auto notes = listed(r, aplomb_clip_notes);
    text += notes.empty() ? "Nothing stands out.\n" : "First to look at:\n";
    for (const aplomb_clip_note& note : notes)
        text += std::string("  ") + note.text + "\n";
    Table stances({false, true, false, true});
    for (const aplomb_stance_range& range : listed(r, aplomb_clip_stances))
        stances.add({limb_word(shot.character, range.limb), shot.frames(range.first, range.last),
                     footing_word(range.footing), "slides " + centimetres(range.slip * shot.unit)});
    text += "\nWhat stands, by frames:\n" + stances.text();
    Table falls({true, false, false});
    for (const aplomb_fall_range& fall : listed(r, aplomb_clip_falls))
        falls.add({shot.frames(fall.first, fall.last), "worst at " + std::to_string(shot.first + fall.worst),
                   "margin " + centimetres(fall.margin * shot.unit)});
    if (!falls.empty()) text += "\nOut of balance in motion:\n" + falls.text();
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

std::string cell(double value) {
    if (!std::isfinite(value)) return "";
    char text[32];
    std::snprintf(text, sizeof text, "%.9g", value);
    return text;
}

/// One row per frame; lengths in the file's unit and axes; empty: not known.
std::string csv_of(const Shot& shot) {
    std::string text =
        "frame,seconds,contacts,in_balance,flight,centre_x,centre_y,centre_z,still_x,still_y,still_z,"
        "still_margin,point_x,point_y,point_z,margin,margin_asked,extrapolated_margin,trunk_fore,"
        "trunk_side";
    const int limbs = shot.character.limb_count();
    for (int limb = 0; limb < limbs; ++limb)
        text += ",share_" + limb_word(shot.character, limb);
    text += "\n";
    int number = shot.first;
    for (const aplomb_clip_frame& f : listed(shot.reading.get(), aplomb_clip_frames)) {
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
        text += "\n";
    }
    return text;
}

Json known(double value) {
    return std::isfinite(value) ? Json(value) : Json(nullptr);
}
Json point(const double* v) {
    return Json::array({known(v[0]), known(v[1]), known(v[2])});
}

std::string json_of(const Shot& shot) {
    const aplomb_clip_reading* r = shot.reading.get();
    Json stances = Json::array(), falls = Json::array(), flights = Json::array(), steps = Json::array(),
         notes = Json::array(), frames = Json::array();
    for (const auto& s : listed(r, aplomb_clip_stances))
        stances.push_back({{"limb", limb_word(shot.character, s.limb)},
                           {"first", shot.first + s.first},
                           {"last", shot.first + s.last},
                           {"footing", footing_word(s.footing)},
                           {"slip", s.slip}});
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
    for (const auto& f : listed(r, aplomb_clip_frames))
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
                          {"trunk_side", f.trunk_side}});
    const Json whole = {{"notes", notes},     {"stances", stances}, {"out_of_balance", falls},
                        {"flights", flights}, {"steps", steps},     {"frames", frames}};
    return whole.dump(2, ' ', Json::Broken::replaced) + "\n";
}

} // namespace

int run_read_clip(const Arguments& arguments) {
    refuse_options_of_one_frame(arguments.moment);
    if (arguments.moment.csv && arguments.file.json) throw Failure{"--csv does not go with --json"};
    const Character character(arguments.file);
    const Moment moment = choose_moment(character, arguments.moment);
    if (moment.clip < 0) throw Failure{"--frames: the file has no clip"};
    const Situation situation = make_situation(character, moment, arguments.moment);
    const Options options = make_options(character, arguments);
    std::vector<double> times = character.key_times(moment.clip), translations, rotations;
    const Span span = parse_frames(arguments.moment.frames, static_cast<int>(times.size()));
    times.erase(times.begin() + span.last + 1, times.end());
    times.erase(times.begin(), times.begin() + span.first);
    Moment frame = moment;
    for (const double seconds : times) {
        aplomb_error error{};
        check(aplomb_character_pose(character.handle(), moment.clip, seconds, frame.translations.data(),
                                    frame.rotations.data(), &error),
              error);
        translations.insert(translations.end(), frame.translations.begin(), frame.translations.end());
        rotations.insert(rotations.end(), frame.rotations.begin(), frame.rotations.end());
    }

    // What is carried, is carried in all frames.
    std::vector<aplomb_carry> carries;
    for (const aplomb_load& load : situation.carried)
        carries.push_back({load, static_cast<int32_t>(carries.size()), 0, span.last - span.first, 0, 0, 0});
    aplomb_clip clip;
    aplomb_clip_init(&clip, sizeof clip);
    clip.frame_count = static_cast<int32_t>(times.size());
    clip.times = times.data(), clip.translations = translations.data(), clip.rotations = rotations.data();
    clip.carries = carries.data(), clip.carry_count = static_cast<int32_t>(carries.size());
    clip.first_number = span.first;
    std::copy_n(situation.value.gravity, 3, clip.gravity);
    set_belt(arguments.moment.belt, character.info().metres_per_unit, clip.ground_velocity);
    aplomb_clip_options how;
    aplomb_clip_options_init(&how, sizeof how);
    how.reading = &options.value;
    if (isatty(STDERR_FILENO)) how.progress = show_progress;
    aplomb_clip_reading* made = nullptr;
    aplomb_error error{};
    check(aplomb_clip_read(character.figure(), &clip, &how, nullptr, &made, &error), error);
    const Shot shot{character, span.first, character.info().metres_per_unit,
                    std::unique_ptr<aplomb_clip_reading, DestroyReading>(made)};
    const bool falls = !listed(made, aplomb_clip_falls).empty();
    if (arguments.file.json || arguments.moment.csv) {
        print(arguments.moment.csv ? csv_of(shot) : json_of(shot));
    } else {
        print(printable(character.path()) + ", " + std::to_string(times.size()) + " frames of clip '" +
              printable(character.clip_names()[static_cast<std::size_t>(moment.clip)]) + "'\n\n" +
              text_of(shot));
    }
    return falls ? exit_out_of_balance : exit_in_balance;
}

} // namespace aplomb::cli

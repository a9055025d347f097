// SPDX-License-Identifier: MIT
// aplomb balance --frames: a whole shot carries its weight, and what was changed is told frame by frame.
#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <memory>
#include <utility>

#include "cli/arm_values.h"
#include "cli/clip_page.h"
#include "cli/commands.h"
#include "cli/failure.h"
#include "cli/numbers.h"
#include "cli/read_clip.h"
#include "cli/results.h"
#include "cli/stance.h"
#include "cli/text.h"

namespace aplomb::cli {
namespace {

struct DestroyResult {
    void operator()(aplomb_clip_balance_result* result) const { aplomb_clip_balance_result_destroy(result); }
};

struct Exempt {
    std::vector<aplomb_exempt_range> value;
    std::vector<std::string> reasons; // that they point to
};

constexpr double ease = 0.15; // seconds

/// FIRST..LAST[:PART]=REASON, by the clip's own numbers.
Exempt parse_exempt(const std::vector<std::string>& given, const Shot& shot, int count) {
    Exempt exempt;
    exempt.reasons.reserve(given.size());
    std::vector<std::pair<std::string, Span>> before;
    for (const std::string& text : given) {
        const std::string where = "--exempt " + text;
        const std::size_t equals = text.find('=');
        if (equals == std::string::npos || equals + 1 == text.size())
            throw Failure{where + ": a reason is missing; write it as 12..40=he is pushed"};
        std::string frames = text.substr(0, equals);
        double part = 1;
        if (const std::size_t colon = frames.find(':'); colon != std::string::npos) {
            part = part_between(where, frames.substr(colon + 1), 1);
            frames.resize(colon);
        }
        const Span span = parse_frames(where, frames, count);
        for (const auto& [other, frames_of_other] : before)
            if (frames_of_other.first <= span.last && span.first <= frames_of_other.last)
                throw Failure{where + ": overlaps --exempt " + other};
        before.emplace_back(text, span);
        const int last = shot.first + shot.count() - 1;
        if (span.last < shot.first || span.first > last) continue; // of a part that is not asked for
        exempt.reasons.push_back(text.substr(equals + 1));
        exempt.value.push_back({std::max(span.first, shot.first) - shot.first,
                                std::min(span.last, last) - shot.first, part, ease,
                                exempt.reasons.back().c_str()});
    }
    return exempt;
}

/// found, or FIRST..LAST,.. by the clip's own numbers; `found` gives none. A flight over a loop's seam ends with an earlier
/// frame than it begins with.
std::vector<aplomb_flight_range> parse_flights(const std::string& given, const Shot& shot, int count,
                                               bool loop) {
    std::vector<aplomb_flight_range> flights;
    if (given.empty() || given == "found") return flights;
    std::vector<Span> before;
    for (const std::string& text : split_all({given})) {
        const std::string where = "--flights " + text;
        if (text.find("..") == std::string::npos)
            throw Failure{where + ": it is written as found, or as 12..30,48..60"};
        const Span span = parse_frames(where, text, count, loop);
        const auto has = [](const Span& of, int frame) {
            const bool from = frame >= of.first, to = frame <= of.last;
            return of.first <= of.last ? from && to : from || to;
        };
        for (const Span& other : before)
            if (has(other, span.first) || has(span, other.first))
                throw Failure{where + ": overlaps " + std::to_string(other.first) + ".." +
                              std::to_string(other.last)};
        before.push_back(span);
        const int inside = loop ? 0 : 1, low = std::min(span.first, span.last),
                  high = std::max(span.first, span.last);
        if (low < shot.first + inside || high + inside >= shot.first + shot.count())
            throw Failure{where + ": a flight needs a frame before it and one after it, among frames " +
                          std::to_string(shot.first) + " to " +
                          std::to_string(shot.first + shot.count() - 1)};
        flights.push_back({span.first - shot.first, span.last - shot.first});
    }
    return flights;
}

double part_or_whole(const char* option, const std::string& text) {
    return text.empty() ? 1 : part_between(option, text, 1);
}

/// What was made of a shot.
struct Made {
    aplomb_status status = APLOMB_OK;
    std::vector<double> translations, rotations;
    std::vector<aplomb_clip_balanced> frames;
    std::vector<aplomb_clip_range> ranges;
    std::vector<aplomb_arc> arcs;
    Exempt exempt;
    std::vector<aplomb_added_key> added; // on the clip's own keys
    double drift = 0, centre_off = 0;    // there, of feet that stand and of the centre of mass, file's unit
};

Made correct(const Shot& shot, const Arguments& arguments, const Options& options, int count) {
    Made made;
    made.exempt = parse_exempt(arguments.balance.exempt, shot, count);
    aplomb_clip_balance_options how;
    aplomb_clip_balance_options_init(&how, sizeof how);
    how.correction = &options.value;
    how.loop = arguments.balance.loop;
    how.flow = part_or_whole("--flow", arguments.balance.flow);
    how.key_acceleration = part_or_whole("--key-acceleration", arguments.balance.key_acceleration);
    how.exempt = made.exempt.value.data();
    how.exempt_count = static_cast<int32_t>(made.exempt.value.size());
    const std::vector<aplomb_flight_range> flights =
        parse_flights(arguments.balance.flights, shot, count, arguments.balance.loop);
    how.blocking = shot.blocking;
    how.held = arguments.balance.held;
    how.flights = !arguments.balance.flights.empty();
    how.flight_ranges = flights.data(), how.flight_range_count = static_cast<int32_t>(flights.size());
    if (isatty(STDERR_FILENO)) how.progress = show_progress;
    // What was found is what is corrected.
    const std::vector<aplomb_stance_range> stances = listed(shot.reading, aplomb_clip_stances);
    aplomb_clip clip = shot.clip;
    if (!shot.blocking)
        clip.stances = stances.data(), clip.stance_count = static_cast<int32_t>(stances.size());
    made.translations = shot.translations, made.rotations = shot.rotations;
    aplomb_clip_balance_result* result = nullptr;
    aplomb_error error{};
    made.status = aplomb_clip_balance(shot.character.figure(), &clip, &how, nullptr, made.translations.data(),
                                      made.rotations.data(), &result, &error);
    // The library names its own member first, and its sentence has a stop.
    const std::string why = error.message;
    const std::size_t colon = why.find(": ");
    if (made.status < 0 && std::string(error.field) == "flight_ranges" && colon != std::string::npos)
        throw Failure{"--flights " + arguments.balance.flights + why.substr(colon, why.size() - 1 - colon)};
    check(made.status, error);
    const std::unique_ptr<aplomb_clip_balance_result, DestroyResult> owned(result);
    int32_t listed_count = 0;
    const aplomb_clip_balanced* frames = aplomb_clip_balanced_frames(result, &listed_count);
    made.frames.assign(frames, frames + listed_count);
    const aplomb_clip_range* ranges = aplomb_clip_ranges(result, &listed_count);
    made.ranges.assign(ranges, ranges + listed_count);
    const aplomb_arc* arcs = aplomb_clip_arcs(result, &listed_count);
    made.arcs.assign(arcs, arcs + listed_count);
    return made;
}

// ---- Said --------------------------------------------------------------------------------------------------------

const char* const control_names[] = {"hips_left",  "hips_up",   "hips_forward", "hips_bend",
                                     "hips_twist", "hips_lean", "chest_bend",   "chest_twist",
                                     "chest_lean", "neck_bend", "neck_twist",   "neck_lean"};

/// In the order of their names: the file's unit, radians.
std::vector<double> controls_of(const aplomb_clip_balanced& frame) {
    std::vector<double> values;
    const aplomb_controls& c = frame.controls;
    for (const double* v : {c.hips_shift, c.hips_turn, c.chest, c.neck})
        values.insert(values.end(), v, v + 3);
    return values;
}

std::vector<double> arms_of(const ArmValues& arms, const Shot& shot, const Made& made, std::size_t frame) {
    const std::size_t first = frame * (shot.rotations.size() / shot.times.size());
    return arms.of(shot.rotations.data() + first, made.rotations.data() + first);
}

/// One row per frame: the correction as control values, a layer over the keyed clip.
std::string table_of(const Shot& shot, const Made& made) {
    std::string text = "frame,seconds,range,margin_before,margin_after,margin_asked,short_of";
    for (const char* name : control_names)
        text += std::string(",") + name;
    const ArmValues arms(shot.character);
    for (const std::string& name : arms.names())
        for (const char* axis : {"_x", "_y", "_z"})
            text += "," + name + axis;
    text += "\n";
    int number = shot.first;
    for (std::size_t i = 0; i < made.frames.size(); ++i) {
        const aplomb_clip_balanced& f = made.frames[i];
        text += std::to_string(number++) + "," + cell(f.time) + "," +
                (f.range < 0 ? "" : std::to_string(f.range));
        for (const double v : {f.margin_before, f.margin_after, f.margin_asked, f.slack / shot.unit})
            text += "," + cell(v);
        for (const double v : controls_of(f))
            text += "," + cell(v);
        for (const double v : arms_of(arms, shot, made, i))
            text += "," + cell(v);
        text += "\n";
    }
    return text;
}

Json json_of(const Shot& shot, const std::vector<aplomb_arc>& arcs) {
    Json list = Json::array();
    const auto vector = [](const double* v) { return Json::array({known(v[0]), known(v[1]), known(v[2])}); };
    for (const aplomb_arc& arc : arcs)
        list.push_back({{"first", shot.first + arc.first},
                        {"last", shot.first + arc.last},
                        {"given", arc.given != 0},
                        {"gravity", known(arc.gravity)},
                        {"moved", arc.moved},
                        {"slack", arc.slack},
                        {"take_off", vector(arc.take_off)},
                        {"landing", vector(arc.landing)},
                        {"seconds", arc.seconds},
                        {"fitting_seconds", known(arc.fitting_seconds)},
                        {"text", arc.text}});
    return list;
}

std::string json_text(const Shot& shot, const Made& made, const Arguments& arguments) {
    Json ranges = Json::array(), frames = Json::array(), files = Json::array();
    for (const aplomb_clip_range& r : made.ranges)
        ranges.push_back({{"first", shot.first + r.first},
                          {"last", shot.first + r.last},
                          {"steps", r.steps},
                          {"converged", r.converged != 0},
                          {"cost", r.cost}});
    int number = shot.first;
    const ArmValues arms(shot.character);
    for (std::size_t k = 0; k < made.frames.size(); ++k) {
        const aplomb_clip_balanced& f = made.frames[k];
        Json controls = Json::object();
        const std::vector<double> values = controls_of(f), turns = arms_of(arms, shot, made, k);
        for (std::size_t i = 0; i < values.size(); ++i)
            controls[control_names[i]] = values[i];
        for (std::size_t i = 0; i < arms.names().size(); ++i)
            controls[arms.names()[i]] = {turns[3 * i], turns[3 * i + 1], turns[3 * i + 2]};
        frames.push_back(
            {{"frame", number++},
             {"seconds", f.time},
             {"range", f.range < 0 ? Json(nullptr) : Json(f.range)},
             {"margin_before", known(f.margin_before)},
             {"margin_after", known(f.margin_after)},
             {"margin_asked", known(f.margin_asked)},
             {"short_of", f.slack / shot.unit},
             {"exempt",
              f.exempt < 0 ? Json(nullptr) : Json(made.exempt.reasons[static_cast<std::size_t>(f.exempt)])},
             {"controls", controls}});
    }
    for (const Written& file : written(arguments))
        files.push_back({{"what", file.what}, {"path", file.path}});
    Json whole = {{"status", aplomb_status_text(made.status)},
                  {"ranges", ranges},
                  {"frames", frames},
                  {"wrote", files}};
    if (!arguments.balance.flights.empty()) whole["arcs"] = json_of(shot, made.arcs);
    if (!arguments.balance.own_keys.empty()) {
        Json added = Json::array();
        for (const aplomb_added_key& key : made.added)
            added.push_back(
                {{"limb", limb_word(shot.character, key.limb)}, {"frame", shot.first + key.frame}});
        whole["added_keys"] = added;
        whole["drift"] = made.drift;
        whole["centre_off"] = made.centre_off;
    }
    return whole.dump(2, ' ', Json::Broken::replaced) + "\n";
}

/// The most that hips and chest do in a range, and where.
std::string most_text(const Shot& shot, const Made& made, const aplomb_clip_range& range) {
    int at = range.first, bent = range.first;
    const auto length = [](const double* v) { return std::sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]); };
    const auto& frames = made.frames;
    const auto frame = [&](int f) -> const aplomb_controls& {
        return frames[static_cast<std::size_t>(f)].controls;
    };
    for (int f = range.first; f <= range.last; ++f) {
        if (length(frame(f).hips_shift) > length(frame(at).hips_shift)) at = f;
        if (length(frame(f).chest) > length(frame(bent).chest)) bent = f;
    }
    return "hips up to " + centimetres(length(frame(at).hips_shift) * shot.unit) + " at " +
           std::to_string(shot.first + at) + ", chest up to " + degrees(length(frame(bent).chest)) + " at " +
           std::to_string(shot.first + bent);
}

std::string text_of_arcs(const Shot& shot, const Made& made, const std::string& asked) {
    std::string text;
    if (asked == "found" && made.arcs.empty()) {
        text =
            "\nNo flight reads as a free fall; those that are to be one are given: --flights FIRST..LAST\n";
        for (const aplomb_flight& flight : listed(shot.reading, aplomb_clip_flights))
            text += "Frames " + shot.frames(flight.first, flight.last) + " are in the air and fall at " +
                    fixed_number(flight.gravity, 1) + " m/s2.\n";
        return text;
    }
    for (const aplomb_arc& arc : made.arcs)
        text += std::string(text.empty() ? "\n" : "") + arc.text + "\n";
    return text;
}

std::string text_of_correction(const Shot& shot, const Made& made, const std::string& flights) {
    const std::string arcs = text_of_arcs(shot, made, flights);
    if (made.ranges.empty())
        return (made.arcs.empty() ? "Nothing is to be corrected: every frame comes back as it was keyed.\n"
                                  : "Nothing is to be balanced.\n") +
               arcs;
    Table ranges({true, false});
    for (const aplomb_clip_range& r : made.ranges)
        ranges.add({r.first == r.last ? std::to_string(shot.first + r.first) : shot.frames(r.first, r.last),
                    most_text(shot, made, r)});
    std::string text =
        "Corrected, by frames; the others come back as they were keyed:\n" + ranges.text() + arcs;
    int worst = -1, short_frames = 0;
    for (std::size_t f = 0; f < made.frames.size(); ++f) {
        if (made.frames[f].status != APLOMB_OUT_OF_REACH) continue;
        ++short_frames;
        if (worst < 0 || made.frames[f].slack > made.frames[static_cast<std::size_t>(worst)].slack)
            worst = static_cast<int>(f);
    }
    if (short_frames > 0) {
        const double furthest = made.frames[static_cast<std::size_t>(worst)].slack;
        text += "\n" + std::to_string(short_frames) + (short_frames == 1 ? " frame stays" : " frames stay") +
                " out of reach; the furthest is frame " + std::to_string(shot.first + worst) + ", by " +
                (furthest < 0.0005 ? "less than 0.1 cm" : centimetres(furthest)) + ".\n";
    }
    for (const aplomb_clip_range& r : made.ranges)
        if (!r.converged)
            text +=
                "\nFrames " + shot.frames(r.first, r.last) +
                ": the solver was stopped before its answer was exact; look at them before you use them.\n";
    for (const aplomb_exempt_range& range : made.exempt.value)
        text += "\nLeft out on purpose: " + shot.frames(range.first, range.last) + ", " +
                printable(range.reason) + "\n";
    return text;
}

/// On the clip's own keys; then the poses are those that the file has.
void write_own_keys(const Character& character, const Moment& moment, const Shot& shot,
                    const std::string& path, Made& made) {
    aplomb_corrected_frames frames;
    aplomb_corrected_frames_init(&frames, sizeof frames);
    frames.clip = moment.clip, frames.count = shot.count();
    frames.seconds = shot.times.data();
    frames.translations = made.translations.data(), frames.rotations = made.rotations.data();
    const std::vector<aplomb_stance_range> stances = listed(shot.reading, aplomb_clip_stances);
    made.added.resize(static_cast<std::size_t>(character.limb_count()) * made.frames.size());
    std::vector<double> translations(made.translations.size()), rotations(made.rotations.size());
    aplomb_own_keys keys;
    aplomb_own_keys_init(&keys, sizeof keys);
    keys.added = made.added.data(), keys.capacity = static_cast<int32_t>(made.added.size());
    keys.translations = translations.data(), keys.rotations = rotations.data();
    aplomb_error error{};
    check(aplomb_character_write_own_keys(character.handle(), &frames, stances.data(),
                                          static_cast<int32_t>(stances.size()), path.c_str(), &keys, &error),
          error);
    made.added.resize(static_cast<std::size_t>(keys.added_count));
    made.drift = keys.drift;
    made.translations.swap(translations), made.rotations.swap(rotations);
}

/// How far the centre of mass is from where all frames together have it, at most; file's unit.
double centre_off(const Shot& asked, const Shot& is) {
    const auto a = listed(asked.reading, aplomb_clip_frames), b = listed(is.reading, aplomb_clip_frames);
    double most = 0;
    for (std::size_t f = 0; f < a.size(); ++f)
        most = std::max(most, std::hypot(a[f].centre[0] - b[f].centre[0], a[f].centre[1] - b[f].centre[1],
                                         a[f].centre[2] - b[f].centre[2]));
    return most;
}

/// "left leg at 31, 40; right leg at 50".
std::string text_of_keys(const Shot& shot, const Made& made) {
    std::string text = "\nWritten on the keys that the clip has; ";
    if (made.added.empty())
        text += "none was added";
    else
        text +=
            std::to_string(made.added.size()) + (made.added.size() == 1 ? " was added (" : " were added (");
    int32_t limb = -1;
    for (const aplomb_added_key& key : made.added) {
        if (key.limb != limb)
            text += (limb < 0 ? "" : "; ") + limb_word(shot.character, key.limb) + " at ";
        else
            text += ", ";
        text += std::to_string(shot.first + key.frame), limb = key.limb;
    }
    return text + (made.added.empty() ? "" : ")") + ". A foot that stands is off its place by " +
           fixed_number(made.drift * shot.unit * 1000, 1) + " mm at most, the centre of mass by " +
           centimetres(made.centre_off * shot.unit) + ".\n";
}

/// Of the further clip that holds the correction; empty: it goes into the keyed one.
std::string layer_name(const Character& character, int clip, const BalanceArguments& balance) {
    return balance.layer ? character.clip_names()[static_cast<std::size_t>(clip)] + " correction" : "";
}

void refuse_options_of_motion(const BalanceArguments& balance) {
    const auto refuse = [](bool given, const char* option) {
        if (given)
            throw Failure{std::string(option) + " is for a body that moves and does not go with --blocking"};
    };
    refuse(balance.loop, "--loop");
    refuse(!balance.flights.empty(), "--flights");
    refuse(balance.held, "--held");
    refuse(!balance.flow.empty(), "--flow");
    refuse(!balance.key_acceleration.empty(), "--key-acceleration");
    refuse(!balance.own_keys.empty(), "--own-keys");
}

} // namespace

int run_balance_clip(const Arguments& arguments) {
    refuse_options_of_one_frame(arguments.moment);
    if (arguments.balance.move_foot)
        throw Failure{"--move-foot is for one frame and does not go with --frames"};
    if (!arguments.moment.shares.empty())
        throw Failure{"--share is for one frame and does not go with --frames"};
    if (arguments.file.json && arguments.moment.csv) throw Failure{"--csv does not go with --json"};
    if (arguments.balance.layer && arguments.balance.out.empty())
        throw Failure{"--layer goes with --out: it says how the file is written"};
    if (!arguments.balance.own_keys.empty() && arguments.balance.out.empty())
        throw Failure{"--own-keys goes with --out: it says how the file is written"};
    if (!arguments.balance.own_keys.empty() && arguments.balance.layer)
        throw Failure{"--own-keys does not go with --layer, which has a key in every frame"};
    if (arguments.moment.blocking) refuse_options_of_motion(arguments.balance);
    check_targets(arguments);
    const Character character(arguments.file);
    const Moment moment = choose_moment(character, arguments.moment);
    const Options options = make_options(character, arguments);
    if (options.value.thorough != 0)
        throw Failure{"--thorough is for one frame and does not go with --frames"};
    const Shot shot = open_shot(character, arguments, moment, options);
    Made made =
        correct(shot, arguments, options, static_cast<int>(moments_of(character, arguments, moment).size()));
    if (!arguments.balance.own_keys.empty()) {
        const Shot asked = with_poses(shot, options, made.translations, made.rotations);
        write_own_keys(character, moment, shot, arguments.balance.out, made);
        made.centre_off = centre_off(asked, with_poses(shot, options, made.translations, made.rotations));
    } else if (!arguments.balance.out.empty()) {
        write_frames(character, moment.clip, shot.first, made.translations, made.rotations,
                     arguments.balance.out, layer_name(character, moment.clip, arguments.balance));
    }
    if (!arguments.moment.page.empty()) {
        const Shot after = with_poses(shot, options, made.translations, made.rotations);
        const CorrectedShot corrected{after, made.frames, made.arcs};
        write_clip_page(shot, &corrected, moment, options, arguments.moment.page);
    }
    if (arguments.moment.csv)
        print(table_of(shot, made));
    else if (arguments.file.json)
        print(json_text(shot, made, arguments));
    else
        print(shot_heading(shot, arguments) + text_of_correction(shot, made, arguments.balance.flights) +
              (arguments.balance.own_keys.empty() ? "" : text_of_keys(shot, made)) + wrote_text(arguments));
    return made.status == APLOMB_OK ? exit_in_balance : exit_out_of_balance;
}

} // namespace aplomb::cli

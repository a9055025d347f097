// SPDX-License-Identifier: MIT
// aplomb read --frames: which foot stands when, where the weight goes and what falls, over many frames of a clip.
#include <unistd.h>

#include <algorithm>
#include <cstdio>

#include "cli/clip_page.h"
#include "cli/commands.h"
#include "cli/failure.h"
#include "cli/frames.h"
#include "cli/numbers.h"
#include "cli/read_clip.h"
#include "cli/results.h"
#include "cli/text.h"

namespace aplomb::cli {
namespace {

void set_belt(const std::string& text, double metres_per_unit, double* velocity) {
    if (text.empty()) return;
    const std::vector<std::string> parts = split(text, ',');
    if (parts.size() != 3)
        throw Failure{"--belt " + text + ": find, or three numbers are needed, such as 0,0,-1.2"};
    for (std::size_t i = 0; i < 3; ++i) {
        const auto value = parse_number(parts[i]);
        if (!value) throw Failure{"--belt " + text + ": '" + parts[i] + "' is not a number"};
        velocity[i] = *value / metres_per_unit;
    }
}

bool rests(const double* velocity) {
    return std::all_of(velocity, velocity + 3, [](double part) { return part == 0; });
}

/// As --belt takes it.
std::string belt_text(const Shot& shot, const double* velocity) {
    std::string numbers;
    for (int i = 0; i < 3; ++i)
        numbers += (numbers.empty() ? "" : ",") + short_number(velocity[i] * shot.unit, 3);
    return numbers + " m/s";
}

/// A walk on the spot that is read over ground at rest floats, but for the moments in which a foot turns round.
std::string belt_advice(const Shot& shot) {
    const auto frames = listed(shot.reading, aplomb_clip_frames);
    const auto floats =
        std::count_if(frames.begin(), frames.end(), [](const auto& f) { return f.contact_count == 0; });
    double velocity[3] = {};
    if (4 * floats < shot.count() ||
        aplomb_clip_find_ground_velocity(shot.character.figure(), &shot.clip, nullptr, velocity, nullptr) !=
            APLOMB_OK)
        return "";
    if (rests(velocity)) return "";
    return "Feet go along with ground that moves at " + belt_text(shot, velocity) +
           ": for a walk on the spot, add --belt find.\n";
}

aplomb_clip clip_of(const Shot& shot) {
    aplomb_clip clip;
    aplomb_clip_init(&clip, sizeof clip);
    clip.frame_count = shot.count();
    clip.times = shot.times.data();
    clip.translations = shot.translations.data(), clip.rotations = shot.rotations.data();
    clip.carries = shot.carries.value.data();
    clip.carry_count = static_cast<int32_t>(shot.carries.value.size());
    clip.first_number = shot.first;
    return clip;
}

/// NULL: nothing ever bears.
ClipReading read_shot(const Shot& shot, const Options& options, bool may_lack_support) {
    aplomb_clip_options how;
    aplomb_clip_options_init(&how, sizeof how);
    how.reading = &options.value;
    how.blocking = shot.blocking;
    if (isatty(STDERR_FILENO)) how.progress = show_progress;
    aplomb_clip_reading* made = nullptr;
    aplomb_error error{};
    const aplomb_status status =
        aplomb_clip_read(shot.character.figure(), &shot.clip, &how, nullptr, &made, &error);
    if (may_lack_support && status == APLOMB_NO_SUPPORT) return ClipReading(made);
    if (status == APLOMB_NO_SUPPORT && rests(shot.clip.ground_velocity))
        throw Failure{error.message + std::string(shot.belt_sought
                                                      ? " No belt is found under its feet."
                                                      : " For a walk on the spot, add --belt find.")};
    check(status, error);
    return ClipReading(made);
}

/// Read as found, and again with what was given in the place of what was found.
void read_with(const GivenStances& given, const Span& span, const Options& options, Shot& shot) {
    shot.reading = read_shot(shot, options, given.any());
    if (!given.any()) return;
    shot.stances = with_given(listed(shot.reading, aplomb_clip_stances), given, span);
    if (shot.stances.empty()) throw Failure{"--stance: nothing bears weight in any frame"};
    shot.clip.stances = shot.stances.data();
    shot.clip.stance_count = static_cast<int32_t>(shot.stances.size());
    shot.reading = read_shot(shot, options, false);
}

/// Whether each pose is held until the next, and some differ.
bool steps(const Shot& shot, int32_t clip) {
    const std::size_t places = shot.translations.size() / shot.times.size(),
                      turns = shot.rotations.size() / shot.times.size();
    const auto holds = [&](std::size_t f, const double* place, const double* turn) {
        return std::equal(place, place + places, &shot.translations[places * f]) &&
               std::equal(turn, turn + turns, &shot.rotations[turns * f]);
    };
    bool differ = false;
    std::vector<double> place(places), turn(turns);
    for (std::size_t f = 0; f + 1 < shot.times.size(); ++f) {
        aplomb_error error{};
        check(aplomb_character_pose(shot.character.handle(), clip, (shot.times[f] + shot.times[f + 1]) / 2,
                                    place.data(), turn.data(), &error),
              error);
        if (!holds(f, place.data(), turn.data())) return false;
        differ = differ || !holds(f + 1, place.data(), turn.data());
    }
    return differ;
}

} // namespace

Shot with_poses(const Shot& shot, const Options& options, std::vector<double> translations,
                std::vector<double> rotations) {
    Shot made{shot.character,
              shot.name,
              shot.first,
              shot.unit,
              shot.times,
              std::move(translations),
              std::move(rotations),
              shot.carries,
              listed(shot.reading, aplomb_clip_stances),
              shot.clip,
              {},
              shot.belt_sought,
              shot.blocking,
              shot.steps};
    const aplomb_clip& as_given = shot.clip;
    made.clip = clip_of(made);
    std::copy_n(as_given.gravity, 3, made.clip.gravity);
    std::copy_n(as_given.ground_velocity, 3, made.clip.ground_velocity);
    made.clip.stances = made.stances.data();
    made.clip.stance_count = static_cast<int32_t>(made.stances.size());
    made.reading = read_shot(made, options, false);
    return made;
}

void refuse_options_of_one_frame(const MomentArguments& moment) {
    const auto refuse = [](bool given, const char* option) {
        if (given) throw Failure{std::string(option) + " is for one frame and does not go with --frames"};
    };
    refuse(moment.frame.has_value(), "--frame");
    refuse(moment.time.has_value(), "--time");
    refuse(!moment.holds.empty(), "--hold");
    refuse(!moment.pulls.empty(), "--pull");
    refuse(!moment.picture.empty(), "--picture");
    refuse(moment.lines, "--lines");
}

void refuse_reading_of_frames(const MomentArguments& moment) {
    if (moment.csv) throw Failure{"--csv goes with --frames"};
    if (moment.blocking) throw Failure{"--blocking goes with --frames"};
    if (!moment.belt.empty()) throw Failure{"--belt goes with --frames"};
    if (!moment.ranges.empty()) throw Failure{"--ranges goes with --frames"};
}

int32_t show_progress(double part, void*) {
    constexpr int width = 40;
    const int done = static_cast<int>(part * width);
    std::fprintf(stderr, "\r[%s%s]", std::string(static_cast<std::size_t>(done), '=').c_str(),
                 std::string(static_cast<std::size_t>(width - done), ' ').c_str());
    if (part >= 1) std::fprintf(stderr, "\r%*s\r", width + 2, "");
    return 0;
}

std::vector<double> moments_of(const Character& character, const Arguments& arguments, const Moment& moment) {
    const std::vector<double> keys = character.key_times(moment.clip);
    const std::string& rate = arguments.balance.own_keys;
    return rate.empty() ? keys : evenly(keys, "--own-keys", rate);
}

Shot open_shot(const Character& character, const Arguments& arguments, const Moment& moment,
               const Options& options) {
    if (moment.clip < 0) throw Failure{"--frames: the file has no clip"};
    const std::vector<double> keys = moments_of(character, arguments, moment);
    const int count = static_cast<int>(keys.size());
    const Span span = parse_frames("--frames " + arguments.moment.frames, arguments.moment.frames, count);

    Shot shot{character, {}, span.first, character.info().metres_per_unit, {}, {}, {}, {}, {}, {}, {}};
    shot.name = printable(character.clip_names()[static_cast<size_t>(moment.clip)]);
    shot.times.assign(keys.begin() + span.first, keys.begin() + span.last + 1);
    read_poses(character, moment.clip, shot.times, shot.translations, shot.rotations);
    const std::vector<Load> loads = parse_loads(character, arguments.moment.loads);
    warn_of_loads_in_trunk(character, loads);
    shot.carries = make_carries(loads, count, span);
    shot.clip = clip_of(shot);
    if (!arguments.moment.gravity.empty()) set_gravity(arguments.moment.gravity, shot.clip.gravity);
    shot.blocking = arguments.moment.blocking, shot.steps = steps(shot, moment.clip);
    if (shot.blocking && !arguments.moment.belt.empty())
        throw Failure{"--belt is for a body that moves and does not go with --blocking"};
    shot.belt_sought = arguments.moment.belt == "find";
    set_ground_velocity(character, arguments.moment.belt, shot.clip);
    read_with(parse_stances(character, arguments.moment, count), span, options, shot);
    return shot;
}

void set_ground_velocity(const Character& character, const std::string& belt, aplomb_clip& clip) {
    if (belt != "find") return set_belt(belt, character.info().metres_per_unit, clip.ground_velocity);
    aplomb_error error{};
    check(aplomb_clip_find_ground_velocity(character.figure(), &clip, nullptr, clip.ground_velocity, &error),
          error);
}

std::string shot_heading(const Shot& shot, const Arguments& arguments) {
    std::string text = printable(shot.character.path()) + ", " + std::to_string(shot.count()) +
                       " frames of clip '" + shot.name + "'\n";
    if (shot.steps) text += "Its tracks all step: each pose is held until the next key.\n";
    if (shot.blocking)
        text += shot.steps
                    ? "Each key is taken alone, as a still pose.\n"
                    : "Each key is taken alone, as a still pose; between keys go the file's own curves.\n";
    else if (arguments.moment.belt.empty())
        text += belt_advice(shot);
    else if (arguments.moment.belt == "find")
        text +=
            rests(shot.clip.ground_velocity)
                ? "No belt is found under the feet: the ground is taken as at rest.\n"
                : "The ground under the feet moves at " + belt_text(shot, shot.clip.ground_velocity) + ".\n";
    return text + "\n";
}

int run_read_clip(const Arguments& arguments) {
    refuse_options_of_one_frame(arguments.moment);
    if (arguments.file.json && arguments.moment.csv) throw Failure{"--csv does not go with --json"};
    check_targets(arguments);
    const Character character(arguments.file);
    const Moment moment = choose_moment(character, arguments.moment);
    const Options options = make_options(character, arguments);
    const Shot shot = open_shot(character, arguments, moment, options);

    if (!arguments.moment.page.empty())
        write_clip_page(shot, nullptr, moment, options, arguments.moment.page);
    const bool falls = !listed(shot.reading, aplomb_clip_falls).empty();
    if (arguments.file.json || arguments.moment.csv)
        print(arguments.moment.csv ? csv_of(shot) : json_of(shot));
    else
        print(shot_heading(shot, arguments) + text_of(shot) + wrote_text(arguments));
    return falls ? exit_out_of_balance : exit_in_balance;
}

} // namespace aplomb::cli

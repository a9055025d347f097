// SPDX-License-Identifier: MIT
#include "cli/frames.h"

#include <algorithm>
#include <cmath>

#include "cli/clip_ranges.h"
#include "cli/failure.h"
#include "cli/numbers.h"

namespace aplomb::cli {

std::vector<double> evenly(const std::vector<double>& keys, const char* option, const std::string& text) {
    const std::string where = option;
    const double rate = parse_number(text).value_or(0);
    if (!(rate > 0)) throw Failure{where + ": '" + text + "' is not a number above 0"};
    std::vector<double> times;
    const double length = keys.back() - keys.front();
    if (length * rate > 1e6) throw Failure{where + " makes more than a million frames of this clip"};
    for (int k = 0; k <= length * rate + 1e-6; ++k)
        times.push_back(std::min(keys.front() + k / rate, keys.back()));
    return times;
}

void read_poses(const Character& character, int32_t clip, const std::vector<double>& times,
                std::vector<double>& translations, std::vector<double>& rotations) {
    const auto joints = static_cast<std::size_t>(aplomb_figure_joint_count(character.figure()));
    translations.resize(3 * joints * times.size());
    rotations.resize(4 * joints * times.size());
    for (std::size_t f = 0; f < times.size(); ++f) {
        aplomb_error error{};
        check(aplomb_character_pose(character.handle(), clip, times[f], &translations[3 * joints * f],
                                    &rotations[4 * joints * f], &error),
              error);
    }
}

Frames read_frames(const Character& character, const Arguments& arguments) {
    const Moment moment = choose_moment(character, arguments.moment);
    if (moment.clip < 0) throw Failure{"follow needs a clip, and none is chosen"};
    Frames frames;
    frames.clip = moment.clip;
    frames.clip_name = printable(character.clip_names()[static_cast<std::size_t>(moment.clip)]);
    frames.joints = static_cast<std::size_t>(aplomb_figure_joint_count(character.figure()));
    std::vector<double> times = character.key_times(moment.clip);
    if (!arguments.follow.fps.empty()) times = evenly(times, "--fps", arguments.follow.fps);
    const std::string& wished = arguments.moment.frames;
    const Span span =
        parse_frames("--frames " + wished, wished.empty() ? "all" : wished, static_cast<int>(times.size()));
    frames.first = span.first, frames.whole_count = static_cast<int>(times.size());
    frames.file_times.assign(times.begin() + span.first, times.begin() + span.last + 1);
    for (const double seconds : frames.file_times)
        frames.times.push_back(seconds - times.front());
    read_poses(character, frames.clip, frames.file_times, frames.translations, frames.rotations);
    return frames;
}

Frames read_keyed(const Frames& frames, const Arguments& arguments) {
    FileArguments file = arguments.file;
    file.file = arguments.follow.keyed;
    const Character character(file);
    const auto joints = static_cast<std::size_t>(aplomb_figure_joint_count(character.figure()));
    if (joints != frames.joints)
        throw Failure{"--keyed " + file.file + ": it has " + std::to_string(joints) +
                      " joints; the corrected file has " + std::to_string(frames.joints)};
    const auto names = character.clip_names();
    const auto clip = std::find_if(names.begin(), names.end(), [&](const std::string& name) {
        return printable(name) == frames.clip_name;
    });
    if (clip == names.end())
        throw Failure{"--keyed " + file.file + ": it has no clip '" + frames.clip_name + "'"};
    Frames keyed = frames;
    keyed.clip = static_cast<int32_t>(clip - names.begin());
    read_poses(character, keyed.clip, keyed.file_times, keyed.translations, keyed.rotations);
    return keyed;
}

} // namespace aplomb::cli

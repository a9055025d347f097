// SPDX-License-Identifier: MIT
#include "cli/character.h"

#include <algorithm>
#include <set>

#include "cli/failure.h"
#include "cli/numbers.h"
#include "io/near_names.h"

namespace aplomb::cli {
namespace {

aplomb_character_options options_from(const FileArguments& arguments) {
    aplomb_character_options options;
    aplomb_character_options_init(&options, sizeof options);
    if (!arguments.description.empty()) options.description = arguments.description.c_str();
    if (!arguments.skin.empty()) options.skin = arguments.skin.c_str();
    options.metres_per_unit = arguments.unit;
    options.stature = arguments.stature;
    options.up_axis = arguments.up;
    options.forward_axis = arguments.facing;
    options.mass_table = arguments.table;
    options.total_mass = arguments.mass;
    return options;
}

/// -1 stands for the pose without motion.
int32_t choose_clip(const Character& character, const std::string& wished) {
    if (wished.empty()) return aplomb_character_clip_count(character.handle()) > 0 ? 0 : -1;
    const int32_t clip = aplomb_character_find_clip(character.handle(), wished.c_str());
    if (clip >= 0 || wished == "none") return clip;
    const std::vector<std::string> names = character.clip_names();
    if (names.empty()) throw Failure{"--clip " + wished + ": " + character.path() + " has no clips"};
    const std::string near = io::near_names(wished, names);
    throw Failure{"--clip " + wished + ": there is no such clip" +
                  (near.empty() ? "; 'aplomb inspect' lists all " + std::to_string(names.size()) : near)};
}

void choose_time(const Character& character, const MomentArguments& arguments, Moment& moment) {
    const std::string clip =
        "clip '" + printable(character.clip_names()[static_cast<size_t>(moment.clip)]) + "'";
    if (arguments.time && arguments.frame) throw Failure{"--frame and --time both name the moment; give one"};
    if (arguments.time) {
        moment.seconds = *arguments.time;
        moment.place = clip + ", " + fixed_number(moment.seconds, 3) + " s";
        return;
    }
    const std::vector<double> times = character.key_times(moment.clip);
    const int32_t frame = arguments.frame.value_or(0);
    if (static_cast<size_t>(frame) >= times.size())
        throw Failure{"--frame " + std::to_string(frame) + ": " + clip + " has " +
                      (times.size() == 1 ? "one frame" : std::to_string(times.size()) + " frames") +
                      ", counted from 0"};
    moment.seconds = times[static_cast<size_t>(frame)];
    moment.place = clip + ", frame " + std::to_string(frame) + " (" + fixed_number(moment.seconds, 3) + " s)";
}

} // namespace

std::string printable(std::string text) {
    std::replace_if(
        text.begin(), text.end(), [](unsigned char c) { return c < 0x20 || c == 0x7f; }, '?');
    return text;
}

Character::Character(const FileArguments& arguments) : m_path(arguments.file) {
    const aplomb_character_options options = options_from(arguments);
    aplomb_character* opened = nullptr;
    aplomb_error error{};
    const aplomb_status status = aplomb_character_open(m_path.c_str(), &options, &opened, &error);
    m_handle.reset(opened);
    check(status, error);
}

aplomb_figure_info Character::info() const {
    aplomb_figure_info info;
    aplomb_figure_info_init(&info, sizeof info);
    aplomb_error error{};
    check(aplomb_figure_describe(figure(), &info, &error), error);
    return info;
}

aplomb_joint_info Character::joint(int32_t joint) const {
    aplomb_joint_info info;
    aplomb_joint_info_init(&info, sizeof info);
    aplomb_error error{};
    check(aplomb_figure_joint(figure(), joint, &info, &error), error);
    return info;
}

aplomb_limb_info Character::limb(int32_t limb) const {
    aplomb_limb_info info;
    aplomb_limb_info_init(&info, sizeof info);
    aplomb_error error{};
    check(aplomb_figure_limb(figure(), limb, &info, &error), error);
    return info;
}

std::string Character::joint_name(int32_t index) const {
    const std::string name = printable(joint(index).name);
    return name.empty() ? "joint " + std::to_string(index) : name;
}

std::string Character::near(const std::string& wished, std::initializer_list<const char*> words) const {
    std::set<std::string> names(words.begin(), words.end());
    for (int32_t j = 0; j < aplomb_figure_joint_count(figure()); ++j)
        names.insert(joint_name(j));
    return io::near_names(wished, {names.begin(), names.end()});
}

std::vector<std::string> Character::clip_names() const {
    std::vector<std::string> names;
    while (const char* name = aplomb_character_clip_name(handle(), static_cast<int32_t>(names.size())))
        names.emplace_back(name);
    return names;
}

std::vector<double> Character::key_times(int32_t clip) const {
    const int32_t count = aplomb_character_key_times(handle(), clip, nullptr, 0);
    std::vector<double> times(static_cast<size_t>(std::max(count, 0)));
    aplomb_character_key_times(handle(), clip, times.data(), count);
    return times;
}

Moment choose_moment(const Character& character, const MomentArguments& arguments) {
    Moment moment;
    moment.clip = choose_clip(character, arguments.clip);
    if (moment.clip >= 0) {
        choose_time(character, arguments, moment);
    } else if (arguments.frame || arguments.time) {
        throw Failure{"--frame and --time need a clip; " + character.path() + " is read without motion"};
    } else {
        moment.place = "the pose without motion";
    }
    const size_t joints = static_cast<size_t>(aplomb_figure_joint_count(character.figure()));
    moment.translations.resize(3 * joints);
    moment.rotations.resize(4 * joints);
    aplomb_error error{};
    check(aplomb_character_pose(character.handle(), moment.clip, moment.seconds, moment.translations.data(),
                                moment.rotations.data(), &error),
          error);
    return moment;
}

} // namespace aplomb::cli

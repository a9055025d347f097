// SPDX-License-Identifier: MIT
#include "cli/character.h"

#include <algorithm>
#include <cstdio>
#include <set>
#include <string_view>
#include <utility>

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
    if (!arguments.stand_clip.empty()) options.stand_clip = arguments.stand_clip.c_str();
    options.stand_seconds = arguments.stand_seconds;
    return options;
}

/// What this kind of file would not heed.
void check_figure(const FileArguments& arguments) {
    const std::string& file = arguments.file;
    const std::string name = io::lower_case(file);
    if (name.ends_with(".bvh") && !arguments.skin.empty())
        throw Failure{"--skin: a BVH has no skins; leave --skin out"};
    if (arguments.stature > 0 && arguments.unit > 0)
        throw Failure{"--stature has no effect beside --unit; leave one out"};
    if (arguments.stature > 0 && (name.ends_with(".glb") || name.ends_with(".gltf")))
        throw Failure{"--stature has no effect on glTF, which is in metres; give --unit to scale " + file};
}

/// -1 stands for the pose without motion.
int32_t choose_clip(const Character& character, const std::string& wished) {
    if (wished.empty()) return aplomb_character_clip_count(character.handle()) > 0 ? 0 : -1;
    const int32_t clip = aplomb_character_find_clip(character.handle(), wished.c_str());
    if (clip >= 0 || wished == "none") return clip;
    const std::vector<std::string> names = character.clip_names();
    if (names.empty()) throw Failure{"--clip " + wished + ": " + character.path() + " has no clips"};
    const std::string refusal = "--clip " + wished + ": there is no such clip";
    if (names.size() == 1) throw Failure{refusal + "; the only one is '" + printable(names.front()) + "'"};
    const std::string near = io::near_names(wished, names);
    throw Failure{refusal +
                  (near.empty() ? "; 'aplomb inspect' lists all " + std::to_string(names.size()) : near)};
}

void choose_time(const Character& character, const MomentArguments& arguments, Moment& moment) {
    const std::string clip =
        "clip '" + printable(character.clip_names()[static_cast<size_t>(moment.clip)]) + "'";
    if (arguments.time && arguments.frame) throw Failure{"--frame and --time both name the moment; give one"};
    const std::vector<double> times = character.key_times(moment.clip);
    if (arguments.time) {
        constexpr double slack = 0.005; // ends are printed to hundredths
        moment.seconds = *arguments.time;
        if (!times.empty() &&
            (moment.seconds > times.back() + slack || moment.seconds < times.front() - slack))
            throw Failure{"--time " + short_number(moment.seconds, 3) + ": " + clip + " runs from " +
                          short_number(times.front(), 2) + " to " + short_number(times.back(), 2) + " s"};
        moment.place = clip + ", " + fixed_number(moment.seconds, 3) + " s";
        return;
    }
    const int32_t frame = arguments.frame.value_or(0);
    if (static_cast<size_t>(frame) >= times.size())
        throw Failure{"--frame " + std::to_string(frame) + ": " + clip + " has " +
                      (times.size() == 1 ? "one frame; give --frame 0"
                                         : std::to_string(times.size()) + " frames; give 0 to " +
                                               std::to_string(times.size() - 1))};
    moment.seconds = times[static_cast<size_t>(frame)];
    moment.place = clip + ", frame " + std::to_string(frame) + " (" + fixed_number(moment.seconds, 3) + " s)";
}

/// Without --clip a file with several takes part with its first, which may be any.
std::string choice_text(const Character& character, const MomentArguments& arguments) {
    const int32_t count = aplomb_character_clip_count(character.handle());
    if (!arguments.clip.empty() || count < 2) return "";
    return "the first of " + std::to_string(count) + " clips, as --clip names none";
}

} // namespace

std::string printable(std::string text) {
    std::replace_if(
        text.begin(), text.end(), [](unsigned char c) { return c < 0x20 || c == 0x7f; }, '?');
    return text;
}

std::string with_options(const std::string& remark) {
    std::string text = printable(remark);
    for (const auto& [member, option] : {std::pair{"up_axis", "--up"},
                                         {"forward_axis", "--facing"},
                                         {"metres_per_unit", "--unit"},
                                         {"stand_clip", "--stand"}})
        if (const size_t at = text.find(member); at != std::string::npos)
            text.replace(at, std::string_view(member).size(), option);
    return text;
}

Character::Character(const FileArguments& arguments) : m_path(arguments.file) {
    check_figure(arguments);
    const aplomb_character_options options = options_from(arguments);
    aplomb_character* opened = nullptr;
    aplomb_error error{};
    const aplomb_status status = aplomb_character_open(m_path.c_str(), &options, &opened, &error);
    m_handle.reset(opened);
    const bool turned = arguments.up != 0 || arguments.facing != 0;
    if (turned && status == APLOMB_BAD_FIGURE && std::string_view(error.field) == "forward_axis")
        throw Failure{"--up and --facing lie along one axis; give both, such as --up z --facing=-y"};
    check(status, error);
    // What the file may have been misunderstood in is said whether it is asked for or not.
    for (int32_t i = 0; const char* remark = aplomb_character_remark(handle(), i); ++i)
        warn(remark);
    for (const Doubt& doubt : doubts(arguments))
        warn(doubt.text);
}

Character::Character(const aplomb_memory_file& file, const aplomb_character_options& options,
                     std::string path)
    : m_path(std::move(path)) {
    aplomb_character* opened = nullptr;
    aplomb_error error{};
    const aplomb_status status = aplomb_character_open_memory(&file, &options, &opened, &error);
    m_handle.reset(opened);
    check(status, error);
}

void Character::warn(const std::string& remark) const {
    std::fprintf(stderr, "aplomb: %s: %s\n", printable(m_path).c_str(), with_options(remark).c_str());
}

std::vector<Doubt> Character::doubts(const FileArguments& arguments) const {
    std::vector<Doubt> doubts;
    int32_t kind = APLOMB_DOUBT_NONE;
    for (int32_t i = 0; const char* text = aplomb_figure_doubt(figure(), i, &kind); ++i) {
        const bool asked = kind == APLOMB_DOUBT_SIZE ? arguments.unit > 0 || arguments.stature > 0
                                                     : kind == APLOMB_DOUBT_MASS && arguments.mass > 0;
        if (!asked) doubts.push_back({kind, text});
    }
    return doubts;
}

bool Character::stands() const {
    int32_t kind = APLOMB_DOUBT_NONE;
    return aplomb_figure_doubt(figure(), 0, &kind) == nullptr || kind != APLOMB_DOUBT_STANDING;
}

aplomb_figure_info Character::info() const {
    aplomb_figure_info info;
    aplomb_figure_info_init(&info, sizeof info);
    aplomb_error error{};
    check(aplomb_figure_describe(figure(), &info, &error), error);
    return info;
}

aplomb_character_info Character::understood() const {
    aplomb_character_info info;
    aplomb_character_info_init(&info, sizeof info);
    aplomb_error error{};
    check(aplomb_character_describe(handle(), &info, &error), error);
    return info;
}

std::vector<std::string> Character::remarks() const {
    std::vector<std::string> remarks;
    for (int32_t i = 0; const char* remark = aplomb_character_remark(handle(), i); ++i)
        remarks.emplace_back(remark);
    for (int32_t i = 0; const char* remark = aplomb_figure_remark(figure(), i); ++i)
        remarks.emplace_back(remark);
    return remarks;
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
    moment.chosen = choice_text(character, arguments);
    if (moment.clip >= 0) {
        choose_time(character, arguments, moment);
    } else if ((arguments.frame || arguments.time) && arguments.clip.empty()) {
        throw Failure{character.path() + " has no clips; leave " + (arguments.frame ? "--frame" : "--time") +
                      " out"};
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

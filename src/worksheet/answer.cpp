// SPDX-License-Identifier: MIT
#include "worksheet/answer.h"

#include <algorithm>
#include <cstdio>

namespace aplomb::worksheet {
namespace {

struct DestroySolver {
    void operator()(aplomb_solver* solver) const { aplomb_solver_destroy(solver); }
};
using Solver = std::unique_ptr<aplomb_solver, DestroySolver>;

Solver make_solver(const Character& character) {
    aplomb_solver* solver = nullptr;
    aplomb_error error{};
    check(aplomb_solver_create(character.figure(), nullptr, &solver, &error), error);
    return Solver(solver);
}

aplomb_reading empty_reading() {
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    return reading;
}

std::string fixed(double value, int decimals) {
    char text[64];
    std::snprintf(text, sizeof text, "%.*f", decimals, value);
    return text;
}

/// As the command names a moment, so that pages of both are the same.
std::string place_words(const Character& character, int32_t clip, double seconds) {
    if (clip < 0) return "the pose without motion";
    const std::vector<double> times = character.key_times(clip);
    const auto found = std::find(times.begin(), times.end(), seconds);
    const std::string name =
        "clip '" + std::string(aplomb_character_clip_name(character.handle.get(), clip)) + "', ";
    const std::string at = fixed(seconds, 3) + " s";
    if (found == times.end()) return name + at;
    return name + "frame " + std::to_string(found - times.begin()) + " (" + at + ")";
}

struct Word {
    const char* word;
    aplomb_hold hold;
    int32_t footing; // -1: that which the pose shows
};
constexpr Word words[] = {{"bearing", APLOMB_BEARING, -1},          {"held", APLOMB_HELD, APLOMB_FLAT},
                          {"free", APLOMB_FREE, APLOMB_FLAT},       {"flat", APLOMB_BEARING, APLOMB_FLAT},
                          {"ball", APLOMB_BEARING, APLOMB_ON_BALL}, {"heel", APLOMB_BEARING, APLOMB_ON_HEEL}};

void set_word(aplomb_contact& contact, const std::string& word) {
    for (const Word& meaning : words) {
        if (word != meaning.word) continue;
        contact.hold = meaning.hold;
        if (meaning.footing >= 0) contact.footing = meaning.footing;
        return;
    }
    throw wrong("limbs", "'" + word + "' is not bearing, held, free, flat, ball or heel.");
}

std::vector<aplomb_contact> read_contacts(const Character& character, const Pose& pose, const Json& sheet) {
    std::vector<aplomb_contact> contacts(APLOMB_MAX_CONTACTS);
    aplomb_error error{};
    const int32_t count = aplomb_stance_default(character.figure(), pose.translations.data(),
                                                pose.rotations.data(), contacts.data(), &error);
    check(static_cast<aplomb_status>(std::min(count, 0)), error);
    contacts.resize(static_cast<size_t>(count));
    for (const Json& limb : sheet.value("limbs", Json::array())) {
        const auto found = std::find_if(contacts.begin(), contacts.end(), [&](const aplomb_contact& contact) {
            return contact.limb == limb.at("limb").get<int32_t>();
        });
        if (found == contacts.end()) continue; // of a figure that was here before
        if (limb.contains("does")) set_word(*found, limb.at("does").get<std::string>());
        if (limb.contains("share")) found->share = limb.at("share").get<double>();
    }
    return contacts;
}

std::vector<aplomb_load> read_loads(const Character& character, const Json& sheet) {
    const double unit = character.info().metres_per_unit;
    std::vector<aplomb_load> loads;
    for (const Json& given : sheet.value("loads", Json::array())) {
        aplomb_load load{};
        aplomb_error error{};
        check(aplomb_load_at(character.figure(), given.at("mass").get<double>(),
                             given.at("place").get<std::string>().c_str(), &load, &error),
              error);
        load.offset[0] = given.value("left", 0.0) / unit;
        load.offset[1] = given.value("up", 0.0) / unit;
        load.offset[2] = given.value("forward", 0.0) / unit;
        load.hanging = given.contains("hang");
        load.hang = given.value("hang", 0.0) / unit;
        loads.push_back(load);
    }
    return loads;
}

std::string explain(const Character& character, const aplomb_result& result) {
    const int32_t length = aplomb_explain(character.figure(), &result, nullptr, 0);
    std::string text(static_cast<size_t>(std::max(length, 0)) + 1, '\0');
    aplomb_explain(character.figure(), &result, text.data(), text.size());
    text.pop_back();
    while (text.ends_with('\n'))
        text.pop_back();
    return text;
}

} // namespace

Moment read_moment(const Character& character, const Json& sheet) {
    Moment moment;
    moment.clip = sheet.value("clip", int32_t{-1});
    moment.seconds = sheet.value("seconds", 0.0);
    moment.pose = Pose(static_cast<int32_t>(character.joints()));
    aplomb_error error{};
    check(aplomb_character_pose(character.handle.get(), moment.clip, moment.seconds,
                                moment.pose.translations.data(), moment.pose.rotations.data(), &error),
          error);
    moment.place = place_words(character, moment.clip, moment.seconds);
    moment.contacts = read_contacts(character, moment.pose, sheet);
    moment.loads = read_loads(character, sheet);
    return moment;
}

aplomb_options read_options(const Json& sheet) {
    aplomb_options options = aplomb::options();
    aplomb_option_info info;
    aplomb_option_info_init(&info, sizeof info);
    const Json given = sheet.value("options", Json::object());
    for (int32_t i = 0; i < aplomb_option_count(); ++i) {
        aplomb_error error{};
        check(aplomb_option_describe(i, &info, &error), error);
        if (!given.contains(info.name)) continue;
        check(aplomb_option_set(&options, i, given.at(info.name).get<double>(), &error), error);
    }
    return options;
}

aplomb_reading read_keyed(const Character& character, const Moment& moment, const aplomb_options& options) {
    aplomb_reading reading = empty_reading();
    aplomb_error error{};
    const aplomb_situation situation = moment.situation();
    check(aplomb_read(make_solver(character).get(), &situation, &options, &reading, &error), error);
    return reading;
}

Answer solve(const Character& character, const Json& sheet) {
    Answer answer;
    answer.moment = read_moment(character, sheet);
    answer.options = read_options(sheet);
    answer.pose = answer.moment.pose;
    answer.before = read_keyed(character, answer.moment, answer.options);
    answer.after = empty_reading();
    aplomb_result_init(&answer.result, sizeof answer.result);
    const Solver solver = make_solver(character);
    const aplomb_situation situation = answer.moment.situation();
    double *translations = answer.pose.translations.data(), *rotations = answer.pose.rotations.data();
    aplomb_error error{};
    answer.status = aplomb_balance(solver.get(), &situation, &answer.options, translations, rotations,
                                   &answer.result, &error);
    check(answer.status, error);
    check(aplomb_read_corrected(solver.get(), &situation, &answer.options, translations, rotations,
                                &answer.result, &answer.after, &error),
          error);
    answer.explanation = explain(character, answer.result);
    aplomb_foot_suggestion_init(&answer.foot, sizeof answer.foot);
    check(aplomb_suggest_foot(solver.get(), &situation, &answer.options, nullptr, nullptr, &answer.foot,
                              &error),
          error);
    answer.solved = true;
    return answer;
}

std::string corrected_file(const Character& character, const Answer& answer) {
    aplomb_corrected_frames frames;
    aplomb_corrected_frames_init(&frames, sizeof frames);
    frames.clip = answer.moment.clip;
    frames.count = 1;
    frames.seconds = &answer.moment.seconds;
    frames.translations = answer.pose.translations.data();
    frames.rotations = answer.pose.rotations.data();
    std::string bytes;
    aplomb_error error{};
    check(aplomb_character_write_frames_memory(character.handle.get(), &frames, take_text, &bytes, &error),
          error);
    return bytes;
}

} // namespace aplomb::worksheet

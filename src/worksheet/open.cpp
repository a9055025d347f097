// SPDX-License-Identifier: MIT
#include "worksheet/open.h"

#include <cstdio>

namespace aplomb::worksheet {
namespace {

using Beside = std::map<std::string, std::string>;

int32_t find_beside(void* user, const char* name, const void** bytes, size_t* size) {
    const Beside& beside = *static_cast<const Beside*>(user);
    // A page knows files by their names alone, whatever folder a .gltf says.
    const std::string path = name;
    const auto found = beside.find(path.substr(path.find_last_of('/') + 1));
    if (found == beside.end()) return 0;
    *bytes = found->second.data();
    *size = found->second.size();
    return 1;
}

/// "left hand", "right hind foot"
std::string limb_words(const Character& character, int32_t index, bool four_feet) {
    const aplomb_limb_info limb = character.limb(index);
    const char* end = limb.kind == APLOMB_ARM        ? " hand"
                      : limb.kind == APLOMB_FORE_LEG ? " fore foot"
                      : four_feet                    ? " hind foot"
                                                     : " foot";
    return aplomb_side_text(static_cast<aplomb_side>(limb.side)) + std::string(end);
}

Json limbs_of(const Character& character) {
    const int32_t count = aplomb_figure_limb_count(character.figure());
    bool four_feet = false;
    for (int32_t i = 0; i < count; ++i)
        four_feet = four_feet || character.limb(i).kind == APLOMB_FORE_LEG;
    Json limbs = Json::array();
    for (int32_t i = 0; i < count; ++i)
        limbs.push_back({{"words", limb_words(character, i, four_feet)},
                         {"foot", character.limb(i).kind != APLOMB_ARM},
                         {"sole", character.limb(i).sole_length > 0}});
    return limbs;
}

Json clips_of(const Character& character) {
    Json clips = Json::array();
    for (int32_t i = 0; const char* name = aplomb_character_clip_name(character.handle.get(), i); ++i)
        clips.push_back({{"name", name}, {"times", character.key_times(i)}});
    return clips;
}

Json places_of(const Character& character) {
    static constexpr const char* words[][2] = {{"hands", "both hands"},
                                               {"back", "on the back"},
                                               {"right-hand", "right hand"},
                                               {"left-hand", "left hand"}};
    bool hands = false;
    for (int32_t i = 0; i < aplomb_figure_limb_count(character.figure()); ++i)
        hands = hands || character.limb(i).kind == APLOMB_ARM;
    Json places = Json::array();
    for (const auto& [place, name] : words) {
        if (!hands && std::string(place) != "back") continue; // the library takes fore feet for hands
        aplomb_load load;
        if (aplomb_load_at(character.figure(), 1, place, &load, nullptr) == APLOMB_OK)
            places.push_back({{"place", place}, {"words", name}});
    }
    return places;
}

Json options_of() {
    Json options = Json::array();
    aplomb_option_info info;
    aplomb_option_info_init(&info, sizeof info);
    for (int32_t i = 0; i < aplomb_option_count(); ++i) {
        if (aplomb_option_describe(i, &info, nullptr) != APLOMB_OK) continue;
        options.push_back({{"name", info.name},
                           {"unit", info.unit},
                           {"meaning", info.meaning},
                           {"usual", info.usual},
                           {"lowest", info.lowest},
                           {"highest", info.highest},
                           {"whole", info.whole != 0}});
    }
    return options;
}

/// What the file may have been misunderstood in, and what is doubtful about the figure.
Json remarks_of(const Character& character) {
    Json remarks = Json::array();
    for (int32_t i = 0; const char* text = aplomb_character_remark(character.handle.get(), i); ++i)
        remarks.push_back(text);
    for (int32_t i = 0; const char* text = aplomb_figure_doubt(character.figure(), i, nullptr); ++i)
        remarks.push_back(text);
    return remarks;
}

/// A figure that cannot stand has nothing to show here.
void refuse_what_cannot_stand(const Character& character) {
    int32_t kind = APLOMB_DOUBT_NONE;
    const char* text = aplomb_figure_doubt(character.figure(), 0, &kind);
    if (text != nullptr && kind == APLOMB_DOUBT_STANDING)
        throw wrong("bytes", "'" + character.name + "': " + text);
}

} // namespace

Error wrong(const char* field, const std::string& sentence) {
    aplomb_error error{};
    error.status = APLOMB_BAD_ARGUMENT;
    error.index = -1;
    std::snprintf(error.field, sizeof error.field, "%s", field);
    std::snprintf(error.message, sizeof error.message, "%s", sentence.c_str());
    return Error(error);
}

int32_t take_text(void* user, const void* bytes, size_t size) {
    static_cast<std::string*>(user)->assign(static_cast<const char*>(bytes), size);
    return 1;
}

aplomb_figure_info Character::info() const {
    aplomb_figure_info info;
    aplomb_figure_info_init(&info, sizeof info);
    aplomb_error error{};
    check(aplomb_figure_describe(figure(), &info, &error), error);
    return info;
}

aplomb_limb_info Character::limb(int32_t limb) const {
    aplomb_limb_info info;
    aplomb_limb_info_init(&info, sizeof info);
    aplomb_error error{};
    check(aplomb_figure_limb(figure(), limb, &info, &error), error);
    return info;
}

std::vector<double> Character::key_times(int32_t clip) const {
    const int32_t count = aplomb_character_key_times(handle.get(), clip, nullptr, 0);
    std::vector<double> times(static_cast<size_t>(count > 0 ? count : 0));
    aplomb_character_key_times(handle.get(), clip, times.data(), count);
    return times;
}

Character open_character(const std::string& bytes, const std::string& name, const Beside& beside) {
    const aplomb_memory_file file = {bytes.data(), bytes.size(), name.c_str(), find_beside,
                                     const_cast<Beside*>(&beside)};
    aplomb_character* made = nullptr;
    aplomb_error error{};
    const aplomb_status status = aplomb_character_open_memory(&file, nullptr, &made, &error);
    Character character;
    character.handle.reset(made);
    character.name = name;
    if (status == APLOMB_OUT_OF_MEMORY)
        throw wrong("bytes", "'" + name + "': it is too large: out of memory.");
    check(status, error);
    refuse_what_cannot_stand(character);
    return character;
}

std::string describe(const Character& character) {
    const aplomb_figure_info info = character.info();
    aplomb_mesh mesh;
    const bool skin = aplomb_character_mesh(character.handle.get(), &mesh, nullptr) == APLOMB_OK;
    const Json json = {{"name", character.name},
                       {"stature_m", info.stature * info.metres_per_unit},
                       {"mass_kg", info.total_mass},
                       {"mass_source", info.mass_source},
                       {"skin", skin},
                       {"remarks", remarks_of(character)},
                       {"limbs", limbs_of(character)},
                       {"clips", clips_of(character)},
                       {"places", places_of(character)},
                       {"options", options_of()}};
    return json.dump(-1, ' ', Json::Broken::replaced);
}

} // namespace aplomb::worksheet

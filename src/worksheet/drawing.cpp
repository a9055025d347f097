// SPDX-License-Identifier: MIT
#include "worksheet/drawing.h"

#include <algorithm>

#include "aplomb/clip.h"

namespace aplomb::worksheet {
namespace {

constexpr int32_t strip = 8;       // moments of a clip that are drawn
constexpr size_t usual_lines = 48; // of a file's moments; a clip has one at least
constexpr double strip_room = 300; // CSS pixels, for the views of one of them

/// A picture and all that it points to. Stays where it is made.
class Picture {
public:
    Picture(const Character& character, const Moment& moment, const aplomb_reading& reading)
        : m_character(character), m_situation(moment.situation()) {
        aplomb_picture_init(&m_value, sizeof m_value);
        m_value.figure = character.figure();
        m_value.situation = &m_situation;
        m_value.before = {moment.pose.translations.data(), moment.pose.rotations.data(), &reading, "keyed",
                          nullptr};
    }
    Picture(const Character& character, const Answer& answer)
        : Picture(character, answer.moment, answer.before) {
        m_value.after = {answer.pose.translations.data(), answer.pose.rotations.data(), &answer.after,
                         "corrected", nullptr};
        m_value.text = answer.explanation.c_str();
        m_value.result = &answer.result;
        m_value.foot = &answer.foot;
    }
    Picture(const Picture&) = delete;

    aplomb_picture& value() { return m_value; }

    /// Where the file has one, its own skin.
    void dress() {
        if (aplomb_character_mesh(m_character.handle.get(), &m_mesh, nullptr) != APLOMB_OK) return;
        m_value.mesh = &m_mesh;
        put_on(m_value.before, m_before);
        if (m_value.after.translations != nullptr) put_on(m_value.after, m_after);
    }
    void look_through_camera(const Moment& moment) {
        if (aplomb_character_camera_count(m_character.handle.get()) == 0) return;
        aplomb_error error{};
        check(aplomb_character_camera(m_character.handle.get(), 0, moment.clip, moment.seconds, &m_camera,
                                      &error),
              error);
        m_value.camera = &m_camera;
    }

    std::string parts(double room) {
        std::string text;
        aplomb_error error{};
        check(aplomb_page_parts_memory(&m_value, room, take_text, &text, &error), error);
        return text;
    }

private:
    void put_on(aplomb_drawn_pose& pose, std::vector<double>& positions) {
        positions.resize(3 * static_cast<size_t>(m_mesh.vertex_count));
        aplomb_error error{};
        check(aplomb_character_skin(m_character.handle.get(), pose.translations, pose.rotations,
                                    positions.data(), &error),
              error);
        pose.skin = positions.data();
    }

    const Character& m_character;
    aplomb_situation m_situation;
    aplomb_picture m_value;
    aplomb_mesh m_mesh{};
    aplomb_camera m_camera{};
    std::vector<double> m_before, m_after;
};

Json triple(const double* v) {
    return Json::array({v[0], v[1], v[2]});
}

Json reading_of(const aplomb_reading& reading) {
    Json loads = Json::array();
    for (int32_t i = 0; i < reading.load_count; ++i)
        loads.push_back(
            {{"natural_kg", reading.loads[i].natural}, {"countered_kg", reading.loads[i].countered}});
    return {{"in_balance", reading.in_balance != 0},
            {"margin", reading.margin},
            {"margin_asked", reading.margin_asked},
            {"balance_point", triple(reading.balance_point)},
            {"loads", loads}};
}

/// Where one foot would change the body least; null where nothing would be gained.
Json foot_of(const aplomb_foot_suggestion& foot, double unit) {
    if (!foot.found) return nullptr;
    return {{"limb", foot.limb},
            {"ahead_m", foot.ahead * unit},
            {"out_m", foot.out * unit},
            {"lean", {foot.lean_before, foot.lean_after}},
            {"hips_m", {foot.hips_before * unit, foot.hips_after * unit}},
            {"text", foot.text}};
}

const char* does_words(const aplomb_contact& contact, bool sole) {
    if (contact.hold != APLOMB_BEARING) return contact.hold == APLOMB_HELD ? "held" : "free";
    if (!sole) return "bearing";
    return contact.footing == APLOMB_FLAT ? "flat" : contact.footing == APLOMB_ON_BALL ? "ball" : "heel";
}

/// What each limb does, and what it would do if the sheet said nothing.
Json stance_of(const Character& character, const Moment& moment) {
    Json limbs = Json::array();
    Json plain = {{"clip", moment.clip}, {"seconds", moment.seconds}};
    const Moment usual = read_moment(character, plain);
    for (size_t i = 0; i < moment.contacts.size(); ++i) {
        const bool sole = character.limb(moment.contacts[i].limb).sole_length > 0;
        limbs.push_back({{"limb", moment.contacts[i].limb},
                         {"does", does_words(moment.contacts[i], sole)},
                         {"usual", does_words(usual.contacts[i], sole)}});
    }
    return limbs;
}

/// `json`, an object, with one more member that is a text of JSON already.
std::string with_member(const Json& json, const char* name, const std::string& text) {
    std::string whole = json.dump(-1, ' ', Json::Broken::replaced);
    whole.pop_back();
    return whole + (json.empty() ? "\"" : ",\"") + name + "\":" + text + "}";
}

std::vector<size_t> even_choice(size_t count, size_t wanted) {
    std::vector<size_t> chosen;
    for (size_t i = 0; i < std::min(count, wanted); ++i)
        chosen.push_back(count <= wanted || wanted < 2 ? i
                                                       : (i * (count - 1) + (wanted - 1) / 2) / (wanted - 1));
    return chosen;
}

/// A moment as keyed: where it is, and the parts of its page.
std::string tell_moment(const Character& character, Json sheet, int32_t clip, double seconds, size_t frame,
                        double room) {
    sheet["clip"] = clip;
    sheet["seconds"] = seconds;
    const Moment moment = read_moment(character, sheet);
    const aplomb_reading reading = read_keyed(character, moment, read_options(sheet));
    const Json place = {{"clip", clip}, {"seconds", seconds}, {"frame", frame}};
    return with_member(place, "parts", Picture(character, moment, reading).parts(room));
}

/// In a list of moments one that cannot be read does not take the others away.
std::string tell_or_say_why_not(const Character& character, const Json& sheet, int32_t clip, double seconds,
                                size_t frame) {
    try {
        return tell_moment(character, sheet, clip, seconds, frame, 0);
    } catch (const Error& error) {
        const Json moment = {
            {"clip", clip}, {"seconds", seconds}, {"frame", frame}, {"wrong", error.detail.message}};
        return moment.dump(-1, ' ', Json::Broken::replaced);
    }
}

void add_item(std::string& list, const std::string& item) {
    list += (list.empty() ? "" : ",") + item;
}

struct DestroyReading {
    void operator()(aplomb_clip_reading* reading) const { aplomb_clip_reading_destroy(reading); }
};
using ClipReading = std::unique_ptr<aplomb_clip_reading, DestroyReading>;

/// The clip in motion; what the sheet says is carried, is carried in all frames.
ClipReading read_clip(const Character& character, const Json& sheet, int32_t number,
                      const std::vector<double>& times) {
    const Moment moment = read_moment(character, sheet);
    std::vector<double> translations(times.size() * 3 * character.joints()),
        rotations(times.size() * 4 * character.joints());
    aplomb_error error{};
    for (size_t i = 0; i < times.size(); ++i)
        check(aplomb_character_pose(character.handle.get(), number, times[i],
                                    &translations[i * 3 * character.joints()],
                                    &rotations[i * 4 * character.joints()], &error),
              error);
    std::vector<aplomb_carry> carries;
    for (const aplomb_load& load : moment.loads)
        carries.push_back(
            {load, static_cast<int32_t>(carries.size()), 0, static_cast<int32_t>(times.size()) - 1, 0, 0, 0});
    aplomb_clip clip;
    aplomb_clip_init(&clip, sizeof clip);
    clip.frame_count = static_cast<int32_t>(times.size());
    clip.times = times.data();
    clip.translations = translations.data(), clip.rotations = rotations.data();
    clip.carries = carries.data(), clip.carry_count = static_cast<int32_t>(carries.size());
    const aplomb_options reading = read_options(sheet);
    aplomb_clip_options options;
    aplomb_clip_options_init(&options, sizeof options);
    options.reading = &reading;
    aplomb_clip_reading* made = nullptr;
    check(aplomb_clip_read(character.figure(), &clip, &options, nullptr, &made, &error), error);
    return ClipReading(made);
}

} // namespace

std::string tell(const Character& character, const Answer& answer, double room, bool skin) {
    Picture picture(character, answer);
    if (skin) picture.dress();
    const double unit = character.info().metres_per_unit;
    const aplomb_controls& c = answer.result.controls;
    const Json json = {{"status", static_cast<int32_t>(answer.status)},
                       {"status_words", aplomb_status_text(answer.status)},
                       {"place", answer.moment.place},
                       {"changed", answer.result.changed != 0},
                       {"foot", foot_of(answer.foot, unit)},
                       {"stance", stance_of(character, answer.moment)},
                       {"keyed", reading_of(answer.before)},
                       {"corrected", reading_of(answer.after)},
                       {"controls",
                        {{"hips_shift_m", Json::array({c.hips_shift[0] * unit, c.hips_shift[1] * unit,
                                                       c.hips_shift[2] * unit})},
                         {"hips_turn", triple(c.hips_turn)},
                         {"chest", triple(c.chest)},
                         {"neck", triple(c.neck)}}}};
    return with_member(json, "parts", picture.parts(room));
}

std::string tell_moments(const Character& character, const Json& sheet) {
    const auto named = [&](int32_t clip) {
        return aplomb_character_clip_name(character.handle.get(), clip) != nullptr;
    };
    size_t clips = 0;
    while (named(static_cast<int32_t>(clips)))
        ++clips;
    const size_t of_a_clip = std::clamp<size_t>(usual_lines / std::max<size_t>(clips, 1), 1, strip);
    std::string list;
    for (int32_t clip = 0; named(clip); ++clip) {
        const std::vector<double> times = character.key_times(clip);
        for (const size_t frame : even_choice(times.size(), of_a_clip))
            add_item(list, tell_or_say_why_not(character, sheet, clip, times[frame], frame));
    }
    if (list.empty()) add_item(list, tell_or_say_why_not(character, sheet, -1, 0, 0));
    return with_member(Json::object(), "moments", "[" + list + "]");
}

std::string tell_clip(const Character& character, const Json& sheet) {
    const int32_t number = sheet.value("clip", int32_t{-1});
    const std::vector<double> times = character.key_times(number);
    if (times.empty()) throw wrong("clip", "The moment is of no clip.");
    const ClipReading reading = read_clip(character, sheet, number, times);
    Json notes = Json::array();
    int32_t count = 0;
    const aplomb_clip_note* note = aplomb_clip_notes(reading.get(), &count);
    for (int32_t i = 0; i < count; ++i)
        notes.push_back({{"frame", note[i].frame},
                         {"seconds", times[static_cast<size_t>(note[i].frame)]},
                         {"text", note[i].text}});
    const aplomb_clip_frame* frames = aplomb_clip_frames(reading.get(), &count);
    std::string list;
    for (const size_t frame : even_choice(times.size(), strip)) {
        const Json motion = {{"in_balance", frames[frame].in_balance != 0},
                             {"in_the_air", frames[frame].contact_count == 0}};
        add_item(list, with_member(motion, "moment",
                                   tell_moment(character, sheet, number, times[frame], frame, strip_room)));
    }
    return with_member(Json{{"frames", times.size()}, {"notes", notes}}, "strip", "[" + list + "]");
}

std::string drawn_file(const Character& character, const Answer& answer, bool page) {
    Picture picture(character, answer);
    picture.dress();
    picture.look_through_camera(answer.moment);
    const std::string title = character.name + ", " + answer.moment.place;
    picture.value().title = title.c_str();
    const auto write = page ? aplomb_page_write_memory : aplomb_picture_write_memory;
    std::string bytes;
    aplomb_error error{};
    check(write(&picture.value(), take_text, &bytes, &error), error);
    return bytes;
}

} // namespace aplomb::worksheet

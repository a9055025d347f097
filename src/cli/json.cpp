// SPDX-License-Identifier: MIT
#include "cli/json.h"

#include <algorithm>

#include "cli/options.h"
#include "cli/origin.h"
#include "cli/stance.h"
#include "json/json.h"

namespace aplomb::cli {
namespace {

std::string dump(const Json& json) {
    return json.dump(2, ' ', Json::Broken::replaced) + "\n";
}

Json list(const double* values, int count) {
    Json json = Json::array();
    for (int i = 0; i < count; ++i)
        json.push_back(values[i]);
    return json;
}
Json point(const double* values) {
    return list(values, 3);
}
Json points(const double (*values)[3], int count) {
    Json json = Json::array();
    for (int i = 0; i < count; ++i)
        json.push_back(point(values[i]));
    return json;
}

/// Null: no value at all is allowed.
Json range(double least, double most) {
    return least <= most ? Json({least, most}) : Json(nullptr);
}

Json joint_or_null(const Character& character, int32_t joint) {
    return joint < 0 ? Json(nullptr) : Json(character.joint_name(joint));
}

const char* axis_text(int32_t axis) {
    static constexpr const char* names[] = {"-z", "-y", "-x", "", "x", "y", "z"};
    return names[axis + 3];
}

Json choice_of(const Json& value, int32_t source, const char* why) {
    return {{"value", value},
            {"source", aplomb_character_source_text(static_cast<aplomb_source>(source))},
            {"why", why}};
}

/// How the file was understood; axes as --up and --facing take them.
Json understood_of(const Character& character) {
    const aplomb_character_info info = character.understood();
    Json stand = nullptr;
    if (info.stand_clip >= 0)
        stand = {{"clip", aplomb_character_clip_name(character.handle(), info.stand_clip)},
                 {"seconds", info.stand_seconds}};
    return {{"up", choice_of(axis_text(info.up_axis), info.up_source, info.up_why)},
            {"facing", choice_of(axis_text(info.forward_axis), info.forward_source, info.forward_why)},
            {"unit", choice_of(info.metres_per_unit, info.unit_source, info.unit_why)},
            {"stand", choice_of(stand, info.stand_source, info.stand_why)}};
}

Json head(const Character& character) {
    const aplomb_figure_info info = character.info();
    const uint32_t version = aplomb_version();
    return {{"aplomb", std::to_string(version / 10000) + "." + std::to_string(version / 100 % 100) + "." +
                           std::to_string(version % 100)},
            {"file", character.path()},
            {"metres_per_unit", info.metres_per_unit},
            {"understood", understood_of(character)},
            {"figure",
             {{"stature", info.stature},
              {"leg_length", info.leg_length},
              {"mass_kg", info.total_mass},
              {"mass_source", info.mass_source}}},
            {"stands", character.stands()},
            {"remarks", character.remarks()}};
}

Json head(const Character& character, const Moment& moment, const Situation& situation) {
    Json json = head(character);
    json["clip"] =
        moment.clip < 0 ? Json(nullptr) : Json(character.clip_names()[static_cast<size_t>(moment.clip)]);
    json["seconds"] = moment.seconds;
    json["moment"] = moment.place + (moment.chosen.empty() ? "" : ": " + moment.chosen);
    json["stance"] = Json::array();
    for (size_t i = 0; i < situation.stance.contacts.size(); ++i) {
        const aplomb_contact& contact = situation.stance.contacts[i];
        json["stance"].push_back({{"limb", part_word(character, contact.limb, contact.joint)},
                                  {"does", hold_text(character, situation.stance, i)}});
    }
    json["loads"] = Json::array();
    for (const Load& load : situation.loads)
        json["loads"].push_back({{"place", load.place}, {"mass_kg", load.value.mass}});
    json["pulls"] = Json::array();
    for (const GivenPull& pull : situation.pulls)
        json["pulls"].push_back({{"place", pull.place}, {"newtons", pull.newtons}, {"way", pull.way}});
    return json;
}

Json contacts_of(const Character& character, const aplomb_reading& reading) {
    Json json = Json::array();
    for (int32_t i = 0; i < reading.contact_count; ++i) {
        const aplomb_contact_reading& c = reading.contacts[i];
        json.push_back({{"limb", part_word(character, c.limb, c.joint)},
                        {"joint", character.joint_name(c.joint)},
                        {"share", c.share},
                        {"share_range", {c.share_min, c.share_max}},
                        {"place_from_heel", c.place},
                        {"centre", point(c.centre)}});
    }
    return json;
}

Json loads_of(const aplomb_reading& reading) {
    Json json = Json::array();
    for (int32_t i = 0; i < reading.load_count; ++i) {
        const aplomb_load_reading& l = reading.loads[i];
        json.push_back({{"centre", point(reading.load_centre[i])},
                        {"stands_kg", range(l.stands_min, l.stands_max)},
                        {"rests_kg", range(l.rests_min, l.rests_max)},
                        {"natural_kg", l.natural},
                        {"countered_kg", l.countered},
                        {"balance_tells", l.tells != 0}});
    }
    return json;
}

Json cues_of(const aplomb_reading& reading) {
    Json json = Json::array();
    for (int32_t i = 0; i < reading.cue_count; ++i)
        json.push_back({{"text", reading.cues[i].text}, {"value", reading.cues[i].value}});
    return json;
}

Json reading_of(const Character& character, const aplomb_reading& r) {
    return {
        {"in_balance", r.in_balance != 0},
        {"presses_on_ground", r.pressing != 0},
        {"total_mass_kg", r.total_mass},
        {"margin", r.margin},
        {"margin_asked", r.margin_asked},
        {"body_centre", point(r.body_centre)},
        {"centre", point(r.centre)},
        {"balance_point", point(r.balance_point)},
        {"support_area", points(r.area, r.edge_count)},
        {"nearest_edge", points(r.edge, 2)},
        {"rest_zone", points(r.zone, r.zone_count)},
        {"home", point(r.home)},
        {"rest_point", point(r.rest_point)},
        {"tips", {{"direction", point(r.tip_direction)}, {"angle", r.tip_angle}, {"energy_j", r.tip_energy}}},
        {"friction_needed", r.friction_needed},
        {"trunk", {{"forward", r.trunk_fore}, {"right", r.trunk_side}}},
        {"knees", {{"bend", r.knees}, {"reads_kg", r.knees_mass}}},
        {"pelvis", {{"right", r.pelvis_side}}},
        {"shoulders", {{"right", r.shoulders_side}}},
        {"line_of_action", points(r.line_of_action, 5)},
        {"contacts", contacts_of(character, r)},
        {"loads", loads_of(r)},
        {"cues", cues_of(r)}};
}

Json gave_way_of(const Character& character, const aplomb_result& r) {
    Json json = Json::array();
    for (int32_t i = 0; i < r.gave_way_count; ++i) {
        const aplomb_gave_way& hold = r.gave_way[i];
        json.push_back({{"limb", limb_word(character, hold.limb)},
                        {"place_m", hold.place},
                        {"attitude", hold.attitude}});
    }
    return json;
}

/// Where one foot would change the body least; null where nothing would be gained.
Json foot_of(const Character& character, const aplomb_foot_suggestion& foot) {
    if (!foot.found) return nullptr;
    return {{"limb", limb_word(character, foot.limb)},
            {"way", point(foot.way)},
            {"ahead", foot.ahead},
            {"out", foot.out},
            {"drop", foot.drop},
            {"lean", {foot.lean_before, foot.lean_after}},
            {"hips", {foot.hips_before, foot.hips_after}},
            {"outline", points(foot.outline, foot.outline_count)},
            {"text", foot.text}};
}

Json knees_of(const Character& character, const aplomb_result& r) {
    Json json = Json::array();
    for (int32_t i = 0; i < r.knee_count; ++i) {
        const aplomb_knee& knee = r.knees[i];
        json.push_back(
            {{"limb", limb_word(character, knee.limb)}, {"keyed", knee.keyed}, {"bend", knee.bend}});
    }
    return json;
}

/// Local values of the joints that the correction changed.
Json changed_joints(const Character& character, const Moment& keyed, const Moment& made) {
    Json json = Json::array();
    for (int32_t j = 0; j < aplomb_figure_joint_count(character.figure()); ++j) {
        const size_t i = static_cast<size_t>(j);
        const double *t = &made.translations[3 * i], *q = &made.rotations[4 * i];
        if (std::equal(t, t + 3, &keyed.translations[3 * i]) && std::equal(q, q + 4, &keyed.rotations[4 * i]))
            continue;
        json.push_back({{"joint", j},
                        {"name", character.joint(j).name},
                        {"translation", point(t)},
                        {"rotation", list(q, 4)}});
    }
    return json;
}

Json result_of(const Character& character, const aplomb_result& r) {
    static constexpr const char* parts[] = {"hips_shift", "hips_turn", "spine", "arms", "limbs"};
    Json moved_by = Json::object(), hold_backs = Json::array();
    for (int i = 0; i < 5; ++i)
        moved_by[parts[i]] = point(r.moved_by[i]);
    for (int32_t i = 0; i < r.hold_back_count; ++i)
        hold_backs.push_back({{"name", r.hold_backs[i].name}, {"multiplier", r.hold_backs[i].multiplier}});
    return {{"changed", r.changed != 0},
            {"amount_capped", r.capped != 0},
            {"margin_before", r.margin_before},
            {"margin_after", r.margin_after},
            {"margin_asked", r.margin_asked},
            {"home", point(r.home)},
            {"rest_point", point(r.rest_point)},
            {"balance_point_moved", point(r.moved)},
            {"moved_by", moved_by},
            {"controls",
             {{"hips_shift", point(r.controls.hips_shift)},
              {"hips_turn", point(r.controls.hips_turn)},
              {"chest", point(r.controls.chest)},
              {"neck", point(r.controls.neck)}}},
            {"knees", knees_of(character, r)},
            {"load_in_hands", {{"drawn_in", r.drawn_in}, {"lowered", r.lowered}}},
            {"shoulders_lower", {{"left", r.shoulders[0]}, {"right", r.shoulders[1]}}},
            {"held_back_by", hold_backs},
            {"gave_way", gave_way_of(character, r)},
            {"objective", r.objective},
            {"other_objective", r.other_objective},
            {"slack_m", r.slack},
            {"violation", r.violation},
            {"stationarity", r.stationarity},
            {"complementarity", r.complementarity},
            {"iterations", r.iterations},
            {"starts", r.starts},
            {"evaluations", r.evaluations},
            {"cut_short", r.cut_short != 0}};
}

Json joint_of(const Character& character, int32_t index) {
    const aplomb_joint_info j = character.joint(index);
    return {{"name", j.name},
            {"parent", j.parent},
            {"role", aplomb_role_text(static_cast<aplomb_role>(j.role))},
            {"side", aplomb_side_text(static_cast<aplomb_side>(j.side))},
            {"mass_kg", j.mass},
            {"mass_origin", origin_text(j.mass_origin)},
            {"centre", point(j.centre)},
            {"inertia_kg_m2", list(j.inertia, 6)},
            {"limits",
             {{"bend_forward", list(j.limits, 2)},
              {"twist_left", list(j.limits + 2, 2)},
              {"lean_right", list(j.limits + 4, 2)}}},
            {"limit_origin", origin_text(j.limit_origin)},
            {"trunk_share",
             {{"bend", j.spine_share[0]}, {"twist", j.spine_share[1]}, {"lean", j.spine_share[2]}}}};
}

Json limb_of(const Character& character, int32_t index) {
    const aplomb_limb_info l = character.limb(index);
    return {
        {"name", limb_word(character, index)},
        {"upper", character.joint_name(l.upper)},
        {"lower", character.joint_name(l.lower)},
        {"end", character.joint_name(l.end)},
        {"toe", joint_or_null(character, l.toe)},
        {"length", l.length},
        {"sole",
         {{"length", l.sole_length}, {"breadth", l.sole_breadth}, {"origin", origin_text(l.sole_origin)}}}};
}

void name_files(Json& json, const std::vector<Written>& files) {
    for (const Written& file : files)
        json[file.what] = file.path;
}

} // namespace

std::string json_of_figure(const Character& character) {
    Json json = head(character);
    const aplomb_figure_info info = character.info();
    json["figure"]["hips"] = joint_or_null(character, info.hips);
    json["figure"]["chest"] = joint_or_null(character, info.chest);
    json["figure"]["head"] = joint_or_null(character, info.head);
    json["joints"] = Json::array();
    for (int32_t j = 0; j < info.joint_count; ++j)
        json["joints"].push_back(joint_of(character, j));
    json["limbs"] = Json::array();
    for (int32_t l = 0; l < info.limb_count; ++l)
        json["limbs"].push_back(limb_of(character, l));
    json["clips"] = Json::array();
    for (const std::string& name : character.clip_names())
        json["clips"].push_back(
            {{"name", name}, {"key_times", character.key_times(static_cast<int32_t>(json["clips"].size()))}});
    return dump(json);
}

std::string json_of_reading(const Character& character, const Moment& moment, const Situation& situation,
                            const aplomb_reading& reading, const std::vector<Written>& files) {
    Json json = head(character, moment, situation);
    json["reading"] = reading_of(character, reading);
    name_files(json, files);
    return dump(json);
}

std::string json_of_correction(const Character& character, const Moment& moment, const Situation& situation,
                               const Correction& made, const std::vector<Written>& files) {
    Json json = head(character, moment, situation);
    json["status"] = aplomb_status_text(made.status);
    json["options"] = json_of_options(made.options);
    json["result"] = result_of(character, made.result);
    json["explanation"] = made.explanation;
    json["foot_suggested"] = foot_of(character, made.foot);
    json["foot_moved"] = made.foot_moved.empty() ? Json(nullptr) : Json(made.foot_moved);
    json["corrected_joints"] = changed_joints(character, moment, made.pose);
    json["keyed"] = reading_of(character, made.before);
    json["corrected"] = reading_of(character, made.after);
    name_files(json, files);
    return dump(json);
}

} // namespace aplomb::cli

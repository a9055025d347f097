// SPDX-License-Identifier: MIT
#include "io/description.h"

#include "base/trig.h"
#include "io/fault.h"
#include "io/gltf_document.h"
#include "io/near_names.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace aplomb::io {
namespace {

using Names = std::vector<std::string>;

const Names mass_tables = {"de Leva male", "de Leva female", "Dempster", "child",
                           "skin"}; // by aplomb_mass_table
const Names limit_axes = {"bend_forward", "twist_left", "lean_right"};
const Names footings = {"flat", "ball", "heel"}; // by aplomb_footing
const Names axis_names = {"X", "Y", "Z", "-X", "-Y", "-Z"};
constexpr std::array<int, 6> axis_values = {1, 2, 3, -1, -2, -3};

Names role_names() {
    Names names;
    for (int role = APLOMB_ROLE_ROOT; role <= APLOMB_ROLE_HELPER; ++role)
        names.emplace_back(aplomb_role_text(static_cast<aplomb_role>(role)));
    return names;
}

Names side_names() {
    Names names;
    for (int side = APLOMB_SIDE_LEFT; side <= APLOMB_SIDE_MIDDLE; ++side)
        names.emplace_back(aplomb_side_text(static_cast<aplomb_side>(side)));
    return names;
}

/// A reader would keep one of two values that share a key and drop the other without a word.
Json parse_with_unique_keys(std::string_view bytes, const std::string& where) {
    parse_json(bytes, where);
    return Json::parse(bytes, [&](const std::string& key) {
        refuse(where + ": the key '" + key + "' stands twice in one object");
    });
}

void check_keys(const Json& json, const Names& known, const std::string& where) {
    if (!json.is_object()) refuse(where + " is not an object");
    for (const auto& [key, value] : json.items())
        if (std::find(known.begin(), known.end(), key) == known.end())
            refuse(where + ": unknown key '" + key + "'" + near_names(key, known));
}

/// "'X', 'Y', 'Z'"
std::string listed(const Names& names) {
    std::string text;
    for (const std::string& name : names)
        text += (text.empty() ? "'" : ", '") + name + "'";
    return text;
}

/// The place of a text among the known ones, or -1 where the key is missing.
int choice(const Json& json, const char* key, const Names& known, const std::string& where) {
    if (member(json, key) == nullptr) return -1;
    const std::string text = optional_text(json, key, where);
    const auto found = std::find(known.begin(), known.end(), text);
    if (found == known.end())
        refuse(where + ": '" + key + "' is '" + text + "'; it must be one of " + listed(known));
    return static_cast<int>(found - known.begin());
}

/// Above 0, or 0 where the key is missing.
double positive(const Json& json, const char* key, const std::string& where) {
    const Json* value = member(json, key);
    if (value == nullptr) return 0;
    if (!value->is_number() || !(value->get<double>() > 0) || !std::isfinite(value->get<double>()))
        refuse(where + ": '" + key + "' is not a number above 0");
    return value->get<double>();
}

int axis(const Json& json, const char* key) {
    const int index = choice(json, key, axis_names, "the description");
    return index < 0 ? 0 : axis_values[static_cast<std::size_t>(index)];
}

template<std::size_t N>
std::optional<std::array<double, N>> numbers(const Json& json, const char* key, const std::string& where) {
    const auto list = optional_numbers(json, key, N, where);
    if (!list) return std::nullopt;
    std::array<double, N> result;
    std::copy(list->begin(), list->end(), result.begin());
    return result;
}

int find_joint(const std::string& wished, const Names& names, const std::string& where) {
    if (!wished.empty() && wished[0] == '#') {
        const int number = whole_number(wished.substr(1));
        if (number < 0 || static_cast<std::size_t>(number) >= names.size())
            refuse(where + ": there is no joint " + wished + " among " + std::to_string(names.size()));
        return number;
    }
    const auto found = std::find(names.begin(), names.end(), wished);
    if (found == names.end())
        refuse(where + ": no joint is called '" + wished + "'" + near_names(wished, names));
    const auto number = static_cast<int>(found - names.begin());
    if (std::find(found + 1, names.end(), wished) != names.end())
        refuse(where + ": more than one joint is called '" + wished + "'; give its number, as '#" +
               std::to_string(number) + "'");
    return number;
}

std::optional<std::array<double, 6>> read_limits(const Json& json, const std::string& where) {
    const Json* limits = member(json, "limits");
    if (limits == nullptr) return std::nullopt;
    check_keys(*limits, limit_axes, where + " limits");
    std::array<double, 6> result;
    result.fill(std::numeric_limits<double>::quiet_NaN());
    for (std::size_t i = 0; i < 3; ++i) {
        const Json* pair = member(*limits, limit_axes[i].c_str());
        if (pair == nullptr) continue;
        const auto good = [](const Json& value) { return value.is_null() || value.is_number(); };
        if (!pair->is_array() || pair->size() != 2 || !good((*pair)[0]) || !good((*pair)[1]))
            refuse(where + ": '" + limit_axes[i] + "' is not [lowest, highest] in degrees");
        if ((*pair)[0].is_number() && (*pair)[1].is_number() &&
            (*pair)[0].get<double>() > (*pair)[1].get<double>())
            refuse(where + ": '" + limit_axes[i] + "' is " + pair->dump() +
                   " degrees; the lowest must not be above the highest");
        constexpr double infinite = std::numeric_limits<double>::infinity();
        result[2 * i] = (*pair)[0].is_null() ? -infinite : (*pair)[0].get<double>() * degree;
        result[2 * i + 1] = (*pair)[1].is_null() ? infinite : (*pair)[1].get<double>() * degree;
    }
    return result;
}

JointDescription read_joint(const Json& json, const std::string& where) {
    check_keys(json, {"role", "side", "mass", "centre", "inertia", "limits"}, where);
    JointDescription joint;
    joint.role = choice(json, "role", role_names(), where) + APLOMB_ROLE_ROOT;
    joint.side = choice(json, "side", side_names(), where) + APLOMB_SIDE_LEFT;
    if (const Json* mass = member(json, "mass")) {
        if (!mass->is_number() || !(mass->get<double>() >= 0) || !std::isfinite(mass->get<double>()))
            refuse(where + ": 'mass' is not a number of 0 or more");
        joint.mass = mass->get<double>();
    }
    joint.centre = numbers<3>(json, "centre", where);
    joint.inertia = numbers<6>(json, "inertia", where);
    joint.limits = read_limits(json, where);
    return joint;
}

SoleDescription read_sole(const Json& json, std::size_t index, const Names& names) {
    const std::string where = "sole " + std::to_string(index);
    check_keys(json, {"joint", "points"}, where);
    SoleDescription sole;
    const std::string joint = optional_text(json, "joint", where);
    if (joint.empty()) refuse(where + ": 'joint' is missing: the name of the joint that carries the sole");
    sole.joint = find_joint(joint, names, where);
    const Json* points = member(json, "points");
    if (points == nullptr || !points->is_array() || points->empty() || points->size() > 16)
        refuse(where + ": 'points' is not a list of 1 to 16 points");
    for (const Json& point : *points) {
        if (!point.is_array() || point.size() != 3 ||
            !std::all_of(point.begin(), point.end(), [](const Json& value) { return value.is_number(); }))
            refuse(where + ": a point is not [x, y, z]");
        for (const Json& value : point)
            sole.points.push_back(value.get<double>());
    }
    return sole;
}

int frame_number(const Json& json, const char* key, const std::string& where) {
    constexpr double most = 1 << 24;
    const Json* value = member(json, key);
    const double number = value != nullptr && value->is_number() ? value->get<double>() : -1;
    if (!(number >= 0 && number <= most) || number != std::floor(number))
        refuse(where + ": '" + key + "' is not a frame's number, 0 or more");
    return static_cast<int>(number);
}

StanceDescription read_stance(const Json& json, std::size_t index, const Names& names) {
    const std::string where = "stance " + std::to_string(index);
    check_keys(json, {"clip", "joint", "footing", "first", "last"}, where);
    StanceDescription stance;
    stance.clip = optional_text(json, "clip", where);
    if (stance.clip.empty())
        refuse(where + ": 'clip' is missing: the name of the clip whose frames are meant");
    const std::string joint = optional_text(json, "joint", where);
    if (joint.empty()) refuse(where + ": 'joint' is missing: the name of the joint that ends the limb");
    stance.joint = find_joint(joint, names, where);
    stance.footing = std::max(choice(json, "footing", footings, where), 0);
    stance.first = frame_number(json, "first", where);
    stance.last = frame_number(json, "last", where);
    if (stance.first > stance.last)
        refuse(where + " goes from frame " + std::to_string(stance.first) + " to " +
               std::to_string(stance.last));
    return stance;
}

StandDescription read_stand(const Json& json) {
    if (json.is_null()) return {};
    const std::string where = "'stand'";
    check_keys(json, {"clip", "seconds"}, where);
    StandDescription stand;
    stand.clip = optional_text(json, "clip", where);
    if (stand.clip.empty())
        refuse(where + ": 'clip' is missing: the name of the clip with the standing frame");
    const Json* seconds = member(json, "seconds");
    if (seconds == nullptr || !seconds->is_number() || !(seconds->get<double>() >= 0) ||
        !std::isfinite(seconds->get<double>()))
        refuse(where + ": 'seconds' is not a number of 0 or more");
    stand.seconds = seconds->get<double>();
    return stand;
}

/// Degrees that convert back to exactly these radians, where the quotient or a neighbour of it does.
Json degrees(double radians) {
    if (std::isinf(radians)) return nullptr;
    const double quotient = radians / degree;
    for (const double candidate : {quotient, std::nextafter(quotient, 1e9), std::nextafter(quotient, -1e9)})
        if (candidate * degree == radians) return candidate;
    return quotient;
}

Json limits_json(const std::array<double, 6>& limits) {
    Json json = Json::object();
    for (std::size_t i = 0; i < 3; ++i)
        if (!std::isnan(limits[2 * i]))
            json[limit_axes[i]] = Json::array({degrees(limits[2 * i]), degrees(limits[2 * i + 1])});
    return json;
}

Json joint_json(const JointDescription& joint) {
    Json json = Json::object();
    if (joint.role != APLOMB_ROLE_FROM_NAME)
        json["role"] = aplomb_role_text(static_cast<aplomb_role>(joint.role));
    if (joint.side != APLOMB_SIDE_FROM_NAME)
        json["side"] = aplomb_side_text(static_cast<aplomb_side>(joint.side));
    if (joint.mass) json["mass"] = *joint.mass;
    if (joint.centre) json["centre"] = *joint.centre;
    if (joint.inertia) json["inertia"] = *joint.inertia;
    if (joint.limits) json["limits"] = limits_json(*joint.limits);
    return json;
}

std::string axis_name(int value) {
    const auto found = std::find(axis_values.begin(), axis_values.end(), value);
    return axis_names[static_cast<std::size_t>(found - axis_values.begin())];
}

std::string joint_key(std::size_t joint, const Names& names) {
    const bool unique = std::count(names.begin(), names.end(), names[joint]) == 1;
    return unique && !names[joint].empty() && names[joint][0] != '#' ? names[joint]
                                                                     : "#" + std::to_string(joint);
}

/// Objects over several lines, lists on one.
std::string pretty(const Json& json, std::size_t depth) {
    if (!json.is_object() || json.empty()) return json.dump();
    const std::string indent(2 * (depth + 1), ' ');
    std::string text = "{\n";
    for (const auto& [key, value] : json.items()) {
        if (text.size() > 2) text += ",\n";
        text += indent + Json(key).dump() + ": " + pretty(value, depth + 1);
    }
    return text + "\n" + indent.substr(2) + "}";
}

} // namespace

Description read_description(std::string_view bytes, const Names& names) {
    const std::string where = "the description";
    const Json json = parse_with_unique_keys(bytes, where);
    check_keys(json,
               {"aplomb_figure", "metres_per_unit", "up", "forward", "stand", "total_mass", "mass_table",
                "joints", "soles", "stances"},
               where);
    const Json* version = member(json, "aplomb_figure");
    if (version == nullptr) refuse(where + " lacks the format's version; add \"aplomb_figure\": 1");
    if (*version != 1) refuse(where + ": 'aplomb_figure' must be 1, the format's version");

    Description result;
    result.metres_per_unit = positive(json, "metres_per_unit", where);
    result.total_mass = positive(json, "total_mass", where);
    result.up = axis(json, "up");
    result.forward = axis(json, "forward");
    if (const auto stand = json.find("stand"); stand != json.end()) result.stand = read_stand(*stand);
    result.mass_table = choice(json, "mass_table", mass_tables, where);
    result.joints.resize(names.size());
    if (const Json* joints = member(json, "joints")) {
        if (!joints->is_object()) refuse("'joints' is not an object");
        std::vector<char> seen(names.size(), 0);
        for (const auto& [name, value] : joints->items()) {
            const auto joint = static_cast<std::size_t>(find_joint(name, names, "'joints'"));
            if (seen[joint]) refuse("'joints': joint #" + std::to_string(joint) + " is described twice");
            seen[joint] = 1;
            result.joints[joint] = read_joint(value, "joint '" + name + "'");
        }
    }
    if (const Json* soles = member(json, "soles")) {
        if (!soles->is_array()) refuse("'soles' is not a list");
        for (std::size_t i = 0; i < soles->size(); ++i)
            result.soles.push_back(read_sole((*soles)[i], i, names));
    }
    if (const Json* stances = member(json, "stances")) {
        if (!stances->is_array()) refuse("'stances' is not a list");
        for (std::size_t i = 0; i < stances->size(); ++i)
            result.stances.push_back(read_stance((*stances)[i], i, names));
    }
    return result;
}

std::string write_description(const Description& description, const Names& names) {
    Json json = {{"aplomb_figure", 1}};
    json["metres_per_unit"] = description.metres_per_unit;
    json["up"] = axis_name(description.up);
    json["forward"] = axis_name(description.forward);
    if (description.stand)
        json["stand"] = description.stand->clip.empty() ? Json(nullptr)
                                                        : Json{{"clip", description.stand->clip},
                                                               {"seconds", description.stand->seconds}};
    json["total_mass"] = description.total_mass;
    json["mass_table"] = mass_tables[static_cast<std::size_t>(description.mass_table)];
    json["joints"] = Json::object();
    for (std::size_t i = 0; i < description.joints.size(); ++i)
        json["joints"][joint_key(i, names)] = joint_json(description.joints[i]);
    if (!description.soles.empty()) json["soles"] = Json::array();
    for (const SoleDescription& sole : description.soles) {
        Json points = Json::array();
        for (std::size_t i = 0; i < sole.points.size(); i += 3)
            points.push_back(Json::array({sole.points[i], sole.points[i + 1], sole.points[i + 2]}));
        json["soles"].push_back(
            Json{{"joint", joint_key(static_cast<std::size_t>(sole.joint), names)}, {"points", points}});
    }
    for (const StanceDescription& stance : description.stances)
        json["stances"].push_back(Json{{"clip", stance.clip},
                                       {"joint", joint_key(static_cast<std::size_t>(stance.joint), names)},
                                       {"footing", footings[static_cast<std::size_t>(stance.footing)]},
                                       {"first", stance.first},
                                       {"last", stance.last}});
    return pretty(json, 0) + "\n";
}

} // namespace aplomb::io

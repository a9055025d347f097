// SPDX-License-Identifier: MIT
#include "cli/loads.h"

#include <cmath>
#include <set>

#include "cli/failure.h"
#include "cli/numbers.h"

namespace aplomb::cli {
namespace {

constexpr Way ways[] = {{"left", 0, 1},  {"right", 0, -1},  {"up", 1, 1},
                        {"down", 1, -1}, {"forward", 2, 1}, {"behind", 2, -1}};

class Parser {
public:
    Parser(const Character& character, const std::string& text) : m_character(character), m_text(text) {}

    Load parse() {
        const std::vector<std::string> parts = split(m_text, ',');
        if (parts.size() < 2 || parts[1].empty()) refuse("a mass and a place are needed, such as 20kg,hands");
        const double mass = parse_mass(parts[0]);
        Load load = {load_at(m_character, "--load " + m_text, mass, parts[1]), parts[1], m_text, {}};
        std::set<std::string> details;
        for (size_t i = 2; i < parts.size(); ++i) {
            const std::string key = parts[i].substr(0, parts[i].find('='));
            if (!details.insert(key).second) refuse("'" + key + "' is given twice; give it once");
            parse_detail(parts[i], load);
        }
        return load;
    }

private:
    [[noreturn]] void refuse(const std::string& why) const { throw Failure{"--load " + m_text + ": " + why}; }

    double parse_mass(const std::string& word) const {
        const bool part = word.ends_with('%');
        std::string digits = word;
        if (part) digits.pop_back();
        if (digits.ends_with("kg")) digits.resize(digits.size() - 2);
        const auto value = parse_number(digits);
        if (!value || *value < 0)
            refuse("'" + word + "' is not a mass: kg, 0 or more, as 20kg, or a part of the body's, as 30%");
        return part ? *value / 100 * m_character.info().total_mass : *value;
    }

    void parse_detail(const std::string& detail, Load& whole) const {
        aplomb_load& load = whole.value;
        const size_t equals = detail.find('=');
        const std::string key = detail.substr(0, equals);
        const std::string digits = equals == std::string::npos ? "" : detail.substr(equals + 1);
        if (key == "level") {
            load.level = part_between("--load " + m_text + ": level", digits, 1);
            return;
        }
        if (key == "size") return parse_size(detail, digits, load);
        if (key == "frames") {
            if (digits.empty()) refuse("frames is written as frames=12..96");
            whole.frames = digits;
            return;
        }
        const auto value = parse_number(digits);
        if (key == "pick-up" || key == "put-down") {
            if (!value || *value < 0) refuse("'" + detail + "' is not " + key + "=SECONDS, 0 or more");
            (key == "pick-up" ? whole.pick_up : whole.put_down) = *value;
            return;
        }
        if (key == "drop") {
            if (!value || *value < 0) refuse("'" + detail + "' is not drop=METRES, 0 or more");
            whole.drop = *value;
            return;
        }
        if (!value) refuse("'" + detail + "' is not WAY=METRES with a bare number, such as forward=0.1");
        const double length = *value / m_character.info().metres_per_unit;
        if (key == "hang") {
            if (*value < 0) refuse("hang is " + short_number(*value, 3) + "; it must be 0 or more");
            load.hanging = 1;
            load.hang = length;
            return;
        }
        if (const Way* way = find_way(key)) {
            load.offset[way->axis] += way->sign * length;
            return;
        }
        refuse("'" + key +
               "' is not left, right, up, down, forward, behind, hang, size, level, frames, pick-up, "
               "put-down or drop");
    }

    void parse_size(const std::string& detail, const std::string& digits, aplomb_load& load) const {
        const std::vector<std::string> sides = split(digits, 'x');
        static constexpr int axes[] = {0, 1, 2}; // across, high, deep
        for (const int axis : axes) {
            const auto value =
                sides.size() == 3 ? parse_number(sides[static_cast<size_t>(axis)]) : std::optional<double>{};
            if (!value || *value <= 0)
                refuse("'" + detail +
                       "' is no size: metres across, high and deep, such as size=0.4x0.25x0.3");
            load.half_size[axis] = 0.5 * *value / m_character.info().metres_per_unit;
        }
    }

    const Character& m_character;
    const std::string& m_text;
};

} // namespace

const Way* find_way(const std::string& name) {
    for (const Way& way : ways) {
        if (name == way.name) return &way;
    }
    return nullptr;
}

/// A word whose place the figure lacks is told by the library, a name that it does not know by what is near.
aplomb_load load_at(const Character& character, const std::string& where, double mass,
                    const std::string& place) {
    aplomb_load load{};
    aplomb_error error{};
    if (aplomb_load_at(character.figure(), mass, place.c_str(), &load, &error) == APLOMB_OK) return load;
    const std::string why = error.message;
    for (const char* word : {"hands", "left-hand", "right-hand", "back"}) {
        if (place == word) // a sentence of the command has no stop
            throw Failure{where + ": " + why.substr(0, why.size() - 1)};
    }
    const std::string near = character.near(place, {"hands", "left-hand", "right-hand", "back"});
    throw Failure{where + ": there is no joint '" + place + "'" +
                  (near.empty() ? "; 'aplomb inspect' lists them" : near)};
}

Load parse_load(const Character& character, const std::string& text) {
    return Parser(character, text).parse();
}

std::vector<Load> parse_loads(const Character& character, const std::vector<std::string>& texts) {
    if (texts.size() > APLOMB_MAX_LOADS)
        throw Failure{"--load is given " + std::to_string(texts.size()) +
                      " times; a figure carries at most " + std::to_string(APLOMB_MAX_LOADS) + " loads"};
    std::vector<Load> loads;
    for (const std::string& text : texts)
        loads.push_back(parse_load(character, text));
    return loads;
}

void warn_of_loads_in_trunk(const Character& character, const std::vector<Load>& loads) {
    const double leg = character.info().leg_length, unit = character.info().metres_per_unit;
    const double half_trunk = 0.13 * leg; // from the spine to the back; common practice
    for (const Load& load : loads) {
        const aplomb_load& value = load.value;
        const int32_t role = character.joint(value.holder[0]).role;
        if (value.hanging || (role != APLOMB_ROLE_HIPS && role != APLOMB_ROLE_SPINE)) continue;
        if (std::hypot(value.offset[0], value.offset[1], value.offset[2]) > half_trunk) continue;
        const double half_load = value.half_size[2] > 0 ? value.half_size[2] : leg / 6;
        character.warn("--load " + load.text + ": its middle lies in the trunk; behind=" +
                       short_number((half_trunk + half_load) * unit, 2) + " stands it against the back");
    }
}

} // namespace aplomb::cli

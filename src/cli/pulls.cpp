// SPDX-License-Identifier: MIT
#include "cli/pulls.h"

#include <algorithm>

#include "cli/failure.h"
#include "cli/loads.h"
#include "cli/numbers.h"
#include "cli/place.h"

namespace aplomb::cli {
namespace {

constexpr double largest_pull = 1e6; // newton, as the library's

class Parser {
public:
    Parser(const Character& character, const Places& places, const std::string& text)
        : m_character(character), m_places(places), m_text(text) {}

    GivenPull parse() {
        const std::vector<std::string> parts = split(m_text, ',');
        if (parts.size() < 3) refuse("a force, a place and a way are needed, such as 150N,right-hand,behind");
        GivenPull pull;
        pull.newtons = parse_force(parts[0]);
        pull.place = parts[1];
        Vec3 way;
        for (size_t i = 2; i < parts.size(); ++i) {
            way += parse_way(parts[i]);
            pull.way += (i > 2 ? " and " : "") + parts[i];
        }
        if (norm(way) < 1e-9) refuse("its ways cancel out; leave one out");
        add_pulled(normalized(way), pull);
        return pull;
    }

private:
    [[noreturn]] void refuse(const std::string& why) const { throw Failure{"--pull " + m_text + ": " + why}; }

    double parse_force(const std::string& word) const {
        const std::string digits = word.ends_with('N') ? word.substr(0, word.size() - 1) : word;
        const auto value = parse_number(digits);
        if (!value || !(*value >= 0 && *value <= largest_pull))
            refuse("'" + word + "' is not a force: newtons, 0 to 1000000, as 150N");
        return *value;
    }

    Vec3 parse_way(const std::string& text) const {
        const size_t equals = text.find('=');
        const std::string name = text.substr(0, equals);
        double part = 1;
        if (equals != std::string::npos) {
            const auto value = parse_number(text.substr(equals + 1));
            if (!value || !(*value >= 0 && *value <= 1000))
                refuse("'" + text + "' is not WAY=PART with a bare number from 0 to 1000, such as up=0.2");
            part = *value;
        }
        const Way* way = find_way(name);
        if (!way) refuse("'" + name + "' is not left, right, up, down, forward or behind");
        const Vec3 axes[] = {m_places.left, m_places.up, m_places.forward};
        return axes[way->axis] * (way->sign * part);
    }

    /// Two hands take half each, at their palms; other joints are pulled at their origin.
    void add_pulled(const Vec3& way, GivenPull& pull) const {
        const aplomb_load held = load_at(m_character, "--pull " + m_text, 0, pull.place);
        const int count = held.holder[1] >= 0 ? 2 : 1;
        for (int k = 0; k < count; ++k) {
            aplomb_pull one{};
            one.joint = held.holder[k];
            for (int32_t i = 0; i < m_character.limb_count(); ++i) {
                const aplomb_limb_info limb = m_character.limb(i);
                if (limb.kind == APLOMB_ARM && limb.end == one.joint)
                    std::copy(limb.palm, limb.palm + 3, one.point);
            }
            const Vec3 force = way * (pull.newtons / count);
            one.force[0] = force.x, one.force[1] = force.y, one.force[2] = force.z;
            pull.value.push_back(one);
        }
    }

    const Character& m_character;
    const Places& m_places;
    const std::string& m_text;
};

} // namespace

std::vector<GivenPull> parse_pulls(const Character& character, const Moment& moment,
                                   const std::vector<std::string>& texts) {
    if (texts.empty()) return {};
    const Places places(character, moment.translations.data(), moment.rotations.data());
    std::vector<GivenPull> pulls;
    size_t count = 0;
    for (const std::string& text : texts) {
        pulls.push_back(Parser(character, places, text).parse());
        count += pulls.back().value.size();
    }
    if (count > APLOMB_MAX_PULLS)
        throw Failure{"--pull: " + std::to_string(count) + " joints are pulled; at most " +
                      std::to_string(APLOMB_MAX_PULLS) + " can be, and hands are two"};
    return pulls;
}

std::string pull_text(const GivenPull& pull) {
    return short_number(pull.newtons, 1) + " N at " + pull.place + ", " + pull.way;
}

} // namespace aplomb::cli

// SPDX-License-Identifier: MIT
#include "cli/reading_text.h"

#include <cmath>

#include "base/rotation.h"
#include "cli/failure.h"
#include "cli/numbers.h"
#include "cli/stance.h"
#include "cli/text.h"

namespace aplomb::cli {
namespace {

Vec3 vec(const double* v) {
    return {v[0], v[1], v[2]};
}

/// The ground's upward normal: the corners run counter-clockwise as seen from above.
Vec3 up_of(const aplomb_reading& reading) {
    Vec3 sum;
    for (int i = 2; i < reading.edge_count; ++i) {
        const Vec3 from = vec(reading.area[0]);
        sum += cross(vec(reading.area[i - 1]) - from, vec(reading.area[i]) - from);
    }
    return sum;
}

/// From the right hip joint to the left one; zero where there is no such pair.
Vec3 left_of(const Character& character, const Moment& moment) {
    const aplomb_figure* figure = character.figure();
    const int32_t left = aplomb_figure_find_role(figure, APLOMB_ROLE_THIGH, APLOMB_SIDE_LEFT);
    const int32_t right = aplomb_figure_find_role(figure, APLOMB_ROLE_THIGH, APLOMB_SIDE_RIGHT);
    if (left < 0 || right < 0) return {};
    std::vector<double> m(16 * static_cast<size_t>(aplomb_figure_joint_count(figure)));
    aplomb_error error{};
    check(aplomb_pose_to_matrices(figure, moment.translations.data(), moment.rotations.data(), m.data(),
                                  APLOMB_DOUBLE, 16 * sizeof(double), APLOMB_WORLD, &error),
          error);
    return vec(&m[16 * static_cast<size_t>(left) + 12]) - vec(&m[16 * static_cast<size_t>(right) + 12]);
}

/// "forward", "back and to the left"; empty where the figure has no left or the area no face.
std::string way_text(const Vec3& way, const Vec3& left_hint, const Vec3& up_hint) {
    if (norm(up_hint) == 0 || norm(left_hint) == 0) return "";
    const Vec3 up = normalized(up_hint);
    const Vec3 left = normalized(left_hint - up * dot(left_hint, up));
    const double to_left = dot(way, left), forward = dot(way, cross(left, up));
    const std::string along = forward > 0 ? "forward" : "back";
    const std::string aside = to_left > 0 ? "to the left" : "to the right";
    if (std::fabs(forward) > 2 * std::fabs(to_left)) return along;
    if (std::fabs(to_left) > 2 * std::fabs(forward)) return aside;
    return along + " and " + aside;
}

std::string tip_way(const Character& character, const Moment& moment, const aplomb_reading& reading) {
    return way_text(vec(reading.tip_direction), left_of(character, moment), up_of(reading));
}

/// "2.1 degrees forward, 1.4 degrees to the left from upright"; what does not show is left out.
std::string lean_text(const aplomb_reading& reading) {
    constexpr double least = 0.5 * degree;
    std::string text;
    const auto add = [&](double radians, const char* positive, const char* negative) {
        if (std::fabs(radians) < least) return;
        text += (text.empty() ? "" : ", ") + degrees(std::fabs(radians)) + " " +
                (radians > 0 ? positive : negative);
    };
    add(reading.trunk_fore, "forward", "back");
    add(reading.trunk_side, "to the right", "to the left");
    return text.empty() ? "upright" : text + " from upright";
}

std::string mass_range(double least, double most) {
    if (!(least <= most)) return "no mass";
    if (std::isinf(most)) return least > 0 ? kilograms(least) + " or more" : "any mass";
    if (least <= 0) return "up to " + kilograms(most);
    return fixed_number(least, 1) + " to " + kilograms(most);
}

std::string reads_as(const aplomb_load_reading& load) {
    if (!load.tells) return "balance does not tell here";
    const double mass = std::isnan(load.countered) ? load.natural : load.countered;
    if (std::isnan(mass)) return "reads as no mass at all";
    return mass > 0 ? "reads as " + kilograms(mass) : "reads as nothing";
}

/// True where the pose counters less than half of a load of which balance tells.
bool leaves_a_load_unanswered(const Situation& situation, const aplomb_reading& reading) {
    for (int32_t i = 0; i < reading.load_count; ++i) {
        const aplomb_load_reading& load = reading.loads[i];
        const double mass = std::isnan(load.countered) ? load.natural : load.countered;
        if (load.tells && !(mass >= 0.5 * situation.loads[static_cast<size_t>(i)].value.mass)) return true;
    }
    return false;
}

/// Where along its sole a foot's weight is; a hand has no heel.
std::string place_text(const Character& character, const aplomb_contact_reading& carried) {
    if (std::isnan(carried.place) || carried.limb < 0) return "";
    if (character.limb(carried.limb).kind == APLOMB_ARM) return "";
    return "at " + per_cent(carried.place) + " of the sole from the heel";
}

/// "of the weight (28 % to 72 %)"
std::string share_text(const aplomb_contact_reading& carried) {
    const bool range = carried.share_max > carried.share_min + 0.005;
    return std::string("of the weight") +
           (range ? " (" + per_cent(carried.share_min) + " to " + per_cent(carried.share_max) + ")" : "");
}

} // namespace

std::string figure_line(const Character& character, const Situation& situation) {
    const aplomb_figure_info info = character.info();
    std::string line =
        fixed_number(info.stature * info.metres_per_unit, 2) + " m, " + kilograms(info.total_mass);
    for (size_t i = 0; i < situation.loads.size(); ++i) {
        const Load& load = situation.loads[i];
        line += (i == 0 ? ", carrying " : " and ") + kilograms(load.value.mass) + " (" +
                printable(load.place) + ")";
    }
    for (const GivenPull& pull : situation.pulls)
        line += "; pulled: " + printable(pull_text(pull));
    return line;
}

std::string verdict(const Character& character, const Moment& moment, const Situation& situation,
                    const aplomb_reading& reading) {
    const double unit = character.info().metres_per_unit;
    if (!reading.pressing) return "does not press on the ground";
    const std::string asked = centimetres(reading.margin_asked * unit) + " asked for";
    const std::string inside = centimetres(reading.margin * unit) + " inside the support area";
    if (reading.in_balance)
        return "in balance, " + inside + " (" + asked + ")" +
               (leaves_a_load_unanswered(situation, reading) ? ", but it does not answer the load" : "");
    if (reading.margin >= 0) return "too near the edge: " + inside + ", " + asked;
    const std::string way = tip_way(character, moment, reading);
    return "out of balance, " + centimetres(-reading.margin * unit) + " outside the support area" +
           (way.empty() ? "" : ", " + way) + " (" + asked + " inside)";
}

std::string standing_text(const Character& character, const Moment& moment, const Situation& situation,
                          const aplomb_reading& reading) {
    Table contacts({false, false, true, false, false});
    for (size_t which = 0; which < situation.stance.contacts.size(); ++which) {
        const aplomb_contact& contact = situation.stance.contacts[which];
        std::vector<std::string> cells = {part_word(character, contact.limb, contact.joint),
                                          hold_text(character, situation.stance, which)};
        for (int32_t i = 0; i < reading.contact_count; ++i) {
            const aplomb_contact_reading& carried = reading.contacts[i];
            if (contact.limb < 0 && carried.joint != contact.joint) continue;
            if (carried.limb != contact.limb || contact.hold != APLOMB_BEARING) continue;
            cells.push_back(per_cent(carried.share));
            cells.push_back(share_text(carried));
            cells.push_back(place_text(character, carried));
        }
        contacts.add(cells);
    }
    Table facts({false, false});
    const std::string way = tip_way(character, moment, reading);
    const std::string where = way.empty() ? "" : way + ", ";
    if (reading.pressing && reading.tip_angle > 0)
        facts.add({"tips", where + "after " + degrees(reading.tip_angle) + " or " +
                               fixed_number(reading.tip_energy, 1) + " J"});
    if (reading.pressing && reading.tip_angle <= 0)
        facts.add({"tips", where + "past the edge by " + degrees(-reading.tip_angle)});
    facts.add({"trunk", lean_text(reading)});
    if (!std::isnan(reading.knees)) facts.add({"knees", "bent by " + degrees(reading.knees)});
    facts.add({"friction", fixed_number(reading.friction_needed, 2) + " needed"});
    return facts.text() + "\nContacts:\n" + contacts.text();
}

std::string loads_text(const Situation& situation, const aplomb_reading& reading) {
    Table table({false, true, false, false, false});
    for (int32_t i = 0; i < reading.load_count; ++i) {
        const Load& load = situation.loads[static_cast<size_t>(i)];
        const aplomb_load_reading& mass = reading.loads[i];
        table.add({printable(load.place), kilograms(load.value.mass), reads_as(mass),
                   "stands with " + mass_range(mass.stands_min, mass.stands_max),
                   "rests with " + mass_range(mass.rests_min, mass.rests_max)});
    }
    if (!std::isnan(reading.knees_mass))
        table.add(
            {"by the knees", "",
             reading.knees_mass > 0 ? "reads as " + kilograms(reading.knees_mass) : "reads as nothing"});
    return table.text();
}

std::string cues_text(const char* heading, const aplomb_reading& reading) {
    constexpr std::string_view mark = " (common practice)"; // of every cue: once for all of them
    if (reading.cue_count == 0) return "";
    std::string text = "\n" + std::string(heading) + std::string(mark) + ":\n";
    for (int32_t i = 0; i < reading.cue_count; ++i) {
        std::string cue = printable(reading.cues[i].text);
        if (cue.ends_with(mark)) cue.resize(cue.size() - mark.size());
        text += "  " + cue + "\n";
    }
    return text;
}

std::string choice_line(const Moment& moment) {
    return moment.chosen.empty() ? "" : ": " + moment.chosen;
}

} // namespace aplomb::cli

// SPDX-License-Identifier: MIT
#include "report/words.h"

#include <algorithm>
#include <cmath>
#include <string_view>

namespace aplomb::report {
namespace {

constexpr const char* none = "\xE2\x80\x93"; // an en dash
constexpr double given_turn = 0.05 * degree; // of a hold that gave way: smaller prints as 0.0
constexpr double given_way = 0.0005;         // metres
// What cannot be seen is not worth a number (common practice): half a degree, half a centimetre on a body of 1.70 m.
constexpr double least_turn = 0.5 * degree, least_of_stature = 0.003;

double least_length(const Drawing& drawing) {
    return least_of_stature * drawing.body.stature;
}

std::string per_cent(double part) {
    return fixed(100 * part, 0) + " %";
}

std::string turn_words(double radians, const char* positive, const char* negative) {
    if (std::fabs(radians) < least_turn) return none;
    return fixed(std::fabs(radians) / degree, 1) + "\xC2\xB0 " + (radians < 0 ? negative : positive);
}

std::string way_words(const Drawing& drawing, double metres, const char* positive, const char* negative) {
    if (std::fabs(metres) < least_length(drawing)) return none;
    return drawing.length(std::fabs(metres)) + ' ' + (metres < 0 ? negative : positive);
}

std::string joint_words(const Drawing& drawing, int32_t joint) {
    aplomb_joint_info info;
    aplomb_joint_info_init(&info, sizeof info);
    if (aplomb_figure_joint(drawing.picture->figure, joint, &info, nullptr) != APLOMB_OK) return "contact";
    return info.name != nullptr && info.name[0] != '\0' ? info.name : "joint " + std::to_string(joint);
}

const BodyLimb* limb_of(const Drawing& drawing, const aplomb_contact& contact) {
    const bool known = contact.limb >= 0 && static_cast<size_t>(contact.limb) < drawing.body.limbs.size();
    return known ? &drawing.body.limbs[static_cast<size_t>(contact.limb)] : nullptr;
}

/// The joint with this number; where there is none, a helper in the middle.
BodyJoint joint_at(const Drawing& drawing, int32_t joint) {
    const bool known = joint >= 0 && static_cast<size_t>(joint) < drawing.body.joints.size();
    return known ? drawing.body.joints[static_cast<size_t>(joint)] : BodyJoint{};
}

/// "right hand", "back" for the chest, else the joint's name: where a load is held or a pull takes hold.
std::string place_words(const Drawing& drawing, int32_t at) {
    const BodyJoint joint = joint_at(drawing, at);
    if (joint.role == APLOMB_ROLE_HAND && joint.side != APLOMB_SIDE_MIDDLE)
        return std::string(aplomb_side_text(joint.side)) + " hand";
    return at == drawing.body.chest ? "back" : joint_words(drawing, at);
}

/// "seat", "left knee", "right elbow", else the joint's name: a part with something under it.
std::string patch_words(const Drawing& drawing, int32_t at) {
    if (at == drawing.body.hips) return "seat";
    const BodyJoint joint = joint_at(drawing, at);
    if (joint.side == APLOMB_SIDE_MIDDLE) return joint_words(drawing, at);
    if (joint.role == APLOMB_ROLE_SHANK) return std::string(aplomb_side_text(joint.side)) + " knee";
    if (joint.role == APLOMB_ROLE_LOWER_ARM) return std::string(aplomb_side_text(joint.side)) + " elbow";
    return joint_words(drawing, at);
}

std::string contact_name(const Drawing& drawing, const aplomb_contact& contact) {
    const BodyLimb* limb = limb_of(drawing, contact);
    return limb != nullptr ? limb_words(drawing.body, *limb) : patch_words(drawing, contact.joint);
}

const aplomb_contact_reading* reading_of(const Half& half, const aplomb_contact& contact) {
    for (int i = 0; i < std::clamp(half.reading->contact_count, 0, APLOMB_MAX_CONTACTS); ++i) {
        const aplomb_contact_reading& r = half.reading->contacts[i];
        if (contact.limb >= 0 ? r.limb == contact.limb : r.limb < 0 && r.joint == contact.joint) return &r;
    }
    return nullptr;
}

/// By how much a hold gave way in the corrected pose: "16.0 cm", "11.5 degrees"; empty where it kept.
std::vector<std::string> given_ways(const Drawing& drawing, const Half& half, const aplomb_contact& contact) {
    std::vector<std::string> ways;
    const aplomb_result* result = drawing.picture->result;
    if (&half != &drawing.after || result == nullptr) return ways;
    for (int i = 0; i < result->gave_way_count; ++i) {
        const aplomb_gave_way& hold = result->gave_way[i];
        if (hold.limb != contact.limb) continue;
        if (hold.place >= given_way) ways.push_back(drawing.length(hold.place));
        if (hold.attitude >= given_turn) ways.push_back(fixed(hold.attitude / degree, 1) + "\xC2\xB0");
    }
    return ways;
}

std::string held_words(const Drawing& drawing, const Half& half, const aplomb_contact& contact) {
    std::string words = "held";
    for (const std::string& way : given_ways(drawing, half, contact))
        words += (words == "held" ? ", gave way " : " and ") + way;
    return words;
}

/// What a contact does, and where along its sole the weight is.
void add_contact_rows(const Drawing& drawing, const Half& half, const aplomb_contact& contact, Rows& rows) {
    const std::string name = contact_name(drawing, contact);
    if (contact.hold != APLOMB_BEARING) {
        rows.emplace_back(name, contact.hold == APLOMB_HELD ? held_words(drawing, half, contact) : "free");
        return;
    }
    const aplomb_contact_reading* r = reading_of(half, contact);
    std::string words = "bearing";
    if (r != nullptr && std::isfinite(r->share)) words += " " + per_cent(r->share);
    if (r != nullptr && std::isfinite(r->share_min) && r->share_max > r->share_min + 0.005)
        words += " (" + fixed(100 * r->share_min, 0) + " to " + per_cent(r->share_max) + ")";
    rows.emplace_back(name, words);
    const BodyLimb* limb = limb_of(drawing, contact);
    if (limb == nullptr || limb->sole.empty() || limb->kind == APLOMB_ARM) return; // a hand has no heel
    const bool known = r != nullptr && std::isfinite(r->place);
    rows.emplace_back(name + ", weight along the sole", known ? per_cent(r->place) + " from the heel" : none);
}

/// "to the left", "back and to the right": a component is left out where the direction is within 22.5 degrees of the other.
std::string direction_words(const Drawing& drawing, const double* way) {
    const Vec3 w = drawing.body.direction_in(way);
    const double forward = dot(w, drawing.forward), left = dot(w, drawing.left);
    const double least = 0.38 * span_of(forward, left);
    std::string words = std::fabs(forward) <= least ? "" : forward < 0 ? "back" : "forward";
    if (std::fabs(left) > least)
        words += std::string(words.empty() ? "" : " and ") + (left < 0 ? "to the right" : "to the left");
    return words;
}

std::string tip_words(const Drawing& drawing, const aplomb_reading& r) {
    if (r.pressing == 0 || !std::isfinite(r.tip_angle)) return none;
    const std::string way = direction_words(drawing, r.tip_direction);
    const std::string angle = fixed(std::fabs(r.tip_angle) / degree, 1) + "\xC2\xB0";
    if (r.tip_angle <= 0) return way + ", past the edge by " + angle;
    return way + ", after " + angle + " or " + fixed(r.tip_energy, 1) + " J";
}

int32_t pull_count(const Drawing& drawing) {
    const aplomb_situation* s = drawing.picture->situation;
    return s == nullptr || s->pulls == nullptr ? 0 : s->pull_count;
}

/// "pull of 150 N", "at the right hand", "forward and up".
struct PullWords {
    std::string pull, place, way;
};
PullWords pull_words(const Drawing& drawing, const aplomb_pull& pull) {
    const Vec3 force = drawing.body.direction_in(pull.force);
    const double newtons = norm(force);
    std::string way = direction_words(drawing, pull.force);
    if (std::fabs(force.y) > 0.92 * newtons) way.clear();
    if (std::fabs(force.y) > 0.38 * newtons)
        way += std::string(way.empty() ? "" : " and ") + (force.y < 0 ? "down" : "up");
    const std::string place = place_words(drawing, pull.joint), joint = joint_words(drawing, pull.joint);
    return {"pull of " + fixed(newtons, 0) + " N", (place == joint ? "at " : "at the ") + place,
            newtons > 0 ? way : none};
}

} // namespace

std::string limb_words(const Body& body, const BodyLimb& limb) {
    const bool many = std::any_of(body.limbs.begin(), body.limbs.end(),
                                  [](const BodyLimb& l) { return l.kind == APLOMB_FORE_LEG; });
    const char* end = limb.kind == APLOMB_ARM        ? " hand"
                      : limb.kind == APLOMB_FORE_LEG ? " fore foot"
                      : many                         ? " hind foot"
                                                     : " foot";
    return aplomb_side_text(limb.side) + std::string(end);
}

bool out_of_balance(const Half& half) {
    const aplomb_reading& r = *half.reading;
    return r.pressing == 0 || (r.in_balance == 0 && r.margin < 0);
}

std::string verdict(const Half& half) {
    if (half.reading->pressing == 0) return "NOT PRESSING ON THE GROUND";
    if (half.reading->in_balance != 0) return "in balance";
    return out_of_balance(half) ? "OUT OF BALANCE" : "too near the edge";
}

std::string headline(const Drawing& drawing, const Half& half) {
    const std::string words = verdict(half);
    if (half.reading->pressing == 0 || half.reading->in_balance == 0) return words;
    for (int i = 0; i < load_count(drawing); ++i) {
        const aplomb_load_reading& r = half.reading->loads[i];
        if (r.tells != 0 && !(reads_as(r) >= 0.5 * drawing.picture->situation->loads[i].mass))
            return words + ", but it does not answer the load";
    }
    return words;
}

std::string contact_words(const Drawing& drawing, const Half& half, size_t contact) {
    const aplomb_contact& c = drawing.contacts[contact];
    if (c.hold == APLOMB_HELD) { // short, since it stands under a foot
        const std::vector<std::string> ways = given_ways(drawing, half, c);
        return ways.empty() ? "held" : "gave way " + ways.front();
    }
    if (c.hold != APLOMB_BEARING) return "free";
    const aplomb_contact_reading* r = reading_of(half, c);
    return r != nullptr && std::isfinite(r->share) ? per_cent(r->share) + " bearing" : "bearing";
}

std::string offset_words(const Drawing& drawing, const Vec3& offset) {
    const double forward = dot(offset, drawing.forward), left = dot(offset, drawing.left);
    std::string words;
    const auto add = [&](double metres, const char* positive, const char* negative) {
        if (std::fabs(metres) < least_length(drawing)) return;
        words += (words.empty() ? "" : ", ") + way_words(drawing, metres, positive, negative);
    };
    add(forward, "forward", "back"), add(left, "left", "right");
    return words.empty() ? "at home" : words;
}

std::string lean_words(const aplomb_reading& r) {
    std::string words;
    const auto add = [&words](double radians, const char* positive, const char* negative) {
        if (std::fabs(radians) >= least_turn)
            words += (words.empty() ? "" : ", ") + turn_words(radians, positive, negative);
    };
    add(r.trunk_fore, "forward", "back"), add(r.trunk_side, "right", "left");
    return words.empty() ? "upright" : words;
}

std::string holder_words(const Drawing& drawing, const aplomb_load& load) {
    std::string words;
    int hands = 0;
    for (const int32_t holder : load.holder) {
        if (holder < 0 || static_cast<size_t>(holder) >= drawing.body.joints.size()) continue;
        const BodyJoint& joint = drawing.body.joints[static_cast<size_t>(holder)];
        hands += joint.role == APLOMB_ROLE_HAND && joint.side != APLOMB_SIDE_MIDDLE;
        words += (words.empty() ? "" : " and ") + place_words(drawing, holder);
    }
    return hands == 2 ? "both hands" : words;
}

int load_count(const Drawing& drawing) {
    const aplomb_situation* s = drawing.picture->situation;
    if (s == nullptr || s->loads == nullptr) return 0;
    int count = std::min({s->load_count, drawing.before.reading->load_count, APLOMB_MAX_LOADS});
    if (drawing.has_after) count = std::min(count, drawing.after.reading->load_count);
    return std::max(count, 0);
}

double reads_as(const aplomb_load_reading& load) {
    return std::isnan(load.countered) ? load.natural : load.countered;
}

std::string reads_as_words(const aplomb_load_reading& load) {
    const double mass = reads_as(load);
    if (load.tells == 0) return "balance does not tell here";
    if (!std::isfinite(mass)) return "no mass at all";
    return mass > 0 ? fixed(mass, 1) + " kg" : "nothing";
}

/// "bent by 12.7 degrees", "straight"
std::string knees_words(const aplomb_reading& r) {
    if (std::isnan(r.knees)) return none;
    return r.knees < least_turn ? "straight" : "bent by " + fixed(r.knees / degree, 1) + "\xC2\xB0";
}

/// "14.1 kg", "nothing", "they do not tell here"
std::string knees_mass_words(const aplomb_reading& r) {
    if (std::isnan(r.knees_mass)) return "they do not tell here";
    return r.knees_mass > 0 ? fixed(r.knees_mass, 1) + " kg" : "nothing";
}

std::string range_words(double least, double most) {
    if (!(least <= most)) return "no mass";
    if (std::isinf(most)) return least > 0 ? fixed(least, 1) + " kg and more" : "any mass";
    if (least <= 0) return "up to " + fixed(most, 1) + " kg";
    return fixed(least, 1) + " to " + fixed(most, 1) + " kg";
}

Rows number_rows(const Drawing& drawing, const Half& half) {
    const aplomb_reading& r = *half.reading;
    const double unit = drawing.body.metres_per_unit;
    Rows rows;
    if (r.pressing != 0) {
        const Vec3 offset = drawing.body.length_in(r.balance_point) - drawing.body.length_in(r.home);
        rows.emplace_back("balance point from home", offset_words(drawing, offset));
        rows.emplace_back("margin", drawing.signed_length(r.margin * unit) + " (asked for " +
                                        drawing.length(r.margin_asked * unit) + ")");
    }
    rows.emplace_back("lean of the trunk", lean_words(r));
    rows.emplace_back("body / with loads", fixed(r.body_mass, 1) + " kg / " + fixed(r.total_mass, 1) + " kg");
    for (int i = 0; i < std::min(load_count(drawing), 3); ++i)
        rows.emplace_back("load of " + fixed(drawing.picture->situation->loads[i].mass, 1) + " kg reads as",
                          reads_as_words(r.loads[i]));
    for (int32_t i = 0; i < std::min(pull_count(drawing), 3); ++i) {
        const PullWords words = pull_words(drawing, drawing.picture->situation->pulls[i]);
        rows.emplace_back(words.pull, words.place + ", " + words.way);
    }
    // Hands, knees and seats; feet are labelled in the picture.
    for (size_t i = 0; i < drawing.contacts.size(); ++i) {
        const aplomb_contact& c = drawing.contacts[i];
        const BodyLimb* limb = limb_of(drawing, c);
        if (c.hold != APLOMB_FREE && (limb == nullptr || limb->kind == APLOMB_ARM))
            rows.emplace_back(contact_name(drawing, c), contact_words(drawing, half, i));
    }
    return rows;
}

Rows reading_rows(const Drawing& drawing, const Half& half) {
    const aplomb_reading& r = *half.reading;
    const double unit = drawing.body.metres_per_unit;
    const bool pressing = r.pressing != 0;
    const Vec3 offset = drawing.body.length_in(r.balance_point) - drawing.body.length_in(r.home);
    Rows rows;
    rows.emplace_back("the pose is", headline(drawing, half));
    rows.emplace_back("balance point from home", pressing ? offset_words(drawing, offset) : none);
    rows.emplace_back("margin", pressing ? drawing.signed_length(r.margin * unit) : none);
    rows.emplace_back("margin asked for", pressing ? drawing.length(r.margin_asked * unit) : none);
    rows.emplace_back("tips over", tip_words(drawing, r));
    rows.emplace_back("lean of the trunk", lean_words(r));
    rows.emplace_back("knees that bear", knees_words(r));
    if (load_count(drawing) > 0) rows.emplace_back("by the knees it carries", knees_mass_words(r));
    rows.emplace_back("friction needed",
                      std::isfinite(r.friction_needed) ? fixed(r.friction_needed, 2) : none);
    for (const aplomb_contact& c : drawing.contacts)
        add_contact_rows(drawing, half, c, rows);
    for (int i = 0; i < load_count(drawing); ++i)
        rows.emplace_back("load of " + fixed(drawing.picture->situation->loads[i].mass, 1) + " kg, " +
                              holder_words(drawing, drawing.picture->situation->loads[i]) + ", reads as",
                          reads_as_words(r.loads[i]));
    for (int32_t i = 0; i < pull_count(drawing); ++i) {
        const PullWords words = pull_words(drawing, drawing.picture->situation->pulls[i]);
        rows.emplace_back(words.pull + ' ' + words.place, words.way);
    }
    rows.emplace_back("mass of the body", fixed(r.body_mass, 1) + " kg");
    rows.emplace_back("with loads", fixed(r.total_mass, 1) + " kg");
    return rows;
}

std::string load_words(const Drawing& drawing, const aplomb_load& load) {
    return fixed(load.mass, 1) + " kg, " + holder_words(drawing, load) +
           (load.hanging != 0 ? ", hanging" : "");
}

std::string load_sentence(const Half& half, int load, const char* when) {
    const aplomb_load_reading& r = half.reading->loads[load];
    std::string out = std::string(when) + ": stands with " + range_words(r.stands_min, r.stands_max) +
                      "; rests with " + range_words(r.rests_min, r.rests_max);
    return out + (r.tells != 0 ? "; reads as " : "; ") + reads_as_words(r) + ".";
}

std::vector<std::string> shift_words(const Drawing& drawing, const double* metres) {
    return {way_words(drawing, metres[0], "left", "right"), way_words(drawing, metres[1], "up", "down"),
            way_words(drawing, metres[2], "forward", "back")};
}

std::vector<std::string> turn_words(const double* turn) {
    return {turn_words(turn[0], "forward", "back"), turn_words(turn[2], "right", "left"),
            turn_words(turn[1], "left", "right")};
}

std::vector<std::vector<std::string>> control_rows(const Drawing& drawing) {
    const aplomb_controls& c = drawing.picture->result->controls;
    double shift[3];
    for (int k = 0; k < 3; ++k)
        shift[k] = c.hips_shift[k] * drawing.body.metres_per_unit;
    std::vector<std::vector<std::string>> rows = {shift_words(drawing, shift), turn_words(c.hips_turn),
                                                  turn_words(c.chest), turn_words(c.neck)};
    const char* const names[] = {"hips, shift", "pelvis, turn", "chest against hips", "head against chest"};
    for (size_t i = 0; i < rows.size(); ++i)
        rows[i].insert(rows[i].begin(), names[i]);
    return rows;
}

std::string text_words(const Drawing& drawing) {
    constexpr std::string_view held = "Held back by: ";
    std::string_view rest = drawing.picture->text == nullptr ? "" : drawing.picture->text;
    std::string words;
    for (bool again = false; !rest.empty();) {
        const std::string_view line = rest.substr(0, rest.find('\n'));
        rest.remove_prefix(std::min(line.size() + 1, rest.size()));
        const bool holds = line.starts_with(held);
        if (again && holds)
            (words += "; ") += line.substr(held.size());
        else
            (words += words.empty() ? "" : "\n") += line;
        again = holds;
    }
    if (const aplomb_foot_suggestion* foot = drawing.picture->foot; foot != nullptr && foot->found != 0) {
        const auto end = std::find(foot->text, foot->text + sizeof foot->text, '\0');
        (words += words.empty() ? "" : "\n") += "Suggested, not done: " + std::string(foot->text, end) + ".";
    }
    return words;
}

std::vector<std::string> cue_words(const Drawing& drawing) {
    constexpr std::string_view mark = " (common practice)";
    std::vector<std::string> cues;
    for (const Half* half : {&drawing.before, &drawing.after}) {
        if (half->reading == nullptr) continue;
        for (int i = 0; i < std::clamp(half->reading->cue_count, 0, APLOMB_MAX_CUES); ++i) {
            // The text is in an array that may have no terminating 0.
            const char* text = half->reading->cues[i].text;
            std::string cue(text, std::find(text, text + sizeof half->reading->cues[i].text, '\0'));
            if (cue.ends_with(mark)) cue.resize(cue.size() - mark.size());
            cues.push_back(drawing.has_after ? half->heading + ": " + cue : cue);
        }
    }
    return cues;
}

} // namespace aplomb::report

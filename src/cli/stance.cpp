// SPDX-License-Identifier: MIT
#include "cli/stance.h"

#include <algorithm>

#include "cli/failure.h"
#include "cli/numbers.h"

namespace aplomb::cli {
namespace {

struct Pair {
    std::string limb, value;
};

Pair parse_pair(const std::string& option, const std::string& text, const char* example) {
    const size_t equals = text.find('=');
    if (equals == std::string::npos || equals == 0)
        throw Failure{option + " " + text + ": it is written as " + example};
    return {text.substr(0, equals), text.substr(equals + 1)};
}

/// -1 where no limb has this word.
int32_t limb_named(const Character& character, const std::string& name) {
    for (int32_t limb = 0; limb < character.limb_count(); ++limb) {
        if (name == limb_word(character, limb) || name == character.joint_name(character.limb(limb).end))
            return limb;
    }
    return -1;
}

/// The limbs that one option names, each once: of two words for a limb the later would win unseen.
class NamedLimbs {
public:
    NamedLimbs(const Character& character, std::string option)
        : m_character(character), m_option(std::move(option)) {}

    int32_t find(const std::string& name) {
        const int32_t limb = find_limb(m_character, m_option, name);
        if (std::find(m_found.begin(), m_found.end(), limb) != m_found.end())
            throw Failure{m_option + ": " + name + " is given twice; give it once"};
        m_found.push_back(limb);
        return limb;
    }

private:
    const Character& m_character;
    std::string m_option;
    std::vector<int32_t> m_found;
};

void set_word(const Character& character, aplomb_contact& contact, const std::string& option,
              const std::string& word) {
    struct Meaning {
        const char* word;
        aplomb_hold hold;
        aplomb_footing footing;
    };
    static constexpr Meaning meanings[] = {{"free", APLOMB_FREE, APLOMB_FLAT},
                                           {"held", APLOMB_HELD, APLOMB_FLAT},
                                           {"flat", APLOMB_BEARING, APLOMB_FLAT},
                                           {"ball", APLOMB_BEARING, APLOMB_ON_BALL},
                                           {"heel", APLOMB_BEARING, APLOMB_ON_HEEL}};
    if (word == "bearing") { // on the part that the pose shows
        contact.hold = APLOMB_BEARING;
        return;
    }
    for (const Meaning& meaning : meanings) {
        if (word != meaning.word) continue;
        if (meaning.hold == APLOMB_BEARING && character.limb(contact.limb).sole_length == 0)
            throw Failure{option + ": '" + word + "' is for feet; use bearing"};
        contact.hold = meaning.hold;
        contact.footing = meaning.footing;
        return;
    }
    throw Failure{option + ": '" + word + "' is not bearing, held, free, flat, ball or heel"};
}

/// "seat=bearing", "left-knee=0.06": a patch of a part that is no limb's end.
void add_patch(const Character& character, const Moment& moment, const std::string& option, const Pair& pair,
               ChosenStance& stance) {
    const int32_t joint = find_part(character, pair.limb);
    if (joint < 0) // says what there is
        find_limb(
            character, "--stance", pair.limb,
            "; besides, seat, left-knee, right-knee, left-elbow, right-elbow and joints by their names");
    const auto below = parse_number(pair.value);
    if (pair.value != "bearing" && !(below && *below >= 0))
        throw Failure{option + ": " + pair.limb +
                      " takes bearing, or how many metres below its joint it touches, such as 0.06"};
    for (const aplomb_contact& contact : stance.contacts) {
        if (contact.limb < 0 && contact.joint == joint)
            throw Failure{"--stance: " + pair.limb + " is given twice; give it once"};
    }
    if (stance.contacts.size() == APLOMB_MAX_CONTACTS)
        throw Failure{option + ": a figure has at most " + std::to_string(APLOMB_MAX_CONTACTS) +
                      " contacts; leave one out"};
    aplomb_contact contact = aplomb_contact_make(-1, APLOMB_BEARING);
    contact.joint = joint;
    contact.point_count = 4;
    stance.contacts.push_back(contact);
    stance.patches.push_back(find_patch(character, moment, joint, below));
}

aplomb_contact& contact_of(std::vector<aplomb_contact>& contacts, int32_t limb) {
    for (aplomb_contact& contact : contacts) {
        if (contact.limb == limb) return contact;
    }
    return contacts.emplace_back(aplomb_contact_make(limb, APLOMB_FREE));
}

void set_shares(const Character& character, const std::vector<std::string>& texts,
                std::vector<aplomb_contact>& contacts) {
    NamedLimbs limbs(character, "--share");
    double sum = 0;
    for (const std::string& text : texts) {
        const Pair pair = parse_pair("--share", text, "LIMB=PART, such as left-foot=70%");
        aplomb_contact& contact = contact_of(contacts, limbs.find(pair.limb));
        if (contact.hold != APLOMB_BEARING)
            throw Failure{"--share " + text + ": " + pair.limb + " does not bear; add --stance " + pair.limb +
                          "=bearing"};
        contact.share = part_between("--share " + text, pair.value, 1);
        sum += contact.share;
    }
    if (sum > 1 + 1e-9)
        throw Failure{"--share: the parts sum to " + short_number(100 * sum, 1) + " %; give at most 100 %"};
}

std::vector<aplomb_contact> contacts_shown(const Character& character, const Moment& moment) {
    std::vector<aplomb_contact> contacts(APLOMB_MAX_CONTACTS);
    aplomb_error error{};
    const int32_t count = aplomb_stance_default(character.figure(), moment.translations.data(),
                                                moment.rotations.data(), contacts.data(), &error);
    if (count < 0) check(static_cast<aplomb_status>(count), error);
    contacts.resize(static_cast<size_t>(count));
    return contacts;
}

void check_bearing(const Character& character, const std::vector<aplomb_contact>& contacts,
                   bool stance_given) {
    for (const aplomb_contact& contact : contacts)
        if (contact.hold == APLOMB_BEARING) return;
    if (character.limb_count() > 0)
        throw Failure{(stance_given ? "--stance" : character.path()) +
                      ": nothing bears weight; let a limb bear, as in --stance " + limb_word(character, 0) +
                      "=bearing"};
    throw Failure{character.path() +
                  ": nothing bears weight: neither legs nor arms were found. Give the joints' " +
                  "roles in a figure description, which 'aplomb inspect --write' begins"};
}

} // namespace

int32_t find_limb(const Character& character, const std::string& option, const std::string& name,
                  const char* others) {
    if (const int32_t limb = limb_named(character, name); limb >= 0) return limb;
    std::string all;
    for (int32_t limb = 0; limb < character.limb_count(); ++limb)
        all += (all.empty() ? "; it has " : ", ") + limb_word(character, limb);
    throw Failure{option + ": the figure has no limb '" + printable(name) + "'" + all + others};
}

std::string limb_word(const Character& character, int32_t limb) {
    const aplomb_limb_info info = character.limb(limb);
    if (info.side != APLOMB_SIDE_LEFT && info.side != APLOMB_SIDE_RIGHT)
        return character.joint_name(info.end);
    const std::string side = aplomb_side_text(static_cast<aplomb_side>(info.side));
    if (info.kind == APLOMB_FORE_LEG) return "fore-" + side;
    return side + (info.kind == APLOMB_ARM ? "-hand" : "-foot");
}

std::string hold_text(const Character& character, const ChosenStance& stance, size_t which) {
    const aplomb_contact& contact = stance.contacts[which];
    for (const Patch& patch : stance.patches) {
        if (contact.limb < 0 && contact.points == patch.points.data())
            return std::string("bearing, ") + patch.found;
    }
    if (contact.hold == APLOMB_FREE) return "free";
    if (contact.hold == APLOMB_HELD) return "held";
    if (character.limb(contact.limb).sole_length == 0) return "bearing";
    if (contact.footing == APLOMB_ON_BALL) return "bearing, on the ball";
    return contact.footing == APLOMB_ON_HEEL ? "bearing, on the heel" : "bearing, flat";
}

ChosenStance choose_stance(const Character& character, const Moment& moment,
                           const MomentArguments& arguments) {
    ChosenStance stance;
    std::vector<aplomb_contact>& contacts = stance.contacts;
    contacts = moment.contacts.empty() ? contacts_shown(character, moment) : moment.contacts;
    NamedLimbs limbs(character, "--stance");
    for (const std::string& text : split_all(arguments.stance)) {
        const Pair pair = parse_pair("--stance", text, "PART=WORD, such as left-foot=held or seat=bearing");
        if (limb_named(character, pair.limb) < 0) {
            add_patch(character, moment, "--stance " + text, pair, stance);
            continue;
        }
        aplomb_contact& contact = contact_of(contacts, limbs.find(pair.limb));
        set_word(character, contact, "--stance " + text, pair.value);
    }
    for (const std::string& name : split_all(arguments.holds)) {
        if (name.find('=') != std::string::npos)
            throw Failure{"--hold " + name + ": it takes the limb alone; leave out the = and what follows"};
        contact_of(contacts, limbs.find(name)).hold = APLOMB_HELD;
    }
    set_shares(character, split_all(arguments.shares), contacts);
    check_bearing(character, contacts, !arguments.stance.empty() || !arguments.holds.empty());
    size_t patch = 0;
    for (aplomb_contact& contact : contacts) {
        if (contact.limb < 0) contact.points = stance.patches[patch++].points.data();
    }
    return stance;
}

} // namespace aplomb::cli

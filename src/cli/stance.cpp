// SPDX-License-Identifier: MIT
#include "cli/stance.h"

#include "cli/failure.h"
#include "cli/numbers.h"
#include "io/near_names.h"

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

int32_t find_limb(const Character& character, const std::string& option, const std::string& name) {
    std::vector<std::string> known;
    for (int32_t limb = 0; limb < character.limb_count(); ++limb) {
        known.push_back(limb_word(character, limb));
        if (name == known.back() || name == character.joint_name(character.limb(limb).end)) return limb;
    }
    const std::string near = io::near_names(name, known);
    std::string all;
    for (const std::string& word : known)
        all += (all.empty() ? "; it has " : ", ") + word;
    throw Failure{option + ": the figure has no limb '" + name + "'" + (near.empty() ? all : near)};
}

void set_word(aplomb_contact& contact, const std::string& option, const std::string& word) {
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
        contact.hold = meaning.hold;
        contact.footing = meaning.footing;
        return;
    }
    throw Failure{option + ": '" + word + "' is not bearing, held, free, flat, ball or heel"};
}

aplomb_contact& contact_of(std::vector<aplomb_contact>& contacts, int32_t limb) {
    for (aplomb_contact& contact : contacts) {
        if (contact.limb == limb) return contact;
    }
    return contacts.emplace_back(aplomb_contact_make(limb, APLOMB_FREE));
}

void set_share(const Character& character, const std::string& text, std::vector<aplomb_contact>& contacts) {
    const Pair pair = parse_pair("--share", text, "LIMB=PART, such as left-foot=70%");
    const auto part = parse_part(pair.value);
    if (!part || *part < 0 || *part > 1)
        throw Failure{"--share " + text + ": '" + pair.value + "' is not a part, 0 to 1 or 0% to 100%"};
    aplomb_contact& contact = contact_of(contacts, find_limb(character, "--share", pair.limb));
    if (contact.hold != APLOMB_BEARING)
        throw Failure{"--share " + text + ": " + pair.limb + " does not bear; add --stance " + pair.limb +
                      "=bearing"};
    contact.share = *part;
}

void check_bearing(const Character& character, const std::vector<aplomb_contact>& contacts) {
    for (const aplomb_contact& contact : contacts)
        if (contact.hold == APLOMB_BEARING) return;
    if (character.limb_count() > 0)
        throw Failure{"--stance: nothing bears weight; let a limb bear, as in --stance " +
                      limb_word(character, 0) + "=bearing"};
    throw Failure{character.path() +
                  ": nothing bears weight: neither legs nor arms were found. Give the joints' " +
                  "roles in a figure description, which 'aplomb inspect --write' begins"};
}

} // namespace

std::string limb_word(const Character& character, int32_t limb) {
    const aplomb_limb_info info = character.limb(limb);
    if (info.side != APLOMB_SIDE_LEFT && info.side != APLOMB_SIDE_RIGHT)
        return character.joint_name(info.end);
    const std::string side = aplomb_side_text(static_cast<aplomb_side>(info.side));
    if (info.kind == APLOMB_FORE_LEG) return "fore-" + side;
    return side + (info.kind == APLOMB_ARM ? "-hand" : "-foot");
}

std::string hold_text(const Character& character, const aplomb_contact& contact) {
    if (contact.hold == APLOMB_FREE) return "free";
    if (contact.hold == APLOMB_HELD) return "held";
    if (contact.limb < 0 || character.limb(contact.limb).sole_length == 0) return "bearing";
    if (contact.footing == APLOMB_ON_BALL) return "bearing, on the ball";
    return contact.footing == APLOMB_ON_HEEL ? "bearing, on the heel" : "bearing, flat";
}

std::vector<aplomb_contact> choose_stance(const Character& character, const Moment& moment,
                                          const MomentArguments& arguments) {
    std::vector<aplomb_contact> contacts(APLOMB_MAX_CONTACTS);
    aplomb_error error{};
    const int32_t count = aplomb_stance_default(character.figure(), moment.translations.data(),
                                                moment.rotations.data(), contacts.data(), &error);
    if (count < 0) check(static_cast<aplomb_status>(count), error);
    contacts.resize(static_cast<size_t>(count));
    for (const std::string& list : arguments.stance) {
        for (const std::string& text : split(list, ',')) {
            const Pair pair = parse_pair("--stance", text, "LIMB=WORD, such as left-foot=held");
            set_word(contact_of(contacts, find_limb(character, "--stance", pair.limb)), "--stance " + text,
                     pair.value);
        }
    }
    for (const std::string& name : arguments.holds)
        contact_of(contacts, find_limb(character, "--hold", name)).hold = APLOMB_HELD;
    for (const std::string& text : arguments.shares)
        set_share(character, text, contacts);
    check_bearing(character, contacts);
    return contacts;
}

} // namespace aplomb::cli

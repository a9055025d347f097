// SPDX-License-Identifier: MIT
#include "cli/chains.h"

#include <algorithm>
#include <cmath>

#include "base/rotation.h"
#include "cli/failure.h"
#include "cli/loads.h"
#include "cli/numbers.h"
#include "io/near_names.h"

namespace aplomb::cli {
namespace {

constexpr double keyed_range = 2 * degree; // of a joint: less is no motion of its own

std::vector<std::string> kind_words() {
    std::vector<std::string> words;
    for (int32_t kind = 0;; ++kind) {
        const std::string word = aplomb_chain_text(static_cast<aplomb_chain_kind>(kind));
        if (word == "unknown") return words;
        words.push_back(word);
    }
}
/// The kind of this name, or -1.
int32_t kind_of(const std::string& word) {
    const auto words = kind_words();
    const auto found = std::find(words.begin(), words.end(), word);
    return found == words.end() ? -1 : static_cast<int32_t>(found - words.begin());
}

std::vector<aplomb_chain> found_chains(const Character& character) {
    std::vector<aplomb_chain> chains(
        static_cast<std::size_t>(aplomb_figure_chains(character.figure(), nullptr, 0)));
    aplomb_figure_chains(character.figure(), chains.data(), static_cast<int32_t>(chains.size()));
    return chains;
}

/// One --chain.
class Wish {
public:
    Wish(const Character& character, const std::string& text) : character_(character), text_(text) {}

    std::vector<aplomb_chain> chains() {
        const std::vector<std::string> parts = split(text_, ',');
        std::vector<aplomb_chain> made = named(parts[0]);
        // The kind first: the others' numbers stand on top of its own.
        for (const bool kinds : {true, false})
            for (std::size_t i = 1; i < parts.size(); ++i)
                if (parts[i].starts_with("kind=") == kinds)
                    for (aplomb_chain& chain : made)
                        set(chain, parts[i]);
        return made;
    }

private:
    [[noreturn]] void refuse(const std::string& what) const {
        throw Failure{"--chain " + text_ + ": " + what};
    }

    int32_t joint(const std::string& name) const {
        const int32_t found = aplomb_figure_find_joint(character_.figure(), name.c_str());
        if (found < 0) refuse("no joint is called '" + name + "'" + character_.near(name, {}));
        return found;
    }
    std::vector<aplomb_chain> named(const std::string& which) const {
        const std::size_t dots = which.find("..");
        if (dots != std::string::npos) {
            const int32_t first = joint(which.substr(0, dots)), last = joint(which.substr(dots + 2));
            return {aplomb_chain_make(APLOMB_CHAIN_TAIL, first, last)};
        }
        const int32_t kind = kind_of(which);
        if (kind < 0) {
            const std::string near = io::near_names(which, kind_words());
            refuse("'" + which + "' is no kind of chain" +
                   (near.empty() ? ", and JOINT..JOINT needs its two dots" : near));
        }
        std::vector<aplomb_chain> made;
        for (const aplomb_chain& chain : found_chains(character_))
            if (chain.kind == kind) made.push_back(chain);
        if (made.empty()) refuse("no " + which + " is found on this figure; name its joints, as first..last");
        return made;
    }
    double value_of(const std::string& part, double lowest, double highest) const {
        const size_t equals = part.find('=');
        const auto value = parse_part(part.substr(equals + 1));
        if (!value) refuse("'" + part + "' has no number");
        if (!(*value >= lowest && *value <= highest))
            refuse(part.substr(0, equals) + " is " + short_number(*value, 6) + "; " +
                   short_number(lowest, 2) + " to " + short_number(highest, 2) + " are allowed");
        return *value;
    }
    void set(aplomb_chain& chain, const std::string& part) const {
        const std::string name = part.substr(0, part.find('='));
        if (name == "kind") {
            const int32_t kind = kind_of(part.substr(part.find('=') + 1));
            if (kind < 0) refuse("'" + part + "' is no kind of chain");
            chain = aplomb_chain_make(static_cast<aplomb_chain_kind>(kind), chain.first, chain.last);
        } else if (part == "rigid") {
            chain.rigid = 1;
        } else if (name == "stiffness") {
            chain.stiffness = value_of(part, 0.01, 10000);
        } else if (name == "damping") {
            chain.damping = value_of(part, 0.01, 1);
        } else if (name == "limit") {
            chain.limit = value_of(part, 0, 171) * degree;
        } else if (name == "own") {
            chain.own_motion = value_of(part, 0, 1);
        } else {
            refuse("'" + part + "' is not known; use kind, stiffness, damping, limit, own or rigid");
        }
    }

    const Character& character_;
    const std::string& text_;
};

/// Whether a joint is keyed over some range.
bool is_keyed(const Frames& frames, int32_t joint) {
    const auto rotation = [&](std::size_t frame) {
        const double* q = &frames.rotations[4 * (frame * frames.joints + static_cast<std::size_t>(joint))];
        return normalized(Quat{q[0], q[1], q[2], q[3]});
    };
    for (std::size_t k = 1; k < frames.times.size(); ++k)
        if (norm(log_rotation(conjugate(rotation(0)) * rotation(k))) > keyed_range) return true;
    return false;
}

ChainChoice choice_of(const Character& character, const Frames& keyed, aplomb_chain chain,
                      const std::string& wish) {
    ChainChoice choice{chain, {}, wish};
    for (int32_t j = chain.last;; j = character.joint(j).parent) {
        if (j < 0) break; // the library says what is wrong with it
        choice.joints.insert(choice.joints.begin(), j);
        if (j == chain.first) break;
    }
    const bool moves = std::any_of(choice.joints.begin(), choice.joints.end(),
                                   [&](int32_t joint) { return is_keyed(keyed, joint); });
    const std::vector<std::string> parts = split(wish, ',');
    const bool own_is_told = std::any_of(parts.begin(), parts.end(),
                                         [](const std::string& part) { return part.starts_with("own="); });
    if (!own_is_told) choice.chain.own_motion = moves ? 0 : 1;
    return choice;
}

} // namespace

std::vector<ChainChoice> choose_chains(const Character& character, const Frames& keyed,
                                       const std::vector<std::string>& wishes,
                                       const std::vector<std::string>& loads) {
    std::vector<ChainChoice> choices;
    std::vector<int32_t> holders;
    for (const Load& load : parse_loads(character, loads))
        holders.insert(holders.end(), load.value.holder, load.value.holder + 2);
    const auto carries = [&](const ChainChoice& choice) {
        return std::any_of(choice.joints.begin(), choice.joints.end(), [&](int32_t joint) {
            return std::find(holders.begin(), holders.end(), joint) != holders.end();
        });
    };
    for (const std::string& wish : wishes)
        for (const aplomb_chain& chain : Wish(character, wish).chains())
            choices.push_back(choice_of(character, keyed, chain, wish));
    if (wishes.empty())
        for (const aplomb_chain& chain : found_chains(character)) {
            const ChainChoice choice = choice_of(character, keyed, chain, "");
            if (!carries(choice)) choices.push_back(choice);
        }
    if (choices.empty()) throw Failure{"no chain is found on this figure; name one, as --chain first..last"};
    if (choices.size() > APLOMB_MAX_CHAINS)
        throw Failure{"this figure has " + std::to_string(choices.size()) + " chains; name at most " +
                      std::to_string(APLOMB_MAX_CHAINS) + " with --chain"};
    return choices;
}

} // namespace aplomb::cli

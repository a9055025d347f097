// SPDX-License-Identifier: MIT
#include "follow/chains.h"

#include <cstddef>

namespace aplomb {
namespace {

constexpr int32_t kind_count = 8;

struct Defaults {
    const char* text;
    double stiffness, damping, limit, own_motion;
};

// Common practice: tail, arm and neck were judged by eye, the others guessed. Animators key the overlap of arms and necks.
constexpr Defaults defaults[kind_count] = {
    {"tail", 4, 0.35, 1, 1},    {"arm", 4, 0.4, 1, 0},  {"neck", 8, 0.45, 1, 0}, {"strap", 1.5, 0.2, 1, 1},
    {"antenna", 25, 0.1, 1, 1}, {"ear", 12, 0.3, 1, 1}, {"hair", 2, 0.25, 1, 1}, {"belly", 12, 0.3, 0.2, 1},
};

struct Named {
    const char* word;
    aplomb_chain_kind kind;
};

constexpr Named vocabulary[] = {
    {"ear", APLOMB_CHAIN_EAR},         {"ears", APLOMB_CHAIN_EAR},         {"hair", APLOMB_CHAIN_HAIR},
    {"bang", APLOMB_CHAIN_HAIR},       {"bangs", APLOMB_CHAIN_HAIR},       {"fringe", APLOMB_CHAIN_HAIR},
    {"braid", APLOMB_CHAIN_HAIR},      {"plait", APLOMB_CHAIN_HAIR},       {"ponytail", APLOMB_CHAIN_HAIR},
    {"pigtail", APLOMB_CHAIN_HAIR},    {"mane", APLOMB_CHAIN_HAIR},        {"beard", APLOMB_CHAIN_HAIR},
    {"strap", APLOMB_CHAIN_STRAP},     {"straps", APLOMB_CHAIN_STRAP},     {"belt", APLOMB_CHAIN_STRAP},
    {"ribbon", APLOMB_CHAIN_STRAP},    {"scarf", APLOMB_CHAIN_STRAP},      {"cape", APLOMB_CHAIN_STRAP},
    {"cloak", APLOMB_CHAIN_STRAP},     {"skirt", APLOMB_CHAIN_STRAP},      {"cloth", APLOMB_CHAIN_STRAP},
    {"sash", APLOMB_CHAIN_STRAP},      {"tassel", APLOMB_CHAIN_STRAP},     {"rope", APLOMB_CHAIN_STRAP},
    {"antenna", APLOMB_CHAIN_ANTENNA}, {"antennae", APLOMB_CHAIN_ANTENNA}, {"feeler", APLOMB_CHAIN_ANTENNA},
    {"belly", APLOMB_CHAIN_BELLY},
};
constexpr const char* marks_of_ends[] = {"end", "nub", "tip", "site"};

constexpr bool is_upper(char c) {
    return c >= 'A' && c <= 'Z';
}
constexpr bool is_letter(char c) {
    return is_upper(c) || (c >= 'a' && c <= 'z');
}
constexpr char folded(char c) {
    return is_upper(c) ? static_cast<char>(c - 'A' + 'a') : c;
}

bool is_word(const char* letters, size_t count, const char* word) {
    for (size_t i = 0; i < count; ++i) {
        if (!word[i] || folded(letters[i]) != word[i]) return false;
    }
    return word[count] == 0;
}

/// Calls `take` with every run of letters of a name, cut before capitals, until it returns true.
template<class Take>
bool any_run(const char* name, Take take) {
    for (const char* c = name; *c;) {
        if (!is_letter(*c)) {
            ++c;
            continue;
        }
        size_t n = 1;
        while (is_letter(c[n]) && !(is_upper(c[n]) && !is_upper(c[n - 1])))
            ++n;
        if (take(c, n)) return true;
        c += n;
    }
    return false;
}

int32_t named_kind(const char* name) {
    int32_t kind = -1;
    any_run(name, [&kind](const char* letters, size_t count) {
        for (const Named& named : vocabulary) {
            if (is_word(letters, count, named.word)) kind = named.kind;
        }
        return kind >= 0;
    });
    return kind;
}

bool marks_an_end(const char* name) {
    return any_run(name, [](const char* letters, size_t count) {
        for (const char* mark : marks_of_ends) {
            if (is_word(letters, count, mark)) return true;
        }
        return false;
    });
}

/// Walks on from child to child, each the first one that `belongs`; returns the last.
template<class Belongs>
int32_t follow_out(const Figure& figure, int32_t first, Belongs belongs) {
    int32_t last = first, length = 1;
    for (int32_t j = first + 1; j < figure.joint_count && length < APLOMB_MAX_CHAIN_JOINTS; ++j) {
        if (figure.joints[j].parent == last && belongs(j)) last = j, ++length;
    }
    return last;
}

class Finder {
public:
    Finder(const Figure& figure, aplomb_chain* chains, int32_t capacity)
        : figure_(figure), chains_(chains), capacity_(capacity) {}

    int32_t find() {
        find_tails();
        find_neck();
        find_arms();
        find_named();
        return count_;
    }

private:
    void add(int32_t kind, int32_t first, int32_t last) {
        if (count_ < capacity_) chains_[count_] = make_chain(kind, first, last);
        ++count_;
    }
    void find_tails() {
        const auto is_tail = [this](int32_t j) {
            return figure_.joints[j].role == APLOMB_ROLE_TAIL && !marks_an_end(figure_.joints[j].name);
        };
        for (int32_t j = 1; j < figure_.joint_count; ++j) {
            if (is_tail(j) && !is_tail(figure_.joints[j].parent))
                add(APLOMB_CHAIN_TAIL, j, follow_out(figure_, j, is_tail));
        }
    }
    void find_neck() {
        if (figure_.head < 0) return;
        const int32_t first = figure_.neck_count > 0 ? figure_.neck[0].joint : figure_.head;
        if (hangs_below(figure_, first, figure_.head)) add(APLOMB_CHAIN_NECK, first, figure_.head);
    }
    void find_arms() {
        for (int32_t i = 0; i < figure_.limb_count; ++i) {
            const Limb& limb = figure_.limbs[i];
            if (limb.kind == APLOMB_ARM && hangs_below(figure_, limb.upper, limb.lower) &&
                hangs_below(figure_, limb.lower, limb.end))
                add(APLOMB_CHAIN_ARM, limb.upper, limb.end);
        }
    }
    /// Helpers whose name says what they are; a chain starts where the parent's name does not say the same.
    void find_named() {
        for (int32_t j = 1; j < figure_.joint_count; ++j) {
            const int32_t kind = kind_of(j);
            if (kind < 0 || kind_of(figure_.joints[j].parent) == kind) continue;
            add(kind, j, follow_out(figure_, j, [&](int32_t k) { return kind_of(k) == kind; }));
        }
    }
    int32_t kind_of(int32_t j) const {
        const Joint& joint = figure_.joints[j];
        if (joint.role != APLOMB_ROLE_HELPER || marks_an_end(joint.name)) return -1;
        return named_kind(joint.name);
    }

    const Figure& figure_;
    aplomb_chain* chains_;
    int32_t capacity_, count_ = 0;
};

} // namespace

const char* chain_text(int32_t kind) {
    return kind >= 0 && kind < kind_count ? defaults[kind].text : "unknown";
}

aplomb_chain make_chain(int32_t kind, int32_t first, int32_t last) {
    const Defaults& d = defaults[kind >= 0 && kind < kind_count ? kind : 0];
    return {first, last, kind, 1, 0, 0, d.stiffness, d.damping, d.limit, d.own_motion};
}

int32_t find_chains(const Figure& figure, aplomb_chain* chains, int32_t capacity) {
    return Finder(figure, chains, capacity).find();
}

bool hangs_below(const Figure& figure, int32_t first, int32_t last) {
    for (int32_t j = last; j >= first; j = figure.joints[j].parent) {
        if (j == first) return true;
    }
    return false;
}

} // namespace aplomb

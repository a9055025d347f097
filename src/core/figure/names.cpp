// SPDX-License-Identifier: MIT
// The vocabulary is plain English anatomy with the words in common use for skeletons, and the joint names of
// H-Anim, ISO/IEC 19774-1:2019 (version 2) and 2006 (version 1): sacroiliac, vl5, talocrural, radiocarpal ...
#include "figure/names.h"

#include <cstddef>
#include <cstdint>

namespace aplomb {
namespace {

enum Word : uint32_t {
    word_left,
    word_right,
    word_upper,
    word_lower,
    word_fore,
    word_hind,
    word_back, // the spine; of a paired limb, the hind one
    word_leg,
    word_thigh,
    word_shank,
    word_foot,
    word_toe,
    word_hip,
    word_spine,
    word_neck,
    word_head,
    word_girdle,
    word_shoulder,
    word_arm,
    word_lower_arm,
    word_hand,
    word_tail,
    word_root,
    word_prop,
    word_helper,
    word_middle, // a finger, or a middle piece of the spine
    word_filler
};

struct Entry {
    const char* text;
    Word word;
};

// Longest match wins, so the order does not matter.
constexpr Entry vocabulary[] = {
    {"left", word_left},
    {"lft", word_left},
    {"l", word_left},
    {"right", word_right},
    {"rgt", word_right},
    {"r", word_right},
    {"upper", word_upper},
    {"up", word_upper},
    {"lower", word_lower},
    {"low", word_lower},
    {"lo", word_lower},
    {"fore", word_fore},
    {"front", word_fore},
    {"hind", word_hind},
    {"rear", word_hind},
    {"leg", word_leg},
    {"thigh", word_thigh},
    {"femur", word_thigh},
    {"shin", word_shank},
    {"calf", word_shank},
    {"shank", word_shank},
    {"knee", word_shank},
    {"tibia", word_shank},
    {"foot", word_foot},
    {"ankle", word_foot},
    {"talocrural", word_foot},
    {"paw", word_foot},
    {"hoof", word_foot},
    {"hock", word_foot},
    {"toe", word_toe},
    {"toes", word_toe},
    {"ball", word_toe},
    {"metatarsophalangeal", word_toe},
    {"metatarsal", word_toe},
    {"forefoot", word_toe},
    {"hip", word_hip},
    {"hips", word_hip},
    {"pelvis", word_hip},
    {"buttock", word_hip},
    {"butt", word_hip},
    {"sacroiliac", word_helper},
    {"spine", word_spine},
    {"back", word_back},
    {"abdomen", word_spine},
    {"chest", word_spine},
    {"torso", word_spine},
    {"trunk", word_spine},
    {"waist", word_spine},
    {"thorax", word_spine},
    {"vl", word_spine},
    {"vt", word_spine},
    {"neck", word_neck},
    {"vc", word_neck},
    {"head", word_head},
    {"skullbase", word_head},
    {"skull", word_head},
    {"clavicle", word_girdle},
    {"collar", word_girdle},
    {"collarbone", word_girdle},
    {"scapula", word_girdle},
    {"sternoclavicular", word_girdle},
    {"acromioclavicular", word_girdle},
    {"shoulder", word_shoulder},
    {"shldr", word_shoulder},
    {"arm", word_arm},
    {"humerus", word_arm},
    {"forearm", word_lower_arm},
    {"elbow", word_lower_arm},
    {"hand", word_hand},
    {"wrist", word_hand},
    {"radiocarpal", word_hand},
    {"tail", word_tail},
    {"root", word_root},
    {"world", word_root},
    {"armature", word_root},
    {"reference", word_root},
    {"humanoid", word_filler},
    {"joint", word_filler},
    {"bone", word_filler},
    {"base", word_filler},
    {"prop", word_prop},
    {"weapon", word_prop},
    {"sword", word_prop},
    {"shield", word_prop},
    {"bag", word_prop},
    {"tool", word_prop},
    // Fingers and the small bones of hand and foot.
    {"finger", word_helper},
    {"fingers", word_helper},
    {"thumb", word_helper},
    {"index", word_helper},
    {"middle", word_middle},
    {"mid", word_middle},
    {"ring", word_helper},
    {"pinky", word_helper},
    {"little", word_helper},
    {"palm", word_helper},
    {"metacarpal", word_helper},
    {"carpometacarpal", word_helper},
    {"metacarpophalangeal", word_helper},
    {"carpal", word_helper},
    {"interphalangeal", word_helper},
    {"subtalar", word_helper},
    {"midtarsal", word_helper},
    {"tarsometatarsal", word_helper},
    {"tarsal", word_helper},
    // Faces and soft parts.
    {"eye", word_helper},
    {"eyes", word_helper},
    {"eyelid", word_helper},
    {"eyebrow", word_helper},
    {"eyeball", word_helper},
    {"brow", word_helper},
    {"jaw", word_helper},
    {"mouth", word_helper},
    {"lip", word_helper},
    {"tongue", word_helper},
    {"teeth", word_helper},
    {"cheek", word_helper},
    {"nose", word_helper},
    {"ear", word_helper},
    {"ears", word_helper},
    {"face", word_helper},
    {"chin", word_helper},
    {"hair", word_helper},
    {"temporomandibular", word_helper},
    {"breast", word_helper},
    {"belly", word_helper},
    {"skirt", word_helper},
    {"cloth", word_helper},
    {"cape", word_helper},
    {"wing", word_helper},
    // Joints that only serve others, and marks of a chain's end.
    {"twist", word_helper},
    {"roll", word_helper},
    {"ik", word_helper},
    {"fk", word_helper},
    {"pole", word_helper},
    {"target", word_helper},
    {"control", word_helper},
    {"ctrl", word_helper},
    {"helper", word_helper},
    {"end", word_helper},
    {"nub", word_helper},
    {"tip", word_helper},
    {"site", word_helper},
    {"socket", word_helper},
    {"attach", word_helper},
};

constexpr bool is_lower(char c) {
    return c >= 'a' && c <= 'z';
}
constexpr bool is_upper(char c) {
    return c >= 'A' && c <= 'Z';
}
constexpr bool is_letter(char c) {
    return is_lower(c) || is_upper(c);
}
constexpr char folded(char c) {
    return is_upper(c) ? static_cast<char>(c - 'A' + 'a') : c;
}

/// Length of `text` if `letters` begins with it, else 0.
size_t prefix_length(const char* text, const char* letters, size_t count) {
    size_t n = 0;
    for (; text[n]; ++n)
        if (n >= count || folded(letters[n]) != text[n]) return 0;
    return n;
}

/// Cuts the whole run into words, longest first, and collects them as bits; false (and no bits) where
/// something is left over that is no word.
bool cut_run(const char* letters, size_t count, uint32_t& words) {
    if (count == 0) return true;
    // Each round takes the longest word that is shorter than the last one tried.
    for (size_t shorter_than = count + 1; shorter_than > 1;) {
        size_t best = 0;
        Word word = word_filler;
        for (const Entry& entry : vocabulary) {
            const size_t n = prefix_length(entry.text, letters, count);
            if (n > best && n < shorter_than) best = n, word = entry.word;
        }
        if (best == 0) return false;
        if (cut_run(letters + best, count - best, words)) {
            words |= 1u << word;
            return true;
        }
        shorter_than = best;
    }
    return false;
}

/// The end of the run of letters at `text`: before a capital that starts a word ("LeftUp", "LHip").
size_t run_length(const char* text) {
    size_t n = 1;
    while (is_letter(text[n])) {
        const bool starts_word = is_upper(text[n]) && (is_lower(text[n - 1]) || is_lower(text[n + 1]));
        if (starts_word) break;
        ++n;
    }
    return n;
}

uint32_t words_of(const char* name) {
    const char* start = name;
    for (const char* c = name; *c; ++c)
        if (*c == ':' || *c == '|') start = c + 1; // what stands before it is a name space
    // Longer runs hold no word that is worth the search.
    constexpr size_t longest_run = 40;
    uint32_t words = 0;
    for (const char* c = start; *c;) {
        if (!is_letter(*c)) {
            ++c;
            continue;
        }
        const size_t n = run_length(c);
        if (n <= longest_run) cut_run(c, n, words);
        c += n;
    }
    return words;
}

/// The leg's classes, or for a fore leg the arm's.
NameClass leg_class(bool fore, NameClass leg, NameClass arm) {
    return fore ? arm : leg;
}

NameClass classify(uint32_t words, bool sided) {
    const auto has = [words](Word word) { return (words >> word & 1u) != 0; };
    const bool fore = has(word_fore), hind = has(word_hind) || (has(word_back) && sided);
    if (has(word_helper) || (has(word_middle) && !has(word_spine) && !has(word_back) && !has(word_neck)))
        return NameClass::helper;
    if (has(word_prop)) return NameClass::prop;
    if (has(word_tail)) return NameClass::tail;
    if (has(word_toe)) return leg_class(fore, NameClass::toe, NameClass::helper);
    if (has(word_foot)) return leg_class(fore, NameClass::foot, NameClass::hand);
    if (has(word_hand)) return NameClass::hand;
    if (has(word_thigh)) return leg_class(fore, NameClass::thigh, NameClass::upper_arm);
    if (has(word_shank)) return leg_class(fore, NameClass::shank, NameClass::lower_arm);
    if (has(word_leg)) {
        if (has(word_upper)) return leg_class(fore, NameClass::thigh, NameClass::upper_arm);
        if (has(word_lower)) return leg_class(fore, NameClass::shank, NameClass::lower_arm);
        return leg_class(fore, NameClass::leg, NameClass::arm);
    }
    if (has(word_lower_arm) || (has(word_arm) && (has(word_lower) || fore))) return NameClass::lower_arm;
    if (has(word_arm)) return has(word_upper) ? NameClass::upper_arm : NameClass::arm;
    // What a hind leg hangs from is its hip, whatever it is called.
    if (has(word_shoulder)) return hind ? NameClass::side_of_hips : NameClass::shoulder;
    if (has(word_girdle)) return hind ? NameClass::side_of_hips : NameClass::girdle;
    if (has(word_head)) return NameClass::head;
    if (has(word_neck)) return NameClass::neck;
    if (has(word_spine) || has(word_back)) return NameClass::spine;
    if (has(word_hip)) return sided ? NameClass::side_of_hips : NameClass::hips;
    return has(word_root) ? NameClass::root : NameClass::none;
}

} // namespace

NameReading read_name(const char* name) {
    const uint32_t words = words_of(name);
    const bool left = (words >> word_left & 1u) != 0, right = (words >> word_right & 1u) != 0;
    NameReading reading;
    if (left != right) reading.side = left ? APLOMB_SIDE_LEFT : APLOMB_SIDE_RIGHT;
    reading.what = classify(words, left != right);
    return reading;
}

} // namespace aplomb

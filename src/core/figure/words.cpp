// SPDX-License-Identifier: MIT
#include "figure/words.h"

namespace aplomb {
namespace {

constexpr const char* role_texts[] = {
    "from name", "root",      "hips",  "spine", "neck",  "head", "shoulder girdle",
    "upper arm", "lower arm", "hand",  "thigh", "shank", "foot", "toe",
    "tail",      "prop",      "helper"};
constexpr const char* side_texts[] = {"from name", "left", "right", "middle"};

template<class T, int count>
const char* text_of(const T (&texts)[count], int value) {
    return value >= 0 && value < count ? texts[value] : "unknown";
}

} // namespace

const char* role_text(aplomb_role role) {
    return text_of(role_texts, static_cast<int>(role));
}
const char* side_text(aplomb_side side) {
    return text_of(side_texts, static_cast<int>(side));
}

} // namespace aplomb

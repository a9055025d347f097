// SPDX-License-Identifier: MIT
#include "figure/hints.h"

#include "figure/names.h"

namespace aplomb {
namespace {

bool is_limb_class(NameClass c) {
    return c >= NameClass::side_of_hips && c <= NameClass::foot;
}

NameClass class_of(aplomb_role role) {
    switch (role) {
    case APLOMB_ROLE_GIRDLE:
        return NameClass::girdle;
    case APLOMB_ROLE_UPPER_ARM:
        return NameClass::upper_arm;
    case APLOMB_ROLE_LOWER_ARM:
        return NameClass::lower_arm;
    case APLOMB_ROLE_HAND:
        return NameClass::hand;
    case APLOMB_ROLE_THIGH:
        return NameClass::thigh;
    case APLOMB_ROLE_SHANK:
        return NameClass::shank;
    case APLOMB_ROLE_FOOT:
        return NameClass::foot;
    default:
        return NameClass::helper;
    }
}

aplomb_role role_of(NameClass c) {
    switch (c) {
    case NameClass::hips:
        return APLOMB_ROLE_HIPS;
    case NameClass::spine:
        return APLOMB_ROLE_SPINE;
    case NameClass::neck:
        return APLOMB_ROLE_NECK;
    case NameClass::head:
        return APLOMB_ROLE_HEAD;
    case NameClass::girdle:
        return APLOMB_ROLE_GIRDLE;
    case NameClass::upper_arm:
        return APLOMB_ROLE_UPPER_ARM;
    case NameClass::lower_arm:
        return APLOMB_ROLE_LOWER_ARM;
    case NameClass::hand:
        return APLOMB_ROLE_HAND;
    case NameClass::thigh:
        return APLOMB_ROLE_THIGH;
    case NameClass::shank:
        return APLOMB_ROLE_SHANK;
    case NameClass::foot:
        return APLOMB_ROLE_FOOT;
    case NameClass::toe:
        return APLOMB_ROLE_TOE;
    case NameClass::tail:
        return APLOMB_ROLE_TAIL;
    case NameClass::prop:
        return APLOMB_ROLE_PROP;
    case NameClass::helper:
        return APLOMB_ROLE_HELPER;
    default:
        return APLOMB_ROLE_FROM_NAME;
    }
}

/// The nearest limb names below a joint: the first one, and the one below that one.
struct Below {
    NameClass first = NameClass::none, second = NameClass::none;
    bool after_gap = false; // a joint whose name does not tell lies before the first one
};

NameClass settle_shoulder(const Below& below) {
    switch (below.first) {
    case NameClass::girdle:
    case NameClass::upper_arm:
        return NameClass::girdle;
    case NameClass::arm: // shoulder, arm, forearm; or shoulder, arm, hand
        return below.second == NameClass::arm || below.second == NameClass::lower_arm ? NameClass::girdle
                                                                                      : NameClass::upper_arm;
    case NameClass::lower_arm: // shoulder, then an upper arm by another name, forearm
    case NameClass::hand:
        return below.after_gap ? NameClass::girdle : NameClass::upper_arm;
    default:
        return NameClass::upper_arm;
    }
}

NameClass settle_side_of_hips(const Below& below) {
    switch (below.first) {
    case NameClass::leg: // hip, leg, leg, foot; or hip, leg, foot
        return below.second == NameClass::foot || below.second == NameClass::none ? NameClass::thigh
                                                                                  : NameClass::helper;
    case NameClass::shank:
    case NameClass::foot:
        return NameClass::thigh;
    default:
        return NameClass::helper;
    }
}

void settle_from_below(const Survey& survey, NameClass* what) {
    Below below[max_joints];
    for (int32_t k = survey.count - 1; k >= 0; --k) {
        const int32_t j = survey.order[k];
        if (what[j] == NameClass::shoulder) what[j] = settle_shoulder(below[j]);
        if (what[j] == NameClass::side_of_hips) what[j] = settle_side_of_hips(below[j]);
        const int32_t p = survey.parent[j];
        if (p < 0) continue;
        Below here = below[j];
        if (is_limb_class(what[j]))
            here = {what[j], below[j].first};
        else if (what[j] == NameClass::none && !survey.coincide(j, p))
            here.after_gap = true;
        if (here.first != NameClass::none) below[p] = here;
    }
}

void settle_from_above(const Survey& survey, NameClass* what) {
    NameClass above[max_joints]; // the nearest limb name, the joint's own included
    for (int32_t k = 0; k < survey.count; ++k) {
        const int32_t j = survey.order[k], p = survey.parent[j];
        const NameClass up = p < 0 ? NameClass::none : above[p];
        if (what[j] == NameClass::leg)
            what[j] = up == NameClass::thigh   ? NameClass::shank
                      : up == NameClass::shank ? NameClass::helper
                                               : NameClass::thigh;
        if (what[j] == NameClass::arm)
            what[j] = up == NameClass::upper_arm   ? NameClass::lower_arm
                      : up == NameClass::lower_arm ? NameClass::helper
                                                   : NameClass::upper_arm;
        above[j] = is_limb_class(what[j]) ? what[j] : up;
    }
}

} // namespace

void read_hints(const Draft& draft, const Survey& survey, Hints& hints) {
    NameClass what[max_joints];
    const auto given_role = [&draft](int32_t j) {
        return draft.desc.roles ? static_cast<aplomb_role>(draft.desc.roles[j]) : APLOMB_ROLE_FROM_NAME;
    };
    for (int32_t j = 0; j < survey.count; ++j) {
        const Joint& joint = draft.figure.joints[j];
        const NameReading reading = read_name(joint.name);
        what[j] = given_role(j) == APLOMB_ROLE_FROM_NAME ? reading.what : class_of(given_role(j));
        // A root joint may have the name of an animal, such as calf, that is also the name of a limb.
        if (joint.parent < 0 && is_limb_class(reading.what) && given_role(j) == APLOMB_ROLE_FROM_NAME)
            what[j] = NameClass::none;
        // The end of a limb that its file hangs elsewhere may bear the name of a control that leads the limb: it does not count.
        const bool leads = what[j] == NameClass::helper && joint.carrier != joint.parent;
        if (leads && given_role(j) == APLOMB_ROLE_FROM_NAME) what[j] = NameClass::none;
        hints.side[j] = reading.side;
        if (draft.desc.sides && draft.desc.sides[j] != APLOMB_SIDE_FROM_NAME)
            hints.side[j] = static_cast<aplomb_side>(draft.desc.sides[j]);
    }
    settle_from_below(survey, what);
    settle_from_above(survey, what);
    for (int32_t j = 0; j < survey.count; ++j)
        hints.role[j] = given_role(j) == APLOMB_ROLE_FROM_NAME ? role_of(what[j]) : given_role(j);
}

} // namespace aplomb

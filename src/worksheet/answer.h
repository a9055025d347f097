// SPDX-License-Identifier: MIT
// One sheet solved: the moment, what is carried, what stands, and the correction.
#pragma once

#include <string>
#include <vector>

#include "worksheet/open.h"

namespace aplomb::worksheet {

/// A moment of the file with its stance and loads.
struct Moment {
    int32_t clip = -1;
    double seconds = 0;
    std::string place; // in the command's words
    Pose pose;
    std::vector<aplomb_contact> contacts;
    std::vector<aplomb_load> loads;

    /// Points into this moment.
    aplomb_situation situation() const { return aplomb::situation(pose, loads, contacts); }
};

struct Answer {
    bool solved = false;
    Moment moment;
    aplomb_options options;
    aplomb_status status = APLOMB_OK;
    Pose pose; // the corrected one
    aplomb_reading before, after;
    aplomb_result result;
    aplomb_foot_suggestion foot;
    std::string explanation;
};

/// Throws an Error where the sheet asks for what cannot be.
Moment read_moment(const Character& character, const Json& sheet);
aplomb_options read_options(const Json& sheet);
/// The pose as it is keyed.
aplomb_reading read_keyed(const Character& character, const Moment& moment, const aplomb_options& options);
Answer solve(const Character& character, const Json& sheet);
/// The character's file with the corrected pose.
std::string corrected_file(const Character& character, const Answer& answer);

} // namespace aplomb::worksheet

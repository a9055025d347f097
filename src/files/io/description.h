// SPDX-License-Identifier: MIT
// The figure description: a JSON file of this project's own beside a character file, with what the character
// file cannot say.
//
//   {
//     "aplomb_figure": 1,                 format version
//     "metres_per_unit": 0.01,
//     "up": "Y", "forward": "-Z",
//     "stand": { "clip": "idle", "seconds": 0.5 },     the frame that the figure is measured in; null: the
//                                                      rest pose, even where it is nothing like a stand
//     "total_mass": 73,                   kg
//     "mass_table": "de Leva male",       or "de Leva female", "Dempster", "child", "skin"
//     "joints": {
//       "LeftArm": {                      a joint's name, or "#12": its number, where names are not unique
//         "role": "upper arm", "side": "left",
//         "mass": 1.9, "centre": [0, -0.1, 0], "inertia": [xx, yy, zz, xy, xz, yz],
//         "limits": { "bend_forward": [-60, 180], "twist_left": [-90, 90], "lean_right": [null, 30] }
//       }                                 degrees from the anatomical neutral; null: free on that side
//     },
//     "soles": [ { "joint": "LeftFoot", "points": [[x, y, z], ...] } ],
//     "stances": [ { "clip": "walk", "joint": "LeftFoot", "footing": "flat", "first": 12, "last": 40 } ]
//                                       frames in which a limb's end stands: "flat", on the "ball", on the "heel"
//   }
//
// Every key but the first may be missing. Frames and units are those of aplomb_figure_desc but for the
// degrees.
#pragma once

#include "aplomb/aplomb.h"

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace aplomb::io {

struct JointDescription {
    int role = APLOMB_ROLE_FROM_NAME;
    int side = APLOMB_SIDE_FROM_NAME;
    std::optional<double> mass;
    std::optional<std::array<double, 3>> centre;
    std::optional<std::array<double, 6>> inertia;
    std::optional<std::array<double, 6>> limits; // radians; NaN: the published range
};

struct SoleDescription {
    int joint = 0;
    std::vector<double> points; // 3 each
};

/// Frames of a clip in which the limb that ends in a joint stands.
struct StanceDescription {
    std::string clip; // name or number
    int joint = 0;
    int footing = 0; // aplomb_footing
    int first = 0, last = 0;
};

/// The frame in which the figure stands; no clip: the rest pose.
struct StandDescription {
    std::string clip; // name or number
    double seconds = 0;
};

/// What is not given is 0 or empty.
struct Description {
    double metres_per_unit = 0;
    int up = 0;
    int forward = 0;
    double total_mass = 0;
    int mass_table = -1;
    std::optional<StandDescription> stand;
    std::vector<JointDescription> joints; // one per joint of the character
    std::vector<SoleDescription> soles;
    std::vector<StanceDescription> stances;
};

/// `names`: of the character's joints. Refuses unknown keys and names and says what is near.
Description read_description(std::string_view bytes, const std::vector<std::string>& names);

std::string write_description(const Description& description, const std::vector<std::string>& names);

} // namespace aplomb::io

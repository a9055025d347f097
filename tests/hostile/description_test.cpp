// SPDX-License-Identifier: MIT
// Malformed figure descriptions beside a sound character.
#include <gtest/gtest.h>

#include "hostile/told.h"

namespace hostile {
namespace {

struct Case {
    const char* told;
    std::string members; // after the version
};

const Case cases[] = {
    {"opened", R"("total_mass": 73)"},
    {"bad file: 'c.gltf.figure.json': the description: 'total_mass' is not a number above 0.",
     R"("total_mass": -1)"},
    {"bad file: 'c.gltf.figure.json': the description: 'total_mass' is not a number above 0.",
     R"("total_mass": "much")"},
    {"bad argument: 'c.gltf': total_mass is 1e+300; it must be 0 to 1e+12.", R"("total_mass": 1e300)"},
    {"bad file: 'c.gltf.figure.json': the description is not valid JSON in UTF-8.", R"("total_mass": 1e999)"},
    {"bad file: 'c.gltf.figure.json': the description: 'metres_per_unit' is not a number above 0.",
     R"("metres_per_unit": 0)"},
    {"bad argument: 'c.gltf': metres_per_unit is 1e+20; it must be positive, from 1e-9 to 1e9.",
     R"("metres_per_unit": 1e20)"},
    {"bad file: 'c.gltf.figure.json': the description: 'up' is 'W'; it must be one of 'X', 'Y', 'Z', '-X', "
     "'-Y', '-Z'.",
     R"("up": "W")"},
    {"bad file: 'c.gltf.figure.json': the description: 'up' is not a text.", R"("up": 2)"},
    {"bad figure: 'c.gltf': forward_axis is -3 and up_axis 3; they must be at right angles.",
     R"("up": "Z", "forward": "-Z")"},
    {"bad file: 'c.gltf.figure.json': the description: 'mass_table' is 'childs'; it must be one of 'de Leva "
     "male', 'de Leva female', 'Dempster', 'child', 'skin'.",
     R"("mass_table": "childs")"},
    {"bad file: 'c.gltf.figure.json': the description: unknown key 'masses'; near: 'mass_table', "
     "'total_mass'.",
     R"("masses": [])"},
    {"bad file: 'c.gltf.figure.json': 'joints' is not an object.", R"("joints": [])"},
    {"bad file: 'c.gltf.figure.json': 'joints': no joint is called 'Hip'; near: 'Hips'.",
     R"("joints": {"Hip": {}})"},
    {"bad file: 'c.gltf.figure.json': 'joints': there is no joint #18 among 17.", R"("joints": {"#18": {}})"},
    {"bad file: 'c.gltf.figure.json': 'joints': there is no joint #99999999999999999999 among 17.",
     R"("joints": {"#99999999999999999999": {}})"},
    {"bad file: 'c.gltf.figure.json': 'joints': there is no joint # among 17.", R"("joints": {"#": {}})"},
    {"bad file: 'c.gltf.figure.json': joint 'Hips' is not an object.", R"("joints": {"Hips": 3})"},
    {"bad file: 'c.gltf.figure.json': joint 'Hips': 'role' is 'pelvis'; it must be one of 'root', 'hips', "
     "'spine', 'neck', 'head', 'shoulder girdle', 'upper arm', 'lower arm', 'hand', 'thigh', 'shank', "
     "'foot', "
     "'toe', 'tail', 'prop', 'helper'.",
     R"("joints": {"Hips": {"role": "pelvis"}})"},
    {"bad figure: 'c.gltf': Joints 0 (Hips) and 4 (Head) both have the role hips; give it to one. Roles "
     "stand in a figure description beside the file, 'c.gltf.figure.json'.",
     R"("joints": {"Hips": {"role": "hips"}, "Head": {"role": "hips"}})"},
    {"bad file: 'c.gltf.figure.json': joint 'Hips': 'side' is not a text.",
     R"("joints": {"Hips": {"side": null}})"},
    {"bad file: 'c.gltf.figure.json': joint 'Hips': 'mass' is not a number of 0 or more.",
     R"("joints": {"Hips": {"mass": -1}})"},
    {"bad argument: 'c.gltf': masses of joint 0 (Hips): component 0 is 1e+300, beyond 1e+12.",
     R"("joints": {"Hips": {"mass": 1e300}})"},
    {"bad file: 'c.gltf.figure.json': joint 'Hips': 'centre' is not a list of 3 finite numbers.",
     R"("joints": {"Hips": {"centre": [0, 1]}})"},
    {"bad file: 'c.gltf.figure.json': joint 'Hips': 'inertia' is not a list of 6 finite numbers.",
     R"("joints": {"Hips": {"inertia": [1, 1, 1, 0, 0]}})"},
    {"bad argument: 'c.gltf': inertias of joint 0 (Hips): component 0 is -1; a moment must not be negative.",
     R"("joints": {"Hips": {"inertia": [-1, 1, 1, 0, 0, 0]}})"},
    {"bad file: 'c.gltf.figure.json': joint 'LeftShank': 'bend_forward' is [20,-20] degrees; the lowest must "
     "not be above the highest.",
     R"("joints": {"LeftShank": {"limits": {"bend_forward": [20, -20]}}})"},
    {"bad file: 'c.gltf.figure.json': joint 'LeftShank': 'bend_forward' is not [lowest, highest] in degrees.",
     R"("joints": {"LeftShank": {"limits": {"bend_forward": [20]}}})"},
    {"bad file: 'c.gltf.figure.json': joint 'LeftShank' limits: unknown key 'bend'; near: 'bend_forward'.",
     R"("joints": {"LeftShank": {"limits": {"bend": [0, 20]}}})"},
    {"bad file: 'c.gltf.figure.json': joint 'LeftShank' limits is not an object.",
     R"("joints": {"LeftShank": {"limits": 20}})"},
    {"bad file: 'c.gltf.figure.json': 'soles' is not a list.", R"("soles": {})"},
    {"bad file: 'c.gltf.figure.json': sole 0: no joint is called 'LeftFot'; near: 'LeftFoot'.",
     R"("soles": [{"joint": "LeftFot", "points": [[0, 0, 0]]}])"},
    {"bad file: 'c.gltf.figure.json': sole 0: 'points' is not a list of 1 to 16 points.",
     R"("soles": [{"joint": "LeftFoot", "points": []}])"},
    {"bad file: 'c.gltf.figure.json': sole 0: a point is not [x, y, z].",
     R"("soles": [{"joint": "LeftFoot", "points": [[0, 0]]}])"},
    {"bad file: 'c.gltf.figure.json': sole 0: a point is not [x, y, z].",
     R"("soles": [{"joint": "LeftFoot", "points": [[0, 0, "low"]]}])"},
    {"bad argument: 'c.gltf': soles 0: points of point 0 (without a name): component 2 is 1e+300, beyond "
     "1e+09.",
     R"("soles": [{"joint": "LeftFoot", "points": [[0, 0, 1e300]]}])"},
    {"bad file: 'c.gltf.figure.json': sole 0: 'joint' is missing: the name of the joint that carries the "
     "sole.",
     R"("soles": [{"points": [[0, 0, 0]]}])"},
    {"bad file: 'c.gltf.figure.json': 'stances' is not a list.", R"("stances": {})"},
    {"bad file: 'c.gltf.figure.json': stance 0: 'clip' is missing: the name of the clip whose frames are "
     "meant.",
     R"("stances": [{"joint": "LeftFoot", "first": 0, "last": 0}])"},
    {"bad file: 'c.gltf.figure.json': stance 0: 'joint' is missing: the name of the joint that ends the "
     "limb.",
     R"("stances": [{"clip": "walk", "first": 0, "last": 0}])"},
    {"bad file: 'c.gltf.figure.json': stance 0: 'footing' is 'soft'; it must be one of 'flat', 'ball', "
     "'heel'.",
     R"("stances": [{"clip": "walk", "joint": "LeftFoot", "footing": "soft", "first": 0, "last": 0}])"},
    {"bad file: 'c.gltf.figure.json': stance 0: 'first' is not a frame's number, 0 or more.",
     R"("stances": [{"clip": "walk", "joint": "LeftFoot", "first": -1, "last": 0}])"},
    {"bad file: 'c.gltf.figure.json': stance 0: 'last' is not a frame's number, 0 or more.",
     R"("stances": [{"clip": "walk", "joint": "LeftFoot", "first": 0, "last": 1e300}])"},
    {"bad file: 'c.gltf.figure.json': stance 0 goes from frame 3 to 2.",
     R"("stances": [{"clip": "walk", "joint": "LeftFoot", "first": 3, "last": 2}])"},
    {"bad file: 'c.gltf': the description: stance 0: the file has no clip 'sprint'.",
     R"("stances": [{"clip": "sprint", "joint": "LeftFoot", "first": 0, "last": 0}])"},
};

TEST(HostileDescription, Members) {
    const std::string file = made::lay_figure().text();
    for (const Case& c : cases)
        EXPECT_EQ(opened("c.gltf", file, "{\"aplomb_figure\": 1, " + c.members + "}"), c.told) << c.members;
}

TEST(HostileDescription, Wholes) {
    const std::string file = made::lay_figure().text();
    EXPECT_EQ(opened("c.gltf", file, "{}"), "bad file: 'c.gltf.figure.json': the description lacks the "
                                            "format's version; add \"aplomb_figure\": 1.");
    EXPECT_EQ(
        opened("c.gltf", file, "{\"aplomb_figure\": 2}"),
        "bad file: 'c.gltf.figure.json': the description: 'aplomb_figure' must be 1, the format's version.");
    EXPECT_EQ(opened("c.gltf", file, "[]"),
              "bad file: 'c.gltf.figure.json': the description is not an object.");
    EXPECT_EQ(opened("c.gltf", file, "{\"aplomb_figure\": 1"),
              "bad file: 'c.gltf.figure.json': the description is not valid JSON in UTF-8.");
    EXPECT_EQ(opened("c.gltf", file, "{\"\xFF\": 1}"),
              "bad file: 'c.gltf.figure.json': the description is not valid JSON in UTF-8.");
    EXPECT_EQ(opened("c.gltf", file, std::string(100000, '[')),
              "bad file: 'c.gltf.figure.json': the description is JSON nested deeper than 256 levels.");
}

} // namespace
} // namespace hostile

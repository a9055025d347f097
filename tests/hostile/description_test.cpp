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
    {"@", R"("total_mass": -1)"},
    {"@", R"("total_mass": "much")"},
    {"@", R"("total_mass": 1e300)"},
    {"@", R"("total_mass": 1e999)"},
    {"@", R"("metres_per_unit": 0)"},
    {"@", R"("metres_per_unit": 1e20)"},
    {"@", R"("up": "W")"},
    {"@", R"("up": 2)"},
    {"@", R"("up": "Z", "forward": "-Z")"},
    {"@", R"("mass_table": "childs")"},
    {"@", R"("masses": [])"},
    {"@", R"("joints": [])"},
    {"@", R"("joints": {"Hip": {}})"},
    {"@", R"("joints": {"#18": {}})"},
    {"@", R"("joints": {"#99999999999999999999": {}})"},
    {"@", R"("joints": {"#": {}})"},
    {"@", R"("joints": {"Hips": 3})"},
    {"@", R"("joints": {"Hips": {"role": "hip"}})"},
    {"@", R"("joints": {"Hips": {"side": null}})"},
    {"@", R"("joints": {"Hips": {"mass": -1}})"},
    {"@", R"("joints": {"Hips": {"mass": 1e300}})"},
    {"@", R"("joints": {"Hips": {"centre": [0, 1]}})"},
    {"@", R"("joints": {"Hips": {"inertia": [1, 1, 1, 0, 0]}})"},
    {"@", R"("joints": {"Hips": {"inertia": [-1, 1, 1, 0, 0, 0]}})"},
    {"@", R"("joints": {"LeftShank": {"limits": {"bend_forward": [20, -20]}}})"},
    {"@", R"("joints": {"LeftShank": {"limits": {"bend_forward": [20]}}})"},
    {"@", R"("joints": {"LeftShank": {"limits": {"bend": [0, 20]}}})"},
    {"@", R"("joints": {"LeftShank": {"limits": 20}})"},
    {"@", R"("soles": {})"},
    {"@", R"("soles": [{"joint": "LeftFot", "points": [[0, 0, 0]]}])"},
    {"@", R"("soles": [{"joint": "LeftFoot", "points": []}])"},
    {"@", R"("soles": [{"joint": "LeftFoot", "points": [[0, 0]]}])"},
    {"@", R"("soles": [{"joint": "LeftFoot", "points": [[0, 0, "low"]]}])"},
    {"@", R"("soles": [{"joint": "LeftFoot", "points": [[0, 0, 1e300]]}])"},
    {"@", R"("soles": [{"points": [[0, 0, 0]]}])"},
};

TEST(HostileDescription, Members) {
    const std::string file = made::lay_figure().text();
    for (const Case& c : cases)
        EXPECT_EQ(opened("c.gltf", file, "{\"aplomb_figure\": 1, " + c.members + "}"), c.told) << c.members;
}

TEST(HostileDescription, Wholes) {
    const std::string file = made::lay_figure().text();
    EXPECT_EQ(opened("c.gltf", file, "{}"), "@");
    EXPECT_EQ(opened("c.gltf", file, "{\"aplomb_figure\": 2}"), "@");
    EXPECT_EQ(opened("c.gltf", file, "[]"), "@");
    EXPECT_EQ(opened("c.gltf", file, "{\"aplomb_figure\": 1"), "@");
    EXPECT_EQ(opened("c.gltf", file, "{\"\xFF\": 1}"), "@");
    EXPECT_EQ(opened("c.gltf", file, std::string(100000, '[')), "@");
}

} // namespace
} // namespace hostile

// SPDX-License-Identifier: MIT
#include <gtest/gtest.h>

#include "printed_json.h"

namespace {

using aplomb::Json;

TEST(Json, ADocumentComesBackAsItWas) {
    const std::string text =
        R"({"b":[1,-2,18446744073709551615,0.1,1e+300,2.0],"a":{"x":null,"":"\"\\\u0001é"},)"
        R"("t":true,"empty":[{},[]]})";
    const Json json = Json::parse(text);
    EXPECT_EQ(json.dump(), text);
    EXPECT_EQ(Json(json).dump(), text);
    EXPECT_EQ(Json::parse(json.dump(3, '\t')), json);
    EXPECT_EQ(Json::parse("[1, [2]]").dump(1), "[\n 1,\n [\n  2\n ]\n]");
}

TEST(Json, BracesMakeAnObjectOfPairsThatBeginWithATextElseAnArray) {
    EXPECT_EQ(Json({{"a", 1}, {"b", {1, 2.5, "c"}}}).dump(), R"({"a":1,"b":[1,2.5,"c"]})");
    EXPECT_EQ(Json({{"a", 1}, {2, 3}}).dump(), R"([["a",1],[2,3]])");
    EXPECT_EQ(Json::array({{{"a", 1}}}).dump(), R"([{"a":1}])");
    EXPECT_EQ(Json(std::vector<int>{1, 2}).dump(), "[1,2]");
    EXPECT_EQ(Json().dump(), "null");
}

TEST(Json, WhatIsNoJsonIsRefused) {
    for (const char* text : {"", "{", "[1,]", "1 2", "{\"a\" 1}", "nul", "\"\xE4\"", "1e999", "'a'"})
        EXPECT_THROW(Json::parse(text), std::invalid_argument) << text;
}

TEST(Json, AKeyThatIsRepeatedIsToldOf) {
    std::string heard;
    const Json json = Json::parse(R"({"a":1,"b":{"a":2},"a":3,"c":{"a":4,"a":5}})",
                                  [&](const std::string& key) { heard += key; });
    EXPECT_EQ(heard, "aa");
    EXPECT_EQ(json.dump(), R"({"a":3,"b":{"a":2},"c":{"a":5}})");
}

TEST(Json, MembersAreFoundAddedAndRemoved) {
    Json json;
    json["a"]["b"].push_back(1u);
    json["c"] = "text";
    EXPECT_EQ(json["a"]["b"][0], 1.0);
    EXPECT_EQ(json.find("d"), json.end());
    json.update({{"c", nullptr}, {"d", {2}}});
    json.erase("a");
    EXPECT_EQ(json.dump(), R"({"c":null,"d":[2]})");
    EXPECT_EQ(json.value("d", std::vector<double>()), std::vector<double>{2});
    EXPECT_EQ(json.value("e", "none"), "none");
}

TEST(Json, AnotherTypeThanAskedForIsRefused) {
    const Json json = {{"a", "1"}, {"b", {1}}};
    EXPECT_THROW(json["a"].get<double>(), std::invalid_argument);
    EXPECT_THROW(json["a"].get<bool>(), std::invalid_argument);
    EXPECT_THROW(json["b"].items(), std::invalid_argument);
    EXPECT_THROW(json["c"], std::out_of_range);
    EXPECT_THROW(json["b"][1], std::out_of_range);
    EXPECT_FALSE(json["b"] == json["a"]);
}

TEST(Json, BytesThatAreNotUtf8AreRefusedOrReplaced) {
    const Json json = "a\xFF";
    EXPECT_ANY_THROW(json.dump());
    EXPECT_EQ(json.dump(-1, ' ', Json::Broken::replaced), "\"a\xEF\xBF\xBD\"");
}

} // namespace

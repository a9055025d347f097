// SPDX-License-Identifier: MIT
// The table of options as callers see it.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <fstream>
#include <regex>
#include <set>
#include <sstream>
#include <string>

#include "aplomb/aplomb.h"

namespace {

aplomb_option_info info_of(int32_t index) {
    aplomb_option_info info;
    aplomb_option_info_init(&info, sizeof info);
    EXPECT_EQ(aplomb_option_describe(index, &info, nullptr), APLOMB_OK);
    return info;
}

aplomb_options usual() {
    aplomb_options options;
    aplomb_options_init(&options, sizeof options);
    return options;
}

TEST(Options, EachHasANameOfItsOwnAndAllowsItsDefault) {
    std::set<std::string> names;
    const aplomb_options options = usual();
    for (int32_t i = 0; i < aplomb_option_count(); ++i) {
        const aplomb_option_info info = info_of(i);
        EXPECT_TRUE(names.insert(info.name).second) << info.name;
        EXPECT_EQ(aplomb_option_value(&options, i), info.usual) << info.name;
        EXPECT_LE(info.lowest, info.usual) << info.name;
        EXPECT_GE(info.highest, info.usual) << info.name;
        EXPECT_GT(std::string(info.meaning).size(), 4u) << info.name;
    }
    EXPECT_GT(names.size(), 20u);
}

/// What aplomb.h says beside a member of aplomb_options.
std::string comment_on(const std::string& name) {
    std::ifstream file(APLOMB_SOURCE_DIR "/include/aplomb/aplomb.h");
    std::ostringstream text;
    text << file.rdbuf();
    const std::string all = text.str();
    const size_t first = all.find("typedef struct aplomb_options {");
    const std::string members = all.substr(first, all.find("} aplomb_options;") - first);
    const size_t member = members.find(" " + name + ";");
    if (member == std::string::npos) return "";
    return members.substr(member, members.find("*/", member) - member);
}

TEST(Options, TheHeaderTellsTheTable) {
    constexpr double degree = 3.14159265358979323846 / 180;
    const std::regex told("/\\* ([0-9.e-]+) to ([0-9.e-]+)[: ][^\\[]*\\[([0-9.]+)( degrees)?\\]");
    for (int32_t i = 0; i < aplomb_option_count(); ++i) {
        const aplomb_option_info info = info_of(i);
        const std::string comment = comment_on(info.name);
        std::smatch part;
        ASSERT_TRUE(std::regex_search(comment, part, told)) << info.name << ": " << comment;
        EXPECT_EQ(std::atof(part.str(1).c_str()), info.lowest) << info.name;
        EXPECT_EQ(std::atof(part.str(2).c_str()), info.highest) << info.name;
        EXPECT_DOUBLE_EQ(std::atof(part.str(3).c_str()) * (part[4].matched ? degree : 1), info.usual)
            << info.name;
    }
}

TEST(Options, WhatIsSetIsCheckedAsACorrectionChecksIt) {
    aplomb_options options = usual();
    for (int32_t i = 0; i < aplomb_option_count(); ++i) {
        const aplomb_option_info info = info_of(i);
        aplomb_error error{};
        EXPECT_EQ(aplomb_option_set(&options, i, info.highest, &error), APLOMB_OK) << error.message;
        EXPECT_EQ(aplomb_option_value(&options, i), info.highest) << info.name;
        for (const double wrong : {info.highest * 1.01 + 1, info.lowest - 0.5, std::nan("")}) {
            EXPECT_EQ(aplomb_option_set(&options, i, wrong, &error), APLOMB_BAD_ARGUMENT) << info.name;
            EXPECT_NE(std::string(error.message).find(info.name), std::string::npos) << error.message;
        }
        EXPECT_EQ(aplomb_option_value(&options, i), info.highest) << info.name;
    }
}

TEST(Options, BadCallsAreNamed) {
    aplomb_option_info info;
    aplomb_option_info_init(&info, sizeof info);
    aplomb_error error{};
    EXPECT_EQ(aplomb_option_describe(-1, &info, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(aplomb_option_describe(aplomb_option_count(), &info, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(aplomb_option_describe(0, nullptr, &error), APLOMB_BAD_ARGUMENT);
    aplomb_options options = usual();
    EXPECT_TRUE(std::isnan(aplomb_option_value(&options, 1000)));
    EXPECT_TRUE(std::isnan(aplomb_option_value(nullptr, 0)));
    EXPECT_EQ(aplomb_option_set(nullptr, 0, 1, &error), APLOMB_BAD_ARGUMENT);
    options.struct_size -= 8;
    EXPECT_EQ(aplomb_option_set(&options, 0, 1, &error), APLOMB_WRONG_VERSION);
}

} // namespace

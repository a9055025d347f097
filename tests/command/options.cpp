// SPDX-License-Identifier: MIT
// The table of options: what the command and its manual page say is what the library has.
#include <aplomb/aplomb.h>

#include <cmath>
#include <regex>
#include <string>

#include "command.h"

namespace command {
namespace {

constexpr double degree = 3.14159265358979323846 / 180;

std::string number(double value) {
    char text[40];
    std::snprintf(text, sizeof text, "%.4g", value);
    return text;
}

/// Not above `value`: what the manual allows, the command allows.
std::string number_within(double value) {
    const std::string text = number(value);
    if (std::stod(text) <= value) return text;
    return number(value - std::pow(10.0, std::floor(std::log10(value)) - 3));
}

/// As the manual page tells it.
std::string manual_lines() {
    std::string text;
    for (int32_t i = 0; i < aplomb_option_count(); ++i) {
        aplomb_option_info info;
        aplomb_option_info_init(&info, sizeof info);
        EXPECT_EQ(aplomb_option_describe(i, &info, nullptr), APLOMB_OK);
        const bool angle = info.unit == std::string("radians");
        const double unit = angle ? degree : 1;
        const std::string shown = angle ? "degrees" : info.unit;
        text += std::string(".TP\n.B ") + info.name + "\n" + number(info.usual / unit) + "; " +
                number(info.lowest / unit) + " to " + number_within(info.highest / unit) +
                (shown.empty() ? "" : " " + shown) + ". " + info.meaning + ".\n";
    }
    return text;
}

TEST_F(CommandTest, TheManualTellsTheTableOfOptions) {
    const std::string manual = read(std::string(APLOMB_SOURCE_DIR) + "/src/cli/aplomb.1");
    EXPECT_NE(manual.find(manual_lines()), std::string::npos) << manual_lines();
}

TEST_F(CommandTest, AnOptionWithANameOfItsOwnIsTheSameOption) {
    const std::string box = "balance beekeeper.bvh --load 22kg,hands --json ";
    const auto same = [&](const std::string& own, const std::string& table) {
        const Outcome first = run(box + own), second = run(box + table);
        EXPECT_NE(first.status, 2) << first.err;
        EXPECT_EQ(first.out, second.out) << own;
        EXPECT_NE(first.out, run(box).out) << own;
    };
    same("--margin 20%", "--option margin=0.2");
    same("--amount 50%", "--option amount=50%");
    same("--rest 0.5", "--option rest=0.5");
    same("--exact", "--option exact=1");
    same("--thorough", "--option thorough=1");
}

/// From one word to the next of two.
std::string between(const std::string& text, const std::string& first, const std::string& end) {
    const size_t start = text.find(first);
    return start == std::string::npos ? "" : text.substr(start, text.find(end, start) - start);
}

TEST_F(CommandTest, HelpAndManualTellTheTablesDefaults) {
    const std::string help = run("balance --help").out;
    const std::string manual = read(std::string(APLOMB_SOURCE_DIR) + "/src/cli/aplomb.1");
    for (int32_t i = 0; i < aplomb_option_count(); ++i) {
        aplomb_option_info info;
        aplomb_option_info_init(&info, sizeof info);
        EXPECT_EQ(aplomb_option_describe(i, &info, nullptr), APLOMB_OK);
        const std::string name = info.name;
        if (name != "margin" && name != "amount" && name != "rest") continue;
        const std::string usual = name == "rest" ? number(info.usual) : number(100 * info.usual) + "%";
        EXPECT_NE(between(help, "--" + name + " ", "]").find("[" + usual), std::string::npos) << help;
        EXPECT_NE(between(manual, "\n.BI \\-\\-" + name + " ", "\n.TP").find("Default: " + usual + "."),
                  std::string::npos)
            << name;
    }
}

TEST_F(CommandTest, AnOptionIsSetByItsNameAndToldInJson) {
    const Outcome usual = run("balance beekeeper.bvh --load 22kg,hands --json");
    EXPECT_NE(usual.out.find("\"hips_side\": 0.03"), std::string::npos);
    const Outcome set =
        run("balance beekeeper.bvh --load 22kg,hands --option max_trunk=4 --option aim=0.02 --json");
    EXPECT_NE(set.out.find("\"aim\": 0.02"), std::string::npos) << set.err;
    EXPECT_NE(set.out.find("\"max_trunk\": 0.0698"), std::string::npos);
}

TEST_F(CommandTest, TheBoundsThatARefusalTellsAreAllowed) {
    for (int32_t i = 0; i < aplomb_option_count(); ++i) {
        aplomb_option_info info;
        aplomb_option_info_init(&info, sizeof info);
        EXPECT_EQ(aplomb_option_describe(i, &info, nullptr), APLOMB_OK);
        const std::string option = std::string("balance beekeeper.bvh --option ") + info.name + "=";
        const Outcome refused = run(option + "-1");
        std::smatch bounds;
        ASSERT_TRUE(
            std::regex_search(refused.err, bounds, std::regex(": (\\S+) to (\\S+)( degrees)? are allowed")))
            << refused.err;
        EXPECT_NE(run(option + bounds.str(1)).status, 2) << option << bounds[1];
        EXPECT_NE(run(option + bounds.str(2)).status, 2) << option << bounds[2];
    }
}

TEST_F(CommandTest, AWrongOptionIsNamedWithItsRange) {
    const auto refuses = [&](const std::string& option, const std::string& words) {
        const Outcome outcome = run("balance beekeeper.bvh --option " + option);
        EXPECT_EQ(outcome.status, 2) << option;
        EXPECT_NE(outcome.err.find(words), std::string::npos) << outcome.err;
    };
    refuses("hips=0.05", "there is no option \"hips\"");
    refuses("hips_side", "NAME=VALUE is needed");
    refuses("hips_side=soft", "a bare number is needed");
    refuses("max_hips=30", "0.001 to 3 are allowed");
    refuses("max_trunk=500", "degrees are allowed");
    refuses("thorough=0.5", "a whole number is needed");
}

} // namespace
} // namespace command

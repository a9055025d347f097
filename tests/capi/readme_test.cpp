// SPDX-License-Identifier: MIT
// The program that the README shows is the example that is compiled and run.
#include <gtest/gtest.h>

#include <fstream>
#include <sstream>
#include <string>

namespace {

std::string text_of(const std::string& path) {
    std::ifstream file(std::string(APLOMB_SOURCE_DIR) + "/" + path);
    std::ostringstream text;
    text << file.rdbuf();
    return text.str();
}

TEST(Readme, QuotesTheExampleToTheLetter) {
    const std::string example = text_of("examples/balance.c");
    ASSERT_FALSE(example.empty());
    EXPECT_NE(text_of("README.md").find("```c\n" + example + "```"), std::string::npos);
}

} // namespace

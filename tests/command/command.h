// SPDX-License-Identifier: MIT
// Runs the aplomb command as a user would and looks at what comes out.
#pragma once

#include <sys/wait.h>

#include <gtest/gtest.h>

#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>

namespace command {

namespace fs = std::filesystem;

inline std::string read(const fs::path& path) {
    std::ifstream file(path, std::ios::binary);
    std::ostringstream text;
    text << file.rdbuf();
    return text.str();
}

inline void write(const fs::path& path, const std::string& text) {
    std::ofstream(path, std::ios::binary) << text;
}

struct Outcome {
    int status = -1;
    std::string out, err;
};

/// A folder of its own per test, with the beekeeper in it.
class CommandTest : public testing::Test {
protected:
    void SetUp() override {
        const auto* info = testing::UnitTest::GetInstance()->current_test_info();
        folder = fs::path(APLOMB_BINARY_DIR) / "test_command_files" / info->name();
        fs::remove_all(folder);
        fs::create_directories(folder);
        fs::copy_file(fs::path(APLOMB_SOURCE_DIR) / "examples" / "beekeeper.bvh", folder / "beekeeper.bvh");
    }
    void TearDown() override {
        if (!HasFailure()) fs::remove_all(folder);
    }

    /// `words` as typed in a shell, in the test's folder.
    Outcome run(const std::string& words) const {
        const std::string line = "cd '" + folder.string() + "' && '" APLOMB_COMMAND "' " + words +
                                 " >stdout.txt 2>stderr.txt </dev/null";
        const int result = std::system(line.c_str());
        Outcome outcome;
        if (WIFEXITED(result)) outcome.status = WEXITSTATUS(result);
        outcome.out = read(folder / "stdout.txt");
        outcome.err = read(folder / "stderr.txt");
        return outcome;
    }
    /// Wrong use: status 2, nothing on standard output, one sentence with this in it.
    void refuses(const std::string& words, const std::string& part) const {
        const Outcome outcome = run(words);
        EXPECT_EQ(outcome.status, 2) << words;
        EXPECT_EQ(outcome.out, "") << words;
        EXPECT_EQ(outcome.err.rfind("aplomb: ", 0), 0u) << words << ": " << outcome.err;
        EXPECT_EQ(outcome.err.find('\n'), outcome.err.size() - 1) << words << ": " << outcome.err;
        EXPECT_NE(outcome.err.find(part), std::string::npos) << words << ": " << outcome.err;
    }
    /// Files beside the beekeeper and the two captured streams.
    size_t files_written() const {
        size_t count = 0;
        for (const auto& entry : fs::directory_iterator(folder)) {
            const std::string name = entry.path().filename().string();
            count += name != "beekeeper.bvh" && name != "stdout.txt" && name != "stderr.txt";
        }
        return count;
    }

    fs::path folder;
};

} // namespace command

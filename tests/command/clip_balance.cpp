// SPDX-License-Identifier: MIT
// aplomb balance --frames: a shot is corrected and written once, and how it is misused.
#include "command.h"

#include <algorithm>
#include <sstream>

namespace {

namespace fs = std::filesystem;

class ClipBalanceCommand : public command::CommandTest {
protected:
    /// A column of the table, by its name.
    static std::vector<std::string> column(const std::string& table, const std::string& name) {
        std::istringstream rows(table);
        std::string row, cell;
        std::vector<std::string> cells;
        std::size_t at = 0;
        for (bool heading = true; std::getline(rows, row); heading = false) {
            std::istringstream parts(row);
            for (std::size_t k = 0; std::getline(parts, cell, ','); ++k) {
                if (heading && cell == name) at = k;
                if (!heading && k == at) cells.push_back(cell);
            }
        }
        return cells;
    }
    const std::string held = "balance beekeeper.bvh --frames all --flow 0 --key-acceleration 0";
};

bool has(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

} // namespace

TEST_F(ClipBalanceCommand, CorrectsAndWritesOnce) {
    const command::Outcome made = run(held + " --load 22kg,hands --out lighter.bvh");
    EXPECT_TRUE(has(made.out, "3 frames of clip '")) << made.out << made.err;
    EXPECT_TRUE(has(made.out, "Corrected, by frames")) << made.out;
    EXPECT_TRUE(has(made.out, "Wrote lighter.bvh")) << made.out;
    EXPECT_TRUE(fs::exists(folder / "lighter.bvh"));
    EXPECT_EQ(made.err.find('['), std::string::npos); // no bar where no terminal is
    // What was written is what the table says.
    const std::string keyed = run(held + " --load 22kg,hands --csv").out;
    const std::vector<std::string> before = column(keyed, "margin_before"),
                                   after = column(keyed, "margin_after");
    ASSERT_EQ(before.size(), 3u) << keyed;
    EXPECT_NE(before, after);
    EXPECT_NE(run("read lighter.bvh --frames all --load 22kg,hands --csv").out,
              run("read beekeeper.bvh --frames all --load 22kg,hands --csv").out);
}

TEST_F(ClipBalanceCommand, TellsControlValuesOfEveryFrame) {
    const std::string table = run(held + " --load 22kg,hands --csv").out;
    for (const char* name : {"hips_left", "hips_up", "hips_forward", "chest_bend", "neck_lean"})
        EXPECT_EQ(column(table, name).size(), 3u) << table;
    const std::vector<std::string> part =
        column(run("balance beekeeper.bvh --frames 1..2 --csv").out, "frame");
    EXPECT_EQ(part, (std::vector<std::string>{"1", "2"}));
    const std::string json = run(held + " --load 22kg,hands --json").out;
    EXPECT_TRUE(has(json, "\"hips_forward\": ")) << json;
    EXPECT_TRUE(has(json, "\"ranges\"")) << json;
}

TEST_F(ClipBalanceCommand, APageShowsBeforeAndAfter) {
    const command::Outcome made = run(held + " --load 22kg,hands,forward=0.3 --page shot.html");
    EXPECT_TRUE(has(made.out, "Wrote shot.html")) << made.out << made.err;
    const std::string page = command::read(folder / "shot.html");
    for (const char* part : {"Keyed: ", "Corrected: ", "The same, as corrected", "Hips moved, cm",
                             "Corrected; other frames are as keyed"})
        EXPECT_TRUE(has(page, part)) << part;
}

TEST_F(ClipBalanceCommand, WhatIsExemptIsLeftAsItWas) {
    const command::Outcome made =
        run(held + " --load 22kg,hands --exempt \"0..2=he is a statue\" --out same.bvh");
    EXPECT_TRUE(has(made.out, "comes back as it was keyed")) << made.out << made.err;
    EXPECT_EQ(command::read(folder / "same.bvh"), command::read(folder / "beekeeper.bvh"));
}

TEST_F(ClipBalanceCommand, MisuseIsNamedAndNothingIsWritten) {
    const auto refuses = [&](const std::string& words, const std::string& sentence) {
        const command::Outcome outcome = run("balance beekeeper.bvh --out no.bvh " + words);
        EXPECT_EQ(outcome.status, 2) << words;
        EXPECT_TRUE(has(outcome.err, sentence)) << outcome.err;
        EXPECT_FALSE(fs::exists(folder / "no.bvh"));
    };
    refuses("--frames 2..9", "no such frames; the clip has frames 0 to 2");
    refuses("--frames all --frame 1", "--frame is for one frame and does not go with --frames");
    refuses("--frames all --exempt 0..1", "a reason is missing");
    refuses("--frames all --exempt 0..9=joke", "no such frames");
    refuses("--frames all --exempt 0..1:half=joke", "--exempt 0..1:half=joke: 'half' is not a part, 0 to 1");
    refuses("--frames all --exempt 0..1:150%=joke", "'150%' is not a part, 0 to 1 or 0% to 100%");
    refuses("--frames 1..2 --exempt 0..1=joke --exempt 1..2=jest",
            "--exempt 1..2=jest: overlaps --exempt 0..1=joke");
    refuses("--frames all --flow 150%", "--flow: '150%' is not a part, 0 to 1 or 0% to 100%");
    refuses("--frames all --key-acceleration -1", "--key-acceleration: '-1' is not a part");
    refuses("--frames all --thorough", "--thorough is for one frame");
    refuses("--frames all --csv --json", "--csv does not go with --json");
    refuses("--loop", "--loop goes with --frames");
    refuses("--csv", "--csv goes with --frames");
}

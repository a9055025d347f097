// SPDX-License-Identifier: MIT
// aplomb fit: a list of pairs in, a manner out, and the manner taken by a correction.
#include "command.h"

#include <string>

namespace command {
namespace {

/// Three of the beekeeper's frames, corrected by the command itself in a manner of its own.
class Fit : public CommandTest {
protected:
    static constexpr const char* bold = " --option trunk_fore=16 --option give=1.5 --option hips_side=0.045 ";

    void SetUp() override {
        CommandTest::SetUp();
        std::string from = "beekeeper.bvh", to = "a.bvh", after = "b.bvh";
        for (const std::string frame : {"0", "1", "2"}) {
            const Outcome made = run("balance " + from + " --frame " + frame + " --load " + load(frame) +
                                     bold + "--out " + to);
            ASSERT_EQ(made.status, 0) << made.err;
            from = to, to = after, after = from;
        }
        fs::copy_file(folder / from, folder / "bold.bvh");
        write(folder / "pairs.json", list());
    }
    static std::string load(const std::string& frame) {
        return frame == "0"   ? "22kg,hands"
               : frame == "1" ? "12kg,right-hand,hang=0.35"
                              : "20kg,back,behind=0.25";
    }
    static std::string pair(const std::string& frame) {
        return R"({ "frame": )" + frame + R"(, "load": ")" + load(frame) + R"(" })";
    }
    static std::string list(const std::string& pairs = pair("0") + ", " + pair("1") + ", " + pair("2")) {
        return R"({ "aplomb_pairs": 1, "keyed": { "file": "beekeeper.bvh" }, "by_hand": { "file": "bold.bvh" }, "pairs": [ )" +
               pairs + " ] }";
    }
    /// Of a refusal: its sentence; and nothing is written.
    std::string refused(const std::string& words) const {
        const Outcome outcome = run(words + " --out manner.json");
        EXPECT_EQ(outcome.status, 2) << outcome.out;
        EXPECT_EQ(outcome.out, "");
        EXPECT_FALSE(fs::exists(folder / "manner.json"));
        return outcome.err;
    }
    std::string refused_list(const std::string& text) const {
        write(folder / "pairs.json", text);
        return refused("fit pairs.json");
    }
};

TEST_F(Fit, AMannerIsWrittenAndTakenByACorrection) {
    const Outcome fit = run("fit pairs.json --out manner.json");
    ASSERT_EQ(fit.status, 0) << fit.err;
    EXPECT_EQ(fit.out.rfind("3 pairs tell ", 0), 0u) << fit.out;
    EXPECT_NE(fit.out.find("3 pairs say nothing about "), std::string::npos) << fit.out;
    EXPECT_NE(fit.out.find("\nWrote manner.json\n"), std::string::npos) << fit.out;
    const std::string manner = read(folder / "manner.json");
    EXPECT_NE(manner.find("\"aplomb_manner\": 1"), std::string::npos) << manner;
    EXPECT_NE(manner.find("\"trunk_fore\": 0.2"), std::string::npos) << manner;

    const std::string box = "balance beekeeper.bvh --load 22kg,hands --json ";
    EXPECT_NE(run(box).out, run(box + "--manner manner.json").out);
    // What is given beside a manner holds over it.
    write(folder / "one.json", R"({ "aplomb_manner": 1, "options": { "heft": 0.5, "give": 1.5 } })");
    EXPECT_EQ(run(box + "--manner one.json --option give=1").out, run(box + "--option heft=0.5").out);
}

TEST_F(Fit, TheSameForPrograms) {
    const Outcome fit = run("fit pairs.json --json");
    ASSERT_EQ(fit.status, 0) << fit.err;
    for (const char* key : {"\"trunk_fore\": {", "\"standard_error_factor\": ", "\"told\": false",
                            "\"left_out_error\": ", "\"keyed\": \"clip 'motion', frame 2 "})
        EXPECT_NE(fit.out.find(key), std::string::npos) << key << fit.out;
}

TEST_F(Fit, ListsThatAreNone) {
    EXPECT_NE(refused("fit none.json").find("none.json: cannot be read"), std::string::npos);
    EXPECT_NE(refused_list("{").find("pairs.json is not JSON"), std::string::npos);
    EXPECT_NE(refused_list("{}").find(R"(pairs.json is no list of pairs: it lacks "aplomb_pairs": 1)"),
              std::string::npos);
    EXPECT_NE(refused_list(list("")).find("pairs.json: 'pairs' is empty"), std::string::npos);
    EXPECT_NE(refused_list(list(R"({ "lode": "2kg,back" })"))
                  .find("pairs.json, pair 0 has an unknown key 'lode'; near: 'load'"),
              std::string::npos);
    EXPECT_NE(refused_list(list(R"({ "load": 2 })")).find("pairs.json, pair 0: 'load' is 2, not a text"),
              std::string::npos);
}

TEST_F(Fit, PairsThatTellNothing) {
    EXPECT_NE(refused_list(list(pair("0"))).find("1 pair is given; a manner takes 2 to 1000."),
              std::string::npos);
    const std::string same = R"({ "by_hand": { "file": "beekeeper.bvh" } })";
    EXPECT_NE(refused_list(list(pair("0") + ", " + same))
                  .find("Pair 1: nothing was changed from the keyed pose to the animator's."),
              std::string::npos);
    EXPECT_NE(refused_list(list(pair("9"))).find("pairs.json, pair 0: --frame 9: clip 'motion' has"),
              std::string::npos);
}

TEST_F(Fit, PairsOfAnotherFigure) {
    std::string text = read(folder / "beekeeper.bvh");
    text.replace(text.find("JOINT "), 6, "JOINT Other");
    write(folder / "other.bvh", text);
    const std::string said = refused_list(list(pair("0") + R"(, { "by_hand": { "file": "other.bvh" } })"));
    EXPECT_NE(
        said.find(
            "pairs.json, pair 1, by_hand: other.bvh is another figure than beekeeper.bvh: joint 1 is 'Other"),
        std::string::npos)
        << said;
}

TEST_F(Fit, MannersThatAreNone) {
    const auto said = [&](const std::string& text) {
        write(folder / "manner.json", text);
        const Outcome outcome =
            run("balance beekeeper.bvh --load 22kg,hands --manner manner.json --out out.bvh");
        EXPECT_EQ(outcome.status, 2);
        EXPECT_FALSE(fs::exists(folder / "out.bvh"));
        return outcome.err;
    };
    EXPECT_NE(said("[]").find("'manner.json': it is no manner: the key 'aplomb_manner' is missing"),
              std::string::npos);
    EXPECT_NE(said(R"({ "aplomb_manner": 2, "options": {} })")
                  .find("'aplomb_manner' is 2; this library knows version 1"),
              std::string::npos);
    EXPECT_NE(said(R"({ "aplomb_manner": 1, "options": { "trunk_for": 1 } })")
                  .find("the manner sets 'trunk_for', which is no option; near: 'trunk_fore'"),
              std::string::npos);
    EXPECT_NE(said(R"({ "aplomb_manner": 1, "options": { "give": 3 } })")
                  .find("options.give is 3; 0 to 2 are allowed."),
              std::string::npos);
    EXPECT_NE(said(R"({ "aplomb_manner": 1, "options": { "give": "much" } })")
                  .find(R"('give' of the manner is "much", not a number)"),
              std::string::npos);
}

} // namespace
} // namespace command

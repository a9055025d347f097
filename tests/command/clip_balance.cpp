// SPDX-License-Identifier: MIT
// aplomb balance --frames: a shot is corrected and written once, and how it is misused.
#include "command.h"

#include "aplomb/files.h"
#include "json/json.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <sstream>
#include <vector>

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

/// A character's file as a program reads it.
class Opened {
public:
    struct Pose {
        std::vector<double> translations, rotations;
        double off(const Pose& other, int joint) const {
            const std::size_t j = static_cast<std::size_t>(joint);
            double most = 0, same = 0, opposite = 0;
            for (std::size_t k = 3 * j; k < 3 * j + 3; ++k)
                most = std::max(most, std::fabs(translations[k] - other.translations[k]));
            for (std::size_t k = 4 * j; k < 4 * j + 4; ++k) {
                same = std::max(same, std::fabs(rotations[k] - other.rotations[k]));
                opposite = std::max(opposite, std::fabs(rotations[k] + other.rotations[k]));
            }
            return std::max(most, std::min(same, opposite));
        }
    };
    explicit Opened(const fs::path& path) {
        aplomb_error error{};
        EXPECT_EQ(aplomb_character_open(path.c_str(), nullptr, &character_, &error), APLOMB_OK)
            << error.message;
    }
    ~Opened() { aplomb_character_close(character_); }
    Opened(const Opened&) = delete;
    Opened& operator=(const Opened&) = delete;

    int joints() const { return aplomb_figure_joint_count(aplomb_character_figure(character_)); }
    int joint(const char* name) const {
        return aplomb_figure_find_joint(aplomb_character_figure(character_), name);
    }
    int clip(const std::string& name) const {
        for (int k = 0; const char* other = aplomb_character_clip_name(character_, k); ++k)
            if (name == other) return k;
        return -1;
    }
    std::vector<double> times(int clip) const {
        const int32_t count = aplomb_character_key_times(character_, clip, nullptr, 0);
        std::vector<double> times(static_cast<std::size_t>(count));
        aplomb_character_key_times(character_, clip, times.data(), count);
        return times;
    }
    Pose pose(int clip, double seconds) const {
        Pose pose{std::vector<double>(3 * static_cast<std::size_t>(joints())),
                  std::vector<double>(4 * static_cast<std::size_t>(joints()))};
        aplomb_character_pose(character_, clip, seconds, pose.translations.data(), pose.rotations.data(),
                              nullptr);
        return pose;
    }
    /// Joints that a clip moves away from the pose of the nodes.
    std::set<int> moving(int clip) const {
        std::set<int> all;
        const Pose rest = pose(-1, 0);
        for (const double seconds : times(clip))
            for (int j = 0; j < joints(); ++j)
                if (pose(clip, seconds).off(rest, j) > 0) all.insert(j);
        return all;
    }

private:
    aplomb_character* character_ = nullptr;
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
    for (const char* name :
         {"hips_left", "hips_up", "hips_forward", "chest_bend", "neck_lean", "right_hand_z"})
        EXPECT_EQ(column(table, name).size(), 3u) << table;
    const std::vector<std::string> part =
        column(run("balance beekeeper.bvh --frames 1..2 --csv").out, "frame");
    EXPECT_EQ(part, (std::vector<std::string>{"1", "2"}));
    const std::string json = run(held + " --load 22kg,hands --json").out;
    EXPECT_TRUE(has(json, "\"hips_forward\": ")) << json;
    EXPECT_TRUE(has(json, "\"ranges\"")) << json;
}

TEST_F(ClipBalanceCommand, ArmsAreKeyedOnesTurnedByTheirValues) {
    const aplomb::Json json =
        aplomb::Json::parse(run(held + " --load 22kg,hands --json --out lighter.bvh").out);
    const aplomb::Json& frame = json["frames"][1];
    const auto v = frame["controls"]["left_upper_arm"].get<std::vector<double>>();
    const double angle = std::sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]);
    ASSERT_GT(angle, 0.02);
    const Opened keyed(folder / "beekeeper.bvh"), made(folder / "lighter.bvh");
    const double seconds = frame["seconds"].get<double>(), part = std::sin(angle / 2) / angle;
    const Opened::Pose was = keyed.pose(0, seconds), is = made.pose(0, seconds);
    const int joint = keyed.joint("left_upper_arm");
    const double* k = was.rotations.data() + 4 * joint;
    const double t[] = {v[0] * part, v[1] * part, v[2] * part, std::cos(angle / 2)};
    Opened::Pose turned = was;
    double* product = turned.rotations.data() + 4 * joint;
    product[0] = k[3] * t[0] + k[0] * t[3] + k[1] * t[2] - k[2] * t[1];
    product[1] = k[3] * t[1] + k[1] * t[3] + k[2] * t[0] - k[0] * t[2];
    product[2] = k[3] * t[2] + k[2] * t[3] + k[0] * t[1] - k[1] * t[0];
    product[3] = k[3] * t[3] - k[0] * t[0] - k[1] * t[1] - k[2] * t[2];
    EXPECT_LT(turned.off(is, joint), 1e-6); // the file's digits
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

/// Keyed clip with the layer's tracks over it, against the clip that the correction went into.
TEST_F(ClipBalanceCommand, ALayerOverTheKeyedClipIsTheCorrectedClip) {
    fs::copy_file(fs::path(APLOMB_SOURCE_DIR) / "examples" / "beekeeper_shots.glb", folder / "shots.glb");
    const std::string words = "balance shots.glb --clip walk --frames all --load 22kg,hands --out ";
    EXPECT_TRUE(has(run(words + "baked.glb").out, "Wrote baked.glb"));
    EXPECT_TRUE(has(run(words + "layer.glb --layer").out, "Wrote layer.glb"));
    const Opened keyed(folder / "shots.glb"), baked(folder / "baked.glb"), layer(folder / "layer.glb");
    const int walk = keyed.clip("walk"), over = layer.clip("walk correction");
    ASSERT_GE(over, 0);
    EXPECT_EQ(baked.clip("walk correction"), -1);
    const std::set<int> tracks = layer.moving(over);
    ASSERT_FALSE(tracks.empty());
    double changed = 0;
    for (const double seconds : keyed.times(walk)) {
        const Opened::Pose was = keyed.pose(walk, seconds), is = layer.pose(walk, seconds),
                           top = layer.pose(over, seconds), all = baked.pose(walk, seconds);
        EXPECT_EQ(was.translations, is.translations) << seconds; // the keyed clip is as it was
        EXPECT_EQ(was.rotations, is.rotations) << seconds;
        for (int j = 0; j < layer.joints(); ++j) {
            const Opened::Pose& from = tracks.contains(j) ? top : was;
            EXPECT_LE(from.off(all, j), 1e-9) << seconds << " " << j;
            changed = std::max(changed, was.off(all, j));
        }
    }
    EXPECT_GT(changed, 0.01); // else there was nothing to see
}

TEST_F(ClipBalanceCommand, OnItsOwnKeysAClipWithAKeyInEveryFrameIsTheBakedOne) {
    fs::copy_file(fs::path(APLOMB_SOURCE_DIR) / "examples" / "beekeeper_shots.glb", folder / "shots.glb");
    const std::string words = "balance shots.glb --clip walk --frames all --load 22kg,hands --out ";
    EXPECT_TRUE(has(run(words + "baked.glb").out, "Wrote baked.glb"));
    const command::Outcome own = run(words + "own.glb --own-keys 24 --page own.html");
    EXPECT_TRUE(has(own.out,
                    "Written on the keys that the clip has; none was added. A foot that stands is off its "
                    "place by 0.0 mm at most, the centre of mass by 0.0 cm."))
        << own.out << own.err;
    EXPECT_TRUE(has(own.out, "Wrote own.glb")) << own.out;
    const Opened a(folder / "baked.glb"), b(folder / "own.glb");
    const int walk = a.clip("walk");
    ASSERT_EQ(b.clip("walk"), walk);
    for (const double seconds : a.times(walk)) {
        const Opened::Pose baked = a.pose(walk, seconds), is = b.pose(walk, seconds);
        for (int j = 0; j < a.joints(); ++j)
            EXPECT_LE(baked.off(is, j), 1e-5) << seconds << " " << j;
    }
    // At half the rate it is corrected at 15 moments, and written on 29 keys.
    const std::string json = run(words + "half.glb --own-keys 12 --json").out;
    EXPECT_TRUE(has(json, "\"frame\": 14")) << json;
    EXPECT_FALSE(has(json, "\"frame\": 15")) << json;
    for (const char* part : {"\"added_keys\": []", "\"drift\": ", "\"centre_off\": "})
        EXPECT_TRUE(has(json, part)) << part;
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
    refuses("--frames all --layer", "no room for a layer");
    refuses("--frames all --own-keys 24", "a BVH has a value in every frame, and no keys of its own");
    refuses("--frames all --own-keys 24 --layer", "--own-keys does not go with --layer");
    refuses("--frames all --own-keys none", "--own-keys: 'none' is not a number above 0");
    refuses("--frames all --own-keys 9e9", "--own-keys makes more than a million frames of this clip");
    refuses("--frame 1 --own-keys 24", "--own-keys goes with --frames");
    refuses("--layer", "--layer goes with --frames");
    EXPECT_TRUE(has(run("balance beekeeper.bvh --frames all --layer").err, "--layer goes with --out"));
    refuses("--loop", "--loop goes with --frames");
    refuses("--csv", "--csv goes with --frames");
}

// SPDX-License-Identifier: MIT
// aplomb balance --frames: blocking passes, and flights.
#include "command.h"

#include "aplomb/files.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <sstream>
#include <vector>

namespace {

namespace fs = std::filesystem;

bool has(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

std::uint32_t word_at(const std::string& bytes, std::size_t at) {
    std::uint32_t word = 0;
    std::memcpy(&word, &bytes[at], sizeof word);
    return word;
}

/// The JSON of a .glb, and what follows it.
struct Glb {
    std::string json, rest;

    explicit Glb(const std::string& bytes) {
        const std::size_t length = word_at(bytes, 12);
        json = bytes.substr(20, length), rest = bytes.substr(20 + length);
    }
    std::string bytes() const {
        std::string text = json;
        text.resize((text.size() + 3) / 4 * 4, ' ');
        std::string all = "glTF";
        for (const std::size_t word : {std::size_t{2}, 20 + text.size() + rest.size(), text.size()})
            all += {static_cast<char>(word), static_cast<char>(word >> 8), static_cast<char>(word >> 16),
                    static_cast<char>(word >> 24)};
        return all + "JSON" + text + rest;
    }
};

std::size_t count_of(const std::string& text, const std::string& part) {
    std::size_t count = 0;
    for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1))
        ++count;
    return count;
}

/// A clip of a file, by its name.
class Poses {
public:
    Poses(const fs::path& path, const std::string& name) {
        aplomb_error error{};
        EXPECT_EQ(aplomb_character_open(path.c_str(), nullptr, &character_, &error), APLOMB_OK)
            << error.message;
        while (name != aplomb_character_clip_name(character_, clip_))
            ++clip_;
        times.resize(static_cast<std::size_t>(aplomb_character_key_times(character_, clip_, nullptr, 0)));
        aplomb_character_key_times(character_, clip_, times.data(), static_cast<int32_t>(times.size()));
    }
    ~Poses() { aplomb_character_close(character_); }
    Poses(const Poses&) = delete;
    Poses& operator=(const Poses&) = delete;

    /// Translations, then rotations.
    std::vector<double> at(double seconds) const {
        const auto joints =
            static_cast<std::size_t>(aplomb_figure_joint_count(aplomb_character_figure(character_)));
        std::vector<double> pose(7 * joints);
        aplomb_character_pose(character_, clip_, seconds, pose.data(), pose.data() + 3 * joints, nullptr);
        return pose;
    }
    std::vector<double> times;

private:
    aplomb_character* character_ = nullptr;
    int32_t clip_ = 0;
};

double off(const std::vector<double>& a, const std::vector<double>& b) {
    double most = 0;
    for (std::size_t k = 0; k < a.size(); ++k)
        most = std::max(most, std::fabs(a[k] - b[k]));
    return most;
}

class PassesCommand : public command::CommandTest {
protected:
    /// The demo's walk with tracks that step.
    void make_stepped() const {
        Glb glb(command::read(fs::path(APLOMB_SOURCE_DIR) / "examples" / "beekeeper_shots.glb"));
        const std::string before = "{\"input\":";
        for (std::size_t at = glb.json.find(before); at != std::string::npos;
             at = glb.json.find(before, at + 2))
            glb.json.insert(at + 1, "\"interpolation\":\"STEP\",");
        std::ofstream(folder / "stepped.glb", std::ios::binary) << glb.bytes();
    }
    /// The demo's keeper stands, and goes up and down in the air as with this part of gravity.
    void make_jump(double gravity) const {
        std::istringstream lines(command::read(folder / "beekeeper.bvh"));
        std::string line, text;
        while (std::getline(lines, line) && line.rfind("Frames:", 0) != 0)
            text += line + "\n";
        std::getline(lines, line); // the frame's time
        std::getline(lines, line);
        std::istringstream numbers(line);
        double x = 0, y = 0;
        std::string rest;
        numbers >> x >> y;
        std::getline(numbers, rest);
        text += "Frames: 61\nFrame Time: 0.0333333333\n";
        for (int f = 0; f < 61; ++f) {
            const double s = std::clamp((f - 20) / 30., 0., .6);
            std::ostringstream row;
            row.precision(12);
            row << x << " " << y + gravity * 9.80665 * s * (.6 - s) / 2 << rest;
            text += row.str() + "\n";
        }
        std::ofstream(folder / "jump.bvh") << text;
    }
};

} // namespace

/// Each key is what `--frame` makes of it, and is held until the next.
TEST_F(PassesCommand, ASteppedClipStaysStepped) {
    make_stepped();
    const std::string words = "balance stepped.glb --clip walk --load 12kg,left-hand ";
    const command::Outcome made =
        run(words + "--frames all --blocking --out blocked.glb --page blocked.html");
    EXPECT_TRUE(has(made.out, "Its tracks all step: each pose is held until the next key."))
        << made.out << made.err;
    EXPECT_TRUE(has(made.out, "Each key is taken alone, as a still pose.\n")) << made.out;
    EXPECT_TRUE(has(made.out, "Wrote blocked.html")) << made.out;
    EXPECT_TRUE(has(command::read(folder / "blocked.html"), "The same, as corrected"));
    const std::string json = Glb(command::read(folder / "blocked.glb")).json;
    EXPECT_EQ(count_of(json, "\"interpolation\":\"STEP\""), count_of(json, "\"interpolation\""));
    EXPECT_GT(count_of(json, "\"interpolation\":\"STEP\""), 0u);

    const Poses keyed(folder / "stepped.glb", "walk"), blocked(folder / "blocked.glb", "walk");
    ASSERT_EQ(keyed.times, blocked.times);
    double changed = 0;
    for (std::size_t k = 0; k + 1 < keyed.times.size(); ++k) {
        const double t = keyed.times[k], next = keyed.times[k + 1];
        EXPECT_EQ(off(blocked.at(t), blocked.at(t + .99 * (next - t))), 0) << k;
        changed = std::max(changed, off(keyed.at(t), blocked.at(t)));
    }
    EXPECT_GT(changed, .02);
    for (const std::size_t k : {std::size_t{0}, std::size_t{5}, std::size_t{12}}) {
        const std::string name = "one" + std::to_string(k) + ".glb";
        run(words + "--frame " + std::to_string(k) + " --out " + name);
        EXPECT_LE(off(Poses(folder / name, "walk").at(keyed.times[k]), blocked.at(keyed.times[k])), 1e-9)
            << k;
    }
    // Without it the poses move on under one rule, and are held all the same.
    const command::Outcome moved = run(words + "--frames all --out moved.glb");
    EXPECT_TRUE(has(moved.out, "each pose is held until the next key")) << moved.out;
    const Poses other(folder / "moved.glb", "walk");
    EXPECT_GT(off(other.at(keyed.times[5]), blocked.at(keyed.times[5])), 1e-4);
    EXPECT_EQ(off(other.at(keyed.times[5]), other.at(.5 * (keyed.times[5] + keyed.times[6]))), 0);
}

TEST_F(PassesCommand, BlockingOfAClipThatDoesNotStepSaysSo) {
    fs::copy_file(fs::path(APLOMB_SOURCE_DIR) / "examples" / "beekeeper_shots.glb", folder / "shots.glb");
    const command::Outcome made = run("read shots.glb --clip walk --frames all --blocking");
    EXPECT_TRUE(has(made.out, "as a still pose; between keys go the file's own curves."))
        << made.out << made.err;
    EXPECT_FALSE(has(made.out, "tracks all step")) << made.out;
    EXPECT_FALSE(has(made.out, "Steps:")) << made.out;
    for (const char* option : {"--loop", "--held", "--flights found", "--flow 50%", "--key-acceleration 0",
                               "--own-keys 24 --out no.glb"})
        refuses(std::string("balance shots.glb --clip walk --frames all --blocking ") + option,
                "is for a body that moves and does not go with --blocking");
    refuses("balance shots.glb --clip walk --frames all --blocking --belt find",
            "does not go with --blocking");
    refuses("balance shots.glb --clip walk --blocking", "--blocking goes with --frames");
    refuses("read shots.glb --clip walk --blocking", "--blocking goes with --frames");
}

TEST_F(PassesCommand, AFlightIsToldInTextJsonAndOnThePage) {
    make_jump(.8);
    const command::Outcome made =
        run("balance jump.bvh --frames all --flights 21..37 --out arc.bvh --page arc.html");
    EXPECT_TRUE(has(made.out, "Frames 21 to 37 fall freely, the body moved by up to "))
        << made.out << made.err;
    for (const char* part : {"Flights, now on free-fall arcs", "Height of the centre of mass, cm over time",
                             "In the air, as keyed"})
        EXPECT_TRUE(has(command::read(folder / "arc.html"), part)) << part;
    EXPECT_TRUE(has(command::read(folder / "arc.html"), "fall freely, the body moved by up to"));
    const std::string json = run("balance jump.bvh --frames all --flights 21..37 --json").out;
    for (const char* part : {"\"arcs\"", "\"fitting_seconds\"", "\"take_off\"", "\"given\": true"})
        EXPECT_TRUE(has(json, part)) << json;
    EXPECT_FALSE(has(run("balance jump.bvh --frames all --json").out, "\"arcs\""));
    // What was written falls as it should.
    const std::string read = run("read arc.bvh --frames all").out;
    EXPECT_TRUE(has(read, "9.8")) << read;
    EXPECT_TRUE(has(run("balance jump.bvh --frames all --flights found").out, "fall freely"));
    EXPECT_TRUE(
        has(run("balance beekeeper.bvh --frames all --flights found").out, "No flight reads as a free fall"));
    refuses("balance jump.bvh --frames all --flights 5..30", "aplomb: --flights 5..30: the ");
    refuses("balance jump.bvh --frames all --flights 5..30", "foot stands in frames");
    refuses("balance jump.bvh --frames all --flights 21..99", "--flights 21..99: no such frames");
    refuses("balance jump.bvh --frames all --flights 21..30,30..37", "--flights 30..37: overlaps 21..30");
    refuses("balance jump.bvh --frames 21..40 --flights 21..37",
            "a frame before it and one after it, among frames 21 to 40");
    refuses("balance jump.bvh --frames all --flights 40..5", "--flights 40..5: no such frames");
    refuses("balance jump.bvh --frames all --loop --flights 40..5", "foot stands in frames");
    refuses("balance jump.bvh --frames all --loop --flights 40..5,3..4", "--flights 3..4: overlaps 40..5");
    refuses("balance jump.bvh --frames all --flights lost", "it is written as found, or as 12..30,48..60");
    refuses("balance jump.bvh --flights found", "--flights goes with --frames");
    refuses("balance jump.bvh --held", "--held goes with --frames");
    EXPECT_TRUE(
        has(run("balance jump.bvh --frames all --held --flights 21..37").out, "Frames 21 to 37 fall freely"));
}

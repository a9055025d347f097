// SPDX-License-Identifier: MIT
// Many corrected frames of a clip in one write.
#include "io/bvh_character.h"
#include "io/corrected_frames.h"
#include "io/fault.h"
#include "io/gltf_accessor.h"
#include "io/gltf_character.h"

#include "made_files.h"
#include "opened.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>

using namespace aplomb;
using namespace aplomb::io;
using made::Character;
using made::Gltf;

namespace {

const float half = 0.70710678f;
const std::string kinds[] = {"LINEAR", "STEP", "CUBICSPLINE"};

Quat turned(double x, double y = 0) {
    return exp_rotation({x, y, 0});
}

double angle_between(const Quat& a, const Quat& b) {
    return norm(log_rotation(conjugate(a) * b));
}

/// Two joints; the second turns and the first moves, keys at 0, 1 and 2 s. Both joints' turns are one sampler, and a
/// second clip is over the same accessors.
Gltf sharing(const std::string& kind) {
    Gltf file;
    file.node("base", -1);
    file.node("top", 0, {{"translation", Json::array({0, 2, 0})}});
    file.json["skins"].push_back({{"joints", Json::array({0, 1})}});
    if (kind == "CUBICSPLINE")
        file.track(0, 1, "rotation", {0, 1, 2},
                   {0,    0,    0, 0, 0, 0, 0, 1, 0, 0, 0.5f, 0, 0, 0, 0, 0, 0, 0,
                    half, half, 0, 0, 0, 0, 0, 0, 0, 0, 0,    0, 1, 0, 0, 0, 0, 0},
                   kind);
    else
        file.track(0, 1, "rotation", {0, 1, 2}, {0, 0, 0, 1, 0, 0, half, half, 0, 0, 1, 0}, kind);
    Json& animation = file.json["animations"][0];
    animation["channels"].push_back({{"sampler", 0}, {"target", {{"node", 0}, {"path", "rotation"}}}});
    file.json["animations"].push_back(animation);
    return file;
}

CorrectedFrame frame_of(const CharacterFile& file, double seconds, const Quat& turn) {
    CorrectedFrame frame{seconds, file.pose(0, seconds), {{1, false, true}}, 0};
    frame.pose.rotations[1] = turn;
    return frame;
}

/// Joint 1 turned at keys and between them, not in order.
std::vector<CorrectedFrame> four_frames(const CharacterFile& file) {
    return {frame_of(file, 1.25, turned(0.4)), frame_of(file, 0, turned(0.1)),
            frame_of(file, 1, turned(0.3, 1)), frame_of(file, 0.5, turned(0.2))};
}

std::string failure(const CharacterFile& file, const aplomb_corrected_frames& frames, int index) {
    try {
        file.rewritten(frames.clip, read_frames(file, frames), "out");
    } catch (const Fault& fault) {
        EXPECT_EQ(fault.index, index) << fault.message;
        return fault.message;
    }
    return "no fault";
}

Character open(const std::filesystem::path& path) {
    aplomb_character* character = nullptr;
    aplomb_error error{};
    EXPECT_EQ(aplomb_character_open(path.c_str(), nullptr, &character, &error), APLOMB_OK) << error.message;
    return Character(character);
}

/// The arrays of a caller who leans joint 1 at some moments of clip 0.
struct Leaning {
    aplomb_corrected_frames frames;
    std::vector<double> seconds, translations, rotations;

    Leaning(const Character& character, int32_t clip, std::vector<double> moments)
        : seconds(std::move(moments)) {
        const aplomb_figure* figure = aplomb_character_figure(character.get());
        const auto joints = static_cast<std::size_t>(aplomb_figure_joint_count(figure));
        constexpr std::size_t leant_joint = 1;
        translations.resize(3 * joints * seconds.size());
        rotations.resize(4 * joints * seconds.size());
        for (std::size_t f = 0; f < seconds.size(); ++f) {
            aplomb_error error{};
            double* turns = &rotations[4 * joints * f];
            EXPECT_EQ(aplomb_character_pose(character.get(), clip, seconds[f], &translations[3 * joints * f],
                                            turns, &error),
                      APLOMB_OK)
                << error.message;
            translations[3 * joints * f + 1] += 0.01; // the root
            double* q = turns + 4 * leant_joint;
            const Quat leant = Quat{q[0], q[1], q[2], q[3]} * turned(0.05);
            q[0] = leant.x, q[1] = leant.y, q[2] = leant.z, q[3] = leant.w;
        }
        aplomb_corrected_frames_init(&frames, sizeof frames);
        frames.clip = clip, frames.count = static_cast<int32_t>(seconds.size());
        frames.seconds = seconds.data();
        frames.translations = translations.data(), frames.rotations = rotations.data();
    }
};

/// The file has each pose at its moment.
void expect_poses(const Character& written, const Leaning& leaning) {
    const std::size_t frames = leaning.seconds.size();
    std::vector<double> translations(leaning.translations.size() / frames),
        rotations(leaning.rotations.size() / frames);
    double furthest = 0;
    for (std::size_t f = 0; f < frames; ++f) {
        ASSERT_EQ(aplomb_character_pose(written.get(), leaning.frames.clip, leaning.seconds[f],
                                        translations.data(), rotations.data(), nullptr),
                  APLOMB_OK);
        for (std::size_t i = 0; i < translations.size(); ++i)
            furthest = std::max(
                furthest, std::fabs(translations[i] - leaning.translations[translations.size() * f + i]));
        for (std::size_t i = 0; i < rotations.size(); i += 4) {
            const double *found = &rotations[i], *wished = &leaning.rotations[rotations.size() * f + i];
            const double cosine =
                found[0] * wished[0] + found[1] * wished[1] + found[2] * wished[2] + found[3] * wished[3];
            furthest = std::max(furthest, 1 - std::fabs(cosine)); // q and -q are one rotation
        }
    }
    EXPECT_LT(furthest, 1e-5) << frames;
}

/// Evenly over the clip, none on its ends.
std::vector<double> moments_of(const Character& character, int32_t clip, int count) {
    const int keys = aplomb_character_key_times(character.get(), clip, nullptr, 0);
    std::vector<double> times(static_cast<std::size_t>(keys)), moments;
    aplomb_character_key_times(character.get(), clip, times.data(), keys);
    for (int i = 0; i < count; ++i)
        moments.push_back(times.front() + (times.back() - times.front()) * (i + 0.5) / count);
    return moments;
}

} // namespace

TEST(GltfFrames, EveryFrameHasItsPoseAndTheOthersStay) {
    for (const std::string& kind : kinds) {
        for (const bool binary : {false, true}) {
            const auto before = open_gltf(binary ? sharing(kind).glb() : sharing(kind).text(), "", "");
            const std::vector<CorrectedFrame> frames = four_frames(*before);
            const auto after = open_gltf(before->rewritten(0, frames, "out.gltf"), "", "");
            for (const CorrectedFrame& frame : frames)
                EXPECT_LT(angle_between(after->pose(0, frame.seconds).rotations[1], frame.pose.rotations[1]),
                          1e-6)
                    << kind << frame.seconds;
            EXPECT_EQ(after->key_times(0), (std::vector<double>{0, 0.5, 1, 1.25, 2}));
            EXPECT_EQ(angle_between(after->pose(0, 2).rotations[1], before->pose(0, 2).rotations[1]), 0);
            // The same sampler in joint 0, the same accessors in clip 1.
            for (double t = 0; t <= 2; t += 0.125) {
                EXPECT_EQ(angle_between(after->pose(0, t).rotations[0], before->pose(0, t).rotations[0]), 0);
                EXPECT_EQ(angle_between(after->pose(1, t).rotations[1], before->pose(1, t).rotations[1]), 0);
            }
        }
    }
}

TEST(GltfFrames, ALayerHoldsTheChangedTracksAloneAndTheClipStays) {
    for (const std::string& kind : kinds) {
        const auto before = open_gltf(sharing(kind).text(), "", "");
        const std::vector<CorrectedFrame> frames = four_frames(*before);
        const auto after = open_gltf(before->rewritten(0, frames, "out.gltf", "top swings"), "", "");
        ASSERT_EQ(after->clip_count(), before->clip_count() + 1);
        const int layer = before->clip_count();
        EXPECT_EQ(after->clip_name(layer), "top swings");
        EXPECT_EQ(after->key_times(layer), (std::vector<double>{0, 0.5, 1, 1.25}));
        for (const CorrectedFrame& frame : frames) {
            EXPECT_LT(angle_between(after->pose(layer, frame.seconds).rotations[1], frame.pose.rotations[1]),
                      1e-6);
            EXPECT_EQ(angle_between(after->pose(0, frame.seconds).rotations[1],
                                    before->pose(0, frame.seconds).rotations[1]),
                      0);
            // The other joint has no track in it.
            EXPECT_EQ(angle_between(after->pose(layer, frame.seconds).rotations[0],
                                    before->pose(-1, 0).rotations[0]),
                      0);
        }
        EXPECT_EQ(before->rewritten(0, {}, "out.gltf", "nothing"), before->rewritten(0, {}, "out.gltf"));
        EXPECT_THROW(before->rewritten(-1, frames, "out.gltf", "nodes"), Fault);
    }
}

TEST(GltfFrames, TheirOrderDoesNotMatter) {
    for (const std::string& kind : kinds) {
        const auto file = open_gltf(sharing(kind).text(), "", "");
        std::vector<CorrectedFrame> frames = four_frames(*file);
        const std::string bytes = file->rewritten(0, frames, "out.gltf");
        std::swap(frames[0], frames[3]);
        std::swap(frames[1], frames[2]);
        EXPECT_EQ(file->rewritten(0, frames, "out.gltf"), bytes) << kind;
    }
}

// Otherwise it would lie between its changed neighbours.
TEST(GltfFrames, AnUnchangedFrameBesideAChangedOneKeepsItsPose) {
    for (const std::string& kind : kinds) {
        const auto before = open_gltf(sharing(kind).text(), "", "");
        std::vector<CorrectedFrame> frames = {
            frame_of(*before, 0, turned(0.8)), frame_of(*before, 1, turned(0.9)), {}};
        frames[2] = {0.3, before->pose(0, 0.3), {}, 2};
        const auto after = open_gltf(before->rewritten(0, frames, "out.gltf"), "", "");
        EXPECT_LT(
            angle_between(after->pose(0, 0.3).rotations[1], normalized(before->pose(0, 0.3).rotations[1])),
            1e-6)
            << kind;
        EXPECT_LT(angle_between(after->pose(0, 1).rotations[1], turned(0.9)), 1e-6) << kind;
    }
}

TEST(GltfFrames, ACubicKeyPutInIsOfUnitLength) {
    const auto before = open_gltf(sharing("CUBICSPLINE").text(), "", "");
    const std::vector<CorrectedFrame> frames = {frame_of(*before, 1, turned(0.1)),
                                                {0.5, before->pose(0, 0.5), {}, 1}};
    GltfDocument written(before->rewritten(0, frames, "out.gltf"), "");
    const Json& samplers = written.json()["animations"][0]["samplers"];
    const auto output = samplers[samplers.size() - 1]["output"].get<std::size_t>();
    const std::vector<double> values = read_accessor(written, output, "VEC4");
    ASSERT_EQ(values.size(), 4u * 3 * 4);
    for (std::size_t key = 0; key < 4; ++key) {
        const double* q = &values[4 * (3 * key + 1)];
        EXPECT_NEAR(q[0] * q[0] + q[1] * q[1] + q[2] * q[2] + q[3] * q[3], 1, 1e-6) << key;
    }
}

TEST(GltfFrames, NormalisedWholeNumbersAndSparseValues) {
    Gltf file;
    file.node("base", -1);
    file.node("top", 0, {{"translation", Json::array({0, 2, 0})}});
    file.json["skins"].push_back({{"joints", Json::array({0, 1})}});
    file.track(0, 1, "rotation", {0, 1, 2}, {0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1});
    file.track(0, 1, "translation", {0, 1, 2}, {0, 1, 0, 0, 2, 0, 0, 3, 0});
    Json& samplers = file.json["animations"][0]["samplers"];
    // (0, 0, 0, 1) three times as normalised shorts
    std::string shorts;
    for (int key = 0; key < 3; ++key)
        shorts += std::string("\0\0\0\0\0\0\xFF\x7F", 8);
    samplers[0]["output"] = file.accessor("VEC4", 5122, 3, shorts, true);
    // the last place is 9 by a sparse value
    const int index = file.accessor("SCALAR", 5121, 1, "\x02");
    const int value = file.floats("VEC3", {0, 9, 0});
    const auto places = samplers[1]["output"].get<std::size_t>();
    file.json["accessors"][places]["sparse"] = {
        {"count", 1},
        {"indices",
         {{"bufferView", file.json["accessors"][static_cast<std::size_t>(index)]["bufferView"]},
          {"componentType", 5121}}},
        {"values", {{"bufferView", file.json["accessors"][static_cast<std::size_t>(value)]["bufferView"]}}}};
    const auto before = open_gltf(file.glb(), "", "");
    EXPECT_EQ(before->pose(0, 2).translations[1].y, 9);
    std::vector<CorrectedFrame> frames = four_frames(*before);
    for (CorrectedFrame& frame : frames) {
        frame.pose.translations[1].y = 5 + frame.seconds;
        frame.changes[0].translation = true;
    }
    const auto after = open_gltf(before->rewritten(0, frames, "out.glb"), "", "");
    for (const CorrectedFrame& frame : frames) {
        const Pose pose = after->pose(0, frame.seconds);
        EXPECT_LT(angle_between(pose.rotations[1], frame.pose.rotations[1]), 1e-6);
        EXPECT_NEAR(pose.translations[1].y, 5 + frame.seconds, 1e-6);
    }
    EXPECT_EQ(after->pose(0, 2).translations[1].y, 9);
    EXPECT_LT(angle_between(after->pose(0, 2).rotations[1], {0, 0, 0, 1}), 1e-6);
}

TEST(GltfFrames, AJointWithoutATrackGetsOneForAll) {
    const auto before = open_gltf(sharing("LINEAR").text(), "", "");
    std::vector<CorrectedFrame> frames;
    for (const double t : {0.25, 0.5, 1.0}) {
        CorrectedFrame frame{t, before->pose(0, t), {{1, true, false}}, 0};
        frame.pose.translations[1] = {0, 3 + t, 0};
        frames.push_back(frame);
    }
    const auto after = open_gltf(before->rewritten(0, frames, "out.gltf"), "", "");
    const auto height = [&](double t) { return after->pose(0, t).translations[1].y; };
    for (const double t : {0.25, 0.5, 1.0})
        EXPECT_EQ(height(t), 3 + t);
    EXPECT_EQ(height(0), 2); // as it was at the neighbouring keys
    EXPECT_EQ(height(2), 2);
}

/// A clip that steps steps on: also tracks that are new in it, and those of a layer.
TEST(GltfFrames, NewTracksOfASteppedClipStep) {
    for (const std::string& kind : {kinds[0], kinds[1]}) {
        const auto before = open_gltf(sharing(kind).text(), "", "");
        std::vector<CorrectedFrame> frames;
        for (const double seconds : {0., 1., 2.}) {
            frames.push_back(frame_of(*before, seconds, turned(.1 + seconds)));
            frames.back().pose.translations[1].y += seconds;
            frames.back().changes = {{1, true, true}};
        }
        for (const char* layer : {static_cast<const char*>(nullptr), "layer"}) {
            const auto after = open_gltf(before->rewritten(0, frames, "out.gltf", layer), "", "");
            const int clip = layer == nullptr ? 0 : 2;
            const Pose at = after->pose(clip, 1), between = after->pose(clip, 1.9);
            EXPECT_NEAR(at.translations[1].y, 3, 1e-6) << kind;
            EXPECT_NEAR(between.translations[1].y, kind == "STEP" ? 3 : 3.9, 1e-6) << kind << clip;
            EXPECT_NEAR(angle_between(at.rotations[1], between.rotations[1]), kind == "STEP" ? 0 : .9, 1e-6)
                << kind << clip;
        }
    }
}

TEST(BvhFrames, RowsAreReplacedAndNoOtherByte) {
    const BvhCharacter before(made::lay_figure_bvh());
    std::vector<CorrectedFrame> frames = {frame_of(before, 1, turned(0.4)), frame_of(before, 0, turned(0.2))};
    const std::string bytes = before.rewritten(0, frames, "");
    const BvhCharacter after(bytes);
    for (const CorrectedFrame& frame : frames)
        EXPECT_LT(angle_between(after.pose(0, frame.seconds).rotations[1], frame.pose.rotations[1]), 1e-7);
    EXPECT_LT(angle_between(after.pose(0, 0.5).rotations[1], before.pose(0, 0.5).rotations[1]), 1e-15);
    // One after the other is the same.
    const BvhCharacter once(before.rewritten(0, {frames[0]}, ""));
    EXPECT_EQ(once.rewritten(0, {frames[1]}, ""), bytes);
}

TEST(Frames, MistakesAreNamed) {
    const auto gltf = open_gltf(sharing("LINEAR").text(), "", "");
    const BvhCharacter bvh(made::lay_figure_bvh());
    const auto ask = [](const CharacterFile& file, std::vector<double>& translations,
                        std::vector<double>& rotations, int count) {
        const Pose pose = file.pose(0, 0);
        translations.clear(), rotations.clear();
        for (int f = 0; f < count; ++f)
            for (std::size_t i = 0; i < pose.translations.size(); ++i) {
                translations.insert(translations.end(), {1, 2, 3});
                rotations.insert(rotations.end(), {0, 0, 0, 1});
            }
        aplomb_corrected_frames frames;
        aplomb_corrected_frames_init(&frames, sizeof frames);
        frames.count = count;
        frames.translations = translations.data(), frames.rotations = rotations.data();
        return frames;
    };
    std::vector<double> t, r;
    aplomb_corrected_frames frames = ask(*gltf, t, r, 3);
    EXPECT_EQ(failure(*gltf, frames, -1),
              "seconds and keys are both NULL; one of them says when the frames are");
    const double seconds[] = {1.5, 0, 1.500001}, endless[] = {0, std::nan(""), 1};
    const int32_t keys[] = {0, 3, 1};
    frames.keys = keys;
    EXPECT_EQ(failure(*gltf, frames, 1), "keys[1] is 3; the clip has 3 key times, counted from 0");
    frames.seconds = seconds;
    EXPECT_EQ(failure(*gltf, frames, -1),
              "seconds and keys are both given; one of them says when the frames are");
    frames.keys = nullptr;
    EXPECT_EQ(failure(*gltf, frames, 2),
              "frames 0 and 2, at 1.5 s and 1.5 s, are the same frame of the file");
    frames.seconds = endless;
    EXPECT_EQ(failure(*gltf, frames, 1), "seconds[1] is not finite");
    const double outside[] = {7, 8};
    frames.seconds = outside, frames.count = 2;
    EXPECT_EQ(failure(*gltf, frames, 1), "frames 0 and 1, at 7 s and 8 s, are the same frame of the file");
    const double good[] = {0, 1};
    frames.seconds = good;
    r[4 * 3] = 1;
    EXPECT_EQ(failure(*gltf, frames, 1), "rotations of joint 1 ('top') in frame 1 is not of unit length");
    frames.clip = -1;
    EXPECT_EQ(failure(*gltf, frames, -1), "count is 2; clip -1, the pose of the nodes, takes one frame");
    frames.clip = 0, frames.count = -1;
    EXPECT_EQ(failure(*gltf, frames, -1), "count is -1; it must be 0 or more");

    frames = ask(bvh, t, r, 2);
    const double near[] = {0.6, 0.45}; // frames last 0.5 s
    frames.seconds = near;
    EXPECT_EQ(failure(bvh, frames, 1), "frames 0 and 1, at 0.6 s and 0.45 s, are the same frame of the file");
}

TEST(Frames, OneFrameIsTheSameAsTheCallForOne) {
    const made::Folder folder;
    for (const std::string name : {"a.bvh", "a.glb"}) {
        Gltf file = made::lay_figure();
        file.track(0, 2, "rotation", {0, 1}, {0, 0, 0, 1, 0, 0, half, half});
        made::write(folder / name, name == "a.bvh" ? made::lay_figure_bvh() : file.glb());
        const Character character = open(folder / name);
        Leaning leaning(character, 0, {0.5});
        const std::string many = (folder / ("many_" + name)).string(),
                          one = (folder / ("one_" + name)).string();
        aplomb_error error{};
        ASSERT_EQ(aplomb_character_write_frames(character.get(), &leaning.frames, many.c_str(), &error),
                  APLOMB_OK)
            << error.message;
        ASSERT_EQ(aplomb_character_write(character.get(), 0, 0.5, leaning.translations.data(),
                                         leaning.rotations.data(), one.c_str(), &error),
                  APLOMB_OK)
            << error.message;
        EXPECT_EQ(made::read(many), made::read(one));
        EXPECT_NE(made::read(many), made::read(folder / name));
        // By the number of the key: 0.5 s is row 1 of the BVH; the glTF clip has keys at 0 and 1 s.
        const int32_t key = 1;
        leaning.frames.seconds = nullptr, leaning.frames.keys = &key;
        ASSERT_EQ(aplomb_character_write_frames(character.get(), &leaning.frames, many.c_str(), &error),
                  APLOMB_OK)
            << error.message;
        EXPECT_EQ(made::read(many) == made::read(one), name == "a.bvh");
        leaning.frames.count = 0;
        ASSERT_EQ(aplomb_character_write_frames(character.get(), &leaning.frames, many.c_str(), &error),
                  APLOMB_OK)
            << error.message;
        EXPECT_EQ(made::read(many), made::read(folder / name));
    }
}

TEST(Frames, ABadFrameLeavesTheOldFile) {
    const made::Folder folder;
    made::write(folder / "a.bvh", made::lay_figure_bvh());
    const Character character = open(folder / "a.bvh");
    Leaning leaning(character, 0, {0, 0.5, 1});
    leaning.rotations.back() = 7;
    aplomb_error error{};
    EXPECT_EQ(
        aplomb_character_write_frames(character.get(), &leaning.frames, (folder / "a.bvh").c_str(), &error),
        APLOMB_BAD_POSE);
    EXPECT_NE(std::string(error.message).find("in frame 2 is not of unit length"), std::string::npos)
        << error.message;
    EXPECT_EQ(made::read(folder / "a.bvh"), made::lay_figure_bvh());
    leaning.frames.struct_size = 1000;
    EXPECT_EQ(
        aplomb_character_write_frames(character.get(), &leaning.frames, (folder / "a.bvh").c_str(), &error),
        APLOMB_WRONG_VERSION);
    EXPECT_EQ(aplomb_character_write_frames(character.get(), nullptr, (folder / "a.bvh").c_str(), &error),
              APLOMB_BAD_ARGUMENT);
}

// Each changed track once, whatever the number of frames: here the root's place and the turn of joint 1.
TEST(Frames, TheFileGrowsByTheChangedTracksOnce) {
    if (made::reference_is_missing()) GTEST_SKIP();
    const made::Folder folder;
    const std::filesystem::path path = made::reference / "zoo/husky.glb";
    const Character character = open(path);
    const auto keys = static_cast<std::size_t>(aplomb_character_key_times(character.get(), 0, nullptr, 0));
    std::map<int, std::size_t> sizes;
    for (const int count : {1, 100, 1000}) {
        const Leaning leaning(character, 0, moments_of(character, 0, count));
        const std::string out = (folder / "out.glb").string();
        aplomb_error error{};
        ASSERT_EQ(aplomb_character_write_frames(character.get(), &leaning.frames, out.c_str(), &error),
                  APLOMB_OK)
            << error.message;
        sizes[count] = made::read(out).size();
        expect_poses(open(out), leaning);
        std::printf("%d frames: %zu bytes\n", count, sizes[count]);
    }
    constexpr std::size_t per_key = 4 + 12 + 16, names = 2000; // accessors and samplers in the JSON
    EXPECT_LE(sizes[1], made::read(path).size() + (keys + 1) * (per_key + 4) + names);
    // The two tracks may differ in their times, and where one frame falls on a key they keep those they had.
    for (const std::size_t more : {std::size_t{99}, std::size_t{999}}) {
        const std::size_t grown = sizes[static_cast<int>(more) + 1] - sizes[1];
        EXPECT_LE(grown, more * (per_key + 4) + keys * 8 + names);
        EXPECT_GE(grown, (more - keys) * per_key); // those that fall on keys replace them
    }
}

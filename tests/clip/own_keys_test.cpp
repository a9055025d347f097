// SPDX-License-Identifier: MIT
// A corrected clip on the animator's own keys.
#include "aplomb/clip.h"
#include "aplomb/files.h"
#include "io/gltf_accessor.h"
#include "io/gltf_document.h"

#include "io/made_files.h"
#include "io/opened.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <string>
#include <utility>
#include <vector>

using namespace aplomb;
using made::Character;

namespace {

constexpr int frame_count = 49; // 2 s at 24 a second
constexpr double leg_length = 0.81;

/// The lay figure goes down and up over its feet, keyed at every half second.
std::string knee_bend(const std::string& interpolation) {
    made::Gltf file = made::lay_figure();
    file.json["extras"] = {{"note", "kept"}};
    const auto node = [&](const std::string& name) {
        int at = 0;
        while (file.json["nodes"][static_cast<std::size_t>(at)]["name"].get<std::string>() != name)
            ++at;
        return at;
    };
    const std::vector<float> times = {0, 0.5f, 1, 1.5f, 2};
    const std::array<double, 5> bends = {0.3, 0.9, 0.4, 1.0, 0.3};
    const auto track = [&](const std::string& name, const std::string& path, const auto& value) {
        std::vector<float> values;
        for (const double bend : bends) {
            const std::vector<float> key = value(bend);
            const std::vector<float> still(key.size(), 0);
            std::vector<std::vector<float>> parts = {key};
            if (interpolation == "CUBICSPLINE") parts = {still, key, still};
            for (const std::vector<float>& part : parts)
                values.insert(values.end(), part.begin(), part.end());
        }
        file.track(0, node(name), path, times, values, interpolation);
    };
    const auto about_x = [](double angle) {
        return std::vector<float>{static_cast<float>(std::sin(angle / 2)), 0, 0,
                                  static_cast<float>(std::cos(angle / 2))};
    };
    track("Hips", "translation", [](double bend) {
        return std::vector<float>{0, static_cast<float>(0.92 - leg_length * (1 - std::cos(bend))), 0};
    });
    for (const std::string side : {"Left", "Right"}) {
        track(side + "Thigh", "rotation", [&](double bend) { return about_x(-bend); });
        track(side + "Shank", "rotation", [&](double bend) { return about_x(2 * bend); });
        track(side + "Foot", "rotation", [&](double bend) { return about_x(-bend); });
    }
    return file.glb();
}

struct Frames {
    std::vector<double> seconds, translations, rotations;
    std::vector<aplomb_stance_range> planted;
    aplomb_corrected_frames list() const {
        aplomb_corrected_frames frames;
        aplomb_corrected_frames_init(&frames, sizeof frames);
        frames.count = frame_count, frames.seconds = seconds.data();
        frames.translations = translations.data(), frames.rotations = rotations.data();
        return frames;
    }
};

class OwnKeys : public testing::TestWithParam<const char*> {
protected:
    made::Folder folder;

    Character open(const std::string& name) {
        aplomb_character* character = nullptr;
        aplomb_error error{};
        EXPECT_EQ(aplomb_character_open((folder / name).c_str(), nullptr, &character, &error), APLOMB_OK)
            << error.message;
        return Character(character);
    }
    static std::size_t joints(const Character& character) {
        return static_cast<std::size_t>(aplomb_figure_joint_count(aplomb_character_figure(character.get())));
    }
    static Frames keyed(const Character& character) {
        const std::size_t j = joints(character);
        Frames frames{
            {}, std::vector<double>(3 * j * frame_count), std::vector<double>(4 * j * frame_count), {}};
        for (std::size_t f = 0; f < frame_count; ++f) {
            frames.seconds.push_back(static_cast<double>(f) / 24);
            aplomb_character_pose(character.get(), 0, frames.seconds[f], &frames.translations[3 * j * f],
                                  &frames.rotations[4 * j * f], nullptr);
        }
        return frames;
    }
    /// With a box held in front of it from frame 8 on, whose weight comes fast, between its keys.
    static Frames corrected(const Character& character) {
        Frames frames = keyed(character);
        const aplomb_figure* figure = aplomb_character_figure(character.get());
        for (int limb = 0; limb < aplomb_figure_limb_count(figure); ++limb)
            if (limb_of(character, limb).kind == APLOMB_LEG)
                frames.planted.push_back({limb, 0, frame_count - 1, APLOMB_FLAT, 0});
        aplomb_carry carry{};
        EXPECT_EQ(aplomb_load_at(figure, 40, "hands", &carry.load, nullptr), APLOMB_OK);
        carry.load.offset[2] = 0.3;
        carry.first = 8, carry.last = frame_count - 1, carry.pick_up = 0.1, carry.put_down = NAN;
        aplomb_clip clip;
        aplomb_clip_init(&clip, sizeof clip);
        const Frames input = frames;
        clip.frame_count = frame_count, clip.frame_time = 1.0 / 24;
        clip.translations = input.translations.data(), clip.rotations = input.rotations.data();
        clip.stances = frames.planted.data(), clip.stance_count = static_cast<int32_t>(frames.planted.size());
        clip.carries = &carry, clip.carry_count = 1;
        aplomb_clip_balance_result* result = nullptr;
        aplomb_error error{};
        EXPECT_EQ(aplomb_clip_balance(figure, &clip, nullptr, nullptr, frames.translations.data(),
                                      frames.rotations.data(), &result, &error),
                  APLOMB_OK)
            << error.message;
        aplomb_clip_balance_result_destroy(result);
        return frames;
    }
    static aplomb_limb_info limb_of(const Character& character, int limb) {
        aplomb_limb_info info;
        aplomb_limb_info_init(&info, sizeof info);
        aplomb_figure_limb(aplomb_character_figure(character.get()), limb, &info, nullptr);
        return info;
    }
    /// Of each frame the middle of the ankle and the points of all soles.
    static std::vector<Vec3> feet(const Character& character, const Frames& frames) {
        const std::size_t j = joints(character);
        std::vector<Vec3> points;
        for (std::size_t f = 0; f < frame_count; ++f) {
            std::vector<Vec3> place;
            std::vector<Quat> turn;
            for (std::size_t k = 0; k < j; ++k) {
                const double* t = &frames.translations[3 * (j * f + k)];
                const double* r = &frames.rotations[4 * (j * f + k)];
                aplomb_joint_info info;
                aplomb_joint_info_init(&info, sizeof info);
                aplomb_figure_joint(aplomb_character_figure(character.get()), static_cast<int32_t>(k), &info,
                                    nullptr);
                const bool root = info.parent < 0;
                const auto p = static_cast<std::size_t>(root ? 0 : info.parent);
                const Vec3 offset = {t[0], t[1], t[2]};
                const Quat own = {r[0], r[1], r[2], r[3]};
                place.push_back(root ? offset : place[p] + rotate(turn[p], offset));
                turn.push_back(root ? own : turn[p] * own);
            }
            for (const aplomb_stance_range& range : frames.planted) {
                const aplomb_limb_info leg = limb_of(character, range.limb);
                points.push_back(place[static_cast<std::size_t>(leg.end)]);
                for (int k = 0; k < leg.sole_point_count; ++k) {
                    const auto joint = static_cast<std::size_t>(leg.sole_joint[k]);
                    const double* at = leg.sole_points[k];
                    points.push_back(place[joint] + rotate(turn[joint], {at[0], at[1], at[2]}));
                }
            }
        }
        return points;
    }
    static double furthest(const std::vector<Vec3>& a, const std::vector<Vec3>& b) {
        double most = 0;
        for (std::size_t k = 0; k < a.size(); ++k)
            most = std::max(most, norm(a[k] - b[k]));
        return most;
    }
    struct Told {
        aplomb_own_keys keys;
        std::vector<aplomb_added_key> added = std::vector<aplomb_added_key>(200);
        Told() {
            aplomb_own_keys_init(&keys, sizeof keys);
            keys.added = added.data(), keys.capacity = 200;
        }
    };
    aplomb_status write(const Character& character, const aplomb_corrected_frames& frames,
                        const std::vector<aplomb_stance_range>& planted, const std::string& name, Told& told,
                        aplomb_error* error) {
        return aplomb_character_write_own_keys(character.get(), &frames, planted.data(),
                                               static_cast<int32_t>(planted.size()), (folder / name).c_str(),
                                               &told.keys, error);
    }
    struct Track {
        std::string interpolation;
        std::vector<double> times, values;
        bool has(double time) const {
            return std::any_of(times.begin(), times.end(),
                               [&](double t) { return std::fabs(t - time) < 1e-5; });
        }
    };
    /// By node and path.
    std::map<std::pair<int, std::string>, Track> tracks(const std::string& name) {
        io::GltfDocument document(made::read(folder / name), "");
        std::map<std::pair<int, std::string>, Track> found;
        const io::Json animation = document.json()["animations"][0];
        for (const io::Json& channel : animation["channels"]) {
            const io::Json& sampler = animation["samplers"][channel["sampler"].get<std::size_t>()];
            const std::string path = channel["target"]["path"].get<std::string>();
            const auto numbers = [&](const char* which, const char* type) {
                return io::read_accessor(document, sampler[which].get<std::size_t>(), type);
            };
            found[{channel["target"]["node"].get<int>(), path}] = {
                sampler.value("interpolation", std::string("LINEAR")), numbers("input", "SCALAR"),
                numbers("output", path == "rotation" ? "VEC4" : "VEC3")};
        }
        return found;
    }
};

} // namespace

TEST_P(OwnKeys, FeetThatStandKeepTheirPlacesAndNoKeyIsLost) {
    made::write(folder / "keyed.glb", knee_bend(GetParam()));
    const Character character = open("keyed.glb");
    const Frames before = keyed(character), asked = corrected(character);
    Told told, loose;
    aplomb_error error{};
    ASSERT_EQ(write(character, asked.list(), asked.planted, "own.glb", told, &error), APLOMB_OK)
        << error.message;
    ASSERT_EQ(write(character, asked.list(), {}, "loose.glb", loose, &error), APLOMB_OK) << error.message;
    Frames is = keyed(open("own.glb")), slid = keyed(open("loose.glb"));
    is.planted = slid.planted = asked.planted;
    const double drift = furthest(feet(character, is), feet(character, asked)),
                 without = furthest(feet(character, slid), feet(character, asked));
    std::printf("%s: %d keys added, feet drift by %.2f of a thousandth of the leg (%.2f without)\n",
                GetParam(), told.keys.added_count, drift / leg_length * 1000, without / leg_length * 1000);
    EXPECT_LE(drift, 1e-3 * leg_length);
    EXPECT_NEAR(drift, told.keys.drift, 1e-6);
    EXPECT_GT(without, 1e-3 * leg_length); // else there was nothing to hold
    EXPECT_EQ(loose.keys.added_count, 0);
    EXPECT_GT(told.keys.added_count, 0);
    EXPECT_LT(told.keys.added_count, 2 * frame_count);

    const auto old_tracks = tracks("keyed.glb"), new_tracks = tracks("own.glb");
    std::size_t further = 0;
    for (const auto& [place, old] : old_tracks) {
        const Track& track = new_tracks.at(place);
        EXPECT_EQ(track.interpolation, GetParam());
        for (const double time : old.times)
            EXPECT_TRUE(track.has(time)) << place.first << " " << time;
        further += track.times.size() - old.times.size();
    }
    EXPECT_EQ(further, static_cast<std::size_t>(3 * told.keys.added_count)); // both spans and the end
    for (int k = 0; k < told.keys.added_count; ++k) {
        const aplomb_added_key& key = told.added[static_cast<std::size_t>(k)];
        const aplomb_limb_info leg = limb_of(character, key.limb);
        EXPECT_EQ(key.seconds, asked.seconds[static_cast<std::size_t>(key.frame)]);
        for (const int joint : {leg.upper, leg.lower, leg.end}) // node 0 is the armature
            EXPECT_TRUE(new_tracks.at({joint + 1, "rotation"}).has(key.seconds)) << joint;
    }
    // Hips take the correction over, as near as five keys can.
    double moved = 0, off = 0;
    for (std::size_t f = 0; f < frame_count; ++f)
        for (std::size_t a = 0; a < 3; ++a) {
            const std::size_t k = 3 * joints(character) * f + a;
            moved = std::max(moved, std::fabs(asked.translations[k] - before.translations[k]));
            off = std::max(off, std::fabs(asked.translations[k] - is.translations[k]));
        }
    EXPECT_GT(moved, 0.01);
    EXPECT_LT(off, moved / 2);
    EXPECT_NE(made::read(folder / "own.glb").find("\"kept\""), std::string::npos);
}
INSTANTIATE_TEST_SUITE_P(Interpolations, OwnKeys, testing::Values("LINEAR", "CUBICSPLINE"));

using OwnKeysOnce = OwnKeys;

TEST_F(OwnKeysOnce, NothingChangedIsTheSameFile) {
    made::write(folder / "keyed.glb", knee_bend("LINEAR"));
    const Character character = open("keyed.glb");
    Told told;
    ASSERT_EQ(write(character, keyed(character).list(), {}, "same.glb", told, nullptr), APLOMB_OK);
    EXPECT_EQ(made::read(folder / "same.glb"), made::read(folder / "keyed.glb"));
    EXPECT_EQ(told.keys.added_count, 0);
}

TEST_F(OwnKeysOnce, KeysOutsideWhatChangesStayBitForBit) {
    made::write(folder / "keyed.glb", knee_bend("CUBICSPLINE"));
    const Character character = open("keyed.glb");
    Frames frames = keyed(character);
    const std::size_t j = joints(character);
    for (std::size_t f = 14; f < 36; ++f) // the key of 1 s, 24 frames in, is the only one that moves
        frames.translations[3 * j * f] += 0.05 * std::sin(pi * (static_cast<double>(f) - 13) / 23);
    Told told;
    ASSERT_EQ(write(character, frames.list(), {}, "moved.glb", told, nullptr), APLOMB_OK);
    const auto old_tracks = tracks("keyed.glb"), new_tracks = tracks("moved.glb");
    for (const auto& [place, old] : old_tracks) {
        const Track& track = new_tracks.at(place);
        const bool hips = place.second == "translation";
        ASSERT_EQ(track.times, old.times);
        for (std::size_t v = 0; v < old.values.size(); ++v)
            if (!hips || v / 9 != 2) {
                EXPECT_EQ(track.values[v], old.values[v]) << place.first << " " << v;
            }
        if (hips) {
            EXPECT_GT(track.values[9 * 2 + 3], old.values[9 * 2 + 3] + 0.03);
        }
    }
}

TEST_F(OwnKeysOnce, WithAKeyInEveryFrameItIsWhatWasAsked) {
    made::write(folder / "keyed.glb", knee_bend("LINEAR"));
    const Character character = open("keyed.glb");
    const Frames asked = corrected(character);
    aplomb_error error{};
    const aplomb_corrected_frames list = asked.list();
    ASSERT_EQ(aplomb_character_write_frames(character.get(), &list, (folder / "baked.glb").c_str(), &error),
              APLOMB_OK)
        << error.message;
    const Character baked = open("baked.glb");
    Frames twice = keyed(baked);
    for (std::size_t f = 0; f < frame_count; ++f)
        twice.translations[3 * joints(baked) * f] += 1e-3;
    Told told;
    ASSERT_EQ(write(baked, twice.list(), {}, "own.glb", told, &error), APLOMB_OK) << error.message;
    const Frames is = keyed(open("own.glb"));
    for (std::size_t v = 0; v < is.translations.size(); ++v)
        EXPECT_NEAR(is.translations[v], twice.translations[v], 1e-6) << v;
}

TEST_F(OwnKeysOnce, BadInputIsNamedAndNothingIsWritten) {
    made::write(folder / "keyed.glb", knee_bend("LINEAR"));
    made::write(folder / "rows.bvh", made::lay_figure_bvh());
    const Character character = open("keyed.glb"), rows = open("rows.bvh");
    const Frames frames = keyed(character);
    const auto refuses = [&](const Character& file, const aplomb_corrected_frames& list,
                             const std::vector<aplomb_stance_range>& planted, const std::string& sentence) {
        Told told;
        aplomb_error error{};
        const std::string name = file == rows ? "no.bvh" : "no.glb";
        EXPECT_EQ(write(file, list, planted, name, told, &error), APLOMB_BAD_ARGUMENT) << sentence;
        EXPECT_NE(std::string(error.message).find(sentence), std::string::npos) << error.message;
        EXPECT_FALSE(std::filesystem::exists(folder / name));
    };
    aplomb_corrected_frames list = frames.list();
    list.layer = "over";
    refuses(character, list, {}, "layer is given; keys are those of the clip itself");
    list = frames.list(), list.clip = -1, list.count = 1;
    refuses(character, list, {}, "clip is -1: the nodes have no keys");
    list = frames.list();
    std::vector<double> back = frames.seconds;
    std::swap(back[3], back[4]);
    list.seconds = back.data();
    refuses(character, list, {}, "seconds[4] is not later than the one before");
    refuses(character, frames.list(), {{1, 0, frame_count, APLOMB_FLAT, 0}},
            "planted[0] has frames 0 to 49; there are 49");
    const std::vector<double> seconds = {0};
    const Frames row = {
        seconds, std::vector<double>(3 * joints(rows)), std::vector<double>(4 * joints(rows)), {}};
    list = row.list(), list.count = 1;
    std::vector<double> turns = row.rotations;
    for (std::size_t k = 3; k < turns.size(); k += 4)
        turns[k] = 1;
    list.rotations = turns.data();
    refuses(rows, list, {}, "a BVH has a value in every frame, and no keys of its own");
}

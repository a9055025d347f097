// SPDX-License-Identifier: MIT
// Characters that are opened from memory and written to memory.
#include "aplomb/files.h"

#include "made_files.h"
#include "opened.h"

#include <gtest/gtest.h>

#include <cmath>
#include <map>

namespace {

using made::Character;

/// A host without a disk: what it has by name, and what it was asked for.
struct Host {
    std::map<std::string, std::string> files;
    std::vector<std::string> asked;

    static int32_t find(void* user, const char* name, const void** bytes, size_t* size) {
        Host& host = *static_cast<Host*>(user);
        host.asked.emplace_back(name);
        const auto found = host.files.find(name);
        if (found == host.files.end()) return 0;
        *bytes = found->second.data(), *size = found->second.size();
        return 1;
    }
};

int32_t take(void* user, const void* bytes, size_t size) {
    static_cast<std::string*>(user)->assign(static_cast<const char*>(bytes), size);
    return 1;
}

struct Opened {
    aplomb_status status;
    Character character;
    aplomb_error error;
};

Opened open(const std::string& bytes, Host* host, const char* name = nullptr,
            const char* description = nullptr) {
    // A copy, so that what is kept of it would be seen.
    const std::string copy = bytes;
    aplomb_memory_file file = {copy.data(), copy.size(), name, host != nullptr ? Host::find : nullptr, host};
    aplomb_character_options options;
    aplomb_character_options_init(&options, sizeof options);
    options.description = description;
    aplomb_character* character = nullptr;
    aplomb_error error{};
    const aplomb_status status = aplomb_character_open_memory(&file, &options, &character, &error);
    EXPECT_EQ(character != nullptr, status == APLOMB_OK);
    return {status, Character(character), error};
}

std::vector<double> rotations_of(const Character& character, int32_t clip,
                                 std::vector<double>& translations) {
    const auto count =
        static_cast<std::size_t>(aplomb_figure_joint_count(aplomb_character_figure(character.get())));
    translations.resize(3 * count);
    std::vector<double> rotations(4 * count);
    EXPECT_EQ(aplomb_character_pose(character.get(), clip, 0, translations.data(), rotations.data(), nullptr),
              APLOMB_OK);
    return rotations;
}

made::Gltf moving_figure() {
    made::Gltf file = made::lay_figure();
    file.track(0, 2, "rotation", {0, 1}, {0, 0, 0, 1, 0, 0, 0.6f, 0.8f});
    return file;
}

/// A frame that lifts the root.
struct Lifted {
    std::vector<double> translations, rotations;
    double seconds = 0;
    aplomb_corrected_frames frames;

    explicit Lifted(const Character& character) : rotations(rotations_of(character, 0, translations)) {
        translations[1] += 0.25;
        aplomb_corrected_frames_init(&frames, sizeof frames);
        frames.count = 1, frames.seconds = &seconds;
        frames.translations = translations.data(), frames.rotations = rotations.data();
    }
};

} // namespace

TEST(Memory, AllThreeKindsThereAndBack) {
    const made::Folder folder;
    for (const std::string& bytes : {moving_figure().text(), moving_figure().glb(), made::lay_figure_bvh()}) {
        const Opened opened = open(bytes, nullptr);
        ASSERT_EQ(opened.status, APLOMB_OK) << opened.error.message;
        Lifted lifted(opened.character);
        std::string written;
        aplomb_error error{};
        ASSERT_EQ(aplomb_character_write_frames_memory(opened.character.get(), &lifted.frames, take, &written,
                                                       &error),
                  APLOMB_OK)
            << error.message;
        const Opened again = open(written, nullptr);
        ASSERT_EQ(again.status, APLOMB_OK) << again.error.message;
        std::vector<double> translations;
        rotations_of(again.character, 0, translations);
        EXPECT_NEAR(translations[1], lifted.translations[1], 1e-6);
        // The same as on a disk.
        made::write(folder / "a.bin", bytes);
        aplomb_character* on_disk = nullptr;
        ASSERT_EQ(aplomb_character_open((folder / "a.bin").c_str(), nullptr, &on_disk, &error), APLOMB_OK);
        const Character closes(on_disk);
        ASSERT_EQ(aplomb_character_write_frames(on_disk, &lifted.frames, (folder / "b.bin").c_str(), &error),
                  APLOMB_OK)
            << error.message;
        EXPECT_EQ(made::read(folder / "b.bin"), written);
    }
}

TEST(Memory, BuffersBesideAreFoundByTheHost) {
    const made::Gltf file = moving_figure();
    const std::string text = file.text_beside("data/a%20b.bin");
    Host host;
    host.files["data/a b.bin"] = file.bytes;
    const Opened opened = open(text, &host);
    ASSERT_EQ(opened.status, APLOMB_OK) << opened.error.message;
    EXPECT_EQ(host.asked, (std::vector<std::string>{"data/a b.bin"}));
    host.files.clear(); // not asked for again
    Lifted lifted(opened.character);
    std::string written;
    ASSERT_EQ(
        aplomb_character_write_frames_memory(opened.character.get(), &lifted.frames, take, &written, nullptr),
        APLOMB_OK);
    EXPECT_NE(written.find("\"data/a%20b.bin\""), std::string::npos); // as it was
    EXPECT_EQ(host.asked.size(), 1u);

    const Opened missing = open(text, &host, "a.gltf");
    EXPECT_EQ(missing.status, APLOMB_CANNOT_OPEN);
    EXPECT_STREQ(missing.error.field, "find");
    EXPECT_STREQ(missing.error.message,
                 "'a.gltf': 'data/a b.bin' is needed beside the file in memory and was not found.");
    const Opened refused = open(text, nullptr);
    EXPECT_EQ(refused.status, APLOMB_CANNOT_OPEN);
    EXPECT_STREQ(refused.error.message,
                 "'data/a b.bin' is needed beside the file in memory, but there is no function "
                 "that finds it.");
}

TEST(Memory, DescriptionsAreFoundByTheHostAndWrittenToIt) {
    const std::string bytes = made::lay_figure().glb();
    const std::string heavy = R"({"aplomb_figure": 1, "total_mass": 91})";
    const auto mass_of = [](const Opened& opened) {
        aplomb_figure_info info;
        aplomb_figure_info_init(&info, sizeof info);
        aplomb_figure_describe(aplomb_character_figure(opened.character.get()), &info, nullptr);
        return info.total_mass;
    };
    Host host;
    host.files["a.glb.figure.json"] = heavy;
    host.files["other.json"] = R"({"aplomb_figure": 1, "total_mass": 57})";
    EXPECT_NEAR(mass_of(open(bytes, &host, "a.glb")), 91, 1e-9);
    EXPECT_NEAR(mass_of(open(bytes, &host, "a.glb", "other.json")), 57, 1e-9);
    EXPECT_LT(mass_of(open(bytes, &host)), 90); // without a name there is none
    EXPECT_LT(mass_of(open(bytes, &host, "b.glb")), 90);
    EXPECT_EQ(open(bytes, &host, "a.glb", "none.json").status, APLOMB_CANNOT_OPEN);

    const Opened opened = open(bytes, &host, "a.glb");
    std::string written;
    ASSERT_EQ(aplomb_character_write_description_memory(opened.character.get(), take, &written, nullptr),
              APLOMB_OK);
    host.files["written.json"] = written;
    EXPECT_NEAR(mass_of(open(bytes, &host, "b.glb", "written.json")), 91, 1e-9);
}

TEST(Memory, MistakesAreNamed) {
    aplomb_error error{};
    aplomb_character* character = nullptr;
    EXPECT_EQ(aplomb_character_open_memory(nullptr, nullptr, &character, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.message, "file is NULL.");
    aplomb_memory_file file{};
    EXPECT_EQ(aplomb_character_open_memory(&file, nullptr, &character, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.message, "bytes is NULL.");
    EXPECT_STREQ(error.field, "bytes");
    const Opened empty = open("", nullptr);
    EXPECT_EQ(empty.status, APLOMB_BAD_FILE);
    EXPECT_STREQ(empty.error.field, "bytes");
    EXPECT_STREQ(empty.error.message, "it is neither glTF 2.0 nor BVH.");

    const Opened opened = open(moving_figure().glb(), nullptr);
    Lifted lifted(opened.character);
    EXPECT_EQ(aplomb_character_write_frames_memory(opened.character.get(), &lifted.frames, nullptr, nullptr,
                                                   &error),
              APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.message, "take is NULL.");
    const aplomb_take_file full = [](void*, const void*, size_t) -> int32_t { return 0; };
    EXPECT_EQ(
        aplomb_character_write_frames_memory(opened.character.get(), &lifted.frames, full, nullptr, &error),
        APLOMB_CANNOT_OPEN);
    EXPECT_EQ(std::string(error.message).rfind("take returned 0: the ", 0), 0u) << error.message;
    EXPECT_STREQ(error.field, "take");
    // Nothing is handed over where something is wrong.
    std::string written = "untouched";
    lifted.translations[0] = NAN;
    EXPECT_EQ(
        aplomb_character_write_frames_memory(opened.character.get(), &lifted.frames, take, &written, &error),
        APLOMB_BAD_POSE);
    EXPECT_EQ(written, "untouched");
}

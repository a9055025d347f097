// SPDX-License-Identifier: MIT
// Every entry point of the file library without memory: the n-th request on the C++ heap is refused, and then once
// more with all after it. Each time the status says so, nothing is lost or left behind, and the next call works.
// Every try is a process of its own, so that one that ends it is told of.
#include "aplomb/files.h"

#include "made_files.h"
#include "opened.h"

#include <gtest/gtest.h>

#include <sys/wait.h>
#include <unistd.h>

#include <atomic>
#include <cstdlib>
#include <functional>
#include <limits>
#include <new>

namespace {

constexpr long never = std::numeric_limits<long>::max();
std::atomic<long> requests{0}, in_use{0}, first_refused{never}, last_refused{never};

void* request(std::size_t size) {
    const long number = requests++;
    if (number >= first_refused && number <= last_refused) throw std::bad_alloc();
    void* memory = std::malloc(size > 0 ? size : 1);
    if (memory == nullptr) throw std::bad_alloc();
    ++in_use;
    return memory;
}

void give_back(void* memory) noexcept {
    if (memory != nullptr) --in_use;
    std::free(memory);
}

} // namespace

// Not inlined: g++ would see malloc and free behind new and delete, and warn of a mismatch.
[[gnu::noinline]] void* operator new(std::size_t size) {
    return request(size);
}
// Sorting asks in this way.
[[gnu::noinline]] void* operator new(std::size_t size, const std::nothrow_t&) noexcept {
    try {
        return operator new(size);
    } catch (const std::bad_alloc&) {
        return nullptr;
    }
}
[[gnu::noinline]] void operator delete(void* memory) noexcept {
    give_back(memory);
}
[[gnu::noinline]] void operator delete(void* memory, const std::nothrow_t&) noexcept {
    operator delete(memory);
}
[[gnu::noinline]] void operator delete(void* memory, std::size_t) noexcept {
    give_back(memory);
}

namespace {

using made::Character;

constexpr long most_tries = 150; // a longer call is sampled evenly

/// What one entry point returns; it gives back whatever it made.
using Entry = std::function<aplomb_status()>;
/// A sort may do without its buffer: then the call works, and must have done all of its work.
using Whole = std::function<bool()>;

long count_requests(const Entry& entry) {
    const long before = requests;
    EXPECT_EQ(entry(), APLOMB_OK);
    return requests - before;
}

aplomb_status without(const Entry& entry, long number, bool all_after) {
    first_refused = requests + number;
    last_refused = all_after ? never - 1 : first_refused.load();
    const aplomb_status status = entry();
    first_refused = last_refused = never;
    return status;
}

enum Outcome { sound = 0, wrong_status = 1, memory_lost = 2 };

Outcome outcome_without(const Entry& entry, const Whole& is_whole, long number, bool all_after) {
    const long before = in_use;
    const aplomb_status status = without(entry, number, all_after);
    if (in_use != before) return memory_lost;
    const bool told = status == APLOMB_OUT_OF_MEMORY || (status == APLOMB_OK && is_whole());
    return told && !testing::Test::HasFailure() ? sound : wrong_status;
}

int in_a_process_of_its_own(const std::function<Outcome()>& work) {
    const pid_t child = fork();
    if (child == 0) {
        _exit(work());
    }
    int told = 0;
    waitpid(child, &told, 0);
    return WIFEXITED(told) ? WEXITSTATUS(told) : -1;
}

void sweep(const char* name, const Entry& entry, const Whole& is_whole) {
    count_requests(entry); // what the C++ library keeps from the first time on
    const long all = count_requests(entry), stride = all / most_tries + 1;
    EXPECT_GT(all, 0) << name;
    int bad = 0;
    for (const bool all_after : {false, true}) {
        for (long number = 0; number < all && bad < 5; number += stride) {
            const int outcome =
                in_a_process_of_its_own([&] { return outcome_without(entry, is_whole, number, all_after); });
            if (outcome == sound) continue;
            ++bad;
            ADD_FAILURE() << name << ", request " << number << " of " << all
                          << (all_after ? " and all after" : "") << ": "
                          << (outcome == memory_lost ? "memory lost" : "wrong status or a crash");
        }
    }
    EXPECT_EQ(entry(), APLOMB_OK) << name;
}

std::size_t files_in(const std::filesystem::path& folder) {
    std::size_t count = 0;
    for ([[maybe_unused]] const auto& entry : std::filesystem::directory_iterator(folder))
        ++count;
    return count;
}

Character open(const std::string& path) {
    aplomb_character* character = nullptr;
    EXPECT_EQ(aplomb_character_open(path.c_str(), nullptr, &character, nullptr), APLOMB_OK);
    return Character(character);
}

/// A BVH has nothing to do with JSON.
class FilesWithoutMemory : public testing::TestWithParam<const char*> {
protected:
    FilesWithoutMemory() : path((folder / ("figure" + std::string(GetParam()))).string()) {
        const std::string kind = GetParam();
        made::write(path, kind == ".bvh"   ? made::lay_figure_bvh()
                          : kind == ".glb" ? made::lay_figure().glb()
                                           : made::lay_figure().text());
        character = open(path);
        figure = aplomb_character_figure(character.get());
        const auto count = static_cast<std::size_t>(aplomb_figure_joint_count(figure));
        translations.resize(3 * count), rotations.resize(4 * count);
        EXPECT_EQ(
            aplomb_character_pose(character.get(), -1, 0, translations.data(), rotations.data(), nullptr),
            APLOMB_OK);
    }

    bool is_json() const { return std::string(GetParam()) != ".bvh"; }

    made::Folder folder;
    std::string path;
    Character character;
    const aplomb_figure* figure = nullptr;
    std::vector<double> translations, rotations;
};

/// The file that a call wrote, against what it writes with memory.
Whole same_file(const std::string& path, const std::string& bytes) {
    return [=] { return made::read(path) == bytes; };
}

TEST_P(FilesWithoutMemory, Opening) {
    aplomb_character* opened = nullptr;
    int32_t joints = 0;
    sweep(
        "open",
        [&] {
            aplomb_error error{};
            const aplomb_status status = aplomb_character_open(path.c_str(), nullptr, &opened, &error);
            EXPECT_EQ(opened == nullptr, status != APLOMB_OK);
            EXPECT_EQ(error.status, status);
            joints = aplomb_figure_joint_count(aplomb_character_figure(opened));
            aplomb_character_close(opened);
            return status;
        },
        [&] { return joints == aplomb_figure_joint_count(figure); });
}

TEST_P(FilesWithoutMemory, BytesInAndOut) {
    const std::string bytes = made::read(path);
    const aplomb_memory_file file = {bytes.data(), bytes.size(), "figure", nullptr, nullptr};
    std::size_t taken = 0;
    const aplomb_take_file take = [](void* user, const void*, size_t size) -> int32_t {
        *static_cast<std::size_t*>(user) = size;
        return 1;
    };
    sweep(
        "bytes in and out",
        [&] {
            aplomb_character* opened = nullptr;
            aplomb_error error{};
            aplomb_status status = aplomb_character_open_memory(&file, nullptr, &opened, &error);
            aplomb_corrected_frames frames;
            aplomb_corrected_frames_init(&frames, sizeof frames);
            frames.clip = -1, frames.count = 1;
            frames.translations = translations.data(), frames.rotations = rotations.data();
            if (status == APLOMB_OK)
                status = aplomb_character_write_frames_memory(opened, &frames, take, &taken, &error);
            EXPECT_EQ(error.status, status);
            aplomb_character_close(opened);
            return status;
        },
        [&] { return taken == bytes.size(); });
}

TEST_P(FilesWithoutMemory, Poses) {
    const std::vector<double> good = rotations;
    sweep(
        "pose",
        [&] {
            return aplomb_character_pose(character.get(), -1, 0, translations.data(), rotations.data(),
                                         nullptr);
        },
        [&] { return rotations == good; });
}

TEST_P(FilesWithoutMemory, Writing) {
    // Turned, so that there is something to write.
    std::swap(rotations[4], rotations[7]);
    const int clip = std::string(GetParam()) == ".bvh" ? 0 : -1;
    const std::string out = (folder / ("out" + std::string(GetParam()))).string();
    const std::string description = (folder / "description.json").string();
    const auto write = [&] {
        return aplomb_character_write(character.get(), clip, 0, translations.data(), rotations.data(),
                                      out.c_str(), nullptr);
    };
    const auto describe = [&] {
        return aplomb_character_write_description(character.get(), description.c_str(), nullptr);
    };
    ASSERT_EQ(write(), APLOMB_OK);
    ASSERT_EQ(describe(), APLOMB_OK);
    const std::string written = made::read(out);
    sweep("write", write, same_file(out, written));
    sweep("description", describe, same_file(description, made::read(description)));
    EXPECT_EQ(made::read(out), written);
    EXPECT_EQ(files_in(folder / ""), 3u) << "something was left beside";
}

TEST_P(FilesWithoutMemory, Pictures) {
    if (is_json()) GTEST_SKIP() << "the same for all kinds";
    aplomb_solver* solver = nullptr;
    ASSERT_EQ(aplomb_solver_create(figure, nullptr, &solver, nullptr), APLOMB_OK);
    aplomb_situation situation;
    aplomb_situation_init(&situation, sizeof situation);
    situation.translations = translations.data(), situation.rotations = rotations.data();
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    ASSERT_EQ(aplomb_read(solver, &situation, nullptr, &reading, nullptr), APLOMB_OK);
    aplomb_solver_destroy(solver);
    aplomb_picture picture;
    aplomb_picture_init(&picture, sizeof picture);
    picture.figure = figure, picture.situation = &situation;
    picture.before = {translations.data(), rotations.data(), &reading, "keyed", nullptr};
    const std::string out = (folder / "picture").string();
    const auto try_all = [&](const char* name, auto call) {
        const Entry entry = [&] { return call(&picture, out.c_str(), nullptr); };
        ASSERT_EQ(entry(), APLOMB_OK);
        sweep(name, entry, same_file(out, made::read(out)));
    };
    try_all("picture", aplomb_picture_write);
    try_all("page", aplomb_page_write);
    EXPECT_EQ(files_in(folder / ""), 2u) << "something was left beside";
}

INSTANTIATE_TEST_SUITE_P(Kinds, FilesWithoutMemory, testing::Values(".gltf", ".glb", ".bvh"));

} // namespace

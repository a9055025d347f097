// SPDX-License-Identifier: MIT
// A solve and a reading take no memory: the C++ heap is counted, and an object's own allocator too.
#include <gtest/gtest.h>

#include <atomic>
#include <cstdlib>
#include <new>

#include "poses.h"

namespace {
std::atomic<long> taken{0};
} // namespace

void* operator new(size_t size) {
    ++taken;
    if (void* memory = std::malloc(size ? size : 1)) return memory;
    throw std::bad_alloc();
}
void operator delete(void* memory) noexcept {
    std::free(memory);
}
void operator delete(void* memory, size_t) noexcept {
    std::free(memory);
}

namespace {

struct Count {
    int taken = 0, given_back = 0;
};

void* take(size_t size, size_t alignment, void* user) {
    ++static_cast<Count*>(user)->taken;
    return std::aligned_alloc(alignment, (size + alignment - 1) / alignment * alignment);
}

void give_back(void* memory, size_t, void* user) {
    ++static_cast<Count*>(user)->given_back;
    std::free(memory);
}

TEST(Allocation, ASolveAndAReadingTakeNone) {
    lay::LayFigure shape = lay::LayFigure::adult();
    const lay::FigureHandle figure = shape.create();
    Count count;
    const aplomb_allocator own{take, give_back, &count};
    aplomb_solver* solver = nullptr;
    ASSERT_EQ(aplomb_solver_create(figure.get(), &own, &solver, nullptr), APLOMB_OK);
    EXPECT_EQ(count.taken, 1);

    lay::Pose pose(figure.get(), shape);
    const aplomb_load load = aplomb_load_make(15, shape.find("right_hand"));
    aplomb_situation situation = pose.situation();
    situation.loads = &load;
    situation.load_count = 1;
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    aplomb_reading reading;
    aplomb_reading_init(&reading, sizeof reading);
    lay::Pose out = pose;
    const long before = taken;
    EXPECT_EQ(aplomb_read(solver, &situation, nullptr, &reading, nullptr), APLOMB_OK);
    EXPECT_EQ(aplomb_balance(solver, &situation, nullptr, out.translations.data(), out.rotations.data(),
                             &result, nullptr),
              APLOMB_OK);
    EXPECT_EQ(taken, before);
    EXPECT_EQ(count.taken, 1);
    aplomb_solver_destroy(solver);
    EXPECT_EQ(count.given_back, 1);
}

} // namespace

// SPDX-License-Identifier: MIT
// How much of its thread's stack a call takes: hosts run such calls on fibres and worker threads with little.
#include <gtest/gtest.h>
#include <pthread.h>

#include <algorithm>
#include <cstdlib>
#include <memory>

#include "poses.h"

namespace {

constexpr size_t stack_size = 1 << 20;
constexpr unsigned char paint = 0xA5;

/// Bytes of a painted stack that a thread which does `work(given)` leaves in another colour.
size_t stack_of(void* (*work)(void*), void* given) {
    const std::unique_ptr<void, decltype(&std::free)> memory(std::aligned_alloc(4096, stack_size),
                                                             &std::free);
    auto* bytes = static_cast<unsigned char*>(memory.get());
    std::fill(bytes, bytes + stack_size, paint);
    pthread_attr_t attributes;
    pthread_attr_init(&attributes);
    pthread_attr_setstack(&attributes, bytes, stack_size);
    pthread_t thread;
    EXPECT_EQ(pthread_create(&thread, &attributes, work, given), 0);
    pthread_join(thread, nullptr);
    pthread_attr_destroy(&attributes);
    return static_cast<size_t>(
        std::find_if(bytes, bytes + stack_size, [](unsigned char b) { return b != paint; }) - bytes);
}

struct Shown {
    const aplomb_figure* figure;
    const lay::Pose* pose;
    aplomb_contact contacts[APLOMB_MAX_CONTACTS];
    int32_t count;
};

void* nothing(void*) {
    return nullptr;
}

void* show(void* given) {
    Shown& shown = *static_cast<Shown*>(given);
    shown.count = aplomb_stance_default(shown.figure, shown.pose->translations.data(),
                                        shown.pose->rotations.data(), shown.contacts, nullptr);
    return nullptr;
}

TEST(Stack, AStanceTakesLittle) {
    const lay::LayFigure shape = lay::LayFigure::adult();
    const lay::FigureHandle figure = lay::LayFigure(shape).create();
    const lay::Pose pose(figure.get(), shape);
    Shown shown{figure.get(), &pose, {}, 0};
    const size_t without = stack_of(nothing, nullptr), with = stack_of(show, &shown);
    EXPECT_EQ(shown.count, 4);
    EXPECT_EQ(shown.contacts[2].hold, shown.contacts[3].hold);
    EXPECT_LT(without - with, 8192u);
}

} // namespace

// SPDX-License-Identifier: MIT
// A solve and a reading take no memory: the C++ heap is counted, and an object's own allocator too. And every call that
// makes something, without memory: each request is refused in turn.
#include <gtest/gtest.h>

#include <atomic>
#include <cstdlib>
#include <functional>
#include <map>
#include <new>

#include "figure/skin.h"
#include "poses.h"

namespace {
std::atomic<long> taken{0};
} // namespace

// Not inlined: g++ would see malloc and free behind new and delete, and warn of a mismatch.
[[gnu::noinline]] void* operator new(size_t size) {
    ++taken;
    if (void* memory = std::malloc(size ? size : 1)) return memory;
    throw std::bad_alloc();
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
    std::free(memory);
}
[[gnu::noinline]] void operator delete(void* memory, const std::nothrow_t&) noexcept {
    operator delete(memory);
}
[[gnu::noinline]] void operator delete(void* memory, size_t) noexcept {
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

// ---- Without memory ----------------------------------------------------------------------------------------

/// Refuses one request; knows what was given out, so that sizes can be held against what comes back.
struct Refusing {
    int requests = 0, refused = -1, wrong = 0;
    bool all_after = false;
    std::map<void*, size_t> out;

    static void* allocate(size_t size, size_t alignment, void* user) {
        Refusing& r = *static_cast<Refusing*>(user);
        const int number = r.requests++;
        if (number == r.refused || (r.all_after && r.refused >= 0 && number > r.refused)) return nullptr;
        void* memory = std::aligned_alloc(alignment, (size + alignment - 1) / alignment * alignment);
        r.out[memory] = size;
        return memory;
    }
    static void deallocate(void* memory, size_t size, void* user) {
        Refusing& r = *static_cast<Refusing*>(user);
        const auto found = r.out.find(memory);
        r.wrong += found == r.out.end() || found->second != size;
        if (found != r.out.end()) r.out.erase(found);
        std::free(memory);
    }
    aplomb_allocator allocator() { return {allocate, deallocate, this}; }
};

/// `make` builds with the allocator, and destroys again where that worked.
using Make = std::function<aplomb_status(const aplomb_allocator&, aplomb_error&)>;

/// Returns how many requests there are.
int sweep(const Make& make) {
    int all = 0;
    for (const bool all_after : {false, true}) {
        for (int refused = 0;; ++refused) {
            Refusing source;
            source.refused = refused, source.all_after = all_after;
            aplomb_error error{};
            const aplomb_status status = make(source.allocator(), error);
            EXPECT_TRUE(source.out.empty()) << refused;
            EXPECT_EQ(source.wrong, 0) << refused;
            if (source.requests <= refused) { // it was not met: all that there are were refused
                EXPECT_EQ(status, APLOMB_OK) << error.message;
                all = refused;
                break;
            }
            EXPECT_EQ(status, APLOMB_OUT_OF_MEMORY) << refused;
            EXPECT_EQ(error.status, APLOMB_OUT_OF_MEMORY) << refused;
            EXPECT_STREQ(error.field, "allocator") << refused;
        }
    }
    return all;
}

int sweep_figure(const aplomb_figure_desc& desc) {
    return sweep([&](const aplomb_allocator& allocator, aplomb_error& error) {
        aplomb_figure* figure = nullptr;
        const aplomb_status status = aplomb_figure_create(&desc, &allocator, &figure, &error);
        EXPECT_EQ(figure == nullptr, status != APLOMB_OK);
        aplomb_figure_destroy(figure);
        return status;
    });
}

TEST(WithoutMemory, Figures) {
    for (const bool give_roles : {true, false}) {
        for (lay::LayFigure shape : {lay::LayFigure::adult(), lay::LayFigure::toddler(),
                                     lay::LayFigure::detailed(), lay::LayFigure::quadruped()}) {
            shape.give_roles = give_roles;
            // The figure, and working memory: of the build, for limbs, for masses; without roles for those too.
            EXPECT_GE(sweep_figure(shape.desc()), give_roles ? 4 : 5);
        }
    }
}

/// A cube about a joint, its skin closed.
void add_cube(Skin& skin, lay::Point middle, double half, int32_t joint) {
    int32_t corner[8];
    for (int i = 0; i < 8; ++i)
        corner[i] = skin.add(
            middle + lay::Point{i & 1 ? half : -half, i & 2 ? half : -half, i & 4 ? half : -half}, joint);
    constexpr int quads[6][4] = {{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4},
                                 {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}};
    for (const auto& q : quads) {
        skin.add_triangle(corner[q[0]], corner[q[1]], corner[q[2]]);
        skin.add_triangle(corner[q[0]], corner[q[2]], corner[q[3]]);
    }
}

TEST(WithoutMemory, FiguresWithMassesFromTheSkin) {
    lay::LayFigure shape = lay::LayFigure::adult();
    shape.mass_table = APLOMB_MASS_SKIN;
    Skin skin;
    for (int32_t joint = 0; joint < shape.count(); ++joint)
        add_cube(skin, shape.position(joint), 0.05, joint);
    const aplomb_skin view = skin.view();
    aplomb_figure_desc desc = shape.desc();
    desc.skin = &view;
    EXPECT_GE(sweep_figure(desc), 8);
}

TEST(WithoutMemory, Solvers) {
    for (lay::LayFigure shape : {lay::LayFigure::adult(), lay::LayFigure::quadruped()}) {
        const lay::FigureHandle figure = shape.create();
        const int requests = sweep([&](const aplomb_allocator& allocator, aplomb_error& error) {
            aplomb_solver* solver = nullptr;
            const aplomb_status status = aplomb_solver_create(figure.get(), &allocator, &solver, &error);
            EXPECT_EQ(solver == nullptr, status != APLOMB_OK);
            aplomb_solver_destroy(solver);
            return status;
        });
        EXPECT_EQ(requests, 1);
    }
}

/// The two creations that bring no allocator: too little room is told the same way.
TEST(WithoutMemory, SolversInMemoryOfTheCallers) {
    lay::LayFigure shape = lay::LayFigure::adult(), large = lay::LayFigure::detailed();
    const lay::FigureHandle figure = shape.create(), larger = large.create();
    const size_t size = aplomb_solver_size(figure.get());
    void* memory = std::aligned_alloc(64, (size + 63) / 64 * 64);
    aplomb_solver* solver = nullptr;
    EXPECT_EQ(aplomb_solver_create_in(figure.get(), memory, size - 1, &solver, nullptr),
              APLOMB_OUT_OF_MEMORY);
    EXPECT_EQ(solver, nullptr);
    ASSERT_EQ(aplomb_solver_create_in(figure.get(), memory, size, &solver, nullptr), APLOMB_OK);
    EXPECT_EQ(aplomb_solver_take(solver, larger.get(), nullptr), APLOMB_OUT_OF_MEMORY);
    EXPECT_EQ(aplomb_solver_take(solver, figure.get(), nullptr), APLOMB_OK);
    aplomb_solver_destroy(solver);
    std::free(memory);
}

} // namespace

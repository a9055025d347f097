// SPDX-License-Identifier: MIT
// What comes in is checked: every bad description gives a status and one sentence with field, index and
// value.
#include <cmath>
#include <cstddef>
#include <cstdlib>
#include <cstring>
#include <functional>
#include <limits>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "figures.h"

namespace {

using lay::LayFigure;

const double nan = std::numeric_limits<double>::quiet_NaN();
const double infinity = std::numeric_limits<double>::infinity();

/// A description of the adult with arrays for everything, to be spoilt.
struct Bench {
    LayFigure figure = LayFigure::adult();
    std::vector<double> rotations, masses, centres, inertias, limits, sole_points;
    aplomb_patch sole{};
    aplomb_figure_desc desc{};

    Bench() {
        const size_t n = static_cast<size_t>(figure.count());
        for (size_t i = 0; i < n; ++i)
            rotations.insert(rotations.end(), {0, 0, 0, 1});
        masses.assign(n, 3.0);
        centres.assign(3 * n, 0.01);
        inertias.assign(6 * n, 0.0);
        limits.assign(6 * n, nan);
        sole_points.assign({0, -.07, -.06, .04, -.07, .15, -.04, -.07, .15});
        desc = figure.desc();
        desc.rotations = rotations.data();
        desc.masses = masses.data();
        desc.centres = centres.data();
        desc.inertias = inertias.data();
        desc.limits = limits.data();
        sole = {figure.find("left_foot"), 3, sole_points.data()};
        desc.soles = &sole;
        desc.sole_count = 1;
    }
};

struct BadInput {
    const char* what;
    std::function<void(Bench&)> spoil;
    aplomb_status status;
    const char* field;
    int32_t index;
    const char* value; // must be in the message
};

const BadInput bad_inputs[] = {
    {"no joints", [](Bench& b) { b.desc.joint_count = 0; }, APLOMB_BAD_ARGUMENT, "joint_count", -1, "0"},
    {"too many", [](Bench& b) { b.desc.joint_count = 1025; }, APLOMB_BAD_ARGUMENT, "joint_count", -1, "1025"},
    {"negative count", [](Bench& b) { b.desc.joint_count = -5; }, APLOMB_BAD_ARGUMENT, "joint_count", -1,
     "-5"},
    {"no parents", [](Bench& b) { b.desc.parents = nullptr; }, APLOMB_BAD_ARGUMENT, "parents", -1, "NULL"},
    {"first is no root", [](Bench& b) { b.figure.parents[0] = 0; }, APLOMB_BAD_FIGURE, "parents", 0, "is 0"},
    {"two roots", [](Bench& b) { b.figure.parents[4] = -1; }, APLOMB_BAD_FIGURE, "parents", 4, "second root"},
    {"child first", [](Bench& b) { b.figure.parents[4] = 9; }, APLOMB_BAD_FIGURE, "parents", 4, "is 9"},
    {"own parent", [](Bench& b) { b.figure.parents[4] = 4; }, APLOMB_BAD_FIGURE, "parents", 4, "is 4"},
    {"parent -7", [](Bench& b) { b.figure.parents[4] = -7; }, APLOMB_BAD_FIGURE, "parents", 4, "-7"},
    {"no translations", [](Bench& b) { b.desc.translations = nullptr; }, APLOMB_BAD_ARGUMENT, "translations",
     -1, "NULL"},
    {"translation NaN", [](Bench& b) { b.figure.translations[3 * 5 + 1] = nan; }, APLOMB_BAD_ARGUMENT,
     "translations", 5, "nan"},
    {"translation huge", [](Bench& b) { b.figure.translations[3 * 5] = 1e200; }, APLOMB_BAD_ARGUMENT,
     "translations", 5, "1e+200"},
    {"rotation infinite", [](Bench& b) { b.rotations[4 * 6 + 3] = infinity; }, APLOMB_BAD_ARGUMENT,
     "rotations", 6, "inf"},
    {"rotation too long", [](Bench& b) { b.rotations[4 * 6 + 3] = 1.001; }, APLOMB_BAD_ARGUMENT, "rotations",
     6, "1.001"},
    {"rotation zero", [](Bench& b) { b.rotations[4 * 6 + 3] = 0; }, APLOMB_BAD_ARGUMENT, "rotations", 6, "0"},
    {"tip half known", [](Bench& b) { b.figure.tips[3 * 4] = 1; }, APLOMB_BAD_ARGUMENT, "tips", 4, "nan"},
    {"up axis 0", [](Bench& b) { b.desc.up_axis = 0; }, APLOMB_BAD_ARGUMENT, "up_axis", -1, "0"},
    {"up axis 4", [](Bench& b) { b.desc.up_axis = 4; }, APLOMB_BAD_ARGUMENT, "up_axis", -1, "4"},
    {"forward axis -4", [](Bench& b) { b.desc.forward_axis = -4; }, APLOMB_BAD_ARGUMENT, "forward_axis", -1,
     "-4"},
    {"axes along each other", [](Bench& b) { b.desc.forward_axis = -2; }, APLOMB_BAD_FIGURE, "forward_axis",
     -1, "right angles"},
    {"no unit", [](Bench& b) { b.desc.metres_per_unit = 0; }, APLOMB_BAD_ARGUMENT, "metres_per_unit", -1,
     "0"},
    {"unit NaN", [](Bench& b) { b.desc.metres_per_unit = nan; }, APLOMB_BAD_ARGUMENT, "metres_per_unit", -1,
     "nan"},
    {"role unknown", [](Bench& b) { b.figure.roles[3] = 99; }, APLOMB_BAD_ARGUMENT, "roles", 3, "99"},
    {"side unknown", [](Bench& b) { b.figure.sides[3] = -1; }, APLOMB_BAD_ARGUMENT, "sides", 3, "-1"},
    {"mass table unknown", [](Bench& b) { b.desc.mass_table = 7; }, APLOMB_BAD_ARGUMENT, "mass_table", -1,
     "7"},
    {"total mass negative", [](Bench& b) { b.desc.total_mass = -75; }, APLOMB_BAD_ARGUMENT, "total_mass", -1,
     "-75"},
    {"mass negative", [](Bench& b) { b.masses[8] = -2.5; }, APLOMB_BAD_ARGUMENT, "masses", 8, "-2.5"},
    {"mass NaN", [](Bench& b) { b.masses[8] = nan; }, APLOMB_BAD_ARGUMENT, "masses", 8, "nan"},
    {"no mass at all", [](Bench& b) { b.masses.assign(b.masses.size(), 0.0); }, APLOMB_BAD_FIGURE, "masses",
     -1, "all 0"},
    {"centre infinite", [](Bench& b) { b.centres[3 * 2] = -infinity; }, APLOMB_BAD_ARGUMENT, "centres", 2,
     "-inf"},
    {"moment negative", [](Bench& b) { b.inertias[6 * 2 + 1] = -1; }, APLOMB_BAD_ARGUMENT, "inertias", 2,
     "-1"},
    {"limits crossed",
     [](Bench& b) {
         b.limits[6 * 3 + 2] = 0.5;
         b.limits[6 * 3 + 3] = 0.25;
     },
     APLOMB_BAD_FIGURE, "limits", 3, "0.25"},
    {"limit against the published end", [](Bench& b) { b.limits[6 * 1] = 3.0; }, APLOMB_BAD_FIGURE, "limits",
     1, "3"},
    {"soles missing", [](Bench& b) { b.desc.soles = nullptr; }, APLOMB_BAD_ARGUMENT, "soles", -1, "NULL"},
    {"sole count negative", [](Bench& b) { b.desc.sole_count = -1; }, APLOMB_BAD_ARGUMENT, "sole_count", -1,
     "-1"},
    {"sole of no joint", [](Bench& b) { b.sole.joint = 22; }, APLOMB_BAD_ARGUMENT, "soles", 0, "22"},
    {"sole of the head", [](Bench& b) { b.sole.joint = 5; }, APLOMB_BAD_FIGURE, "soles", 0, "head"},
    {"sole without points", [](Bench& b) { b.sole.point_count = 0; }, APLOMB_BAD_ARGUMENT, "soles", 0, "0"},
    {"sole with 17 points", [](Bench& b) { b.sole.point_count = 17; }, APLOMB_BAD_ARGUMENT, "soles", 0, "17"},
    {"sole points missing", [](Bench& b) { b.sole.points = nullptr; }, APLOMB_BAD_ARGUMENT, "soles", 0,
     "NULL"},
    {"sole point NaN", [](Bench& b) { b.sole_points[4] = nan; }, APLOMB_BAD_ARGUMENT, "soles", 0, "nan"},
    {"struct size 0", [](Bench& b) { b.desc.struct_size = 0; }, APLOMB_WRONG_VERSION, "desc", -1, "0"},
    {"struct size too large", [](Bench& b) { b.desc.struct_size += 8; }, APLOMB_WRONG_VERSION, "desc", -1,
     "struct_size"},
};

TEST(Build, BenchIsAccepted) {
    Bench bench;
    EXPECT_NO_THROW(LayFigure::create_figure(bench.desc));
}

TEST(Build, BadInputTable) {
    for (const BadInput& bad : bad_inputs) {
        SCOPED_TRACE(bad.what);
        Bench bench;
        bad.spoil(bench);
        aplomb_error error{};
        aplomb_figure* figure = reinterpret_cast<aplomb_figure*>(&error);
        EXPECT_EQ(aplomb_figure_create(&bench.desc, nullptr, &figure, &error), bad.status) << error.message;
        EXPECT_EQ(figure, nullptr);
        EXPECT_EQ(error.status, bad.status);
        EXPECT_STREQ(error.field, bad.field);
        EXPECT_EQ(error.index, bad.index);
        EXPECT_NE(std::string(error.message).find(bad.value), std::string::npos) << error.message;
        EXPECT_EQ(aplomb_figure_create(&bench.desc, nullptr, &figure, nullptr), bad.status);
    }
}

TEST(Build, NullArguments) {
    aplomb_figure* figure = nullptr;
    aplomb_error error{};
    EXPECT_EQ(aplomb_figure_create(nullptr, nullptr, &figure, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.field, "desc");
    Bench bench;
    EXPECT_EQ(aplomb_figure_create(&bench.desc, nullptr, nullptr, &error), APLOMB_BAD_ARGUMENT);
    aplomb_figure_destroy(nullptr);
    EXPECT_EQ(aplomb_figure_joint_count(nullptr), 0);
    EXPECT_EQ(aplomb_figure_remark(nullptr, 0), nullptr);
}

/// Counts what is out; fails at the `fail_at`-th request.
struct Counter {
    int requests = 0, fail_at = -1;
    long bytes = 0;

    static void* allocate(size_t size, size_t, void* user) {
        Counter& c = *static_cast<Counter*>(user);
        if (c.requests++ == c.fail_at) return nullptr;
        c.bytes += static_cast<long>(size);
        return std::malloc(size);
    }
    static void deallocate(void* memory, size_t size, void* user) {
        static_cast<Counter*>(user)->bytes -= static_cast<long>(size);
        std::free(memory);
    }
    aplomb_allocator allocator() { return {allocate, deallocate, this}; }
};

TEST(Build, TakesAllMemoryFromTheCallerAndGivesItBack) {
    Bench bench;
    Counter counter;
    const aplomb_allocator allocator = counter.allocator();
    aplomb_figure* figure = nullptr;
    ASSERT_EQ(aplomb_figure_create(&bench.desc, &allocator, &figure, nullptr), APLOMB_OK);
    EXPECT_GT(counter.bytes, 0);
    aplomb_figure_destroy(figure);
    EXPECT_EQ(counter.bytes, 0);
    const int requests = counter.requests;
    for (int fail_at = 0; fail_at < requests; ++fail_at) {
        Counter failing;
        failing.fail_at = fail_at;
        const aplomb_allocator source = failing.allocator();
        aplomb_error error{};
        EXPECT_EQ(aplomb_figure_create(&bench.desc, &source, &figure, &error), APLOMB_OUT_OF_MEMORY);
        EXPECT_EQ(figure, nullptr);
        EXPECT_EQ(failing.bytes, 0);
    }
}

TEST(Build, GivesMemoryBackAfterARefusal) {
    Bench bench;
    bench.sole.joint = 5; // found out in the last step only
    Counter counter;
    const aplomb_allocator allocator = counter.allocator();
    aplomb_figure* figure = nullptr;
    EXPECT_EQ(aplomb_figure_create(&bench.desc, &allocator, &figure, nullptr), APLOMB_BAD_FIGURE);
    EXPECT_GT(counter.requests, 0);
    EXPECT_EQ(counter.bytes, 0);
}

TEST(Build, KeepsNothingOfTheCallers) {
    lay::FigureHandle figure;
    {
        LayFigure description = LayFigure::adult();
        figure = description.create();
        for (std::string& name : description.names)
            name.assign(name.size(), '?');
    }
    EXPECT_EQ(aplomb_figure_find_joint(figure.get(), "spine_2"), 2);
    EXPECT_EQ(aplomb_figure_find_joint(figure.get(), "hips"), 0);
    EXPECT_EQ(aplomb_figure_find_joint(figure.get(), "nobody"), -1);
    EXPECT_EQ(aplomb_figure_find_role(figure.get(), APLOMB_ROLE_FOOT, APLOMB_SIDE_RIGHT), 20);
}

TEST(Build, SameFigureInOtherUnitsAndAxes) {
    LayFigure metres = LayFigure::adult(), inches = LayFigure::adult();
    // Up Z, forward -Y: left is then X, as in the zombie of the reference clips.
    const auto turned = [](std::vector<double>& v) {
        for (size_t i = 0; i + 2 < v.size(); i += 3) {
            const double x = v[i], y = v[i + 1], z = v[i + 2];
            v[i] = x / .0254;
            v[i + 1] = -z / .0254;
            v[i + 2] = y / .0254;
        }
    };
    turned(inches.translations);
    turned(inches.tips);
    aplomb_figure_desc desc = inches.desc();
    desc.metres_per_unit = .0254;
    desc.up_axis = APLOMB_AXIS_Z;
    desc.forward_axis = APLOMB_AXIS_MINUS_Y;
    const lay::FigureHandle a = metres.create(), b = LayFigure::create_figure(desc);
    aplomb_figure_info in_metres, in_inches;
    aplomb_figure_info_init(&in_metres, sizeof in_metres);
    aplomb_figure_info_init(&in_inches, sizeof in_inches);
    ASSERT_EQ(aplomb_figure_describe(a.get(), &in_metres, nullptr), APLOMB_OK);
    ASSERT_EQ(aplomb_figure_describe(b.get(), &in_inches, nullptr), APLOMB_OK);
    EXPECT_NEAR(in_metres.stature, in_inches.stature * .0254, 1e-9);
    EXPECT_NEAR(in_metres.leg_length, in_inches.leg_length * .0254, 1e-9);
    EXPECT_NEAR(in_metres.total_mass, in_inches.total_mass, 1e-9);

    std::vector<double> translations(66), rotations(88);
    ASSERT_EQ(aplomb_figure_rest_pose(b.get(), translations.data(), rotations.data()), APLOMB_OK);
    for (size_t i = 0; i < 66; ++i)
        EXPECT_NEAR(translations[i], inches.translations[i], 1e-9);
    for (size_t i = 0; i < 22; ++i)
        EXPECT_NEAR(rotations[4 * i + 3], 1.0, 1e-12);
}

TEST(Build, OldCallersGetWhatTheirStructHolds) {
    const lay::FigureHandle figure = LayFigure::adult().create();
    aplomb_joint_info info;
    std::memset(&info, 0x5a, sizeof info);
    const size_t old_size = offsetof(aplomb_joint_info, inertia);
    aplomb_joint_info_init(&info, old_size);
    ASSERT_EQ(aplomb_figure_joint(figure.get(), 0, &info, nullptr), APLOMB_OK);
    EXPECT_STREQ(info.name, "hips");
    EXPECT_EQ(info.struct_size, old_size);
    const auto* bytes = reinterpret_cast<const unsigned char*>(&info);
    for (size_t i = old_size; i < sizeof info; ++i)
        ASSERT_EQ(bytes[i], 0x5a);
    info.struct_size = sizeof info + 1;
    EXPECT_EQ(aplomb_figure_joint(figure.get(), 0, &info, nullptr), APLOMB_WRONG_VERSION);
    aplomb_joint_info_init(&info, sizeof info);
    aplomb_error error{};
    EXPECT_EQ(aplomb_figure_joint(figure.get(), 22, &info, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(error.index, 22);
}

TEST(Build, Texts) {
    EXPECT_STREQ(aplomb_role_text(APLOMB_ROLE_UPPER_ARM), "upper arm");
    EXPECT_STREQ(aplomb_role_text(APLOMB_ROLE_HELPER), "helper");
    EXPECT_STREQ(aplomb_role_text(static_cast<aplomb_role>(55)), "unknown");
    EXPECT_STREQ(aplomb_side_text(APLOMB_SIDE_MIDDLE), "middle");
    EXPECT_STREQ(aplomb_status_text(APLOMB_OUT_OF_REACH), "out of reach");
    EXPECT_STREQ(aplomb_status_text(static_cast<aplomb_status>(77)), "unknown");
    EXPECT_EQ(aplomb_version(), static_cast<uint32_t>(APLOMB_VERSION));
    EXPECT_NE(std::string(aplomb_build_info()).find("aplomb 0.1.0"), std::string::npos);
}

} // namespace

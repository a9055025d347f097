// SPDX-License-Identifier: MIT
// Figures of which something comes out as no number: left out with a remark, or refused by name.
#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "figures.h"
#include "reading/scene.h"

namespace {

using lay::LayFigure;

void put(std::vector<double>& numbers, int32_t joint, double x, double y, double z) {
    const size_t i = 3 * static_cast<size_t>(joint);
    numbers[i] = x, numbers[i + 1] = y, numbers[i + 2] = z;
}

/// The toe at the ankle: nothing tells which way the foot points, as where the axes were misread.
LayFigure without_feet() {
    LayFigure figure = LayFigure::adult();
    for (const char* toe : {"left_toe", "right_toe"}) {
        put(figure.translations, figure.find(toe), 0, 0, 0);
        put(figure.tips, figure.find(toe), 0, 0, 0);
    }
    return figure;
}

TEST(Sound, AFootWithoutLengthHasNoSole) {
    const lay::FigureHandle figure = without_feet().create();
    std::string remarks;
    for (int32_t i = 0; const char* remark = aplomb_figure_remark(figure.get(), i); ++i)
        remarks += remark;
    EXPECT_NE(remarks.find(
                  "The foot 'left_foot' does not point forward: its sole is left out, and it cannot stand."),
              std::string::npos)
        << remarks;
    for (int32_t i = 0; i < aplomb_figure_limb_count(figure.get()); ++i) {
        aplomb_limb_info limb;
        aplomb_limb_info_init(&limb, sizeof limb);
        ASSERT_EQ(aplomb_figure_limb(figure.get(), i, &limb, nullptr), APLOMB_OK);
        EXPECT_EQ(limb.sole_point_count, 0);
    }
}

TEST(Sound, WithoutSolesNothingIsInBalance) {
    lay::Scene scene(without_feet());
    aplomb_reading reading;
    aplomb_error error{};
    EXPECT_EQ(scene.try_read(reading, &error), APLOMB_NO_SUPPORT);
    EXPECT_EQ(reading.in_balance, 0);
}

TEST(Sound, ASegmentNextToNothingIsRefused) {
    LayFigure figure = LayFigure::adult();
    put(figure.translations, figure.find("head"), 0, 0, 1e-160);
    const aplomb_figure_desc desc = figure.desc();
    aplomb_figure* made = nullptr;
    aplomb_error error{};
    EXPECT_EQ(aplomb_figure_create(&desc, nullptr, &made, &error), APLOMB_BAD_FIGURE);
    EXPECT_EQ(made, nullptr);
    EXPECT_STREQ(error.message,
                 "The rest pose gives joint 4 (neck) no finite segment: a translation or tip near it is "
                 "next to nothing, or far too large.");
    EXPECT_EQ(error.index, figure.find("neck"));
    aplomb_figure_destroy(made);
}

} // namespace

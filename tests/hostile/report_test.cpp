// SPDX-License-Identifier: MIT
// Pages, sheets and character writes that are called wrongly or cannot be written.
#include <gtest/gtest.h>

#include <functional>

#include "figures.h"
#include "hostile/told.h"

namespace hostile {
namespace {

struct Bench {
    made::Folder folder;
    lay::FigureHandle figure = lay::LayFigure::adult().create();
    std::vector<double> translations = std::vector<double>(66), rotations = std::vector<double>(88);
    aplomb_reading reading;
    aplomb_picture picture;
    aplomb_camera camera{{0, 0, 0}, {0, 0, 0, 1}, 1, 0, 0};
    aplomb_cell cell{};
    aplomb_sheet sheet{};
    aplomb_error error{};

    Bench() {
        aplomb_figure_rest_pose(figure.get(), translations.data(), rotations.data());
        aplomb_reading_init(&reading, sizeof reading);
        aplomb_picture_init(&picture, sizeof picture);
        picture.figure = figure.get();
        picture.before = {translations.data(), rotations.data(), &reading, nullptr, nullptr};
        picture.camera = &camera;
        cell.picture = &picture;
        sheet.columns = 1, sheet.cell_count = 1, sheet.cells = &cell;
    }
    aplomb_status page(const std::string& name = "p.html") {
        return aplomb_page_write(&picture, (folder / name).c_str(), &error);
    }
    aplomb_status sheets(int32_t count = 1) {
        return aplomb_sheets_write(&sheet, count, (folder / "s.html").c_str(), &error);
    }
};

struct Case {
    const char* told;
    std::function<aplomb_status(Bench&)> call;
};

const Case cases[] = {
    {"ok: ", [](Bench& b) { return b.page(); }},
    {"cannot open: cannot write '': it is a folder", [](Bench& b) { return b.page(""); }},
    {"cannot open: cannot write 'gone/p.html': No such file or directory",
     [](Bench& b) { return b.page("gone/p.html"); }},
    {"bad argument: path is NULL or empty.",
     [](Bench& b) { return aplomb_page_write(&b.picture, nullptr, &b.error); }},
    {"bad argument: picture is NULL.", [](Bench& b) { return aplomb_page_write(nullptr, "p", &b.error); }},
    {"wrong version: picture: struct_size is 1, not 160. Set it up with its _init function.",
     [](Bench& b) {
         b.picture.struct_size = 1;
         return b.page();
     }},
    {"bad argument: figure is NULL.",
     [](Bench& b) {
         b.picture.figure = nullptr;
         return b.page();
     }},
    {"bad argument: before: translations, rotations and reading are all needed; one is NULL.",
     [](Bench& b) {
         b.picture.before.reading = nullptr;
         return b.page();
     }},
    {"bad argument: before.reading.edge_count is 33; it must be 0 to 32.",
     [](Bench& b) {
         b.reading.edge_count = 33;
         return b.page();
     }},
    {"bad pose: before.rotations: the rotation of joint 0 has length 0; it must be 1.",
     [](Bench& b) {
         b.rotations[3] = 0;
         return b.page();
     }},
    {"bad argument: camera.vertical_angle is 4; it must be 0 or an angle below half a turn.",
     [](Bench& b) {
         b.camera.vertical_angle = 4;
         return b.page();
     }},
    {"bad argument: camera.height is 0; in parallel projection it must be above 0.",
     [](Bench& b) {
         b.camera.vertical_angle = 0;
         return b.page();
     }},
    {"bad argument: camera.aspect is -1; it must be 0 or 0.05 to 20.",
     [](Bench& b) {
         b.camera.aspect = -1;
         return b.page();
     }},
    {"ok: ", [](Bench& b) { return b.sheets(); }},
    {"bad argument: sheets: there must be at least one; sheet_count is 0.",
     [](Bench& b) { return b.sheets(0); }},
    {"bad argument: sheets is NULL.",
     [](Bench& b) { return aplomb_sheets_write(nullptr, 1, "s.html", &b.error); }},
    {"bad argument: sheets[0].columns is 13; it must be 1 to 12.",
     [](Bench& b) {
         b.sheet.columns = 13;
         return b.sheets();
     }},
    {"bad argument: sheets[0].cells: there must be at least one cell.",
     [](Bench& b) {
         b.sheet.cells = nullptr;
         return b.sheets();
     }},
    {"bad argument: sheets[0].cells[0].view is 3; it must be front (0), side (1) or top (2).",
     [](Bench& b) {
         b.cell.view = 3;
         return b.sheets();
     }},
    {"bad argument: sheets[0].cells[0].marks is 2; it must be 0 or 1.",
     [](Bench& b) {
         b.cell.marks = 2;
         return b.sheets();
     }},
    {"bad argument: sheets[0].cells[0].picture: before: translations, rotations and reading are all needed; "
     "one is NULL.",
     [](Bench& b) {
         b.picture.before.rotations = nullptr;
         return b.sheets();
     }},
};

TEST(HostileReport, Calls) {
    for (const Case& c : cases) {
        Bench bench;
        EXPECT_EQ(told_in(bench.folder, c.call(bench), bench.error), c.told);
    }
}

} // namespace
} // namespace hostile

// SPDX-License-Identifier: MIT
#include "sheets/contact_sheet.h"

#include "sheets/captions.h"

#include <iterator>

namespace sheets {
namespace {

struct Carry {
    const char *name, *clip;
    aplomb_load (Beekeeper::*load)(double mass) const;
    aplomb_view view, overview; // large: where the hips go, on one foot; small: what leans
};

constexpr Carry carries[] = {
    {"Honey box", "honey box", &Beekeeper::box, APLOMB_VIEW_SIDE, APLOMB_VIEW_SIDE},
    {"Syrup bucket", "syrup bucket", &Beekeeper::bucket, APLOMB_VIEW_FRONT, APLOMB_VIEW_FRONT},
    {"Hive on the back", "hive", &Beekeeper::hive, APLOMB_VIEW_SIDE, APLOMB_VIEW_SIDE},
    {"Hive, over a log", "over a log", &Beekeeper::hive, APLOMB_VIEW_FRONT, APLOMB_VIEW_SIDE},
    {"Comb at arm's length", "comb", &Beekeeper::box, APLOMB_VIEW_SIDE, APLOMB_VIEW_SIDE}};
constexpr double parts[] = {0.1, 0.3, 0.6, 1}; // of the body's mass

Sheet sheet_of(const Carry& carry, const std::vector<std::string>& masses, Beekeeper& beekeeper) {
    Sheet sheet = {carry.name, "", static_cast<int>(std::size(parts)), {}, masses, {}};
    const aplomb::Pose pose = beekeeper.pose(carry.clip);
    for (const double part : parts) {
        const double mass = part * beekeeper.mass();
        const Scene& scene = beekeeper.balanced(pose, {(beekeeper.*carry.load)(mass)});
        sheet.cells.push_back({&scene, carry.view, true, load_caption(mass, scene)});
    }
    return sheet;
}

/// A load in front, answered in each of the three ways.
Sheet three_ways(Beekeeper& beekeeper) {
    Sheet sheet = {
        "A load in front: three answers",
        "Arch: the spine bends back over an upright pelvis. Straight: hips go back under a stiff trunk. Sit "
        "back: the trunk stays upright, hips and knees take it, as when a load is let down.",
        3,
        {"30 % of body mass", "60 %", "100 %"},
        {"Arch", "Straight", "Sit back"},
        {}};
    const aplomb::Pose pose = beekeeper.pose("honey box");
    for (const double part : {0.3, 0.6, 1.0})
        for (const aplomb_front front : {APLOMB_FRONT_ARCH, APLOMB_FRONT_STRAIGHT, APLOMB_FRONT_SIT_BACK}) {
            aplomb_options options = aplomb::options();
            options.front = front;
            const double mass = part * beekeeper.mass();
            const Scene& scene = beekeeper.balanced(pose, {beekeeper.box(mass)}, options);
            sheet.cells.push_back({&scene, APLOMB_VIEW_SIDE, false, load_caption(mass, scene)});
        }
    return sheet;
}

} // namespace

std::vector<Sheet> contact_sheets(Beekeeper& beekeeper) {
    const std::vector<std::string> masses = {"10 % of body mass", "30 %", "60 %", "100 %"};
    std::vector<Sheet> large;
    Sheet all = {"How far to lean",
                 "Each pose was keyed upright (thin outline) and balanced with default settings.",
                 static_cast<int>(std::size(carries)),
                 masses,
                 {},
                 {}};
    for (const Carry& carry : carries) {
        large.push_back(sheet_of(carry, masses, beekeeper));
        all.column_names.push_back(carry.name);
    }
    for (size_t row = 0; row < std::size(parts); ++row) {
        for (size_t column = 0; column < large.size(); ++column) {
            Cell cell = large[column].cells[row];
            cell.view = carries[column].overview;
            const double mass = parts[row] * beekeeper.mass();
            cell.caption =
                mass_text(mass) + ", " + reads_as_text(*cell.scene) + "\n" + lean_text(*cell.scene);
            cell.marks = false;
            all.cells.push_back(cell);
        }
    }
    std::vector<Sheet> sheets = {all};
    sheets.insert(sheets.end(), large.begin(), large.end());
    sheets.push_back(three_ways(beekeeper));
    return sheets;
}

} // namespace sheets

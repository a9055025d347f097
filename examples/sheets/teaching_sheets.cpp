// SPDX-License-Identifier: MIT
#include "sheets/teaching_sheets.h"

#include "sheets/captions.h"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace sheets {
namespace {

constexpr aplomb_view front = APLOMB_VIEW_FRONT, side = APLOMB_VIEW_SIDE;

/// Throws where the eye cannot tell from this side whether the pose tips: a load behind the body or before it, or a
/// balance point too near the edge of the feet as they are seen.
void check_solvable(const Cell& cell) {
    constexpr double beside = 0.1, clear = 0.025; // metres
    const aplomb_reading& r = cell.scene->before;
    const int across = cell.view == front ? 0 : 2; // the beekeeper faces +Z
    double low = r.area[0][across], high = low;
    for (int i = 1; i < r.edge_count; ++i) {
        low = std::min(low, r.area[i][across]);
        high = std::max(high, r.area[i][across]);
    }
    const double inside = std::min(r.balance_point[across] - low, high - r.balance_point[across]);
    bool told = std::fabs(inside) >= clear && (inside > 0) == (r.margin > 0);
    for (int i = 0; i < r.load_count; ++i)
        told = told && std::fabs(r.load_centre[i][across] - r.body_centre[across]) >= beside;
    if (!told) throw std::runtime_error("Which of these tip: the eye cannot tell pose " + cell.caption);
}

/// Six poses without marks, then the same ones with them.
std::vector<Sheet> which_tip(Beekeeper& b) {
    const double light = 0.2 * b.mass(), heavy = 0.6 * b.mass();
    const Scene& over_a_log = b.balanced(b.pose("over a log"), {});
    const Scene& honey_box = b.balanced(b.pose("honey box"), {b.box(heavy)});
    Sheet question = {"Which of these tip, and which way?",
                      "The beekeeper weighs " + mass_text(b.mass()) + ", the box of A and the hive of D " +
                          mass_text(heavy) + ", the bucket of B " + mass_text(light) +
                          ". Draw the plumb line first. Left and right are the beekeeper's own.",
                      3,
                      {},
                      {},
                      {{&b.keyed(b.pose("comb"), {b.box(heavy)}), side, false, "A"},
                       {&b.keyed(b.pose("syrup bucket"), {b.bucket(light)}), front, false, "B"},
                       {&b.keyed(b.pose("over a log"), {}), front, false, "C"},
                       {&b.keyed(b.pose("hive"), {b.hive(heavy)}), side, false, "D"},
                       {&b.settled(over_a_log), front, false, "E"},
                       {&b.unloaded(honey_box), side, false, "F"}}};
    for (const Cell& cell : question.cells)
        check_solvable(cell);
    Sheet answers = question;
    answers.title = "Answers";
    answers.text =
        "A pose stands while its balance point lies inside the support area under the feet. What is still "
        "to go counts to the margin asked for, 8 % of the foot inside the edge. Left and right are the "
        "beekeeper's own.";
    for (Cell& cell : answers.cells) {
        cell.marks = true;
        cell.caption += ". " + verdict_text(cell.scene->before);
    }
    return {question, answers};
}

/// Two bodies at a time, their loads left out; then with them. Knees, hips and shoulders tell.
std::vector<Sheet> which_carries_more(Beekeeper& b) {
    const double some = 0.15, much = 0.8; // of the body's mass
    Sheet question = {
        "Which carries more?",
        "Each pair had the same key and the same thing to carry, of two weights; the thing is left "
        "out. Look at the knees, at the hips and at the shoulders.",
        4,
        {},
        {},
        {}};
    Sheet answers = {
        "Answers",
        "Knees give and hips sink as the load grows; the spine bends away from it over a pelvis that "
        "stays upright. On one side, the loaded shoulder and hip drop and the free arm goes out.",
        4,
        {},
        {},
        {}};
    const struct {
        const char* clip;
        aplomb_load (Beekeeper::*load)(double mass) const;
        aplomb_view view;
        bool heavy_first;
    } pairs[] = {{"honey box", &Beekeeper::box, side, true},
                 {"syrup bucket", &Beekeeper::bucket, front, true},
                 {"hive", &Beekeeper::hive, side, false},
                 {"squat lift", &Beekeeper::box, side, true}};
    char letter = 'A';
    for (const auto& pair : pairs)
        for (const bool heavy : {pair.heavy_first, !pair.heavy_first}) {
            const double mass = (heavy ? much : some) * b.mass();
            const Scene& scene = b.balanced(b.pose(pair.clip), {(b.*pair.load)(mass)});
            question.cells.push_back({&b.unloaded(scene), pair.view, false, std::string(1, letter)});
            answers.cells.push_back({&b.settled(scene), pair.view, true,
                                     std::string(1, letter) + ". " + load_caption(mass, scene)});
            ++letter;
        }
    return {question, answers};
}

Sheet five_masses(Beekeeper& b) {
    Sheet sheet = {"One pose, five masses", "The same key; only what the box weighs changes.", 5, {}, {}, {}};
    for (const double part : {0.05, 0.10, 0.20, 0.35, 0.60}) {
        const Scene& scene = b.balanced(b.pose("honey box"), {b.box(part * b.mass())});
        sheet.cells.push_back({&scene, side, false, load_caption(part * b.mass(), scene)});
    }
    return sheet;
}

Sheet five_distances(Beekeeper& b) {
    const double mass = 0.15 * b.mass();
    Sheet sheet = {"One mass, five distances",
                   "Always " + mass_text(mass) +
                       "; only how far ahead of the body's centre it is held changes.",
                   5,
                   {},
                   {},
                   {}};
    const aplomb::Pose near = b.pose("honey box"), far = b.pose("comb");
    for (const double part : {0.0, 0.25, 0.5, 0.75, 1.0}) {
        const Scene& scene = b.balanced(b.between(near, far, part), {b.box(mass)});
        const double ahead = scene.before.load_centre[0][2] - scene.before.body_centre[2];
        sheet.cells.push_back(
            {&scene, side, false,
             "Held " + std::to_string(std::lround(100 * ahead)) + " cm ahead\n" + load_caption(mass, scene)});
    }
    return sheet;
}

Sheet lifted_foot(Beekeeper& b) {
    Sheet sheet = {"A foot is lifted: where do the hips go?", "Over the foot that stands.", 3, {}, {}, {}};
    const struct {
        double amount;
        const char* words;
    } steps[] = {
        {0, "Wrong: still between the feet"}, {0.5, "Half way"}, {1, "Right: over the standing foot"}};
    for (const auto& step : steps) {
        aplomb_options options = aplomb::options();
        options.amount = step.amount;
        const Scene& scene = b.balanced(b.pose("over a log"), {}, options);
        sheet.cells.push_back(
            {&scene, front, true, std::string(step.words) + "\n" + verdict_text(scene.after)});
    }
    return sheet;
}

Sheet tiptoe(Beekeeper& b) {
    const double mass = 0.15 * b.mass();
    Sheet sheet = {
        "Flat foot and tiptoe",
        "On tiptoe the balls and toes alone carry: a small support area, further forward. The box weighs " +
            mass_text(mass) + ".",
        2,
        {"Flat", "On tiptoe"},
        {"As keyed", "Balanced"},
        {}};
    for (const char* clip : {"honey box", "tiptoe"}) {
        const Scene& keyed = b.keyed(b.pose(clip), {b.box(mass)});
        const Scene& balanced = b.balanced(b.pose(clip), {b.box(mass)});
        sheet.cells.push_back({&keyed, side, true, verdict_text(keyed.before)});
        sheet.cells.push_back(
            {&balanced, side, true, verdict_text(balanced.after) + "\n" + correction_text(balanced)});
    }
    return sheet;
}

Sheet load_taken_away(Beekeeper& b) {
    const double mass = 0.5 * b.mass();
    Sheet sheet = {
        "Take the load away",
        "The pose leans against " + mass_text(mass) +
            ". Without the load it falls, or leans without a reason: that is how one sees the weight.",
        3,
        {"With the load", "Without it"},
        {"Honey box", "Hive on the back", "Syrup bucket"},
        {}};
    const std::vector<Cell> loaded = {
        {&b.balanced(b.pose("honey box"), {b.box(mass)}), side, true, ""},
        {&b.balanced(b.pose("hive"), {b.hive(mass)}), side, true, ""},
        {&b.balanced(b.pose("syrup bucket"), {b.bucket(mass)}), front, true, ""}};
    for (Cell cell : loaded) {
        cell.caption = verdict_text(cell.scene->after) + "\n" + from_home_text(cell.scene->after);
        sheet.cells.push_back(cell);
    }
    for (Cell cell : loaded) {
        cell.scene = &b.unloaded(*cell.scene);
        cell.caption = verdict_text(cell.scene->before) + "\n" + from_home_text(cell.scene->before);
        sheet.cells.push_back(cell);
    }
    return sheet;
}

} // namespace

std::vector<Sheet> teaching_sheets(Beekeeper& beekeeper) {
    std::vector<Sheet> sheets = which_tip(beekeeper);
    const std::vector<Sheet> more = which_carries_more(beekeeper);
    sheets.insert(sheets.end(), more.begin(), more.end());
    for (const auto make : {five_masses, five_distances, lifted_foot, tiptoe, load_taken_away})
        sheets.push_back(make(beekeeper));
    return sheets;
}

} // namespace sheets

// SPDX-License-Identifier: MIT
// Contact sheet, teaching sheets and one page of numbers of the beekeeper.
#include "sheets/contact_sheet.h"
#include "sheets/teaching_sheets.h"

#include <cstdio>
#include <exception>

int main(int count, char** words) {
    if (count != 3) return std::fprintf(stderr, "usage: %s beekeeper.glb folder\n", words[0]), 2;
    const std::string folder = words[2];
    try {
        sheets::Beekeeper beekeeper(words[1]);
        sheets::write_sheets(sheets::contact_sheets(beekeeper), folder + "/contact-sheet.html");
        sheets::write_sheets(sheets::teaching_sheets(beekeeper), folder + "/teaching-sheets.html");
        const sheets::Scene& squat = beekeeper.balanced(beekeeper.pose("squat lift"), {beekeeper.box(20)});
        beekeeper.write_page(squat, "Lifting a box of 20 kg", folder + "/squat-lift.html");
    } catch (const std::exception& error) {
        return std::fprintf(stderr, "%s\n", error.what()), 1;
    }
    for (const char* name : {"contact-sheet", "teaching-sheets", "squat-lift"})
        std::printf("%s/%s.html\n", folder.c_str(), name);
    return 0;
}

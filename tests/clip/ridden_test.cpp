// SPDX-License-Identifier: MIT
// Recorded people with and without a bucket: head, hands, elbows and feet ride along evenly, and an arm that hangs keeps the
// bucket off the legs for as long as they pass, instead of giving way to each.
#include "recorded_shot.h"
#include "ridden.h"
#include "walk.h"

#include <cstdio>
#include <string>

using namespace recorded;

namespace {

walk::Balanced with_bucket(const Recording& recording, const Clip& found, const shot::Poses& poses,
                           double mass, std::vector<aplomb_stance_range>& stances) {
    aplomb_carry carry{};
    aplomb_clip given = poses.clip();
    if (mass > 0) {
        EXPECT_EQ(aplomb_load_at(recording.figure(), mass, "right-hand", &carry.load, nullptr), APLOMB_OK);
        carry.load.offset[1] = -.3 / found.metres_per_unit;
        carry.last = given.frame_count - 1;
        given.carries = &carry, given.carry_count = 1;
    }
    stances = shot::read(recording.figure(), given).stances();
    return walk::balance(recording.figure(), poses, given);
}

} // namespace

TEST(Ridden, RecordedPeopleMoveEvenly) {
    if (made::reference_is_missing()) GTEST_SKIP();
    std::printf("second differences over what is asked\n");
    for (const char* const name :
         {"cmu_02_01", "cmu_06_01", "cmu_12_01", "cmu_13_35", "cmu_07_04", "cmu_03_01", "cmu_02_03",
          "cmu_02_04", "cmu_13_11", "cmu_05_03", "cmu_02_06"}) {
        const Clip& found = clip(name);
        const Recording recording(found.file, found.metres_per_unit);
        const shot::Poses poses = poses_of(recording, found, 5);
        const std::string word = name;
        const bool walks =
            word == "cmu_02_01" || word == "cmu_06_01" || word == "cmu_12_01" || word == "cmu_13_35";
        for (const double mass : {0., 5., 15.}) {
            if (mass > 0 && !walks) continue;
            std::vector<aplomb_stance_range> stances;
            const walk::Balanced out = with_bucket(recording, found, poses, mass, stances);
            const ridden::Ridden rides(recording.figure(), poses, out.poses, stances);
            rides.print(word + " with " + std::to_string(static_cast<int>(mass)) + " kg");
            for (const ridden::Part& part : rides.parts()) {
                if (walks) {
                    EXPECT_LT(part.worst, 1) << name << " " << mass << " " << part.name << " " << part.frame;
                }
            }
        }
    }
}

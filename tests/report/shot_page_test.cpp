// SPDX-License-Identifier: MIT
// Pages of clips: well-formed whatever the numbers are, with a leap and a gap; bad input is named.
#include <cmath>
#include <cstring>
#include <limits>
#include <sstream>

#include "drawn.h"

namespace {

using namespace drawn;

constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

/// Thirty frames of one pose, as if they had been read: it falls, it is in the air, it stands again.
struct Shot {
    explicit Shot(Scene& scene) : picture(scene.picture(false)) {
        clip.struct_size = sizeof clip;
        clip.frame_count = 30;
        for (int f = 0; f < 30; ++f) {
            translations.insert(translations.end(), scene.translations.begin(), scene.translations.end());
            rotations.insert(rotations.end(), scene.rotations.begin(), scene.rotations.end());
            aplomb_clip_frame frame{};
            frame.time = f / 24.;
            frame.contact_count = f < 10 || f >= 20 ? 2 : 0;
            frame.flight = f < 10 || f >= 20 ? -1 : 0;
            const bool stands = frame.contact_count > 0;
            frame.margin = stands ? .05 - .02 * f : unknown;
            frame.still_margin = stands ? .04 : unknown;
            frame.margin_asked = stands ? .02 : unknown;
            for (int i = 0; i < 3; ++i)
                frame.point[i] = frame.still_point[i] = stands ? .02 * f * (i == 2) : unknown;
            for (double& share : frame.share)
                share = stands ? .5 : unknown;
            frame.extrapolated_margin = unknown;
            frames.push_back(frame);
        }
        clip.translations = translations.data(), clip.rotations = rotations.data();
        clip.first_number = 100;
        carry.load = aplomb_load_make(5, 0);
        carry.first = 2, carry.last = 8;
        clip.carries = &carry, clip.carry_count = 1;
        aplomb_shot_page_init(&page, sizeof page);
        page.frame_count = 30;
        page.figure = picture.figure;
        page.clip = &clip;
        page.frames = frames.data();
        page.stances = stances, page.stance_count = 2;
        page.falls = &fall, page.fall_count = 1;
        page.flights = &flight, page.flight_count = 1;
        page.steps = &step, page.step_count = 1;
        page.notes = &note, page.note_count = 1;
        page.worst = &moment, page.worst_count = 1;
        page.strip = &moment, page.strip_count = 1;
    }
    aplomb_picture picture;
    std::vector<double> translations, rotations;
    std::vector<aplomb_clip_frame> frames;
    aplomb_stance_range stances[2] = {{0, 0, 9, APLOMB_FLAT, .01}, {1, 20, 29, APLOMB_ON_BALL, 0}};
    aplomb_fall_range fall{3, 9, 7, 0, -.09, .11};
    aplomb_flight flight{10, 19, 0, 0, 4, 2.45, .003};
    aplomb_foot_step step{1, 20, .5, .8};
    aplomb_clip_note note{7, 0, 1, "Frame 107: <look> & see."};
    aplomb_drawn_moment moment{7, 0, &picture};
    aplomb_carry carry{};
    aplomb_clip clip{};
    aplomb_shot_page page;
};

class ShotPage : public InFolder {
protected:
    std::string written(const aplomb_shot_page& page) const {
        aplomb_error error{};
        EXPECT_EQ(aplomb_shot_page_write(&page, path("shot.html").c_str(), &error), APLOMB_OK)
            << error.message;
        std::string html = read_file(path("shot.html"));
        EXPECT_EQ(xml::problem(html), "");
        for (const char* broken : {"nan", "inf\"", ">inf", "src=", "<script"})
            EXPECT_EQ(html.find(broken), std::string::npos) << broken;
        for (size_t at = html.find("\xC2\xA0"); at != std::string::npos; at = html.find("\xC2\xA0", at))
            html.replace(at, 2, " ");
        return html;
    }
    std::string refused(const aplomb_shot_page& page) const {
        aplomb_error error{};
        EXPECT_EQ(aplomb_shot_page_write(&page, path("bad.html").c_str(), &error), APLOMB_BAD_ARGUMENT);
        EXPECT_FALSE(fs::exists(path("bad.html")));
        return error.message;
    }
    Scene scene{lay::LayFigure::adult()};
};

} // namespace

TEST_F(ShotPage, SaysWhatWasRead) {
    Shot shot(scene);
    EXPECT_EQ(written(shot.page).find("The ground"), std::string::npos);
    shot.clip.ground_velocity[0] = 3, shot.clip.ground_velocity[2] = -4;
    const std::string html = written(shot.page);
    for (const char* part :
         {"The ground under the feet moves at 5.00 m/s.", "OUT OF BALANCE in 7 of 30 frames",
          "Frame 107: &lt;look&gt; &amp; see.", "frame 107, 0.29 s", "-9.0 cm in motion", "100 to 109",
          "left foot", "110 to 119", "not a free fall", "102 to 108", "5.0 kg", "0.80 m",
          "Load of 5.0 kg reads as, kg"})
        EXPECT_NE(html.find(part), std::string::npos) << part;
    EXPECT_EQ(count(html, R"(fill-opacity="0.16")"), 6); // one range in each plot
    EXPECT_GE(count(html, R"(stroke-opacity="0.55")"), 1);
}

/// What was keyed and what it has become, beside each other.
TEST_F(ShotPage, ShowsACorrectedShotBeforeAndAfter) {
    Shot shot(scene), after(scene);
    after.page.fall_count = after.page.note_count = 0;
    after.picture.after = after.picture.before;
    for (aplomb_clip_frame& frame : after.frames)
        frame.margin = .03;
    std::vector<aplomb_clip_balanced> balanced(30);
    for (aplomb_clip_balanced& frame : balanced)
        frame.range = -1;
    for (std::size_t f = 3; f < 12; ++f) {
        balanced[f].range = 0;
        balanced[f].controls.hips_shift[0] = .01 * static_cast<double>(f);
        balanced[f].controls.chest[0] = .2;
    }
    balanced[5].slack = .02;
    after.page.balanced = balanced.data();
    shot.page.after = &after.page;
    const std::string html = written(shot.page);
    for (const char* part :
         {"Keyed: OUT OF BALANCE in 7 of 30 frames", "Corrected: in balance in 30 frames",
          "-9.0 cm in motion", "+3.0 cm in motion", "id=\"path-after-title\"", "Hips moved, cm",
          "Chest turned against them, degrees", "103 to 111", "11.0 cm", "11.5\xC2\xB0", "2.0 cm"})
        EXPECT_NE(html.find(part), std::string::npos) << part;

    after.page.strip_count = 0;
    EXPECT_EQ(refused(shot.page), "after draws other frames than the page itself.");
    after.page.strip_count = 1;
    after.moment.frame = 8;
    EXPECT_EQ(refused(shot.page), "after draws other frames than the page itself.");
    after.moment.frame = 7;
    after.page.falls = nullptr, after.page.fall_count = 1;
    EXPECT_EQ(refused(shot.page), "after: falls is NULL, but its count is 1.");
    after.page.fall_count = 0;
    after.page.after = &shot.page;
    EXPECT_EQ(refused(shot.page), "after: after is set; what was corrected has no after of its own.");
}

/// Without anything but its frames; of one frame; of many.
TEST_F(ShotPage, IsWholeWithoutMoments) {
    Shot shot(scene);
    aplomb_shot_page& page = shot.page;
    page.stance_count = page.fall_count = page.flight_count = page.step_count = page.note_count = 0;
    page.worst_count = page.strip_count = 0;
    page.worst = page.strip = nullptr;
    shot.clip.carry_count = 0;
    EXPECT_NE(written(page).find("in balance in 30 frames"), std::string::npos);
    page.frame_count = shot.clip.frame_count = 1;
    EXPECT_NE(written(page).find("in balance in 1 frame<"), std::string::npos);
    for (aplomb_clip_frame& frame : shot.frames) // nothing is known
        for (double* v : {frame.point, frame.still_point})
            v[0] = v[1] = v[2] = unknown;
    page.frame_count = shot.clip.frame_count = 30;
    written(page);
}

TEST_F(ShotPage, ALongClipIsThinned) {
    Shot shot(scene);
    const std::vector<aplomb_clip_frame> few = shot.frames;
    shot.frames.clear();
    for (int f = 0; f < 20000; ++f) {
        shot.frames.push_back(few[0]);
        shot.frames.back().time = f / 24.;
        shot.frames.back().margin = f == 12345 ? -.5 : .01 * (f % 3); // one frame that must not get lost
        shot.frames.back().point[2] = f / 1000.;
    }
    shot.page.frames = shot.frames.data();
    shot.page.frame_count = shot.clip.frame_count = 20000;
    shot.page.fall_count = shot.page.flight_count = shot.page.worst_count = shot.page.strip_count = 0;
    const std::string html = written(shot.page);
    EXPECT_LT(html.size(), 600000u);
    shot.frames[12345].margin = 0;
    EXPECT_NE(written(shot.page), html);
}

// On a narrow screen the strip of moments scrolls: 78 pixels for each.
TEST_F(ShotPage, CaptionsKeepTheirWidthOnANarrowScreen) {
    const Shot shot(scene);
    const std::string page = written(shot.page);
    EXPECT_NE(page.find("--least: 78px"), std::string::npos);
    EXPECT_NE(page.find(".plate { min-width: var(--least); }"), std::string::npos);
}

TEST_F(ShotPage, AGapInWhatALoadReadsAsIsBridged) {
    Shot shot(scene);
    for (size_t f = 0; f < 30; ++f)
        shot.frames[f].reads_as[0] = f >= 3 && f <= 5 ? unknown : 4;
    EXPECT_EQ(count(written(shot.page), "class=\"bridge\""), 1);
    shot.frames[4].reads_as[0] = 5;
    EXPECT_EQ(count(written(shot.page), "class=\"bridge\""), 2);
    for (size_t f = 3; f < 30; ++f)
        shot.frames[f].reads_as[0] = unknown;
    EXPECT_EQ(count(written(shot.page), "class=\"bridge\""), 0); // nothing comes after
}

/// The arrow from a balance point far off starts at the view's edge, and says the whole way.
TEST_F(ShotPage, AnArrowFromFarOffIsCut) {
    scene.carry(60, 0.5);
    aplomb_reading& r = *scene.reading;
    ASSERT_EQ(r.in_balance, 0);
    for (int i = 0; i < 3; ++i)
        r.balance_point[i] += 5 * r.tip_direction[i];
    r.margin = -5.2, r.margin_asked = 0.02;
    Shot shot(scene);
    const std::string html = written(shot.page);
    EXPECT_NE(html.find("522.0 cm to go"), std::string::npos);
    int arrows = 0;
    for (size_t at = html.find("marker-end"); at != std::string::npos; at = html.find("marker-end", at + 1)) {
        const size_t line = html.rfind("<line", at);
        const auto number_at = [&](const char* name, size_t from) {
            return std::stod(html.substr(html.find(name, from) + std::strlen(name)));
        };
        const std::string box = "viewBox=\"0 0 ";
        const size_t view = html.find(box, html.rfind("<svg", at)) + box.size();
        std::istringstream sizes(html.substr(view, 40));
        double width = 0, height = 0;
        sizes >> width >> height;
        for (const char* name : {"x1=\"", "x2=\"", "y1=\"", "y2=\""}) {
            EXPECT_GT(number_at(name, line), -11) << name;
            EXPECT_LT(number_at(name, line), (name[0] == 'x' ? width : height) + 11) << name;
        }
        ++arrows;
    }
    EXPECT_GE(arrows, 2);
}

/// The view from above keeps room under the figure for the words of its arrow.
TEST_F(ShotPage, TheWayToGoIsNotWrittenOnTheFigure) {
    scene.carry(60, 0.5);
    ASSERT_EQ(scene.reading->in_balance, 0);
    Shot shot(scene);
    const std::string html = written(shot.page);
    EXPECT_NE(html.find(" cm to go"), std::string::npos);
    EXPECT_EQ(html.find("class=\"white\""), std::string::npos);
}

TEST_F(ShotPage, FloatsAreRead) {
    Shot shot(scene);
    const std::string of_doubles = written(shot.page);
    const std::vector<float> translations(shot.translations.begin(), shot.translations.end()),
        rotations(shot.rotations.begin(), shot.rotations.end());
    shot.clip.translations = translations.data(), shot.clip.rotations = rotations.data(),
    shot.clip.floats = 1;
    EXPECT_EQ(written(shot.page), of_doubles);
}

TEST_F(ShotPage, BadInputIsNamed) {
    Shot shot(scene);
    const aplomb_shot_page good = shot.page;
    aplomb_shot_page page = good;
    page.frame_count = 29;
    EXPECT_EQ(refused(page), "frame_count is 29, but the clip's is 30.");
    page = good, page.frames = nullptr;
    EXPECT_EQ(refused(page), "clip and frames are both needed; one is NULL.");
    page = good, page.falls = nullptr;
    EXPECT_EQ(refused(page), "falls is NULL, but its count is 1.");
    page = good, page.worst_count = 5;
    EXPECT_EQ(refused(page), "worst_count is 5; it must be 0 to 4.");
    shot.stances[1].last = 30;
    EXPECT_EQ(refused(good), "stances[1] goes from frame 20 to 30; the clip has frames 0 to 29.");
    shot.stances[1].last = 29, shot.stances[1].limb = 9;
    EXPECT_EQ(refused(good), "stances[1].limb is 9.");
    shot.stances[1].limb = 1, shot.moment.frame = -1;
    EXPECT_EQ(refused(good), "worst[0] goes from frame -1 to -1; the clip has frames 0 to 29.");
}

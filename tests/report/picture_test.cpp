// SPDX-License-Identifier: MIT
#include <sys/resource.h>
#include <sys/stat.h>

#include <cmath>
#include <csignal>
#include <cstdio>
#include <limits>

#include "drawn.h"

namespace {

using namespace drawn;

class Picture : public InFolder {
protected:
    std::string draw(const aplomb_picture& picture) {
        aplomb_error error{};
        EXPECT_EQ(aplomb_picture_write(&picture, path().c_str(), &error), APLOMB_OK) << error.message;
        const std::string svg = read_file(path());
        EXPECT_EQ(xml::problem(svg), "");
        EXPECT_EQ(svg.find("nan"), std::string::npos);
        EXPECT_EQ(svg.find("inf"), std::string::npos);
        return svg;
    }
};

TEST_F(Picture, SaysAndColoursWhatTheDesignAsksFor) {
    Scene scene(lay::LayFigure::adult());
    scene.carry(20, 0.2);
    aplomb_picture picture = scene.picture();
    picture.text = "Hips: 4.1 cm back";
    scene.reading->cue_count = 1;
    scene.reading->cues[0] = {1.0, "Leans 12 degrees away from the load"};
    const std::string svg = draw(picture);
    for (const char* part : {"#0072B2",
                             "#E69F00",
                             "#56B4E9",
                             "stroke-dasharray",
                             "BEFORE",
                             "AFTER",
                             "front",
                             "side",
                             "top",
                             "% bearing",
                             "held",
                             "free",
                             "20 kg",
                             "margin",
                             "lean of the trunk",
                             "home",
                             "cm",
                             "centre of mass",
                             "plumb line",
                             "support area",
                             "rest zone",
                             "Hips: 4.1 cm back",
                             "keyed-front",
                             "50 cm",
                             "How it reads (common practice)",
                             "AFTER: Leans 12 degrees away from the load<"})
        EXPECT_NE(svg.find(part), std::string::npos) << part;
}

TEST_F(Picture, TitleAndTextAreEscaped) {
    Scene scene(lay::LayFigure::adult());
    aplomb_picture picture = scene.picture();
    picture.title = "Box & <bucket> \"full\" \x02 caf\xC3\xA9 \xFF";
    picture.text = "a < b & c";
    picture.before.caption = "<before>";
    const std::string svg = draw(picture);
    EXPECT_NE(svg.find("Box &amp; &lt;bucket&gt; &quot;full&quot; \xEF\xBF\xBD caf\xC3\xA9 \xEF\xBF\xBD"),
              std::string::npos);
    EXPECT_NE(svg.find("a &lt; b &amp; c"), std::string::npos);
    EXPECT_NE(svg.find("&lt;before&gt;"), std::string::npos);
}

TEST_F(Picture, APullIsAnArrowWithItsNewtonsAndAPatchIsDrawn) {
    Scene scene(lay::LayFigure::adult());
    aplomb_pull pull{};
    pull.joint = lay::LayFigure::adult().find("right_hand");
    pull.force[2] = 150;
    aplomb_contact seat = aplomb_contact_make(-1, APLOMB_BEARING);
    const double points[9] = {.1, -.1, 0, -.1, -.1, 0, 0, -.1, .1};
    seat.joint = lay::LayFigure::adult().find("hips"), seat.points = points, seat.point_count = 3;
    scene.situation.pulls = &pull, scene.situation.pull_count = 1;
    scene.situation.contacts = &seat, scene.situation.contact_count = 1;
    scene.read();
    aplomb_picture picture = scene.picture(false);
    const std::string svg = draw(picture);
    EXPECT_EQ(count(svg, ">150 N<"), 2); // from the side and from above; in front it leads to the viewer
    EXPECT_EQ(count(svg, "class=\"pull\""), 3); // those two and the legend's
    EXPECT_EQ(count(svg, "class=\"pull-end-on\""), 1);
    EXPECT_EQ(count(svg, "class=\"patch\""), 3);
    EXPECT_EQ(count(svg, ">seat<"), 1);
    EXPECT_EQ(count(svg, ">at the right hand, forward<"), 1);
    EXPECT_EQ(count(svg, ">balance point<"), 1); // the legend's: the plumb line arrives elsewhere
    EXPECT_EQ(count(svg, ">what else bears<"), 1);
    EXPECT_EQ(aplomb_page_write(&picture, path("page.html").c_str(), nullptr), APLOMB_OK);
    const std::string page = read_file(path("page.html"));
    for (const char* said : {">pull of 150\xC2\xA0N at the right hand</th>", "seat</th>", "\npull</li>",
                             "\nbalance point</li>", "\nwhat else bears</li>"})
        EXPECT_EQ(count(page, said), 1) << said;
    aplomb_error error{};
    pull.joint = 22;
    EXPECT_EQ(aplomb_picture_write(&picture, path().c_str(), &error), APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.message, "situation.pulls[0].joint is 22; it must be 0 to 21.");
    pull.joint = 0, seat.points = nullptr;
    EXPECT_EQ(aplomb_picture_write(&picture, path().c_str(), &error), APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.message, "situation.contacts[0].points is NULL.");
}

TEST_F(Picture, AnArrowLeadsWhereItPulls) {
    Scene scene(lay::LayFigure::adult());
    aplomb_pull pull{};
    pull.joint = lay::LayFigure::adult().find("right_hand");
    scene.situation.pulls = &pull, scene.situation.pull_count = 1;
    for (const double forward : {150.0, -150.0}) { // from the side it faces right
        pull.force[2] = forward;
        scene.read();
        const std::string svg = draw(scene.picture(false));
        const size_t path = svg.rfind("<path d=\"M", svg.find("class=\"pull\""));
        double start = 0, x[3] = {}; // the shaft's beginning, along it, a corner of the head, the point
        ASSERT_EQ(std::sscanf(svg.c_str() + path, "<path d=\"M%lf %*fL%lf %*fL%lf %*fL%lf", &start, x, x + 1,
                              x + 2),
                  4);
        EXPECT_GT((x[2] - start) * forward, 0) << svg.substr(path, 90);
        EXPECT_GT((x[2] - x[0]) * forward, 0);
    }
}

TEST_F(Picture, PullsOfBothHandsAreOneArrowFromTheSide) {
    Scene scene(lay::LayFigure::adult());
    aplomb_pull pulls[2]{};
    for (int hand = 0; hand < 2; ++hand) {
        pulls[hand].joint = lay::LayFigure::adult().find(hand == 0 ? "left_hand" : "right_hand");
        pulls[hand].force[2] = 60;
    }
    scene.situation.pulls = pulls, scene.situation.pull_count = 2;
    scene.read();
    const aplomb_picture picture = scene.picture(false);
    const std::string svg = draw(picture);
    EXPECT_EQ(count(svg, ">60 N<"), 2); // from above
    EXPECT_EQ(count(svg, ">2 \xC3\x97 60 N<"), 1);
    EXPECT_EQ(count(svg, "class=\"pull-end-on\""), 2);
}

TEST_F(Picture, APullIsSeenFromItsOwnSide) {
    Scene scene(lay::LayFigure::adult());
    aplomb_pull pull{};
    pull.joint = lay::LayFigure::adult().find("left_hand");
    pull.force[2] = 60;
    scene.situation.pulls = &pull, scene.situation.pull_count = 1;
    scene.read();
    EXPECT_EQ(count(draw(scene.picture(false)), ">side, from the left<"), 1);
}

TEST_F(Picture, AHandThatBearsIsDrawnLikeASeat) {
    Scene scene(lay::LayFigure::adult());
    std::vector<aplomb_contact> contacts;
    for (int32_t limb = 0; limb < 3; ++limb)
        contacts.push_back(aplomb_contact_make(limb, APLOMB_BEARING));
    scene.situation.contacts = contacts.data(), scene.situation.contact_count = 3;
    scene.read();
    EXPECT_EQ(count(draw(scene.picture(false)), "class=\"patch\""), 3);
}

TEST_F(Picture, AFootThatIsSuggestedIsOutlinedAndSaid) {
    Scene scene(lay::LayFigure::adult());
    scene.carry(20, .3);
    aplomb_picture picture = scene.picture();
    picture.text = "Hips: 2.1 cm down";
    aplomb_foot_suggestion foot;
    aplomb_foot_suggestion_init(&foot, sizeof foot);
    picture.foot = &foot;
    EXPECT_EQ(count(draw(picture), "suggested"), 0); // none is found
    foot.found = 1, foot.outline_count = 4;
    const double corners[4][3] = {{.05, 0, .2}, {.05, 0, .45}, {.15, 0, .45}, {.15, 0, .2}};
    for (int c = 0; c < 4; ++c)
        std::copy(corners[c], corners[c] + 3, foot.outline[c]);
    std::snprintf(foot.text, sizeof foot.text, "left foot 25 cm ahead: the lean falls from 18 to 7 degrees");
    const std::string svg = draw(picture);
    EXPECT_EQ(count(svg, "class=\"suggested-sole\""), 2); // on the last half, and in the legend
    EXPECT_EQ(count(svg, ">foot suggested<"), 1);
    EXPECT_EQ(count(svg, "Suggested, not done: left foot 25 cm ahead: the lean falls"), 1);
    foot.outline_count = 33;
    aplomb_error error{};
    EXPECT_EQ(aplomb_picture_write(&picture, path("bad.svg").c_str(), &error), APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.message, "foot.outline_count is 33; it must be 0 to 32.");
}

TEST_F(Picture, AHoldThatGaveWaySaysByHowMuch) {
    Scene scene(lay::LayFigure::adult());
    std::vector<aplomb_contact> contacts;
    for (const aplomb_hold hold : {APLOMB_HELD, APLOMB_BEARING})
        contacts.push_back(aplomb_contact_make(static_cast<int32_t>(contacts.size()), hold));
    scene.situation.contacts = contacts.data(), scene.situation.contact_count = 2;
    scene.read();
    aplomb_picture picture = scene.picture();
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    picture.result = &result;
    EXPECT_EQ(count(draw(picture), "gave way"), 0);
    result.gave_way_count = 1;
    result.gave_way[0] = {0, 0, 0.271, 0.2};
    const std::string svg = draw(picture);
    EXPECT_EQ(count(svg, ">gave way 27.1 cm<"), 1);
    EXPECT_EQ(count(svg, ">held<"), 1); // the keyed pose
    EXPECT_EQ(aplomb_page_write(&picture, path("page.html").c_str(), nullptr), APLOMB_OK);
    EXPECT_EQ(count(read_file(path("page.html")), ">held, gave way 27.1\xC2\xA0"
                                                  "cm and 11.5\xC2\xB0<"),
              1);
    picture.after.translations = nullptr;
    EXPECT_EQ(count(draw(picture), "gave way"), 0);
    picture = scene.picture();
    picture.result = &result;
    result.gave_way_count = 17;
    aplomb_error error{};
    EXPECT_EQ(aplomb_picture_write(&picture, path().c_str(), &error), APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.message, "result.gave_way_count is 17; it must be 0 to 16.");
}

TEST_F(Picture, ALeftHandedHostSeesTheSame) {
    const auto drawn = [&](bool left_handed) {
        lay::LayFigure shape = lay::LayFigure::adult();
        for (size_t i = 2; left_handed && i < shape.translations.size(); i += 3)
            shape.translations[i] *= -1, shape.tips[i] *= -1;
        aplomb_figure_desc desc = shape.desc();
        desc.left_handed = left_handed;
        if (left_handed) desc.forward_axis = APLOMB_AXIS_MINUS_Z;
        Scene scene(lay::LayFigure::create_figure(desc));
        const size_t arm = 4 * static_cast<size_t>(shape.find("left_upper_arm"));
        scene.rotations[arm] = left_handed ? .5 : -.5; // raised forward
        scene.rotations[arm + 3] = std::sqrt(.75);
        scene.carry(12, 0.2, 1);
        return draw(scene.picture());
    };
    EXPECT_EQ(drawn(true), drawn(false));
}

TEST_F(Picture, OutOfBalanceIsAHatchAWordAndAnArrow) {
    Scene scene(lay::LayFigure::adult());
    const std::string sound = draw(scene.picture());
    EXPECT_EQ(sound.find("OUT OF BALANCE"), std::string::npos);
    EXPECT_EQ(sound.find("marker-end"), std::string::npos);

    scene.carry(60, 0.5);
    ASSERT_EQ(scene.reading->in_balance, 0);
    const std::string svg = draw(scene.picture(false));
    EXPECT_EQ(count(svg, "OUT OF BALANCE"), 1);
    EXPECT_EQ(count(svg, "marker-end=\"url(#arrow-head)\""), 1);
    EXPECT_EQ(count(svg, "url(#out-of-balance)"), 4); // two bars, the area, the legend
    EXPECT_NE(svg.find("#D55E00"), std::string::npos);
}

TEST_F(Picture, TheArrowSaysHowFarThereIsToGo) {
    Scene scene(lay::LayFigure::adult());
    scene.carry(60, 0.5);
    scene.reading->margin = -0.166, scene.reading->margin_asked = 0.02;
    EXPECT_EQ(count(draw(scene.picture(false)), ">18.6 cm to go<"), 1);
}

TEST_F(Picture, TooNearTheEdgeIsNotOutOfBalance) {
    Scene scene(lay::LayFigure::adult());
    scene.reading->in_balance = 0;
    scene.reading->margin = 0.018, scene.reading->margin_asked = 0.02;
    const std::string near_edge = draw(scene.picture(false));
    EXPECT_EQ(count(near_edge, ">too near the edge<"), 1);
    EXPECT_EQ(count(near_edge, "+1.8 cm (asked for 2.0 cm)"), 1);
    EXPECT_EQ(count(near_edge, "OUT OF BALANCE"), 0);
    EXPECT_EQ(count(near_edge, "url(#out-of-balance)"), 1); // the legend
    EXPECT_EQ(count(near_edge, "marker-end"), 0);

    scene.reading->margin = -0.001;
    const std::string out = draw(scene.picture(false));
    EXPECT_EQ(count(out, ">OUT OF BALANCE<"), 1);
    EXPECT_EQ(count(out, "too near the edge"), 0);
}

TEST_F(Picture, TheBalancePointComesBeforeTheMargin) {
    Scene scene(lay::LayFigure::adult());
    for (int k = 0; k < 3; ++k)
        scene.reading->balance_point[k] = scene.reading->home[k];
    const std::string svg = draw(scene.picture(false));
    EXPECT_LT(svg.find(">balance point from home<"), svg.find(">margin<"));
    EXPECT_EQ(count(svg, ">at home<"), 1);
    scene.reading->balance_point[2] += 0.058; // forward, and nothing sideways
    EXPECT_EQ(count(draw(scene.picture(false)), ">5.8 cm forward<"), 1);
}

TEST_F(Picture, WhatHeldBackIsOneLine) {
    Scene scene(lay::LayFigure::adult());
    aplomb_picture picture = scene.picture();
    picture.text = "Held back by: left hip\nHeld back by: right hip\nThe nearest pose.\n";
    const std::string svg = draw(picture);
    EXPECT_EQ(count(svg, ">Held back by: left hip; right hip<"), 1);
    EXPECT_EQ(count(svg, ">The nearest pose.<"), 1);
}

TEST_F(Picture, ALeaningHandHasNoHeel) {
    Scene scene(lay::LayFigure::quadruped());
    aplomb_picture picture = scene.picture(false);
    ASSERT_EQ(aplomb_page_write(&picture, path("page.html").c_str(), nullptr), APLOMB_OK);
    EXPECT_EQ(count(read_file(path("page.html")), "weight along the sole"), 4);
    Scene leaning(lay::LayFigure::adult());
    std::vector<aplomb_contact> contacts;
    for (int32_t limb = 0; limb < 4; ++limb)
        contacts.push_back(aplomb_contact_make(limb, APLOMB_BEARING));
    leaning.situation.contacts = contacts.data(), leaning.situation.contact_count = 4;
    leaning.read();
    picture = leaning.picture(false);
    ASSERT_EQ(aplomb_page_write(&picture, path("page.html").c_str(), nullptr), APLOMB_OK);
    EXPECT_EQ(count(read_file(path("page.html")), "weight along the sole"), 2);
}

TEST_F(Picture, FiguresFillTheHeight) {
    Scene scene(lay::LayFigure::adult());
    scene.carry(20, 0.2);
    const std::string svg = draw(scene.picture());
    // From the view's label to the ground line of the first half.
    const auto y_of = [&](const std::string& part, const char* name) {
        const size_t at = svg.rfind(name, svg.find(part));
        return std::stod(svg.substr(at + std::string(name).size()));
    };
    EXPECT_GT(y_of("% bearing<", " y=\"") - y_of(">front<", " y=\""), 460);
}

TEST_F(Picture, AMassStandsOnItsLoadOrBesideIt) {
    Scene scene(lay::LayFigure::adult());
    scene.carry(40, 0.6); // a large box, clear of the body
    const std::string on_load = draw(scene.picture(false));
    EXPECT_NE(on_load.find(R"(font-weight="bold">40 kg<)"), std::string::npos);
    scene.carry(2, 0.1); // too small for its own words
    const std::string beside = draw(scene.picture(false));
    EXPECT_NE(beside.find(R"(paint-order="stroke">2 kg<)"), std::string::npos);
}

TEST_F(Picture, AMassIsWrittenWhereItsLoadStandsBesideTheBody) {
    Scene scene(lay::LayFigure::adult());
    scene.carry(20, 0, 1);
    const auto before_side_view = [&] {
        const std::string svg = draw(scene.picture(false));
        return svg.find(">20 kg<") < svg.find(">side, ");
    };
    EXPECT_TRUE(before_side_view());
    scene.carry(20, 0.6);
    EXPECT_FALSE(before_side_view());
}

TEST_F(Picture, TheKeyedOutlineIsBelowTheLoad) {
    Scene scene(lay::LayFigure::adult());
    const auto covered = [&] { // the last path of the mask
        const std::string svg = draw(scene.picture());
        const size_t mask = svg.find(R"(<mask id="keyed-side-outside")"), end = svg.find("</mask>", mask);
        const size_t path = svg.rfind("<path d=\"", end);
        EXPECT_GT(path, mask);
        return svg.substr(path + 9, svg.find('"', path + 9) - path - 9);
    };
    EXPECT_EQ(covered(), "");
    scene.carry(20, 0.2);
    EXPECT_NE(covered(), "");
}

TEST_F(Picture, BeforeAloneHasNoAfter) {
    Scene scene(lay::LayFigure::adult());
    const std::string both = draw(scene.picture()), one = draw(scene.picture(false));
    EXPECT_NE(both.find("id=\"after\""), std::string::npos);
    EXPECT_EQ(one.find("id=\"after\""), std::string::npos);
    EXPECT_EQ(one.find("keyed-"), std::string::npos);
    EXPECT_EQ(one.find("AFTER"), std::string::npos);
}

TEST_F(Picture, LinesAreDrawnOnlyWhenAskedFor) {
    Scene scene(lay::LayFigure::adult());
    aplomb_picture picture = scene.picture();
    EXPECT_EQ(draw(picture).find("line of action"), std::string::npos);
    picture.lines = 1;
    EXPECT_NE(draw(picture).find("line of action"), std::string::npos);
}

TEST_F(Picture, SideViewLooksFromTheSideOfTheLoad) {
    Scene scene(lay::LayFigure::adult());
    EXPECT_NE(draw(scene.picture()).find("from the right"), std::string::npos);
    scene.carry(15, 0, 1); // a bucket in the left hand
    EXPECT_NE(draw(scene.picture()).find("from the left"), std::string::npos);
}

TEST_F(Picture, OddFiguresAreDrawn) {
    for (const lay::LayFigure& figure :
         {lay::LayFigure::toddler(), lay::LayFigure::detailed(), lay::LayFigure::quadruped()}) {
        Scene scene(figure);
        aplomb_picture picture = scene.picture();
        picture.lines = 1;
        EXPECT_GT(draw(picture).size(), 20000u);
    }
    Scene dog(lay::LayFigure::quadruped());
    EXPECT_EQ(count(draw(dog.picture(false)), "% bearing<"), 4);
}

/// Hips, a head on them and two bare stilts.
lay::FigureHandle stilts() {
    static constexpr int32_t parents[] = {-1, 0, 0, 2, 3, 0, 5, 6};
    static constexpr double translations[] = {0, 1,   0, 0,   .4, 0, .1, 0,   0, 0, -.5, 0,
                                              0, -.5, 0, -.1, 0,  0, 0,  -.5, 0, 0, -.5, 0};
    static constexpr int32_t roles[] = {APLOMB_ROLE_HIPS,  APLOMB_ROLE_HEAD, APLOMB_ROLE_THIGH,
                                        APLOMB_ROLE_SHANK, APLOMB_ROLE_FOOT, APLOMB_ROLE_THIGH,
                                        APLOMB_ROLE_SHANK, APLOMB_ROLE_FOOT};
    aplomb_figure_desc desc;
    aplomb_figure_desc_init(&desc, sizeof desc);
    desc.joint_count = 8;
    desc.parents = parents;
    desc.translations = translations;
    desc.roles = roles;
    return lay::LayFigure::create_figure(desc);
}

TEST_F(Picture, AFigureWithoutHandsOrFeetIsDrawn) {
    Scene scene(stilts());
    aplomb_picture picture = scene.picture();
    picture.lines = 1;
    draw(picture);
}

TEST_F(Picture, TheOldFileStaysWhereTheNewCannotBeWritten) {
    Scene scene(lay::LayFigure::adult());
    const aplomb_picture picture = scene.picture();
    aplomb_error error{};
    // A folder of the file's name stands in the way, whoever runs the test.
    fs::create_directories(path("taken") + "/inside");
    EXPECT_EQ(aplomb_picture_write(&picture, path("taken").c_str(), &error), APLOMB_CANNOT_OPEN);
    EXPECT_NE(std::string(error.message).find("taken"), std::string::npos) << error.message;
    EXPECT_TRUE(fs::exists(path("taken") + "/inside"));

    EXPECT_EQ(aplomb_picture_write(&picture, path("missing/p.svg").c_str(), &error), APLOMB_CANNOT_OPEN);
    EXPECT_STREQ(error.field, "path");
    EXPECT_NE(std::string(error.message).find("No such file or directory"), std::string::npos)
        << error.message;
}

/// As on a full disk: no file may grow beyond this size, whoever runs the test.
class SmallFilesOnly {
public:
    SmallFilesOnly() {
        getrlimit(RLIMIT_FSIZE, &old_);
        handler_ = std::signal(SIGXFSZ, SIG_IGN);
        const rlimit small{1000, old_.rlim_max};
        setrlimit(RLIMIT_FSIZE, &small);
    }
    ~SmallFilesOnly() {
        setrlimit(RLIMIT_FSIZE, &old_);
        std::signal(SIGXFSZ, handler_);
    }

private:
    rlimit old_{};
    void (*handler_)(int) = nullptr;
};

TEST_F(Picture, TheOldFileStaysWhenTheDiskIsFull) {
    Scene scene(lay::LayFigure::adult());
    const aplomb_picture picture = scene.picture();
    const aplomb_cell cell{&picture, APLOMB_VIEW_SIDE, 1, "a pose"};
    const aplomb_sheet sheet{"a sheet", nullptr, 1, 1, &cell, nullptr, nullptr};
    std::ofstream(path("old")) << "old";
    aplomb_error errors[3]{};
    {
        const SmallFilesOnly full;
        EXPECT_EQ(aplomb_picture_write(&picture, path("old").c_str(), &errors[0]), APLOMB_CANNOT_OPEN);
        EXPECT_EQ(aplomb_page_write(&picture, path("old").c_str(), &errors[1]), APLOMB_CANNOT_OPEN);
        EXPECT_EQ(aplomb_sheets_write(&sheet, 1, path("old").c_str(), &errors[2]), APLOMB_CANNOT_OPEN);
    }
    for (const aplomb_error& error : errors)
        EXPECT_STREQ(error.field, "path") << error.message;
    EXPECT_EQ(read_file(path("old")), "old");
    EXPECT_EQ(std::distance(fs::directory_iterator(folder_), fs::directory_iterator()), 1);
}

TEST_F(Picture, AnUnwritableFolderIsNamed) {
    if (geteuid() == 0) GTEST_SKIP() << "SKIPPED: root may write anywhere; the test above covers the rest";
    Scene scene(lay::LayFigure::adult());
    const aplomb_picture picture = scene.picture();
    std::ofstream(path("old.svg")) << "old";
    chmod(folder_.c_str(), 0500);
    aplomb_error error{};
    EXPECT_EQ(aplomb_picture_write(&picture, path("old.svg").c_str(), &error), APLOMB_CANNOT_OPEN);
    chmod(folder_.c_str(), 0700);
    EXPECT_NE(std::string(error.message).find("Permission denied"), std::string::npos) << error.message;
    EXPECT_EQ(read_file(path("old.svg")), "old");
}

TEST_F(Picture, ToMemoryIsTheSameAsToAFile) {
    Scene scene(lay::LayFigure::adult());
    aplomb_picture picture = scene.picture();
    const aplomb_cell cell = {&picture, APLOMB_VIEW_SIDE, 1, "one"};
    const aplomb_sheet sheet = {"sheet", nullptr, 1, 1, &cell, nullptr, nullptr};
    const aplomb_take_file take = [](void* user, const void* bytes, size_t size) -> int32_t {
        static_cast<std::string*>(user)->append(static_cast<const char*>(bytes), size);
        return 1;
    };
    aplomb_error error{};
    std::string drawn;
    ASSERT_EQ(aplomb_picture_write_memory(&picture, take, &drawn, &error), APLOMB_OK) << error.message;
    EXPECT_EQ(drawn, draw(picture));
    drawn.clear();
    ASSERT_EQ(aplomb_page_write_memory(&picture, take, &drawn, &error), APLOMB_OK) << error.message;
    ASSERT_EQ(aplomb_page_write(&picture, path().c_str(), &error), APLOMB_OK) << error.message;
    EXPECT_EQ(drawn, read_file(path()));
    drawn.clear();
    ASSERT_EQ(aplomb_sheets_write_memory(&sheet, 1, take, &drawn, &error), APLOMB_OK) << error.message;
    ASSERT_EQ(aplomb_sheets_write(&sheet, 1, path().c_str(), &error), APLOMB_OK) << error.message;
    EXPECT_EQ(drawn, read_file(path()));

    drawn = "untouched";
    picture.before.reading = nullptr;
    EXPECT_EQ(aplomb_picture_write_memory(&picture, take, &drawn, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.field, "before");
    EXPECT_EQ(aplomb_sheets_write_memory(&sheet, 1, nullptr, nullptr, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(drawn, "untouched");
}

TEST_F(Picture, RefusesBadInputByName) {
    Scene scene(lay::LayFigure::adult());
    aplomb_error error{};
    EXPECT_EQ(aplomb_picture_write(nullptr, path().c_str(), &error), APLOMB_BAD_ARGUMENT);
    aplomb_picture picture = scene.picture();
    EXPECT_EQ(aplomb_picture_write(&picture, "", &error), APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.field, "path");
    picture.struct_size = 3;
    EXPECT_EQ(aplomb_picture_write(&picture, path().c_str(), &error), APLOMB_WRONG_VERSION);
    picture = scene.picture();
    picture.before.reading = nullptr;
    EXPECT_EQ(aplomb_picture_write(&picture, path().c_str(), &error), APLOMB_BAD_ARGUMENT);
    EXPECT_STREQ(error.field, "before");
    picture = scene.picture();
    scene.rotations[4 * 5] = 3;
    EXPECT_EQ(aplomb_picture_write(&picture, path().c_str(), &error), APLOMB_BAD_POSE);
    EXPECT_EQ(error.index, 5);
    scene.translations[7] = std::numeric_limits<double>::infinity();
    EXPECT_EQ(aplomb_picture_write(&picture, path().c_str(), &error), APLOMB_BAD_POSE);
    EXPECT_EQ(error.index, 7);
    EXPECT_FALSE(fs::exists(path()));
}

} // namespace

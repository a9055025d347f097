// SPDX-License-Identifier: MIT
// Pages and sheets: well-formed, nothing fetched, every number there, nothing hostile let through.
#include <cmath>
#include <limits>

#include "drawn.h"

namespace {

using namespace drawn;

constexpr double infinite = std::numeric_limits<double>::infinity();

/// Boxes in place of a skin: a trunk and an arm, in the scene's own metres.
struct Skin {
    Skin() {
        add(0, 0.9, 0, 0.2, 0.8, 0.12);
        add(0.35, 1.2, 0.1, 0.05, 0.3, 0.05);
        mesh = {static_cast<int32_t>(positions.size() / 3), static_cast<int32_t>(triangles.size() / 3),
                triangles.data()};
    }
    void add(double x, double y, double z, double a, double b, double c) {
        const auto first = static_cast<int32_t>(positions.size() / 3);
        for (int i = 0; i < 8; ++i)
            for (const double v : {x + (i & 1 ? a : -a), y + (i & 2 ? b : -b), z + (i & 4 ? c : -c)})
                positions.push_back(v);
        for (const int32_t v : {0, 2, 1, 1, 2, 3, 4, 5, 6, 5, 7, 6, 0, 1, 4, 1, 5, 4,
                                2, 6, 3, 3, 6, 7, 0, 4, 2, 2, 4, 6, 1, 3, 5, 3, 7, 5})
            triangles.push_back(first + v);
    }
    std::vector<double> positions;
    std::vector<int32_t> triangles;
    aplomb_mesh mesh;
};

class Page : public InFolder {
protected:
    std::string checked(const std::string& html) const {
        EXPECT_EQ(xml::problem(html), "");
        EXPECT_NE(html.find(R"(<html lang="en")"), std::string::npos);
        EXPECT_NE(html.find(R"(charset="utf-8")"), std::string::npos);
        // The two name spaces and nothing else.
        EXPECT_EQ(count(html, "http"), count(html, "xmlns=\"http://www.w3.org/"));
        for (const char* fetched : {"src=", "url(http", "@import", "<link", "<script", "<iframe"})
            EXPECT_EQ(html.find(fetched), std::string::npos) << fetched;
        for (const char* broken : {">nan", " nan", ">inf ", " inf ", "=\"nan", "=\"inf"})
            EXPECT_EQ(html.find(broken), std::string::npos) << broken;
        // Every id once, every picture with a name.
        EXPECT_EQ(count(html, "role=\"img\""), count(html, "<svg xmlns=\"http://www.w3.org/2000/svg\"") -
                                                   count(html, "aria-hidden=\"true\""));
        std::set<std::string> ids;
        for (size_t at = html.find(" id=\""); at != std::string::npos; at = html.find(" id=\"", at + 1)) {
            const std::string id = html.substr(at + 5, html.find('"', at + 5) - at - 5);
            EXPECT_TRUE(ids.insert(id).second) << id << " twice";
        }
        return html;
    }
    std::string page(const aplomb_picture& picture) const {
        aplomb_error error{};
        EXPECT_EQ(aplomb_page_write(&picture, path("page.html").c_str(), &error), APLOMB_OK) << error.message;
        return checked(read_file(path("page.html")));
    }
    std::string sheets(const std::vector<aplomb_sheet>& all) const {
        aplomb_error error{};
        EXPECT_EQ(aplomb_sheets_write(all.data(), static_cast<int32_t>(all.size()),
                                      path("sheet.html").c_str(), &error),
                  APLOMB_OK)
            << error.message;
        return checked(read_file(path("sheet.html")));
    }
    /// With spaces that break no line taken as plain ones.
    static std::string plain(std::string text) {
        for (size_t at = text.find("\xC2\xA0"); at != std::string::npos; at = text.find("\xC2\xA0", at))
            text.replace(at, 2, " ");
        return text;
    }
    static bool has(const std::string& text, const std::string& part) {
        return plain(text).find(part) != std::string::npos;
    }
    /// The number behind `name` from `start` on.
    static double number_at(const std::string& html, const std::string& name, size_t start = 0) {
        const size_t at = html.find(name, start);
        EXPECT_NE(at, std::string::npos) << name;
        return at == std::string::npos ? std::nan("") : std::stod(html.substr(at + name.size()));
    }
};

TEST_F(Page, SaysEveryNumber) {
    Scene scene(lay::LayFigure::adult());
    scene.carry(20, 0.2);
    aplomb_picture picture = scene.picture();
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    result.controls = {{0.041, -0.012, -0.033}, {0.1, 0.2, -0.3}, {-0.11, 0.05, 0.07}, {0.12, -0.04, 0.02}};
    picture.result = &result;
    picture.title = "Box at the belly";
    picture.text = "Hips: 4.1 cm to the left\nSpine: 6.3 degrees back";
    aplomb_reading& r = *scene.reading;
    r.cue_count = 1;
    r.cues[0] = {1.0, "Leans 12 degrees away from the load"};
    r.loads[0] = {1.5, 61.25, 4.25, infinite, 14.5, std::nan(""), 1, 0};
    r.margin = 0.0431, r.margin_asked = 0.0213, r.friction_needed = 0.07;
    const std::string html = page(picture);
    for (const char* part : {"Box at the belly",
                             "BEFORE",
                             "AFTER",
                             "front",
                             "side, from the right",
                             "top, facing down",
                             "Hips: 4.1 cm to the left\nSpine",
                             "4.1 cm left",
                             "1.2 cm down",
                             "3.3 cm back",
                             "5.7\xC2\xB0 forward",
                             "11.5\xC2\xB0 left",
                             "17.2\xC2\xB0 left",
                             "6.3\xC2\xB0 back",
                             "2.9\xC2\xB0 left",
                             "4.0\xC2\xB0 right",
                             "6.9\xC2\xB0 forward",
                             "2.3\xC2\xB0 right",
                             "1.1\xC2\xB0 right",
                             "+4.3 cm",
                             "2.1 cm",
                             "0.07",
                             "bearing 50 %",
                             "from the heel",
                             "75.0 kg",
                             "95.0 kg",
                             "asked for 20.0 kg",
                             "1.5 to 61.2 kg",
                             "4.2 kg and more",
                             "reads as 14.5 kg",
                             "both hands",
                             "How it reads (common practice)",
                             "BEFORE: Leans 12 degrees away from the load<",
                             "AFTER: Leans 12",
                             "pelvis line",
                             "shoulder line",
                             "line of action",
                             "support area",
                             "rest zone",
                             "living person",
                             "class=\"pelvis-line\"",
                             "class=\"shoulder-line\"",
                             "class=\"line-of-action\""})
        EXPECT_TRUE(has(html, part)) << part;
    EXPECT_EQ(count(html, "type=\"checkbox\""), 3);
    EXPECT_EQ(count(html, "checked=\"checked\""), 0);
    picture.lines = 1;
    EXPECT_EQ(count(page(picture), "checked=\"checked\""), 3);
}

TEST_F(Page, TheHeadlineSaysThatALoadIsNotAnswered) {
    Scene scene(lay::LayFigure::adult());
    scene.carry(20, 0.2);
    ASSERT_EQ(scene.reading->in_balance, 1);
    aplomb_reading answered = *scene.reading;
    aplomb_picture picture = scene.picture();
    picture.after.reading = &answered;
    scene.reading->loads[0].tells = 1, answered.loads[0].tells = 1;
    const double none = std::nan("");
    scene.reading->loads[0].natural = 4, scene.reading->loads[0].countered = none;
    answered.loads[0].natural = 4, answered.loads[0].countered = 18;
    const std::string unanswered = "in balance, but it does not answer the load<";
    EXPECT_EQ(count(page(picture), R"(<p class="verdict">)" + unanswered), 1);
    EXPECT_EQ(count(page(picture), R"(<p class="verdict">in balance<)"), 1);
    ASSERT_EQ(aplomb_picture_write(&picture, path().c_str(), nullptr), APLOMB_OK);
    EXPECT_EQ(count(read_file(path()), '>' + unanswered), 1);
    answered.loads[0].countered = none;
    EXPECT_EQ(count(page(picture), R"(<p class="verdict">)" + unanswered), 2);
    answered.loads[0].natural = none; // reads as no mass at all
    EXPECT_EQ(count(page(picture), R"(<p class="verdict">)" + unanswered), 2);
    answered.loads[0].tells = 0; // it is over the feet
    EXPECT_EQ(count(page(picture), R"(<p class="verdict">)" + unanswered), 1);
    answered.loads[0].tells = 1, answered.in_balance = 0, answered.margin = -0.01;
    EXPECT_EQ(count(page(picture), R"(<p class="verdict out">OUT OF BALANCE<)"), 1);
}

TEST_F(Page, WhatDoesNotShowHasNoNumber) {
    Scene scene(lay::LayFigure::adult());
    aplomb_picture picture = scene.picture();
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    result.controls = {{0.004, -0.004, 0.0061}, {0.008, 0, 0}, {0, -0.0085, 0}, {0, 0, 0.0095}};
    picture.result = &result;
    scene.reading->trunk_fore = 0.006, scene.reading->trunk_side = -0.006;
    for (int k = 0; k < 3; ++k)
        scene.reading->balance_point[k] = scene.reading->home[k];
    scene.reading->balance_point[2] += 0.004;
    const std::string html = page(picture);
    for (const char* part : {">0.6 cm forward<", ">0.5\xC2\xB0 right<", ">upright<", ">at home<"})
        EXPECT_TRUE(has(html, part)) << part;
    for (const char* part : {"0.4 cm", "0.0 cm", "0.0\xC2\xB0", "0.3\xC2\xB0", ">0.5\xC2\xB0 forward<"})
        EXPECT_FALSE(has(html, part)) << part;
}

TEST_F(Page, NoNumberIsCutFromItsUnit) {
    Scene scene(lay::LayFigure::adult());
    scene.carry(20, 0.2);
    aplomb_picture picture = scene.picture();
    picture.text = "Hips: 4.1 cm to the left";
    const std::string html = page(picture);
    for (const char* unit : {"cm", "kg", "%", "J"})
        for (size_t at = html.find(std::string(" ") + unit, html.find("<main>")); at != std::string::npos;
             at = html.find(std::string(" ") + unit, at + 1)) {
            if (html[at - 1] < '0' || html[at - 1] > '9') continue;
            const size_t element = html.rfind('<', at); // a picture's words and its name keep their line
            EXPECT_TRUE(html.compare(element, 5, "<text") == 0 || html.compare(element, 6, "<title") == 0)
                << html.substr(at - 20, 40);
        }
    EXPECT_NE(html.find("4.1\xC2\xA0"
                        "cm to the left"),
              std::string::npos);
}

TEST_F(Page, FiguresAreLarge) {
    for (const lay::LayFigure& figure : {lay::LayFigure::adult(), lay::LayFigure::toddler()}) {
        const std::string html = page(Scene(figure).picture());
        for (const char* view : {"before-front-title", "after-side-title"})
            EXPECT_GE(number_at(html, " height=\"", html.find(view) - 160), 424 + 44) << view;
        EXPECT_TRUE(has(html, ".views { --fit: 1; ")); // in a window of 1280
    }
    // A long body takes all the width there is.
    const std::string dog = page(Scene(lay::LayFigure::quadruped()).picture());
    EXPECT_GE(number_at(dog, " width=\"", dog.find("before-side-title") - 160), 500);
}

TEST_F(Page, TheLegendKnowsTheLinesThatAreSwitched) {
    Scene scene(lay::LayFigure::adult());
    const std::string html = page(scene.picture());
    for (const char* line : {"pelvis-line", "shoulder-line", "line-of-action"}) {
        const std::string item = R"(<li class=")" + std::string(line) + '"';
        EXPECT_EQ(count(html, item), 1) << line;
        EXPECT_GT(html.find(item), html.find("aria-label=\"Legend\""));
    }
}

TEST_F(Page, ScalesHaveOneSizeOfWords) {
    Scene scene(lay::LayFigure::adult());
    const aplomb_picture one = scene.picture(false);
    const aplomb_cell cells[] = {{&one, APLOMB_VIEW_FRONT, 1, nullptr}, {&one, APLOMB_VIEW_SIDE, 1, nullptr}};
    const std::string sheet = sheets({{"Large", nullptr, 1, 1, cells, nullptr, nullptr},
                                      {"Small", nullptr, 8, 2, cells, nullptr, nullptr}});
    for (const std::string& html : {sheet, page(scene.picture())}) {
        // Outside the pictures, which shrink and grow.
        EXPECT_EQ(count(plain(html), "<span>50 cm</span>"), 2);
        EXPECT_EQ(count(plain(html), ">50 cm<"), 2);
    }
}

TEST_F(Page, OneRangeAfterAnother) {
    Scene scene(lay::LayFigure::adult());
    scene.carry(20, 0.2);
    aplomb_load_reading& load = scene.reading->loads[0];
    load = {0, infinite, 0, infinite, 12, std::nan(""), 0, 0};
    std::string html = page(scene.picture(false));
    EXPECT_TRUE(has(html, "and any more"));
    EXPECT_TRUE(has(html, "any mass"));
    EXPECT_TRUE(has(html, "balance does not tell here"));
    EXPECT_FALSE(has(html, "AFTER"));
    load = {5, 1, 5, 1, std::nan(""), std::nan(""), 1, 0};
    html = page(scene.picture(false));
    EXPECT_TRUE(has(html, "stands with no mass at all"));
    load = {0, 800, 2, 9, 0, 19, 1, 0};
    html = page(scene.picture(false));
    EXPECT_TRUE(has(html, "to 800 kg"));
    EXPECT_TRUE(has(html, "reads as 19.0 kg")); // what is countered counts
}

TEST_F(Page, NoLineRunsThroughTheWordsOfAMassBar) {
    Scene scene(lay::LayFigure::adult());
    scene.carry(20, 0.2);
    for (const bool stands : {true, false}) {
        scene.reading->loads[0] = {stands ? 0.0 : 5,           stands ? 60.0 : 1, 5, 30,
                                   stands ? 19 : std::nan(""), std::nan(""),      1, 0};
        const std::string html = page(scene.picture(false));
        const size_t words = html.find(stands ? ">reads as 19.0 kg<" : ">stands with no mass at all<");
        ASSERT_NE(words, std::string::npos);
        // Right before the words, and so after the line, their white ground.
        const size_t text = html.rfind("<text", words), ground = html.rfind("<rect", words);
        EXPECT_EQ(html.find('\n', ground) + 1, text);
        EXPECT_NE(html.substr(ground, text - ground).find(R"(fill="#FFFFFF")"), std::string::npos);
        EXPECT_GT(ground, html.rfind(R"(stroke="#E69F00")", words));
    }
}

TEST_F(Page, HostileNamesAreEscaped) {
    Scene scene(lay::LayFigure::adult());
    scene.carry(20, 0.2);
    aplomb_picture picture = scene.picture();
    const char* hostile = "<script>alert(1)</script> \" ' & </style> \xFF \x01";
    picture.title = hostile, picture.text = hostile;
    picture.before.caption = hostile, picture.after.caption = hostile;
    page(picture);
    const aplomb_cell cell{&picture, APLOMB_VIEW_FRONT, 1, hostile};
    sheets({{hostile, hostile, 1, 1, &cell, &hostile, &hostile}});
}

TEST_F(Page, ShowsTheSkinAndTheCamera) {
    Scene scene(lay::LayFigure::adult());
    scene.carry(20, 0.2);
    const Skin skin;
    aplomb_picture picture = scene.picture();
    const std::string lay = page(picture);
    picture.mesh = &skin.mesh;
    picture.before.skin = picture.after.skin = skin.positions.data();
    const std::string own = page(picture);
    EXPECT_LT(own.size(), lay.size() / 2); // six boxes need few points
    EXPECT_TRUE(has(own, "evenodd"));
    EXPECT_FALSE(has(lay, "evenodd"));
    EXPECT_FALSE(has(own, "camera"));

    const aplomb_camera camera{{1.5, 1.2, 4}, {0, 0.1736482, 0, 0.9848078}, 0.6, 0, 1.5};
    picture.camera = &camera;
    const std::string seen = page(picture);
    EXPECT_EQ(count(seen, ">through the file's camera<"), 2);
    picture.mesh = nullptr, picture.before.skin = picture.after.skin = nullptr;
    EXPECT_TRUE(has(page(picture), "evenodd")); // the lay figure in perspective
    const aplomb_camera parallel{{1.5, 1.2, 4}, {0, 0.1736482, 0, 0.9848078}, 0, 2.5, 0};
    picture.camera = &parallel;
    EXPECT_EQ(count(page(picture), ">through the file's camera<"), 2);
}

/// The data of the first path after `from` with this attribute behind its data.
std::string path_data(const std::string& html, size_t from, const std::string& attribute) {
    const size_t at = html.find(attribute, from), start = html.rfind("<path d=\"", at) + 9;
    return at == std::string::npos ? "" : html.substr(start, html.find('"', start) - start);
}

TEST_F(Page, TheKeyedOutlineIsThatOfBefore) {
    Scene scene(lay::LayFigure::adult());
    scene.carry(20, 0.2);
    const Skin skin;
    std::vector<double> moved = skin.positions;
    for (size_t i = 0; i < moved.size(); i += 3)
        moved[i] += 0.1, moved[i + 2] += 0.07;
    aplomb_picture picture = scene.picture();
    picture.mesh = &skin.mesh;
    picture.before.skin = skin.positions.data(), picture.after.skin = moved.data();
    const std::string html = page(picture);
    for (const std::string name : {"front", "side", "top"}) {
        const std::string keyed = path_data(html, 0, " id=\"keyed-after-" + name + "\" fill");
        EXPECT_FALSE(keyed.empty());
        EXPECT_EQ(keyed, path_data(html, html.find("\"before-" + name + "-title"), " fill=\"#0072B2\""))
            << name;
        EXPECT_NE(keyed, path_data(html, html.find("\"after-" + name + "-title"), " fill=\"#0072B2\""))
            << name;
    }
}

TEST_F(Page, ALoadWithinTheBodyIsDashedOverIt) {
    Scene scene(lay::LayFigure::adult());
    scene.carry(20, 0.9);
    const Skin skin;
    aplomb_picture picture = scene.picture(false);
    picture.mesh = &skin.mesh;
    picture.before.skin = skin.positions.data();
    EXPECT_EQ(count(page(picture), "class=\"hidden-load\""), 0) << "before the body, and beside it";
    aplomb_load inside = *scene.situation.loads;
    inside.mass = 3, inside.offset[2] = 0, inside.offset[1] = 0.3;
    scene.situation.loads = &inside;
    scene.read();
    EXPECT_EQ(count(page(picture), "class=\"hidden-load\""), 3);
}

TEST_F(Page, SharesBelowTheFeetStayInTheView) {
    Scene scene(lay::LayFigure::adult());
    aplomb_picture picture = scene.picture(false);
    // Legs wide apart: the feet are the view's edges.
    for (const int side : {APLOMB_SIDE_LEFT, APLOMB_SIDE_RIGHT})
        for (const aplomb_role role : {APLOMB_ROLE_THIGH, APLOMB_ROLE_FOOT}) {
            const double turn =
                (side == APLOMB_SIDE_LEFT ? 0.35 : -0.35) * (role == APLOMB_ROLE_THIGH ? 1 : -1);
            double* r = scene.rotations.data() +
                        4 * aplomb_figure_find_role(picture.figure, role, static_cast<aplomb_side>(side));
            r[2] = std::sin(turn), r[3] = std::cos(turn);
        }
    scene.read();
    const std::string html = page(picture);
    int shares = 0;
    for (size_t at = html.find("bearing</text>"); at != std::string::npos;
         at = html.find("bearing</text>", at + 1), ++shares) {
        const double width = number_at(html, "viewBox=\"0 0 ", html.rfind("viewBox=", at));
        const double middle = number_at(html, "x=\"", html.rfind("<text ", at));
        EXPECT_GT(middle, 36) << "half of the words";
        EXPECT_LT(middle, width - 36);
    }
    EXPECT_EQ(shares, 2);
}

TEST_F(Page, ThePictureShowsTheSkinToo) {
    Scene scene(lay::LayFigure::adult());
    const Skin skin;
    aplomb_picture picture = scene.picture();
    picture.mesh = &skin.mesh;
    picture.before.skin = skin.positions.data(); // and the other as a lay figure
    ASSERT_EQ(aplomb_picture_write(&picture, path().c_str(), nullptr), APLOMB_OK);
    EXPECT_EQ(xml::problem(read_file(path())), "");
    EXPECT_EQ(count(read_file(path()), "fill-rule=\"evenodd\""), 3);
}

TEST_F(Page, OddFiguresFit) {
    for (const lay::LayFigure& figure : {lay::LayFigure::toddler(), lay::LayFigure::quadruped()})
        page(Scene(figure).picture());
}

TEST_F(Page, SheetsHaveRowsColumnsAndEmptyCells) {
    Scene scene(lay::LayFigure::adult());
    scene.carry(20, 0.2);
    const aplomb_picture both = scene.picture(), one = scene.picture(false);
    const aplomb_cell cells[] = {{&one, APLOMB_VIEW_FRONT, 0, "first\nsecond"},
                                 {nullptr, 0, 0, nullptr},
                                 {&both, APLOMB_VIEW_SIDE, 1, nullptr},
                                 {&both, APLOMB_VIEW_TOP, 1, "from above"}}; // the last row is short
    const char* rows[] = {"first row", "second row"};
    const char* columns[] = {"left", nullptr, "right"};
    const std::string html = sheets(
        {{"One", "Words.", 3, 4, cells, rows, columns}, {"Two", nullptr, 1, 1, cells, nullptr, nullptr}});
    for (const char* part : {"first row", "second row", ">left<", ">right<", "first\nsecond", "from above",
                             "Words.", "One", "Two", "50 cm", "stroke-dasharray"})
        EXPECT_TRUE(has(html, part)) << part;
    EXPECT_EQ(count(html, "<section class=\"sheet"), 2);
    EXPECT_EQ(count(html, "role=\"img\""), 4); // three poses and one; empty cells say nothing
    EXPECT_EQ(count(html, "crispEdges"),
              3 + 1); // the ground of the first row, empty cell and all, and the last
    EXPECT_EQ(count(html, "-outside\" maskUnits"), 2); // the keyed outline where there is a correction
}

TEST_F(Page, ASheetSaysHowFarAPoseOutOfBalanceHasToGo) {
    Scene scene(lay::LayFigure::adult());
    scene.carry(60, 0.5);
    ASSERT_EQ(scene.reading->in_balance, 0);
    const aplomb_picture out = scene.picture(false);
    const auto arrows = [&](int32_t view, int32_t marks) {
        const aplomb_cell cell{&out, view, marks, nullptr};
        const std::string html = sheets({{"One", nullptr, 1, 1, &cell, nullptr, nullptr}});
        EXPECT_EQ(count(html, " cm to go<"), count(html, "marker-end"));
        return count(html, "marker-end");
    };
    EXPECT_EQ(arrows(APLOMB_VIEW_SIDE, 1), 1);
    EXPECT_EQ(arrows(APLOMB_VIEW_FRONT, 1), 0); // it tips towards the viewer
    EXPECT_EQ(arrows(APLOMB_VIEW_SIDE, 0), 0);
}

TEST_F(Page, OneScaleForAllOfASheet) {
    Scene adult(lay::LayFigure::adult()), child(lay::LayFigure::toddler());
    const aplomb_picture big = adult.picture(false), small = child.picture(false);
    const aplomb_cell pair[] = {{&big, APLOMB_VIEW_FRONT, 0, nullptr},
                                {&small, APLOMB_VIEW_FRONT, 0, nullptr}};
    const std::string html = sheets({{"Pair", nullptr, 2, 2, pair, nullptr, nullptr}});
    // Both cells are as wide and as high, so that what is drawn in them is at one scale.
    const size_t first = html.find("viewBox", html.find("sheet-1-1-title") - 200);
    const size_t second = html.find("viewBox", html.find("sheet-1-2-title") - 200);
    EXPECT_EQ(html.substr(first, html.find('"', first + 9) - first),
              html.substr(second, html.find('"', second + 9) - second));
}

TEST_F(Page, RefusesWhatCannotBeDrawn) {
    Scene scene(lay::LayFigure::adult());
    const Skin skin;
    std::vector<double> positions = skin.positions;
    std::vector<int32_t> triangles = skin.triangles;
    aplomb_mesh mesh{skin.mesh.vertex_count, skin.mesh.triangle_count, triangles.data()};
    const auto refused = [&](const aplomb_picture& picture, const char* field) {
        using Write = aplomb_status (*)(const aplomb_picture*, const char*, aplomb_error*);
        for (const Write write : {&aplomb_picture_write, &aplomb_page_write}) {
            aplomb_error error{};
            EXPECT_LT(write(&picture, path("no.html").c_str(), &error), 0) << field;
            EXPECT_STREQ(error.field, field) << error.message;
            EXPECT_NE(std::string(error.message).find('.'), std::string::npos);
        }
        const aplomb_cell cell{&picture, APLOMB_VIEW_FRONT, 0, nullptr};
        const aplomb_sheet sheet{"", nullptr, 1, 1, &cell, nullptr, nullptr};
        aplomb_error error{};
        EXPECT_LT(aplomb_sheets_write(&sheet, 1, path("no.html").c_str(), &error), 0);
        EXPECT_NE(std::string(error.message).find("sheets[0].cells[0]"), std::string::npos) << error.message;
    };
    aplomb_picture picture = scene.picture();
    picture.before.skin = positions.data();
    refused(picture, "before.skin"); // a skin without its mesh
    picture.before.skin = nullptr, picture.mesh = &mesh;
    refused(picture, "before.skin"); // a mesh without a skin
    picture.before.skin = positions.data();
    positions[5] = infinite;
    refused(picture, "before.skin");
    positions[5] = 0, triangles[7] = mesh.vertex_count;
    refused(picture, "mesh.triangles");
    triangles[7] = -1;
    refused(picture, "mesh.triangles");
    triangles[7] = 0, mesh.triangles = nullptr;
    refused(picture, "mesh");

    picture = scene.picture();
    aplomb_camera camera{{0, 1, std::nan("")}, {0, 0, 0, 1}, 0.6, 0, 1.5};
    picture.camera = &camera;
    refused(picture, "camera.position");
    camera = {{0, 1, 4}, {0, 0, 0, 2}, 0.6, 0, 1.5};
    refused(picture, "camera.rotation");
    camera = {{0, 1, 4}, {0, 0, 0, 1}, 4, 0, 1.5};
    refused(picture, "camera.vertical_angle");
    camera = {{0, 1, 4}, {0, 0, 0, 1}, 0, 0, 1.5};
    refused(picture, "camera.height");

    picture = scene.picture();
    scene.reading->cue_count = APLOMB_MAX_CUES + 1;
    refused(picture, "before.reading.cue_count");
    scene.reading->cue_count = 0, scene.reading->centre[1] = std::nan("");
    refused(picture, "before.reading.centre");
    EXPECT_FALSE(fs::exists(path("no.html")));
}

TEST_F(Page, RefusesSheetsThatAreNone) {
    Scene scene(lay::LayFigure::adult());
    const aplomb_picture picture = scene.picture();
    aplomb_cell cell{&picture, APLOMB_VIEW_FRONT, 0, nullptr};
    aplomb_sheet sheet{"", nullptr, 1, 1, &cell, nullptr, nullptr};
    const auto refused = [&](const char* field) {
        aplomb_error error{};
        EXPECT_EQ(aplomb_sheets_write(&sheet, 1, path("no.html").c_str(), &error), APLOMB_BAD_ARGUMENT);
        EXPECT_STREQ(error.field, field) << error.message;
    };
    sheet.columns = 13;
    refused("sheets[0].columns");
    sheet.columns = 1, sheet.cells = nullptr;
    refused("sheets[0].cells");
    sheet.cells = &cell, cell.view = 3;
    refused("cells");
    cell.view = 0, cell.marks = 2;
    refused("cells");
    EXPECT_EQ(aplomb_sheets_write(nullptr, 1, path("no.html").c_str(), nullptr), APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(aplomb_sheets_write(&sheet, 0, path("no.html").c_str(), nullptr), APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(aplomb_page_write(&picture, nullptr, nullptr), APLOMB_BAD_ARGUMENT);
}

} // namespace

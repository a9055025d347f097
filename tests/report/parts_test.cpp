// SPDX-License-Identifier: MIT
// The pieces of a page that hosts lay out themselves: the same words and drawings as the page's.
#include "drawn.h"
#include "json/json.h"

namespace {

using namespace drawn;
using aplomb::Json;

int32_t take(void* user, const void* bytes, size_t size) {
    static_cast<std::string*>(user)->assign(static_cast<const char*>(bytes), size);
    return 1;
}

Json parts_of(const aplomb_picture& picture, double room) {
    std::string text;
    aplomb_error error{};
    EXPECT_EQ(aplomb_page_parts_memory(&picture, room, take, &text, &error), APLOMB_OK) << error.message;
    return Json::parse(text);
}

std::string page_of(const aplomb_picture& picture) {
    std::string text;
    aplomb_error error{};
    EXPECT_EQ(aplomb_page_write_memory(&picture, take, &text, &error), APLOMB_OK) << error.message;
    return text;
}

/// As the page has it, with spaces that no line breaks at.
std::string without_breaks(const std::string& html) {
    std::string text;
    for (size_t i = 0; i < html.size(); ++i) {
        const bool hard = html.compare(i, 2, "\xC2\xA0") == 0;
        text += hard ? ' ' : html[i];
        i += hard;
    }
    return text;
}

TEST(Parts, SayWhatThePageSays) {
    Scene scene(lay::LayFigure::adult());
    scene.carry(20, 0.3);
    aplomb_picture picture = scene.picture();
    const auto after = std::make_unique<aplomb_reading>(*scene.reading);
    after->margin += 0.05; // so that the two can be told apart
    picture.after.reading = after.get();
    picture.text = "Hips: 2.0 cm back";
    aplomb_result result;
    aplomb_result_init(&result, sizeof result);
    picture.result = &result;
    const Json parts = parts_of(picture, 0);
    const std::string page = without_breaks(page_of(picture));

    for (const char* half : {"before", "after"})
        EXPECT_EQ(count(page, ">" + parts[half]["verdict"].get<std::string>() + "</p>"), 2)
            << half; // both are one pose
    ASSERT_GT(parts["readings"].size(), 10u);
    for (const Json& row : parts["readings"]) {
        ASSERT_EQ(row.size(), 3u);
        std::string cells = "<tr><th scope=\"row\">" + row[0].get<std::string>() + "</th>\n";
        for (const int i : {1, 2})
            cells += "<td>" + row[i].get<std::string>() + "</td>\n";
        EXPECT_EQ(count(page, cells), 1) << cells;
    }
    ASSERT_EQ(parts["controls"].size(), 4u);
    for (const Json& row : parts["controls"])
        EXPECT_EQ(count(page, ">" + row[0].get<std::string>() + "</th>"), 1);
    for (const char* when : {"before", "after"})
        EXPECT_EQ(count(page, "<p>" + parts["loads"][0][when].get<std::string>() + "</p>"), 1);
    EXPECT_EQ(parts["text"].get<std::string>(), picture.text);
    EXPECT_FALSE(parts["before"].contains("views"));
    EXPECT_FALSE(parts.contains("marks"));
}

TEST(Parts, ViewsAreSoundAndShareTheirRoom) {
    Scene scene(lay::LayFigure::adult());
    scene.carry(20, 0.3);
    const aplomb_picture picture = scene.picture();
    for (const double room : {450.0, 595.0}) {
        const Json parts = parts_of(picture, room);
        for (const char* half : {"before", "after"}) {
            const Json& views = parts[half]["views"];
            ASSERT_EQ(views.size(), 3u);
            for (const char* name : {"front", "side", "top"})
                EXPECT_EQ(xml::problem(views[name]["svg"].get<std::string>()), "") << name;
            EXPECT_LE(views["front"]["width"].get<double>() + views["side"]["width"].get<double>(), room);
        }
        EXPECT_EQ(xml::problem(parts["loads"][0]["bar"].get<std::string>()), "");
        EXPECT_EQ(xml::problem(parts["marks"].get<std::string>()), "");
    }
}

TEST(Parts, ARoomThatIsNoneIsRefused) {
    Scene scene(lay::LayFigure::adult());
    const aplomb_picture picture = scene.picture();
    aplomb_error error{};
    std::string text = "untouched";
    for (const double room : {-1.0, 1e6, std::numeric_limits<double>::quiet_NaN()}) {
        EXPECT_EQ(aplomb_page_parts_memory(&picture, room, take, &text, &error), APLOMB_BAD_ARGUMENT);
        EXPECT_STREQ(error.field, "room");
    }
    EXPECT_EQ(aplomb_page_parts_memory(nullptr, 0, take, &text, &error), APLOMB_BAD_ARGUMENT);
    EXPECT_EQ(text, "untouched");
}

} // namespace

// SPDX-License-Identifier: MIT
#include "report/svg_writer.h"

#include <gtest/gtest.h>

#include "xml_check.h"

using namespace aplomb::report;

TEST(XmlCheck, SeesWhatIsBroken) {
    EXPECT_EQ(xml::problem("<a b=\"1\"><c/>text &amp; more</a>\n"), "");
    for (const char* broken : {"<a>", "<a></b>", "<a b=1/>", "<a b=\"1\" b=\"2\"/>", "<a>&</a>", "<a/><a/>",
                               "<a/>x", "<a b=\"<\"/>", "<a>\x01</a>", "<a b=\"1/>"})
        EXPECT_NE(xml::problem(broken), "") << broken;
}

TEST(SvgWriter, NumbersAreFixedAndShort) {
    EXPECT_EQ(number(1.5), "1.5");
    EXPECT_EQ(number(100), "100");
    EXPECT_EQ(number(-0.001), "0");
    EXPECT_EQ(number(1e6 + 0.126), "1000000.13");
    EXPECT_EQ(fixed(-0.04, 1), "0.0");
    EXPECT_EQ(fixed(-0.06, 1), "-0.1");
}

TEST(SvgWriter, EscapesWhatXmlForbids) {
    EXPECT_EQ(escape("a<b>&\"c\""), "a&lt;b&gt;&amp;&quot;c&quot;");
    EXPECT_EQ(escape("caf\xC3\xA9"), "caf\xC3\xA9");
    EXPECT_EQ(escape("\x01"), "\xEF\xBF\xBD");
    EXPECT_EQ(escape("x\xC3"), "x\xEF\xBF\xBD");                               // cut short
    EXPECT_EQ(escape("\xC0\xAF"), "\xEF\xBF\xBD\xEF\xBF\xBD");                 // overlong
    EXPECT_EQ(escape("\xEF\xBF\xBF"), "\xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD"); // U+FFFF
}

TEST(SvgWriter, WrapsWordsAndKeepsLineBreaks) {
    const auto lines = wrap("one two\nthree", 1000, 10);
    ASSERT_EQ(lines.size(), 2u);
    EXPECT_EQ(lines[0], "one two");
    EXPECT_EQ(lines[1], "three");
    for (const std::string& line : wrap("a row of words that is too long for it", 80, 10))
        EXPECT_LE(text_width(line, 10), 80);
    EXPECT_EQ(wrap("unbreakable", 10, 10).size(), 1u);
    EXPECT_TRUE(wrap("", 10, 10).empty());
}

TEST(SvgWriter, KeepsNumberAndUnitTogether) {
    const auto lines = wrap("hips 4.1 cm", text_width("hips 4.1", 10), 10);
    ASSERT_EQ(lines.size(), 2u);
    EXPECT_EQ(lines[1], "4.1 cm");
}

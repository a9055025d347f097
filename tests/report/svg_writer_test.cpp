// SPDX-License-Identifier: MIT
#include "report/svg_writer.h"

#include <gtest/gtest.h>

#include <charconv>
#include <cmath>

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

/// The quick way gives what the exact one gives, halves and zeros included.
TEST(SvgWriter, DigitsAreThoseOfToChars) {
    uint64_t state = 1;
    const auto random = [&state] { return state = state * 6364136223846793005u + 1442695040888963407u; };
    const auto compare = [](double value) {
        for (int decimals = 0; decimals <= 4; ++decimals) {
            char digits[400];
            const auto end =
                std::to_chars(digits, digits + sizeof digits, value, std::chars_format::fixed, decimals);
            std::string text(digits, end.ptr);
            if (text[0] == '-' && text.find_first_of("123456789") == std::string::npos) text.erase(0, 1);
            ASSERT_EQ(fixed(value, decimals), text) << value << ' ' << decimals;
        }
    };
    for (int i = 0; i < 200000; ++i) {
        const double part = static_cast<double>(random() >> 11) / 9007199254740992.0;
        compare((part - 0.5) * std::pow(10.0, static_cast<double>(random() >> 60) - 4));
        compare(static_cast<double>(static_cast<int64_t>(random() >> 44)) / 2000 -
                200); // halves of the last digit
    }
    for (const double value : {0.0, -0.0, 0.5, 1.5, -0.5, 0.125, 0.005, 0.015, 999999.9995, 1e9, 1e300, -2.5})
        compare(value);
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

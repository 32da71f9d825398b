#include "../../../src/report/ink.hpp"

#include <cmath>

#include "check.hpp"

using namespace burin;

TEST_CASE("Numbers as a person writes them") {
    // Source: common practice, no source.
    CHECK(ink::number(3.1750, 3) == "3.175");
    CHECK(ink::number(12.0) == "12");
    CHECK(ink::number(0.30) == "0.3");
    CHECK(ink::number(-0.001) == "0");
    CHECK(ink::number(100, 0) == "100");
    CHECK(ink::number(std::numeric_limits<double>::infinity()) == "unknown");
    CHECK(ink::grouped(1234567) == "1\u202F234\u202F567");
    CHECK(ink::grouped(-1234) == "-1\u202F234");
    CHECK(ink::grouped(999) == "999");
}

TEST_CASE("Base64") {
    // Source: RFC 4648, section 10 (test vectors).
    CHECK(ink::base64("") == "");
    CHECK(ink::base64("f") == "Zg==");
    CHECK(ink::base64("fo") == "Zm8=");
    CHECK(ink::base64("foo") == "Zm9v");
    CHECK(ink::base64("foob") == "Zm9vYg==");
    CHECK(ink::base64("fooba") == "Zm9vYmE=");
    CHECK(ink::base64("foobar") == "Zm9vYmFy");
}

TEST_CASE("Text for markup") {
    // Source: HTML Living Standard 13.1.4; RFC 3629 (what is UTF-8 and what is not).
    CHECK(ink::escaped("a<b>&\"'") == "a&lt;b&gt;&amp;&quot;&#39;");
    CHECK(ink::escaped("\u00e9 \u65e5 \U0001F41A") == "\u00e9 \u65e5 \U0001F41A");
    CHECK(ink::escaped("\xc0\xaf") == "\uFFFD\uFFFD");  // overlong slash
    CHECK(ink::escaped("\xe2\x82") == "\uFFFD\uFFFD");  // cut off
    CHECK(ink::escaped("\xf5\x80\x80\x80") == "\uFFFD\uFFFD\uFFFD\uFFFD");
    CHECK(ink::escaped(std::string("a\0b\x7f", 4)) == "ab");
    CHECK(ink::escaped("a\nb") == "a b");
}

// Fonts by family, style and path, on the DejaVu fonts that ./bootstrap installs. Source of names, styles and which generic family is
// which: those fonts' own name tables and Debian's fontconfig, as `fc-list` and `fc-match` show them.
#include "burin/workshop/fonts.hpp"

#include <algorithm>
#include <clocale>
#include <cstdlib>
#include <filesystem>
#include <string>
#include <thread>
#include <vector>

#include "burin/base/error.hpp"
#include "check.hpp"

namespace {

using namespace burin;

std::string file_of(const std::string& wanted) { return find_font(wanted).path.filename().string(); }

/// Fault and sentence of what find_font refuses.
Error refusal(const std::string& wanted) {
    try {
        (void)find_font(wanted);
    } catch (const Error& error) {
        return error;
    }
    FAIL("found: " << wanted);
    return {Fault::stopped, ""};
}

}  // namespace

TEST_CASE("A font is found by family and style, in any case") {
    CHECK(file_of("DejaVu Sans") == "DejaVuSans.ttf");
    CHECK(file_of("dejavu  sans") == "DejaVuSans.ttf");
    CHECK(file_of("DejaVu Sans:bold") == "DejaVuSans-Bold.ttf");
    CHECK(file_of("DejaVu Serif:Bold") == "DejaVuSerif-Bold.ttf");
    CHECK(file_of("DejaVu Sans Mono:regular") == "DejaVuSansMono.ttf");
    CHECK(file_of("DejaVu Sans Bold") == "DejaVuSans-Bold.ttf");  // the full name
    const FontFile found = find_font("DejaVu Serif:bold");
    CHECK(found.family == "DejaVu Serif");
    CHECK(found.style == "Bold");
    CHECK(found.name() == "DejaVu Serif Bold");
    CHECK(found.face == 0);
    CHECK(std::filesystem::is_regular_file(found.path));
}

TEST_CASE("Generic families are what the system makes of them, whatever the locale") {
    for (const char* locale : {"C", "de_DE.UTF-8", "ja_JP.UTF-8"}) {
        ::setenv("LC_ALL", locale, 1);
        std::setlocale(LC_ALL, "");
        CHECK(file_of("serif") == file_of("Serif"));
        CHECK(file_of("sans-serif") == file_of("Sans"));
        CHECK(file_of("serif:bold") != file_of("serif"));
        CHECK(file_of("monospace") != file_of("serif"));
    }
    ::unsetenv("LC_ALL");
    std::setlocale(LC_ALL, "C");
}

TEST_CASE("A family that is not there is refused with the nearest; so is a style") {
    const Error family = refusal("DejaVu Serf");
    CHECK(family.fault() == Fault::input);
    CHECK_THAT(family.what(), ContainsSubstring("'DejaVu Serf'") && ContainsSubstring("DejaVu Serif"));
    CHECK(refusal("Lamp Room Gothic").fault() == Fault::input);
    const Error style = refusal("DejaVu Sans Mono:thin");
    CHECK(style.fault() == Fault::input);
    CHECK_THAT(style.what(), ContainsSubstring("Book") && ContainsSubstring("Bold"));
    const Error word = refusal("DejaVu Sans:bolt");
    CHECK(word.fault() == Fault::usage);
    CHECK_THAT(word.what(), ContainsSubstring("'bold'"));
    CHECK(refusal("").fault() == Fault::usage);
    CHECK(refusal(":bold").fault() == Fault::usage);
}

TEST_CASE("A path is taken as it is") {
    CHECK(find_font("letters/gift.ttf").path == "letters/gift.ttf");
    CHECK(find_font("gift.OTF").path == "gift.OTF");
    CHECK(find_font("gift.ttf").name() == "gift.ttf");
    CHECK(find_font("./no-ending").path == "./no-ending");
    const FontFile second = find_font("fonts.ttc:2");
    CHECK(second.path == "fonts.ttc");
    CHECK(second.face == 1);
    CHECK(refusal("fonts.ttc:0").fault() == Fault::usage);
    CHECK(refusal("gift.ttf:bold").fault() == Fault::usage);
}

TEST_CASE("Families are told by the characters they have") {
    // Hebrew is in DejaVu Sans, not in DejaVu Serif (the fonts' cmap tables).
    const std::vector<std::string> hebrew = families_with(U"\u05E9\u05DC\u05D5\u05DD", 100);
    CHECK(std::find(hebrew.begin(), hebrew.end(), "DejaVu Sans") != hebrew.end());
    CHECK(std::find(hebrew.begin(), hebrew.end(), "DejaVu Serif") == hebrew.end());
    CHECK(families_with(U"\U000F1234\U0010FFFD").empty());
    CHECK(families_with(U"A", 1).size() == 1);
}

TEST_CASE("Fonts are found from several threads at once") {
    std::vector<std::string> found(8);
    std::vector<std::thread> threads;
    for (std::string& name : found) threads.emplace_back([&name] { name = file_of("DejaVu Sans:bold"); });
    for (std::thread& thread : threads) thread.join();
    for (const std::string& name : found) CHECK(name == "DejaVuSans-Bold.ttf");
}

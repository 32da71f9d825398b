// Which set of bits is called sensible. The rule is ours (choice_page.hpp), no source; the cases are reckoned by hand with a double time
// that is worth 2 % of the area: what is paid for a set is log2 of its seconds and its lost share ÷ 0.02.
#include <nlohmann/json.hpp>

#include "burin/report/choice_page.hpp"
#include "check.hpp"

using namespace burin;

namespace {

Choice set_of(std::vector<std::string> bits, double time_s, double share, int changes = 0, int too_narrow = 0) {
    Choice choice;
    choice.bits = std::move(bits);
    choice.time_s = time_s;
    choice.changes = changes;
    choice.loss.share = share;
    choice.loss.too_narrow = too_narrow;
    choice.command.assign("burin relief lamp.png");
    return choice;
}

ChoicePage page_of(std::vector<Choice> choices) {
    ChoicePage page;
    page.name = std::string("<lamp>"), page.version = std::string("one"), page.make = std::string("relief");
    page.picture_name = std::string("lamp.png"), page.material = std::string("pine");
    page.size = {80, 60};
    page.choices = std::move(choices);
    return page;
}

}  // namespace

TEST_CASE("a slower set of bits is sensible only where the time wins enough back") {
    // 600 s: 9.23 + 6; 2400 s: 11.23 + 1.5; 19200 s: 14.23 + 0.75. The second is four times as slow and wins 9 % back; the third, eight
    // times as slow as that, 1.5 %.
    const std::vector<Choice> choices{set_of({"ball-3.175"}, 600, 0.12), set_of({"ball-1"}, 2400, 0.03),
                                      set_of({"taper-0.5-10"}, 19200, 0.015)};
    CHECK(sensible_of(choices) == 1);
    // With a picture that is so soft that the coarse bit loses 4 %, it is the coarse one: 9.23 + 2 against 12.73.
    CHECK(sensible_of({set_of({"ball-3.175"}, 600, 0.04), choices[1], choices[2]}) == 0);
    // Where nothing else gets anywhere it is the slow one.
    CHECK(sensible_of({set_of({"ball-3.175"}, 600, 0.5), set_of({"ball-1"}, 2400, 0.4), choices[2]}) == 2);
}

TEST_CASE("changes of bits cost time, and of equal sets the one with fewer bits is sensible") {
    // 1200 s and one change of 300 s are 1500 s: just what the single bit takes.
    CHECK(sensible_of({set_of({"flat-3.175", "ball-1"}, 1200, 0.03, 1), set_of({"ball-1"}, 1500, 0.03)}) == 1);
    CHECK(sensible_of({set_of({"flat-3.175", "ball-1"}, 1100, 0.03, 1), set_of({"ball-1"}, 1500, 0.03)}) == 0);
    // Shares that differ by less than a hundredth of a per cent are the grid's noise.
    CHECK(sensible_of({set_of({"a", "b"}, 1200, 0.03001, 1), set_of({"c"}, 1500, 0.03004)}) == 1);
}

TEST_CASE("a set that leaves narrow places out, or cannot be cut, is never sensible where another is not so") {
    // Quick, but two strokes of the lettering would be missing.
    CHECK(sensible_of({set_of({"flat-3.175"}, 60, 0.02, 0, 2), set_of({"flat-1"}, 900, 0.01)}) == 1);
    std::vector<Choice> choices{set_of({"flat-3.175"}, 60, 0.0), set_of({"flat-1"}, 900, 0.0)};
    choices[0].refused.assign("The bit is wider than the job.");
    CHECK(sensible_of(choices) == 1);
    choices[1].refused = choices[0].refused;
    CHECK_FALSE(sensible_of(choices));
    CHECK(choice_reason(page_of(choices)) == "None of these sets can be cut.");
    CHECK_FALSE(sensible_of({}));
}

TEST_CASE("the page and the figures tell the sensible set, and take every text as text") {
    std::vector<Choice> choices{set_of({"ball-<3>"}, 600, 0.12), set_of({"ball-1"}, 2400, 0.03), set_of({"flat-9"}, 1, 0)};
    choices[2].refused.assign("too wide & <b>");
    const ChoicePage page = page_of(choices);
    const std::string html = choice_html(page, {});
    CHECK(html.find("<b>") == std::string::npos);
    CHECK_THAT(html, ContainsSubstring("&lt;lamp&gt;") && ContainsSubstring("Take <strong>ball-1</strong>") &&
                         ContainsSubstring("too wide &amp; &lt;b&gt;"));
    const auto json = nlohmann::json::parse(choice_json(page));
    CHECK(json["sensible"] == nlohmann::json({"ball-1"}));
    CHECK(json["sets"].size() == 3);
    CHECK(json["sets"][2]["lost_share"].is_null());  // nothing is known of what was not cut
    CHECK(json["sets"][0]["time_with_changes_s"] == 600);
}

/// Photos and figures as a person has them burnt. No source, but where one is named: the program's own contract.
#include <nlohmann/json.hpp>
#include <sstream>

#include "burin/job/options.hpp"
#include "burin/picture/picture.hpp"
#include "check.hpp"
#include "program.hpp"

using namespace jobs;

namespace {

/// A wedge of greys over a disc, 90 × 60 points.
std::string wedge() {
    std::vector<std::uint16_t> grey;
    for (int j = 0; j < 60; ++j)
        for (int i = 0; i < 90; ++i) {
            const int x = i - 60, y = j - 30;
            grey.push_back(x * x + y * y < 300 ? std::uint16_t{4000} : static_cast<std::uint16_t>(20000 + 500 * i));
        }
    return burin::write_png_grey16(grey, 90, 60, 0, {});
}

Outcome burn(const std::vector<std::string>& words, const std::string& folder) {
    std::vector<std::string> all{"burn"};
    all.insert(all.end(), words.begin(), words.end());
    all.insert(all.end(), {"-o", folder});
    return call(all);
}

nlohmann::json report_of(const std::string& folder) { return nlohmann::json::parse(text_of(folder + "/report.json")); }

}  // namespace

TEST_CASE("a photo is burnt: a dark border run, then rows whose tones are proved; again from its job file") {
    const Scratch scratch;
    put(scratch / "wedge.png", wedge());
    const Outcome outcome = burn({scratch / "wedge.png", "--width", "14", "--material", "basswood"}, scratch / "a");
    INFO(outcome.err);
    REQUIRE(outcome.status == 0);
    const auto report = report_of(scratch / "a");
    CHECK(report["command"] == "burn");
    CHECK(report["proof"]["holds"] == true);
    for (const char* of_a_bit : {"deepest_gouge_mm", "left_standing_mm", "largest_section", "rapids_in_stock"})
        CHECK(report["proof"][of_a_bit].is_null());  // a laser has no gouge
    for (const char* of_a_bit : {"plunge_mm_min", "spindle_rpm", "chip_load_mm", "depth_per_pass_mm"})
        CHECK(report["programs"][1][of_a_bit].is_null());
    CHECK(report["programs"][0]["most_s"] == 0);  // no pilot power in the machine's file
    bool eyewear = false;
    for (const auto& caution : report["cautions"])
        if (const auto text = caution.get<std::string>(); text.find("border run") != std::string::npos)
            eyewear = text.find("eyewear") != std::string::npos;
    CHECK(eyewear);  // IEC 60825-1, class 4

    // Line by line, by a reading of its own: S 0 in force before every rapid, never above the scale, no Z at all.
    std::istringstream program(text_of(scratch / "a/2-burn.nc"));
    int lit = 0, power = -1, line_number = 0;
    bool dark = true, scale = true;
    for (std::string line; std::getline(program, line);) {
        ++line_number;
        if (line.starts_with("(")) continue;
        CHECK(line.find('Z') == std::string::npos);
        if (line.find("G0") != std::string::npos) dark = dark && power == 0;
        if (const auto s = line.find('S'); s != std::string::npos) power = std::stoi(line.substr(s + 1)), lit += power > 0 ? 1 : 0;
        scale = scale && power <= 1000;
    }
    CHECK(dark);
    CHECK(scale);
    CHECK(lit > 500);

    const Outcome again = call({"make", scratch / "a/job.toml", "-o", scratch / "b", "--threads", "1"});
    INFO(again.err);
    REQUIRE(again.status == 0);
    CHECK((contents(scratch / "a") == contents(scratch / "b")));
}

TEST_CASE("dots, turned rows, returning rows lined up, constant power: each is proved") {
    const Scratch scratch;
    put(scratch / "wedge.png", wedge());
    const std::vector<std::vector<std::string>> ways{{"--tone", "floyd-steinberg"},
                                                     {"--tone", "blue-noise", "--line-up", "-0.23"},
                                                     {"--tone", "ordered", "--one-way"},
                                                     {"--angle", "35", "--rotate", "20"},
                                                     {"--power-mode", "constant", "--machine", "laser-400x400", "--air-assist"}};
    for (const auto& way : ways) {
        std::vector<std::string> words{scratch / "wedge.png", "--width", "12"};
        words.insert(words.end(), way.begin(), way.end());
        const Outcome outcome = burn(words, scratch / "out");
        INFO(way[0] << " " << way[1] << ": " << outcome.err);
        CHECK(outcome.status == 0);
    }
    const std::string program = text_of(scratch / "out/2-burn.nc");
    CHECK(program.find("M3 S0") != std::string::npos);
    CHECK(program.find("M8") < program.find("M3 S0"));
    CHECK(program.find("M9") != std::string::npos);
}

TEST_CASE("figures are burnt: filled, along their outline in passes, lettering of single lines") {
    const Scratch scratch;
    const Outcome text = burn({"--text", "Ebbe", "--cap-height", "4"}, scratch / "text");
    INFO(text.err);
    CHECK(text.status == 0);
    const Outcome lines = burn({"--text", "Flut", "--cap-height", "4", "--cover", "lines"}, scratch / "lines");
    INFO(lines.err);
    CHECK(lines.status == 0);
    const Outcome ring = burn({"--shape", "ring", "--diameter", "12", "--inner-diameter", "5", "--cover", "outline", "--side", "outside",
                               "--passes", "3", "--focus-step", "0.5", "--feed", "200"},
                              scratch / "ring");
    INFO(ring.err);
    REQUIRE(ring.status == 0);
    CHECK(report_of(scratch / "ring")["programs"][1]["bounds"]["z"][0] == -1);  // two steps of 0.5 down
    const Outcome disc = burn({"--shape", "circle", "--diameter", "8", "--power-mode", "constant"}, scratch / "disc");
    INFO(disc.err);
    CHECK(disc.status == 0);
}

TEST_CASE("what must not or cannot be burnt is refused with its reason") {
    const Scratch scratch;
    put(scratch / "wedge.png", wedge());
    const struct {
        std::vector<std::string> more;
        int status;
        const char* words;
    } cases[] = {{{"--material", "fr4"}, 1, "poisonous"},
                 {{"--material", "brass"}, 1, "reflects"},
                 {{"--machine", "desk-240x150"}, 1, "no laser"},
                 {{"--power", "120"}, 2, "at most 100"},
                 {{"--power", "10", "--least-power", "20"}, 2, "below --power"},
                 {{"--pilot", "5"}, 1, "pilot"},
                 {{"--feed", "5000"}, 1, "can burn"},
                 {{"--feed", "1900", "--power-mode", "constant"}, 1, "fastest that works"},
                 {{"--passes", "2"}, 2, "photo"},
                 {{"--cover", "filled", "--power-mode", "constant"}, 1, "--cover rows"},
                 {{"--cover", "filled", "--tone", "jarvis"}, 2, "--tone"},
                 {{"--bit", "flat:2.0"}, 2, "--bit"},
                 {{"--burn-anyway", "because"}, 2, "burn-anyway"}};
    for (const auto& c : cases) {
        std::vector<std::string> words{scratch / "wedge.png", "--width", "12"};
        words.insert(words.end(), c.more.begin(), c.more.end());
        const Outcome outcome = burn(words, scratch / "out");
        INFO(c.more[0] << " " << c.more[1] << ": " << outcome.err);
        CHECK(outcome.status == c.status);
        CHECK(outcome.err.find(c.words) != std::string::npos);
    }
    // Only a person's own words in a job file let it pass, and the report says so.
    const std::string job = "material = \"brass\"\n[[cut]]\nmake = \"burn\"\npicture = \"wedge.png\"\nwidth = 12\n";
    put(scratch / "job.toml", job);
    CHECK(call({"make", scratch / "job.toml", "-o", scratch / "out"}).status == 1);
    put(scratch / "job.toml", job + "burn-anyway = \"Lacquered black on top, tried on scrap.\"\n");
    const Outcome passed = call({"make", scratch / "job.toml", "-o", scratch / "out"});
    INFO(passed.err);
    CHECK(passed.status == 0);
    CHECK(passed.err.find("Lacquered black") != std::string::npos);
    put(scratch / "job.toml", "[[cut]]\nmake = \"pocket\"\nshape = \"circle\"\ndiameter = 12\nburn-anyway = \"no\"\n");
    CHECK(call({"make", scratch / "job.toml", "-o", scratch / "out"}).status == 2);
}

TEST_CASE("detail that the spot cannot show is told, with what is lost") {
    const Scratch scratch;
    put(scratch / "wedge.png", wedge());
    const Outcome outcome = burn({scratch / "wedge.png", "--width", "5"}, scratch / "out");  // 0.056 mm a point, the spot is 0.15
    CHECK(outcome.status == 0);
    CHECK(outcome.err.find("flows together") != std::string::npos);
}

TEST_CASE("a board's coating is burnt off between its copper, and again from its job file") {
    const Scratch scratch;
    const std::string lamp = BURIN_SOURCE "/images/board/lamp-top.svg";
    const Outcome outcome =
        burn({lamp, "--width", "20", "--coating", "resist", "--around", "0.5", "--crossed", "--angle", "30"}, scratch / "a");
    INFO(outcome.err);
    REQUIRE(outcome.status == 0);
    const auto report = report_of(scratch / "a");
    CHECK(report["material"] == "coated-copper");
    CHECK(report["proof"]["nets"]["pieces"] == 13);  // counted in the drawing, which says so itself
    CHECK(report["proof"]["nets"]["shorts"] == 0);
    CHECK(report["proof"]["nets"]["breaks"] == 0);
    CHECK(report["beam"]["passes"] == 2);
    bool poison = false;
    for (const auto& caution : report["cautions"])
        poison = poison || caution.get<std::string>().find("FR-4 below must never") != std::string::npos;
    CHECK(poison);  // the promise of the cautions
    const std::string page = text_of(scratch / "a/report.html");
    CHECK_THAT(page, ContainsSubstring("Copper and coating"));
    CHECK_THAT(page, ContainsSubstring("13 pieces of copper"));

    const Outcome again = call({"make", scratch / "a/job.toml", "-o", scratch / "b", "--threads", "1"});
    INFO(again.err);
    REQUIRE(again.status == 0);
    CHECK((contents(scratch / "a") == contents(scratch / "b")));
}

TEST_CASE("a mask is opened, the underside mirrored; what does not go with a coating is said") {
    const Scratch scratch;
    put(scratch / "pads.svg",
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"8mm\" height=\"4mm\" viewBox=\"0 0 8 4\"><rect x=\"1\" y=\"1\" width=\"1\" "
        "height=\"2\"/><rect x=\"2.1\" y=\"1\" width=\"2\" height=\"2\"/></svg>");
    const std::string pads = scratch / "pads.svg";
    const Outcome mask = burn({pads, "--coating", "mask", "--layer", "bottom", "--stock", "20x10x1.6", "--at", "5,5"}, scratch / "mask");
    INFO(mask.err);
    REQUIRE(mask.status == 0);
    const auto report = report_of(scratch / "mask");
    CHECK(report["proof"]["nets"]["pieces"] == 2);
    const auto x = report["programs"][0]["bounds"]["x"];   // of the border run, which begins at the zero
    CHECK(x[1].get<double>() == Approx(18).margin(0.01));  // 1 mm from the drawing's left edge at 1 mm, seen from below: 20 − 2

    const Outcome narrow = burn({pads, "--coating", "resist"}, scratch / "narrow");
    CHECK(narrow.status == 1);
    CHECK_THAT(narrow.err, ContainsSubstring("etching would leave the copper joined:\n  0.100 mm at X7.05 Y"));
    for (const auto& [words, told] : std::vector<std::pair<std::vector<std::string>, std::string>>{
             {{"--squeeze", "0.02"}, "--squeeze says nothing here: it belongs to circuit boards"},
             {{"--layer", "bottom"}, "--layer says nothing here"},
             {{"--coating", "mask", "--around", "1"}, "--around says nothing here: it belongs to --coating resist"},
             {{"--coating", "resist", "--cover", "outline"}, "would leave the coating standing"},
             {{"--coating", "resist", "--line-spacing", "0.15"}, "leave stripes of the coating"},
             {{"--coating", "resist", "--crossed", "--passes", "1"}, "--crossed turns the rows of every second pass"},
             {{"--coating", "resist", "--material", "fr4"}, "never burn it"},
             {{"--coating", "resist", "--around", "0.1"}, "Give 0.3 or more"}}) {
        std::vector<std::string> all{pads};
        all.insert(all.end(), words.begin(), words.end());
        const Outcome outcome = burn(all, scratch / "never");
        CHECK(outcome.status != 0);
        CHECK_THAT(outcome.err, ContainsSubstring(told));
    }
}

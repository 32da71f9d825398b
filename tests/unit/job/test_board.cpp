/// Circuit boards as jobs: one side from a drawing, both sides by one job file. Source: the program's own contract, and the lamp's circuit
/// counted on paper (7 nets, 13 pieces above, 16 below).
#include "finished.hpp"

using namespace burin;
using namespace tried;

namespace {

const std::string lamp = std::string(BURIN_SOURCE) + "/images/board/lamp-";

std::string both(const std::string& more_below = "", const std::string& stock = "stock = \"60x40x1.6\"\n") {
    return stock + "zero = \"centre\"\nmaterial = \"fr4\"\n[[cut]]\nmake = \"isolate\"\npicture = \"" + lamp +
           "top.svg\"\n[[cut]]\nmake = \"drill\"\npicture = \"" + lamp +
           "holes.svg\"\nbit = \"drill-0.8\"\n[[cut]]\nmake = \"isolate\"\npicture = \"" + lamp + "bottom.svg\"\nlayer = \"bottom\"\n" +
           more_below;
}

}  // namespace

TEST_CASE("A board from both sides: two sets of programs, one list of nets") {
    const Finished board = made(both());
    const auto report = report_of(board);
    CHECK(report["board"]["pieces_top"] == 13);
    CHECK(report["board"]["pieces_bottom"] == 16);
    CHECK(report["board"]["nets"] == 7);
    REQUIRE(report["programs"].size() == 3);
    CHECK(report["programs"][0]["file"].get<std::string>().starts_with("top-"));
    CHECK(report["programs"][2]["file"] == "bottom-1-cut.nc");
    // The bottom is mirrored about the stock's middle, which is X0: the two pads at x 3 of 40 lie at 20 − 3 = 17 there.
    CHECK(report["sides"][1]["programs"][0]["bounds"]["x"][1].get<double>() == Approx(17 + 0.9 + 0.073).margin(0.02));
    CHECK(report["sides"][0]["programs"].size() == 2);
    const std::string& page = content(board, "report.html");
    CHECK_THAT(page, ContainsSubstring("7 nets"));
    CHECK_THAT(page, ContainsSubstring("Turn the board over left to right"));
    CHECK(content(board, "bottom-1-cut.nc").size() > 1000);
    same(board, made(content(board, "job.toml"), 1));
}

TEST_CASE("What cannot be one board is told") {
    CHECK_THAT(fault_of(both("", "")), ContainsSubstring("needs its stock"));
    CHECK_THAT(fault_of(both("width = 30\n")), ContainsSubstring("placed or sized differently"));
    CHECK_THAT(fault_of("[[cut]]\nmake = \"isolate\"\npicture = \"" + lamp + "top.svg\"\ndepth = 0.03\n"),
               ContainsSubstring("does not get through copper"));
    CHECK_THAT(fault_of("[[cut]]\nmake = \"isolate\"\npicture = \"" + lamp + "top.svg\"\nclear = true\npasses = 2\n"),
               ContainsSubstring("beside"));
    CHECK_THAT(fault_of("[[cut]]\nmake = \"drill\"\npicture = \"" + lamp + "holes.svg\"\nbit = \"flat:0.8\"\n"),
               ContainsSubstring("is no drill"));
}

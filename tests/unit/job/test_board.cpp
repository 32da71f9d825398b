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
    CHECK_THAT(fault_of("[[cut]]\nmake = \"drill\"\npicture = \"" + lamp + "holes.svg\"\nbit = \"vee:30:0.1:3.175\"\n"),
               ContainsSubstring("makes no holes"));
}

namespace {

const std::string folder = std::string(BURIN_SOURCE) + "/images/board/";

std::string from_files(const std::string& top = "lamp-top.gbr", const std::string& holes = folder + "lamp.drl",
                       const std::string& more = "") {
    return "stock = \"70x50x1.6\"\nzero = \"centre\"\nmaterial = \"fr4\"\n[[cut]]\nmake = \"isolate\"\npicture = \"" + folder + top +
           "\"\n[[cut]]\nmake = \"drill\"\npicture = \"" + holes +
           "\"\nbit = [\"drill-0.8\", \"flat-1\"]\n[[cut]]\nmake = \"isolate\"\npicture = \"" + folder +
           "lamp-bottom.gbr\"\nlayer = \"bottom\"\n" + more;
}

}  // namespace

TEST_CASE("A board from its own files is the board that was drawn: nets, holes, places") {
    const Finished board = made(from_files());
    const auto report = report_of(board);
    CHECK(report["board"]["pieces_top"] == 13);
    CHECK(report["board"]["pieces_bottom"] == 16);
    CHECK(report["board"]["nets"] == 7);
    CHECK(report["board"]["holes"] == 25);  // two for screws and a slot besides the 22 of the parts
    CHECK(report["board"]["joining_holes"] == 22);
    REQUIRE(report["programs"].size() == 4);
    // All layers have one field, the box round all of them, to which the slot's end at X38.75 and the traces' edges belong.
    const std::string& job = content(board, "job.toml");
    CHECK_THAT(job, ContainsSubstring("board-field = \"2.1,1.9,38.75,28.1\""));
    same(board, made(job, 1));
}

TEST_CASE("Drills for which there are no holes are left out; where none has any, that is told") {
    const std::string holes =
        "material = \"fr4\"\nstock = \"60x40x1.6\"\n[[cut]]\nmake = \"drill\"\npicture = \"" + folder + "lamp.drl\"\nbit = ";
    const auto report = report_of(made(holes + "[\"drill-1\", \"drill-0.8\", \"drill-1.5\"]\n"));
    REQUIRE(report["programs"].size() == 1);
    CHECK(report["programs"][0]["tool"] == "drill-0.8");
    CHECK_THAT(fault_of(holes + "[\"drill-1\", \"drill-1.2\"]\n"), ContainsSubstring("No hole has the size"));
}

TEST_CASE("Board files that do not go together are told") {
    CHECK_THAT(fault_of(from_files("lamp-bottom.gbr")), ContainsSubstring("it is the lower copper"));
    CHECK_THAT(fault_of(from_files("lamp-top.gbr", folder + "lamp.drl", "width = 30\n")), ContainsSubstring("sized differently"));
    CHECK_THAT(fault_of("[[cut]]\nmake = \"isolate\"\npicture = \"" + folder + "lamp-top.gbr\"\nwidth = 30\n"),
               ContainsSubstring("--width says nothing here"));
    const std::filesystem::path away = std::filesystem::temp_directory_path() / "burin-away.drl";
    write_file(away, "M48\nMETRIC\nT1C0.8\n%\nT1\nX400.0Y300.0\nM30\n");
    CHECK_THAT(fault_of(from_files("lamp-top.gbr", away.string())), ContainsSubstring("do not lie on one another"));
    std::filesystem::remove(away);
}

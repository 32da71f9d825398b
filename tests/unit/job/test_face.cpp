/// Facing as a job, from wishes to files. Source: arithmetic on what was measured; the way itself is looked at in toolpath/face.cpp.
#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>

#include "burin/job/level.hpp"
#include "burin/program/rs274.hpp"
#include "burin/workshop/traced_piece.hpp"
#include "finished.hpp"

using namespace burin;
using namespace tried;

namespace {

std::string facing(const std::string& more = "", const std::string& stock = "80x60x18") {
    return "stock = \"" + stock + "\"\n[[cut]]\nmake = \"face\"\nhighest = 1.2\nlowest = 0.1\nbit = \"flat-6\"\n" + more;
}

}  // namespace

TEST_CASE("an uneven top is faced: the plane lies below its lowest place, and the sheet says how to zero") {
    const Finished face = made(facing());
    const auto report = report_of(face);
    // 1.2 − 0.1 and 0.2 below: 1.3 mm.
    CHECK(report["face"]["rise_mm"] == Approx(1.3));
    CHECK(report["proof"]["holds"] == true);
    CHECK_THAT(content(face, "report.html"), ContainsSubstring("Z0 is the finished plane") && ContainsSubstring("1.3"));
    const Track track = read_program(content(face, "1-cut.nc"), false).track;
    double lowest = 9, lowest_rapid = 9;
    for (const Move& move : track.moves) {
        lowest = std::min(lowest, move.to.z);
        if (move.kind == MoveKind::rapid) lowest_rapid = std::min(lowest_rapid, move.to.z);
    }
    CHECK(lowest == 0);
    CHECK(lowest_rapid >= 1.3);  // ends in what stands above the plane: none
    same(face, made(content(face, "job.toml"), 1));
}

TEST_CASE("round stock, spirals and spoilboards are faced") {
    for (const char* more : {"", "sweep = \"spiral\"\n", "one-way = true\n", "sweep = \"spiral\"\nconventional = true\n"}) {
        CAPTURE(more);
        CHECK(report_of(made(facing(more)))["proof"]["holds"] == true);
        CHECK(report_of(made(facing(more, "round:90x20")))["proof"]["holds"] == true);
    }
    CHECK(report_of(made(facing("", "oval:90x60x20")))["proof"]["holds"] == true);
    const auto board = report_of(made(facing("spoilboard = true\n", "120x90x12")));
    CHECK(board["proof"]["holds"] == true);
    CHECK(board["face"]["spoilboard"] == true);
}

TEST_CASE("a traced piece is faced and measured like any other stock") {
    std::string folder = (std::filesystem::temp_directory_path() / "burin-face-XXXXXX").string();
    REQUIRE(::mkdtemp(folder.data()));
    const std::string file = folder + "/slice.toml";
    const Loop outer{{0, 0}, {60, 0}, {70, 30}, {50, 60}, {10, 55}, {-8, 25}},
        wood{{3, 3}, {57, 3}, {65, 30}, {47, 56}, {12, 51}, {-4, 25}};
    std::ofstream(file) << write_traced_piece(TracedPiece(outer, wood, 14));
    CHECK(report_of(made(facing("", file)))["proof"]["holds"] == true);
    CHECK(report_of(made(facing("sweep = \"spiral\"\n", file)))["proof"]["holds"] == true);
    Order order;
    order.job.cuts.emplace_back();
    order.job.stock = file;
    order.run.output = folder;
    CHECK(report_of(make_level(order, presets, crew_of(2)))["places"] > 10);
    std::filesystem::remove_all(folder);
}

TEST_CASE("facing that lacks what it needs, or cannot be, is told") {
    const std::string start = "[[cut]]\nmake = \"face\"\nbit = \"flat-6\"\n";
    CHECK_THAT(fault_of(start), ContainsSubstring("--stock") || ContainsSubstring("stock"));
    CHECK_THAT(fault_of("stock = \"80x60x18\"\n" + start), ContainsSubstring("highest") && ContainsSubstring("lowest"));
    CHECK_THAT(fault_of("stock = \"80x60x18\"\n" + start + "highest = 1\nlowest = 2\n"), ContainsSubstring("lies below"));
    CHECK_THAT(fault_of("stock = \"80x60x18\"\n" + start + "highest = 30\nlowest = 1\n"), ContainsSubstring("at most 20"));
    CHECK_THAT(fault_of("stock = \"80x60x18\"\n" + start + "highest = 1\nlowest = 1\nskim = 0\n"),
               ContainsSubstring("nothing to take off"));
    CHECK_THAT(fault_of(facing("stepover = 5.5\n")), ContainsSubstring("ridges"));
    CHECK_THAT(fault_of(facing("", "300x60x18")), ContainsSubstring("larger than the travel"));
    CHECK_THAT(fault_of(facing("spoilboard = true\nrun-out = 2\n")), ContainsSubstring("leave one out"));
    CHECK_THAT(fault_of("stock = \"80x60x18\"\n[[cut]]\nmake = \"face\"\nhighest = 1\nlowest = 0\nbit = \"ball-2\"\n"),
               ContainsSubstring("would leave grooves"));
}

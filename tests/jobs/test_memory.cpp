/// How much memory a large job takes. Source: the numbers of the project's design, 8 float grids of the job's size above what
/// the libraries take and the decoded picture, moves, texts and pictures of the report included.
#include <cmath>
#include <cstdint>
#include <random>
#include <vector>

#include "burin/picture/picture.hpp"
#include "check.hpp"
#include "program.hpp"

using namespace jobs;

namespace {

constexpr int width = 2560, height = 1600;
constexpr double most_grids = 8;

/// Hills with a cliff and the roughness of stone: rough enough that finishing takes near a million moves.
std::vector<std::uint16_t> island() {
    std::mt19937 chance(1600);
    std::vector<double> grain(static_cast<std::size_t>(width / 4 * (height / 4)));
    for (double& g : grain) g = static_cast<double>(chance()) / 4294967296.0 - 0.5;
    std::vector<std::uint16_t> grey;
    grey.reserve(static_cast<std::size_t>(width) * height);
    for (int j = 0; j < height; ++j)
        for (int i = 0; i < width; ++i) {
            const double x = i / 10.0, y = j / 10.0;
            const bool land = y > 100 - 0.006 * (x - 120) * (x - 120) + 5 * std::sin(x / 7);
            const double rough = grain[static_cast<std::size_t>(j / 4 * (width / 4) + i / 4)];
            const double z =
                land ? 0.5 + 0.02 * std::sin(x * 0.9) * std::sin(y * 1.1) + 0.014 * rough
                     : 0.25 + 0.06 * std::sin(x / 19) * std::cos(y / 13) + 0.01 * std::sin(2.3 * x + 6 * std::sin(y / 9)) + 0.005 * rough;
            grey.push_back(static_cast<std::uint16_t>(std::lround(65535 * z)));
        }
    return grey;
}

}  // namespace

TEST_CASE("a relief of 256 x 160 mm takes no more memory than it may, on one thread and on two") {
    const Scratch scratch;
    put(scratch / "island.png", burin::write_png_grey16(island(), width, height, 256, {}));
    const double libraries = call({"--version"}).peak_mb, picture = 2e-6 * width * height;
    constexpr double margin_cells = 100;  // of stock round the picture
    const double grid = 4e-6 * (width + margin_cells) * (height + margin_cells);
    for (const char* threads : {"1", "2"}) {
        const Outcome outcome = call({"relief", scratch / "island.png", "--heights", "map", "--depth", "2", "--machine", "desk-300x200",
                                      "--threads", threads, "-o", scratch / "job"});
        INFO(outcome.err);
        REQUIRE(outcome.status == 0);
        const double grids = (outcome.peak_mb - libraries - picture) / grid;
        CAPTURE(threads, libraries, outcome.peak_mb, grids);
        CHECK(grids < most_grids);
        CHECK(grids > 3);  // design, surface and reach at the least: else nothing was measured
    }
}

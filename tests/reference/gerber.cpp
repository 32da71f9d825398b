// Gerber layers and drill files beside gerbv's painting of them. Source of every expected value: gerber.py.
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <string>

#include "burin/base/files.hpp"
#include "burin/design/board_file.hpp"
#include "burin/picture/picture.hpp"
#include "check.hpp"

using namespace burin;

namespace {

constexpr double low = -1.27, pixel = 0.01;  // mm: as gerber.py has them painted

/// Whether the middles of the pixels of a row, y mm, lie in the region.
std::vector<char> row_of(const Region& region, double y, int width) {
    std::vector<double> at;
    for (const Loop& loop : region.loops())
        for (std::size_t k = 0; k < loop.size(); ++k) {
            const Point &a = loop[k], &b = loop[(k + 1) % loop.size()];
            if ((a.y > y) != (b.y > y)) at.push_back(a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x));
        }
    std::sort(at.begin(), at.end());
    std::vector<char> row(static_cast<std::size_t>(width), 0);
    for (std::size_t k = 0; k + 1 < at.size(); k += 2)
        for (int i = std::max(0, static_cast<int>(std::ceil((at[k] - low) / pixel - 0.5)));
             i < width && low + (i + 0.5) * pixel < at[k + 1]; ++i)
            row[static_cast<std::size_t>(i)] = 1;
    return row;
}

}  // namespace

TEST_CASE("Board files are what another reader paints: areas within 0.5 %, differences nowhere wider than 0.02 mm") {
    std::ifstream expected(std::filesystem::path(BURIN_REFERENCE) / "expected.txt");
    int files = 0;
    for (std::string line; std::getline(expected, line); ++files) {
        const std::filesystem::path file = line.substr(0, line.find('\t')), painted = line.substr(line.find('\t') + 1);
        const Picture picture = read_picture(read_file(painted, "picture"), painted.string(), {100});
        const Region region = read_board_file(read_text(file, "board file"), file.filename().string(), {}, false).region;
        const auto dark = [&](int i, int j) {
            const std::size_t n = static_cast<std::size_t>(j) * static_cast<std::size_t>(picture.width) + static_cast<std::size_t>(i);
            return picture.samples[n * static_cast<std::size_t>(picture.channels)] < 32768;
        };
        std::size_t theirs = 0;
        int wide = 0;
        // Three rows of differences at a time: a block of three by three is wider than 0.02 mm.
        std::vector<std::vector<int>> run(3, std::vector<int>(static_cast<std::size_t>(picture.width), 0));
        for (int j = 0; j < picture.height; ++j) {
            const std::vector<char> ours = row_of(region, low + (picture.height - 1 - j + 0.5) * pixel, picture.width);
            std::vector<int>& here = run[static_cast<std::size_t>(j % 3)];
            for (int i = 0; i < picture.width; ++i) {
                const auto n = static_cast<std::size_t>(i);
                const bool black = dark(i, j);
                theirs += black;
                here[n] = black != (ours[n] != 0) ? (i > 0 ? here[n - 1] : 0) + 1 : 0;
                if (j >= 2 && run[0][n] >= 3 && run[1][n] >= 3 && run[2][n] >= 3) ++wide;
            }
        }
        const double area = static_cast<double>(theirs) * pixel * pixel;
        std::printf("%-18s ours %9.3f theirs %9.3f mm2 %+.2f %%, %d places wider\n", file.filename().c_str(), region.area(), area,
                    100 * (region.area() / area - 1), wide);
        CAPTURE(file.string());
        CHECK(std::abs(region.area() - area) <= 0.005 * area);
        CHECK(wide == 0);
    }
    CHECK(files == 8);
}

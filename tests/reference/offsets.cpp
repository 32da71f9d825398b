// The bit's offset of a map, and what the bit sweeps, beside SciPy's grey_dilation and grey_erosion with a structure, on the
// cases that offsets.py wrote. Source of every expected value: SciPy, and the shapes of the bits as plane geometry has them.
#include <cmath>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <sstream>

#include "burin/toolpath/offset.hpp"
#include "check.hpp"

using namespace burin;

namespace {

const std::filesystem::path folder = BURIN_REFERENCE;

std::string content_of(const std::string& name) {
    std::ifstream in(folder / name, std::ios::binary);
    REQUIRE(in.good());
    return {std::istreambuf_iterator<char>(in), {}};
}

HeightMap map_of(const std::string& file, int width, int height, double cell) {
    HeightMap map(width, height, cell);
    const std::string bytes = content_of(file);
    REQUIRE(bytes.size() == map.size() * sizeof(float));
    std::memcpy(map.values().data(), bytes.data(), bytes.size());
    return map;
}

}  // namespace

TEST_CASE("offsets are those of another library's grey-scale morphology") {
    // How near: floats of up to 3 mm, and rises that are rounded to floats before they are taken off.
    std::istringstream lines(content_of("expected.txt"));
    lines.imbue(std::locale::classic());
    std::map<std::string, int> seen;
    std::string what, bit, given, answer;
    double cell = 0;
    int width = 0, height = 0;
    while (lines >> what >> bit >> cell >> width >> height >> given >> answer) {
        INFO(what << " by " << bit << " at " << cell);
        const HeightMap map = map_of(given, width, height, cell), expected = map_of(answer, width, height, cell);
        Crew crew;
        crew.threads = 2;
        const HeightMap ours = what == "offset" ? offset_for(Bit::parse(bit), map, crew) : swept_by(Bit::parse(bit), map, crew);
        double most = 0;
        for (std::size_t k = 0; k < ours.size(); ++k)
            most = std::max(most, std::abs(static_cast<double>(ours.values()[k] - expected.values()[k])));
        CHECK(most < 1e-5);
        ++seen[what];
    }
    CHECK(seen["offset"] == 18);
    CHECK(seen["sweep"] == 18);
}

// SVG drawings beside librsvg's painting of them. Source of every expected value: svg.py.
#include "burin/design/svg.hpp"

#include <cstdio>
#include <filesystem>
#include <fstream>
#include <locale>
#include <sstream>
#include <string>

#include "burin/base/error.hpp"
#include "burin/base/files.hpp"
#include "check.hpp"

using namespace burin;

TEST_CASE("Areas are those that another reader of SVG paints") {
    std::ifstream expected(std::filesystem::path(BURIN_REFERENCE) / "expected.txt");
    int cases = 0, held = 0, told = 0;
    for (std::string line; std::getline(expected, line);) {
        const std::string path = line.substr(0, line.find('\t'));
        std::istringstream numbers(line.substr(line.find('\t')));
        numbers.imbue(std::locale::classic());
        double share = 0, ratio = 0;
        numbers >> share >> ratio;
        SvgWishes wishes;
        wishes.width = 100;
        wishes.height = 100 / ratio;
        ++cases;
        const std::string name = std::filesystem::path(path).filename().string();
        try {
            const Drawing drawing = read_svg(read_text(path, "drawing", svg_most_bytes), name, wishes);
            const double page = 100 * 100 / ratio, ours = drawing.region.area(), theirs = share * page;
            const bool close = std::abs(ours - theirs) <= 0.005 * theirs;
            held += close;
            // What is not supported, or counts as the mean of its tones, is told; then areas may differ.
            const bool said = !drawing.warnings.empty() || !drawing.notes.empty();
            told += !close && said;
            std::printf("%-50s ours %9.2f theirs %9.2f mm2 %+.2f %% %s\n", name.c_str(), ours, theirs, 100 * (ours / theirs - 1),
                        said ? (drawing.warnings.empty() ? drawing.notes : drawing.warnings)[0].c_str() : "");
            CAPTURE(name, ours, theirs);
            if (!said) CHECK(close);
        } catch (const Error& error) {
            std::printf("%-50s %s\n", name.c_str(), error.what());
            CAPTURE(name, error.what());
            const bool said = std::string(error.what()).find("left out") != std::string::npos;
            told += said;
            CHECK(said);
        }
    }
    std::printf("%d drawings: %d within 0.5 %%, %d not and told why\n", cases, held, told);
    CHECK(cases == 15 + 30);
    CHECK(held >= cases * 3 / 4);
}

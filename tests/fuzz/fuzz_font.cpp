// Lettering must come to an end on any bytes for a font: figures within bounds, or a sentence.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <string_view>

#include "burin/base/error.hpp"
#include "burin/design/lettering.hpp"
#include "demand.hpp"

extern "C" int LLVMFuzzerInitialize(int*, char***) {
    // Which other fonts have a character is asked for each that is missing: let there be none.
    ::setenv("FONTCONFIG_FILE", (std::filesystem::path(__FILE__).parent_path() / "no_fonts.conf").c_str(), 0);
    return 0;
}

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
    using namespace burin;
    if (size > 16384) return 0;
    LetteringWishes wishes;
    wishes.text = "HAV\nfio+";
    if (size % 2 == 0) wishes.text = "AV fi H+o";
    if (size % 3 == 0) wishes.arc_radius = 60;
    if (size % 5 == 0) wishes.spacing = 1;
    if (size % 7 == 0) wishes.fit_width = 50;
    wishes.tolerance = 0.02;
    try {
        const Drawing drawing = lettering({reinterpret_cast<const char*>(bytes), size}, 0, "font", wishes);
        demand(!drawing.region.empty() && drawing.width > 0 && drawing.height > 0);
        const Box box = drawing.region.bounds();
        demand(std::abs(box.lo.x) < 0.1 && std::abs(box.lo.y) < 0.1);
    } catch (const Error&) {
        return 0;
    }
    return 0;
}

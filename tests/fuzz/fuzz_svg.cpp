// Reading an SVG must come to an end on any bytes: figures on their page, or a sentence.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "burin/base/error.hpp"
#include "burin/design/svg.hpp"
#include "demand.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
    using namespace burin;
    if (size > 16384) return 0;
    SvgWishes wishes;
    wishes.width = 50;
    wishes.trim = size % 3 == 0;
    wishes.follow_strokes = size % 2 == 0;
    wishes.tolerance = 0.02;
    const SvgLetters letters = [](const SvgText& text) {
        SvgLettering set;
        set.advance = static_cast<double>(text.text.size()) * text.size / 2;
        return std::optional(set);
    };
    try {
        const Drawing drawing = read_svg({reinterpret_cast<const char*>(bytes), size}, "fuzz.svg", wishes, letters);
        demand(drawing.width > 0 && drawing.height > 0);
        demand(!drawing.region.empty() || !drawing.lines.empty());
        const Box box = drawing.region.bounds();
        // Lines that run exactly along a clip's edge may be in or out at another size, and the trimmed page with them.
        if (wishes.trim && wishes.follow_strokes) return 0;
        const double most = 0.1 + 0.01 * (drawing.width + drawing.height);  // a trimmed page is found on a sketch
        demand(box.lo.x > -0.1 && box.lo.y > -0.1 && box.hi.x < drawing.width + most && box.hi.y < drawing.height + most);
    } catch (const Error&) {
    }
    return 0;
}

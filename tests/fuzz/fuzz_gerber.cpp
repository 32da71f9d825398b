// Gerber layers: any bytes come to an end. What is drawn lies within what figures can lie on; what is wrong is told with a line.
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "burin/base/error.hpp"
#include "burin/design/gerber.hpp"
#include "demand.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
    using namespace burin;
    if (size > 8192) return 0;
    GerberLimits limits;
    limits.most_corners = 20'000;  // more only takes longer
    limits.most_repeats = 200;
    limits.chord = 0.05;
    try {
        const GerberLayer layer = read_gerber({reinterpret_cast<const char*>(bytes), size}, limits);
        demand(layer.line_width >= 0);
        const Box box = layer.dark.bounds();
        constexpr double reach = 10'001;  // mm, of a region
        demand(box.lo.x >= -reach && box.lo.y >= -reach && box.hi.x <= reach && box.hi.y <= reach);
    } catch (const Error& error) {
        demand((error.fault() == Fault::input || error.fault() == Fault::refused) && *error.what() != 0);
    }
    return 0;
}

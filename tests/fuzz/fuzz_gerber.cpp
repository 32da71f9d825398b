// Gerber layers: any bytes come to an end. What is drawn lies within what figures can lie on; what is wrong is told with a line.
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "burin/base/error.hpp"
#include "burin/design/gerber.hpp"

namespace {

void demand(bool holds) {
    if (!holds) std::abort();
}

}  // namespace

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
        demand(box.lo.x >= -20000 && box.lo.y >= -20000 && box.hi.x <= 20000 && box.hi.y <= 20000);
    } catch (const Error& error) {
        demand((error.fault() == Fault::input || error.fault() == Fault::refused) && *error.what() != 0);
    }
    return 0;
}

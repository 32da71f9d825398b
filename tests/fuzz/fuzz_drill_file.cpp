// Drill files: any bytes come to an end, with every hint and none. Holes have a size and a place; what is wrong is told with a line.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "burin/base/error.hpp"
#include "burin/design/drill_file.hpp"
#include "demand.hpp"

namespace {

void read(std::string_view text, const burin::DrillHints& hints) {
    try {
        for (const burin::DrilledHole& hole : burin::read_drill_file(text, hints).holes) {
            demand(hole.diameter > 0 && std::isfinite(hole.at.x) && std::isfinite(hole.at.y) && hole.line >= 1);
            demand(!hole.to || (std::isfinite(hole.to->x) && std::isfinite(hole.to->y)));
        }
    } catch (const burin::Error& error) {
        demand(error.fault() == burin::Fault::input && *error.what() != 0);
    }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
    const std::string_view text(reinterpret_cast<const char*>(bytes), size);
    (void)burin::looks_like_drill_file(text);
    read(text, {});
    burin::DrillHints hints;
    hints.inch = size % 2 == 0;
    hints.leading_zeros_kept = size % 3 == 0;
    hints.whole_digits = static_cast<int>(size % 5), hints.fraction_digits = static_cast<int>(size % 7);
    read(text, hints);
    return 0;
}

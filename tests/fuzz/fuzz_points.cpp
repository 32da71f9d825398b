// The reader of measured points must come to an end on any bytes, and what it read lies within what it promises.
#include <cmath>
#include <cstddef>
#include <cstdint>

#include "burin/base/error.hpp"
#include "burin/workshop/probe_log.hpp"
#include "demand.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
    try {
        const burin::ProbeLog log =
            burin::read_probe_log({reinterpret_cast<const char*>(bytes), size}, {.most_bytes = 1 << 16, .most_points = 50});
        demand(!log.points.empty() && log.points.size() <= 50);
        for (const burin::MeasuredPoint& p : log.points)
            demand(std::abs(p.at.x) <= 1e4 && std::abs(p.at.y) <= 1e4 && std::abs(p.at.z) <= 1e4 && p.line >= 1 && p.line <= size + 1);
    } catch (const burin::Error&) {
    }
    return 0;
}

#pragma once
/// Heights that were measured at places of the stock, as a person has them: typed, from a table, or as the controller answered.
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "burin/base/point.hpp"

namespace burin {

struct MeasuredPoint {
    Point3 at;               ///< mm, as it was written
    std::uint32_t line = 0;  ///< of the log, 1 = first
};

struct ProbeLog {
    std::vector<MeasuredPoint> points;  ///< at least one; in the log's order
    bool reports = false;               ///< bracketed reports of the controller: machine coordinates (common practice, no source)
    std::size_t passed_over = 0;        ///< other lines among such reports: the controller's chatter, and probes that touched nothing
};

struct ProbeLogLimits {
    std::size_t most_bytes = std::size_t{16} << 20, most_points = 10000;
};

/// Points as lines "x y z" (blanks or tabs between), as a table with commas or semicolons, with or without a line of names (x, y and z in
/// any order, other columns are passed over), or as bracketed reports "[PRB:x,y,z:1]", 1 where it touched (common practice, no source).
/// Empty lines and lines that begin with # do not count. Decimals have a point. Throws Error (input) with the line: what is no number, is
/// not finite or lies beyond 10 m; decimal commas; too much; nothing.
[[nodiscard]] ProbeLog read_probe_log(std::string_view text, const ProbeLogLimits& limits = {});

}  // namespace burin

#pragma once
/// The sheet of programs that were made of a program: the rest of one that stopped, or its parts.
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/proof/proof.hpp"
#include "burin/workshop/machine.hpp"
#include "burin/workshop/material.hpp"
#include "burin/workshop/stock.hpp"

namespace burin {

/// One new program; what the proof saw of it stands in ReworkReport::proof (same order).
struct ReworkProgram {
    std::string file;
    std::string tool;  ///< the bit as it was named, or the beam
    Point3 entry;      ///< where it comes down
    double run_in = 0;
    std::uint32_t line = 0;  ///< of the old program, where it begins
    double from_s = 0;       ///< time of the old program at that place
};

struct ReworkReport {
    std::string name, version, command;  ///< command: "resume" or "split"
    std::string old_file;
    double old_time_s = 0;
    std::uint32_t old_lines = 0;
    Machine machine;
    Material material;
    Stock stock;
    std::string zero;
    std::vector<ReworkProgram> programs;
    Proof proof;
    double most_apart = 0;           ///< mm; a beam's: share of the greatest light
    std::vector<std::string> steps;  ///< what to do, in order, a sentence or two each; the part before the first point is set off
    std::vector<std::string> assumed, warnings, cautions;
};

/// `left` and `finished`: PNG bytes of the stock as it was left and as it will be. No script, nothing from outside.
[[nodiscard]] std::string rework_html(const ReworkReport& report, std::string_view left, std::string_view finished, const Crew& crew);
/// Names as in the contract of report.json, and of each program `begins` with its place in the old one.
[[nodiscard]] std::string rework_json(const ReworkReport& report);

}  // namespace burin

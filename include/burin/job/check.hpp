#pragma once
/// Any programs, also those not made here, held against machine, bit and stock.
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/files.hpp"
#include "burin/job/job.hpp"
#include "burin/workshop/presets.hpp"

namespace burin {

struct CheckedFile {
    std::string name, text;
};

struct Checked {
    bool holds = false;
    std::vector<std::string> findings;  ///< what is against them: "lid.nc, line 12: …", in running order
    std::vector<std::string> remarks;   ///< what was assumed, and what is no fault but good to know
    std::vector<std::string> summary;   ///< one line a program
    std::vector<OutputFile> files;      ///< report, preview, surface, paths, report.json last; none where they were not wanted
};

/// `job` has one cut, of which only bits, feed, plunge and depth per pass count; machine, material, stock and zero are the job's, and what
/// is missing is assumed and told: a stock round what is cut below z = 0, the bit that a comment "(Bit …)" names. One bit for each file,
/// in their order, or one for all. The files run one after the other on the same stock.
/// Throws Error: input, where a file is no program at all; usage, where the bits do not fit the files or none is known; refused, where
/// the material is not for a spindle.
[[nodiscard]] Checked check_programs(const std::vector<CheckedFile>& files, const Job& job, const PresetFolders& presets, bool results,
                                     const Crew& crew);

}  // namespace burin

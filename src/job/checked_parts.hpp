#pragma once
// What every command needs that takes programs from files: limits of reading, bits, stock, what they are held against. Inside the room
// only.
#include <string>
#include <vector>

#include "burin/job/check.hpp"
#include "burin/job/options.hpp"
#include "burin/program/rs274.hpp"
#include "burin/proof/proof.hpp"
#include "burin/report/report.hpp"

namespace burin {

/// Texts of any hand, with the machine's own places where its file says that it homes.
[[nodiscard]] ReadLimits widely(const Machine& machine);
/// Throws Error (input) where nothing in a text moves the machine, or it holds bytes that are no text.
void check_kind(const CheckedFile& file, const ReadProgram& read);
/// One bit for each file, from the options, else from the files' own comments, which is told in `remarks`. Throws Error (usage).
[[nodiscard]] std::vector<Bit> bits_for(const std::vector<CheckedFile>& files, const Cut& cut, const PresetFolders& presets,
                                        std::vector<std::string>& remarks);

/// The rectangle that cutting below the stock top touches (where nothing goes below: all moves), and how deep.
struct Extent {
    Box box{{1e9, 1e9}, {-1e9, -1e9}};
    double deepest = 0;
    void take(const Point3& p);
    [[nodiscard]] bool any() const { return box.hi.x >= box.lo.x; }
};
[[nodiscard]] Extent extent_of_programs(const std::vector<ReadProgram>& programs);

/// The job's stock, else one round what is cut, which is told in `remarks`.
[[nodiscard]] Stock stock_for(const Job& job, const Machine& machine, const Extent& extent, std::vector<std::string>& remarks);

/// Limits of each bit: what was given, else what is reckoned for material and machine. The report gets the programs and what is assumed of
/// them, the task no stock.
[[nodiscard]] ProofTask task_for(const std::vector<CheckedFile>& files, const std::vector<Bit>& bits, const Job& job,
                                 const Machine& machine, const Material& material, JobReport& report);

}  // namespace burin

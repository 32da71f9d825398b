#pragma once
/// What reliefs and figures have in common on the way from a settled job to its files.
#include <string>
#include <vector>

#include "burin/job/run.hpp"
#include "burin/picture/picture.hpp"
#include "burin/report/report.hpp"
#include "burin/toolpath/relief.hpp"
#include "programs.hpp"
#include "settle.hpp"

namespace burin {

/// Gives up the memory of a value at the end of its use. A large job's grids, moves and texts take tens of megabytes each, and
/// what the whole job may hold at once is promised.
template <class T>
void drop(T& value) {
    value = T();
}

inline void append(std::vector<std::string>& list, const std::vector<std::string>& more) {
    list.insert(list.end(), more.begin(), more.end());
}

/// The piece of a trial: round the place that was asked for, else `demanding`; within `box`, where the whole design lies.
/// Throws Error (refused) where a bit is wider, or the place lies beside the design.
[[nodiscard]] Box trial_piece(const SettledJob& job, const Box& box, const Box& demanding);
/// Makes a trial of the job: a piece of scrap of its own as the stock, with the same margin, thickness and kind of zero, for a
/// design of `size` that was `piece` of the whole.
void become_trial(SettledJob& job, const Box& piece, const Point& size);

/// The report, but for what only one kind of job has.
[[nodiscard]] JobReport report_of(const SettledJob& job, const Box& design, const Picture& picture, const Programs& programs,
                                  Proof&& proof);

/// All files of the job, as `release` wants them, and what is said about them.
[[nodiscard]] Finished finished_of(const JobReport& report, const Job& written, Programs&& programs, const Crew& crew);

/// The two kinds of job, from a settled workshop on. `sha256` is the picture's.
[[nodiscard]] Finished run_relief(const Job& job, const Workshop& workshop, const Picture& picture, const std::string& sha256,
                                  const Crew& crew);
[[nodiscard]] Finished run_figure(const Job& job, const Workshop& workshop, const Picture& picture, const std::string& sha256,
                                  const Crew& crew);

/// The job's bits with what they may do, as toolpaths are planned with them.
[[nodiscard]] std::vector<ReliefBit> planned_bits(const SettledJob& job);

}  // namespace burin

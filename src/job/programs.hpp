#pragma once
/// Toolpaths as files: named, written, ready for the proof; and what is released of them.
#include <optional>
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/files.hpp"
#include "burin/program/rs274.hpp"
#include "burin/proof/proof.hpp"
#include "burin/toolpath/relief.hpp"
#include "settle.hpp"

namespace burin {

struct Program {
    std::string file;     ///< "1-rough.nc"
    std::size_t bit = 0;  ///< index into SettledJob::bits
    bool finishing = false;
    std::string purpose;      ///< "roughing", "finishing"; figures: "clearing", "walls"; of one program alone: deed_of its make
    double more_at_once = 0;  ///< mm beyond the bit's depth per pass that it may take, besides the allowance of reliefs
    std::vector<std::string> header;
    WrittenProgram written;  ///< at its true height until settle_release
    WrittenProgram lifted;   ///< where a dry run is asked for
};

/// All programs of a job.
struct Programs {
    std::vector<Program> each;
    /// Where one file is wanted: all of them in one text, at its true height until settle_release; for a dry run lifted too.
    std::optional<WrittenProgram> joined, joined_lifted;
};

/// What a program that does all of a cut does: "pocketing"; reliefs: "roughing and finishing".
[[nodiscard]] std::string deed_of(const std::string& make);

/// Stock and material, as a program's comments have them.
[[nodiscard]] std::string stock_line(const SettledJob& job);

/// What the person at the machine reads at the top of program k; `seconds` it takes.
[[nodiscard]] std::vector<std::string> header_of(const SettledJob& job, const std::vector<Program>& programs, std::size_t k,
                                                 double seconds);

/// How a program is written; `lift` for a dry run, mm.
[[nodiscard]] ProgramStyle style_of(const SettledJob& job, const Program& program, double lift);

/// One program for each of a plan's toolpaths, which are given up on the way: texts are a third of their size.
[[nodiscard]] Programs write_programs(const SettledJob& job, std::vector<ReliefToolpath>&& paths, const Crew& crew);

/// What programs are held against: one of both; neither: programs of several cuts, each proved by itself before.
struct Target {
    const HeightMap* heights = nullptr;
    const FigureDesign* figure = nullptr;
    double breakthrough = 0;  ///< declared by any of several cuts
};

/// What the programs must prove; holds references to the target and the texts.
[[nodiscard]] ProofTask proof_task(const SettledJob& job, const Target& target, const std::vector<Program>& programs);

/// The proof of these programs, of the joined text where there is one.
[[nodiscard]] Proof proof_of(const SettledJob& job, const Target& target, const Programs& programs, const Crew& crew);

/// Which promises a proof found broken, as far as another plan may mend them.
struct Broken {
    bool too_much_at_once = false, left_standing = false, others = false;
    [[nodiscard]] bool can_be_mended() const { return !others && (too_much_at_once || left_standing); }
};
[[nodiscard]] Broken broken_promises(const Proof& proof);
/// Why a job is refused: the first broken promises with their places.
[[nodiscard]] std::string refusal(const Proof& proof);
/// Refuses the job for that, with a drawing where a keep-out is in the way; `more` is said besides. Throws Error (refused).
[[noreturn]] void refuse(const SettledJob& job, const Programs& programs, const Proof& proof, const std::string& more = {});

/// Makes of proved programs those that go to the machine: lifted for a dry run (proved again, figures of the files put into
/// `proof`); where one file is wanted, programs then bear its name, their texts stay. Throws Error (refused).
void settle_release(const SettledJob& job, Programs& programs, Proof& proof, const Crew& crew);
/// The files of settled programs.
[[nodiscard]] std::vector<OutputFile> files_of(Programs&& programs);

}  // namespace burin

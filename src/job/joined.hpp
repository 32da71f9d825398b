#pragma once
/// Programs joined in one file, with a pause for every change of bit: proved on the joined text itself.
#include <span>
#include <string>
#include <vector>

#include "burin/proof/proof.hpp"
#include "programs.hpp"

namespace burin {

inline constexpr const char* joined_file = "1-cut.nc";

/// Which part a line belongs to, where part k begins at line starts[k]; lines before all belong to the first.
[[nodiscard]] std::size_t part_of(std::uint32_t line, std::span<const std::uint32_t> starts);
/// Seconds of the whole track that fall to the lines of each part.
[[nodiscard]] std::vector<double> times_between(const Track& track, const Machine& machine, std::span<const std::uint32_t> starts);

/// What the person has to do before the program goes on with this bit.
[[nodiscard]] std::string pause_words(const Bit& bit);
/// Every program in one text, lifted by `lift` mm. Throws as join_programs does.
[[nodiscard]] WrittenProgram join(const SettledJob& job, const std::vector<ReliefToolpath>& paths, const std::vector<Program>& programs,
                                  double lift);

/// The proof of a joined text: cut at its pauses, each part is run with its own bit on what the parts before left, and must
/// keep every promise by itself, for after a pause nobody knows what the controller still remembers: spindle on and spun up,
/// units and modes said again. One check more, "a pause for every bit": the text stops once before each change of bit, the
/// spindle off. Lines and the file's name are those of the joined text, times are reckoned on it as a whole.
/// `programs` tell bits and feeds. `target` as for proof_task; a lifted text is proved as prove says.
[[nodiscard]] Proof prove_joined(const SettledJob& job, const Target& target, const std::string& text, const std::vector<Program>& programs,
                                 double lift, const Crew& crew);

}  // namespace burin

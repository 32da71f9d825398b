#pragma once
// Small jobs for the proof's tests: programs as text, a machine, stock and designs known on paper.
#include <fmt/format.h>

#include <string>
#include <vector>

#include "burin/proof/proof.hpp"

namespace burin::test {

/// The machine of the museum's workshop.
inline Machine workshop_machine() {
    Machine m;
    m.name = "bench";
    m.travel = {240, 150, 60};
    m.rapid = {2000, 2000, 800};
    m.acceleration = {100, 100, 50};
    m.spindle = Spindle{10000, 10000, 60, 3};
    return m;
}

/// A plain program: start, moves given line by line, end. The moves begin at line `first_move`.
struct Text {
    static constexpr std::uint32_t first_move = 6;
    std::vector<std::string> lines{"(museum job)", "G21 G90 G17 G94 G54", "G0 Z3", "M3 S10000", "G4 P3"};
    Text& add(std::string line) {
        lines.push_back(std::move(line));
        return *this;
    }
    /// Number of the last line so far.
    [[nodiscard]] std::uint32_t last() const { return static_cast<std::uint32_t>(lines.size()); }
    void end() {
        for (const char* line : {"G0 Z3", "M5", "M2"}) lines.emplace_back(line);
    }
    [[nodiscard]] std::string text() const {
        std::string all;
        for (const auto& line : lines) all += line + "\n";
        return all;
    }
    /// Line numbers as in the proof: 1 is the first.
    std::string& line(std::uint32_t n) { return lines.at(n - 1); }
    void drop(std::uint32_t n) { lines.erase(lines.begin() + n - 1); }
};

inline ProofProgram program_of(const std::string& file, std::string_view text, const Bit& bit, double most_at_once = 100) {
    return {file, text, bit, 2000, 2000, most_at_once, 3, {}};
}

/// Whether the check of that name (and file, if given) is kept.
inline const Check& check_named(const Proof& proof, std::string_view name, std::string_view file = {}) {
    for (const Check& check : proof.checks)
        if (check.name == name && (file.empty() || check.file == file)) return check;
    throw Error(Fault::refused, fmt::format("no check {}", name));
}

}  // namespace burin::test

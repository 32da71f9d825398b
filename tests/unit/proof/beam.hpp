#pragma once
// Small burning jobs for the proof's tests: a machine, stock, and programs as lines of text known on paper.
#include <fmt/format.h>

#include <string>
#include <vector>

#include "burin/proof/beam.hpp"

namespace burin::test {

/// The museum's laser: 5 W, S1000, 500 mm/s².
inline Machine laser_machine() {
    Machine m;
    m.name = "beam bench";
    m.travel = {400, 400, 40};
    m.rapid = {6000, 6000, 600};
    m.acceleration = {500, 500, 50};
    m.laser = Laser{1000, 5, 0.1, 20, true};
    return m;
}

/// A beam program line by line.
struct BeamText {
    std::vector<std::string> lines{"(museum burn)", "G21 G90 G17 G94 G54", "M5 S0", "M4 S0"};
    std::uint32_t add(std::string line) {
        lines.push_back(std::move(line));
        return static_cast<std::uint32_t>(lines.size());
    }
    void end() {
        add("M5 S0");
        add("M2");
    }
    [[nodiscard]] std::string text() const {
        std::string all;
        for (const auto& line : lines) all += line + "\n";
        return all;
    }
    /// As the proof counts: 1 is the first.
    std::string& line(std::uint32_t n) { return lines.at(n - 1); }
    void drop(std::uint32_t n) { lines.erase(lines.begin() + n - 1); }
};

constexpr double spacing = 0.1;  // mm
constexpr double run_up = 2.6;   // mm: v²/2a is 2.5 at 50 mm/s and 500 mm/s²

/// Rows over 10 … 30 by 10 … 12 mm, to and fro, each with dark run-ups: its left half at `left`, its right half at `right`.
/// Row k begins at line 5 + 6 k: G0, run-up, first half, second half, run-out, S0 (said already, so a comment).
inline BeamText rows_of(int left, int right, double feed = 3000) {
    BeamText text;
    for (int k = 0; k < 20; ++k) {
        const double y = 10 + spacing * (k + 0.5);
        const bool back = k % 2 != 0;
        const auto x = [&](double at) { return back ? 40 - at : at; };
        text.add(fmt::format("G0 X{:.3f} Y{:.3f}", x(10 - run_up), y));
        text.add(fmt::format("G1 X{:.3f} F{:.0f} S0", x(10), feed));
        text.add(fmt::format("X{:.3f} S{}", x(20), back ? right : left));
        text.add(fmt::format("X{:.3f} S{}", x(30), back ? left : right));
        text.add(fmt::format("X{:.3f} S0", x(30 + run_up)));
        text.add(fmt::format("(row {})", k + 1));
    }
    text.end();
    return text;
}
constexpr std::uint32_t first_of_row(int k) { return static_cast<std::uint32_t>(5 + 6 * k); }

/// What those rows give, on paper: 5 W · S/1000 ÷ (50 mm/s · 0.1 mm) = S/1000 J/mm².
inline Grid<float> rows_exposure(int left, int right) {
    Grid<float> wanted(200, 20, spacing, {10, 10});
    for (int j = 0; j < 20; ++j)
        for (int i = 0; i < 200; ++i) wanted(i, j) = static_cast<float>((i < 100 ? left : right) / 1000.0);
    return wanted;
}

inline BeamTask beam_task(const std::string& text) {
    BeamTask task;
    task.machine = laser_machine();
    task.stock = make_stock(Outline::rectangle, 50, 40, 3, Anchor::lower_left);
    task.programs = {{"burn.nc", text, {}, false}};
    return task;
}

inline const Check& check_named(const BeamProof& proof, std::string_view name, std::string_view file = {}) {
    for (const Check& check : proof.proof.checks)
        if (check.name == name && (file.empty() || check.file == file)) return check;
    throw Error(Fault::refused, fmt::format("no check {}", name));
}
/// What is broken, or `kept`.
constexpr std::string_view kept = "all promises kept";
inline std::string broken(const BeamProof& proof) {
    std::string names;
    for (const Check& check : proof.proof.checks)
        if (!check.ok) names += check.name + ": " + check.detail + "\n";
    return names.empty() ? std::string(kept) : names;
}

}  // namespace burin::test

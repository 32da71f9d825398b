#pragma once
/// A finished job made up for the tests: the museum's lighthouse in pine, figures filled in by hand.
#include "burin/report/report.hpp"

namespace made_up {

/// Owns the picture that the report points to.
struct Job {
    burin::Picture picture;
    burin::JobReport report;
    std::vector<burin::Track> tracks;  ///< of its programs
    Job() = default;
    Job(const Job&) = delete;
    Job& operator=(const Job&) = delete;
};

/// The demo's depth map as a relief 100 mm wide and 3 mm deep in a stock 110 × 85 × 12; the surface is its closing by the
/// finishing bit, by the slow and obvious double loop.
void fill(Job& job, double cell = 0.2);

/// A small machine and a wood, as the presets have them.
[[nodiscard]] burin::Machine router();
[[nodiscard]] burin::Material pine();

}  // namespace made_up

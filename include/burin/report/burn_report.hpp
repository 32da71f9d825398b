#pragma once
/// What the person gets to read and look at of a job that burns.
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/design/coating.hpp"
#include "burin/motion/track.hpp"
#include "burin/picture/picture.hpp"
#include "burin/proof/beam.hpp"
#include "burin/workshop/machine.hpp"
#include "burin/workshop/material.hpp"
#include "burin/workshop/stock.hpp"

namespace burin {

/// One program of a beam; what the proof measured stands in BurnReport::proof (same order).
struct BurnProgram {
    std::string file;
    bool border = false;
    double feed = 0;    ///< mm/min
    double most_s = 0;  ///< greatest S it may use
};

/// A circuit board whose coating is burnt off.
struct BurntBoard {
    CoatingDesign design;
    bool mask = false;
};

struct BurnReport {
    std::string name, version;
    Machine machine;  ///< with a laser
    Material material;
    Stock stock;
    std::string zero;  ///< as in the option
    Box work;          ///< what is burnt, work coordinates
    Box swept;         ///< where the head goes, run-ups included
    const Picture* picture = nullptr;
    std::string picture_name;
    std::string how;  ///< "by its tones, stronger and weaker"; "filled in rows, then along the edge"
    std::vector<BurnProgram> programs;
    double full_s = 1000;  ///< S at full power
    double spacing = 0;    ///< of rows, mm
    double run_up = 0;     ///< mm
    double line_up = 0;    ///< mm
    double detail = 0;     ///< mm a point of the picture; 0: not of pixels
    bool scaled = true, air = false;
    int passes = 1;
    double focus_step = 0;
    double safe_height = 3;  ///< where the head goes first, with focus steps
    std::optional<BurntBoard> board;
    BeamProof proof;
    double time_s = 0;
    std::vector<std::string> reasons, assumed, warnings, cautions;  ///< reasons: of the feed
};

/// Darkness 0 … 1 over the stock: the exposure that the proof found, through the material's curve (unknown: its share of the greatest).
[[nodiscard]] Grid<float> burnt_darkness(const BurnReport& report, const Crew& crew);
/// The piece as it will look, in the material's own tones: see preview_png.
[[nodiscard]] std::string burn_preview_png(const BurnReport& report, const Crew& crew);
/// As of the other jobs: names of the contract, null for what is a bit's only.
[[nodiscard]] std::string burn_report_json(const BurnReport& report);
[[nodiscard]] std::string burn_report_html(const BurnReport& report, std::string_view preview, const Crew& crew);
/// The way of the beam to scale, stronger ink for more power, dashes where it is dark.
[[nodiscard]] std::string paths_svg(const BurnReport& report, std::span<const Track> tracks);

}  // namespace burin

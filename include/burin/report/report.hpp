#pragma once
/// What the person gets to read and look at: HTML, JSON, PNG, SVG. Values in, text or bytes out; no files.
#include <array>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/motion/track.hpp"
#include "burin/picture/picture.hpp"
#include "burin/proof/proof.hpp"
#include "burin/report/figure_report.hpp"
#include "burin/workshop/bit.hpp"
#include "burin/workshop/feeds.hpp"
#include "burin/workshop/machine.hpp"
#include "burin/workshop/material.hpp"
#include "burin/workshop/stock.hpp"

namespace burin {

/// One program as the report tells of it; figures measured by the proof stand in Proof::programs (same order).
struct ReportProgram {
    std::string file;
    Bit bit;
    Feeds feeds;
    double allowance = 0;
    std::string purpose;  ///< "roughing", "finishing", "roughing and finishing"
};

/// Where Z can be touched off again after a change of bit.
struct TouchSpot {
    std::optional<Point> spot;  ///< a place of the top that no program cuts; empty: use the spoilboard
    double spoilboard_z = 0;    ///< work z of the spoilboard: minus the stock's thickness
};

/// Where and how much stays standing because the finishing bit cannot get in.
struct Unreached {
    int width = 0, height = 0;                            ///< of the map, pixels
    std::string map;                                      ///< JPEG: the design in grey, what stays over it in colour
    double worst = 0;                                     ///< mm
    Point where;                                          ///< of the worst
    double share = 0;                                     ///< of the carved cells, more than `threshold` above the design
    static constexpr double threshold = 0.1, full = 0.5;  ///< mm; `full` is the darkest colour
};
/// Both grids share their cells: the design and what can be reached of it (Proof::reach). Cost: one pass.
[[nodiscard]] Unreached unreached(const HeightMap& design, const HeightMap& reach, const Crew& crew);

/// How a stock was levelled, lengths mm. z = 0 is the plane that was wanted, `rise` below the stock's highest place.
struct FaceReport {
    double rise = 0, highest = 0, lowest = 0, skim = 0;  ///< the two as they were measured; the plane's depth below the lowest place
    double stepover = 0, run_out = 0;                    ///< the last below 0: the bit stayed inside
    int levels = 0;
    bool spiral = false, spoilboard = false, from_beside = false;
};

struct JobReport {
    std::string name, version;
    std::string command;  ///< which kind of job: "relief"
    Machine machine;
    Material material;
    Stock stock;
    std::string trial;  ///< a sentence where this is only a piece of the design, to be cut on scrap first
    std::string zero;   ///< as in the option: "lower-left"
    double depth = 0, lift = 0, cell = 0;
    Box design_box;                    ///< of the picture on the stock, work coordinates
    const Picture* picture = nullptr;  ///< to be shown beside the result
    std::string picture_name;
    std::vector<ReportProgram> programs;
    /// Several cuts: each as it was proved by itself, without its surface, its time and way as they fall to it in the programs above,
    /// whose files stand in `files`.
    std::vector<JobReport> cuts;
    double cut_length = 0;               ///< of one cut of several, mm
    std::vector<std::string> files;      ///< likewise: the programs that hold it
    bool against_design = true;          ///< the proof held the surface against a design; else gouges are not known
    std::vector<std::string> idle_bits;  ///< bits that found nothing to do, a sentence each
    Proof proof;                         ///< for the page and report.json only its figures and checks
    std::optional<Unreached> unreached;  ///< reliefs
    std::optional<FigureReport> figure;  ///< drawings
    std::optional<FaceReport> face;      ///< a stock that is faced, before other cuts too
    double time_s = 0;
    TouchSpot touch;
    double flatness_mm = 0;             ///< how flat the stock must be for this depth
    std::vector<std::string> assumed;   ///< what was assumed or reckoned and how, a sentence each
    std::vector<std::string> warnings;  ///< each with what to do
    std::vector<std::string> cautions;  ///< safety
};

/// The cut surface, lit and coloured as the material, on a bench: PNG bytes, 1200 to 1400 px wide whatever the surface's
/// cells (at most 2400 high), pHYs to scale. Cost: some 0.25 s of one core. Throws Error (refused) if there is no surface.
/// `fill`: sRGB 0 … 1 in which everything deeper than 0.05 mm is filled or painted. `burnt`: how far, 0 … 1, each place has gone from
/// the material's own light to that of Material::burnt_colour (shares of light add up, Murray–Davies), cells of its own over the stock.
[[nodiscard]] std::string preview_png(const HeightMap& surface, const Stock& stock, const Material& material, const Crew& crew,
                                      const std::optional<std::array<double, 3>>& fill = std::nullopt, const Grid<float>* burnt = nullptr);
/// The surface as a 16-bit map; text chunks say what 0 and 65535 are in mm, the cell and the place. Throws Error (refused)
/// if there is no surface.
[[nodiscard]] std::string surface_png(const HeightMap& surface);
/// The tool's way to scale, rapids apart from cutting; at most a few megabytes (points thinned for the picture). `tracks`: the
/// programs' as read back from their texts, in the order of `programs`.
[[nodiscard]] std::string paths_svg(const JobReport& report, std::span<const Track> tracks);
/// The same of programs that are refused, with a ring round every place that a check which does not hold names.
[[nodiscard]] std::string refused_svg(const std::string& name, const Stock& stock, const std::vector<std::string>& files,
                                      std::span<const Track> tracks, std::span<const Check> checks);
/// The same figures for programs: names as in the contract, what does not apply is null, text mended to UTF-8.
[[nodiscard]] std::string report_json(const JobReport& report);
/// One file, no outside references, no script, phone and A4; pictures inside as JPEG, well below 1 MB in all. `preview` are
/// the bytes of preview.png. Every text of the report is taken as text, never as markup. Programs lie in the same order in
/// `programs` and `proof.programs`. `on_piece`: the bytes of on-the-piece.png, empty where there is none.
[[nodiscard]] std::string report_html(const JobReport& report, std::string_view preview, const Crew& crew, std::string_view on_piece = {});

/// The usual cautions for this machine and material (spindle, dust, …); local codes and licensed practice come first.
[[nodiscard]] std::vector<std::string> cautions_for(const Machine& machine, const Material& material);

}  // namespace burin

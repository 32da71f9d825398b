/// Every question of a relief answered: sizes, place, bits, feeds, cells. What the person gave wins; the rest is reckoned,
/// and told. What an earlier run reckoned and wrote down is reckoned anew, so that a written job file leads to the same words
/// and bytes, and a changed one to what follows from the change.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/job/options.hpp"
#include "fmt/format.h"
#include "settle_parts.hpp"

namespace burin {
namespace {

constexpr double usual_thickness = 12, plate_thickness = 4;
constexpr double tone_smooth = 0.25;  // mm: grain of photos is finer, and what is finer than the bit only costs time
constexpr double most_cells_reckoned = 16e6, most_cells_given = 100e6;
constexpr double vee_ridge = 0.01;         // mm between the lines of a vee: half of what the proof lets stand
constexpr double edge_cell = 0.04;         // mm: for flat tips, whose edge rides on slopes: half a cell of way is 0.02 of height at 45°
constexpr double coarsest_provable = 0.1;  // mm: a wall may move sideways by one cell, and never by more than this

/// Flat tips touch slopes with their edge, however small they are.
bool rides_on_edge(const Bit& bit) { return bit.shape() == BitShape::vee || bit.width_at(0) > 0.3; }

void settle_heights(const Point& size, Chooser& choose, SettledRelief& relief) {
    Cut& cut = relief.job.written.cuts[0];
    HeightsWishes& wishes = relief.heights;
    if (!choose.given("heights", cut.heights, std::string("tone"))) relief.job.assumed.push_back("No kind of heights was given: tone.");
    const std::vector<std::string>& kinds = option_named("heights")->words;
    wishes.kind = static_cast<HeightsKind>(std::find(kinds.begin(), kinds.end(), *cut.heights) - kinds.begin());
    const bool leveled = wishes.kind != HeightsKind::map && wishes.kind != HeightsKind::dome;  // the others take values as they are
    if (!choose.given("levels", cut.levels, Point{1, 99}) && leveled)
        relief.job.assumed.push_back("No levels were given: the darkest and the lightest 1 % of the picture count as black and white.");
    choose.given("gamma", cut.gamma, 1.0);
    choose.given("invert", cut.invert, false);
    const double usual_smooth = wishes.kind == HeightsKind::tone ? tone_smooth : 0;
    if (!choose.given("smooth", cut.smooth, usual_smooth) && usual_smooth > 0)
        relief.job.assumed.push_back(
            fmt::format("The picture's grain is smoothed over {} mm, edges are kept (--smooth).", number_text(usual_smooth)));
    choose.given("detail", cut.detail, 1.0);
    choose.given("steepest", cut.steepest, 90.0);
    if (!choose.given("border", cut.border, std::string("step")))
        relief.job.assumed.push_back("No border was given: the edge of the relief is a wall from the stock top down (step).");
    choose.given("rotate", cut.rotate, 0.0);
    choose.given("mirror", cut.mirror, false);
    const double thickness = relief.job.stock.thickness;
    if (wishes.kind == HeightsKind::transmit) {
        choose.given("least-thickness", cut.least_thickness, 0.8);
        choose.given("most-thickness", cut.most_thickness, thickness);
        if (*cut.most_thickness > thickness)
            throw refused(fmt::format("--most-thickness {} is more than the stock's {} mm.", number_text(*cut.most_thickness),
                                      number_text(thickness)));
        if (*cut.least_thickness >= *cut.most_thickness)
            throw refused(fmt::format("--least-thickness {} leaves nothing to cut of a plate of {} mm. Give a smaller one.",
                                      number_text(*cut.least_thickness), number_text(*cut.most_thickness)));
        choose.given("depth", cut.depth, thickness - *cut.least_thickness);
        wishes.least_thickness = *cut.least_thickness;
        wishes.most_thickness = *cut.most_thickness;
    } else if (!choose.given("depth", cut.depth, 2.0)) {
        relief.job.assumed.push_back("No depth was given: 2 mm.");
    }
    check_depth(*cut.depth, thickness, relief.job.stock.assumed);
    wishes.width = size.x;
    wishes.height = size.y;
    wishes.depth = relief.job.depth = *cut.depth;
    wishes.black = cut.levels->x;
    wishes.white = cut.levels->y;
    wishes.gamma = *cut.gamma;
    wishes.invert = *cut.invert;
    wishes.smooth = *cut.smooth;
    wishes.detail = *cut.detail;
    wishes.steepest_deg = *cut.steepest;
    wishes.border_blend = parse_border(*cut.border);
    if (wishes.kind == HeightsKind::dome && !choose.given("dome-rise", cut.dome_rise, *cut.depth))
        relief.job.assumed.push_back(fmt::format(
            "The dome rises at most {} mm above its ground, the depth: wide figures flatten out there.", number_text(*cut.dome_rise)));
    const double rise = cut.dome_rise.value_or(0);
    wishes.dome_limit = rise > *cut.depth ? 0 : rise;  // beyond the depth: free, and pressed down to it
    wishes.mu_per_mm = relief.job.material.mu_per_mm;
    wishes.stock_thickness = thickness;
    relief.job.rotate_deg = *cut.rotate;
    relief.job.mirror = *cut.mirror;
}

/// Down to ten-thousandths, far finer than any machine, so that job files read well; ridges stay within what was asked.
double rounded_stepover(double mm) { return mm < 0.01 ? mm : std::floor(mm * 1e4 + 1e-6) / 1e4; }

void settle_lines(const Point& area, Chooser& choose, SettledRelief& relief) {
    Cut& cut = relief.job.written.cuts[0];
    const Bit& finishing = relief.job.bits.back().bit;
    if (cut.scallop && cut.stepover) throw Error(Fault::usage, "--stepover and --scallop say the same in two ways: give one of them.");
    double stepover = reckon_stepover(finishing);
    if (cut.scallop) {
        if (finishing.round_radius() > 0)
            stepover = rounded_stepover(scallop_stepover(finishing.round_radius(), std::min(*cut.scallop, finishing.round_radius())));
        else
            relief.job.warnings.push_back(fmt::format("--scallop says nothing for '{}', which has no round tip: lines lie {} mm apart.",
                                                      finishing.name(), number_text(stepover)));
    }
    const bool stepover_given = choose.given("stepover", cut.stepover, stepover);
    relief.stepover = *cut.stepover;
    relief.job.scallop = scallop_of(finishing, relief.stepover);
    if (!stepover_given)
        relief.job.assumed.push_back(
            cut.scallop && finishing.round_radius() > 0
                ? fmt::format("Finishing lines lie {:.3f} mm apart along the surface, for ridges of {} mm (plane "
                              "geometry; Machinery's Handbook, milling).",
                              relief.stepover, number_text(*cut.scallop))
                : fmt::format("Finishing lines lie {} mm apart along the surface, reckoned from the tip of {}; ridges "
                              "of {:.4f} mm stay between them.",
                              number_text(relief.stepover), finishing.name(), relief.job.scallop));
    if (relief.stepover >= finishing.diameter())
        throw refused(
            fmt::format("The stepover of {} mm is not smaller than the finishing bit '{}': strips would stay uncut between the lines. Give "
                        "a smaller --stepover.",
                        number_text(relief.stepover), finishing.name()));
    if (!choose.given("allowance", cut.allowance, 0.3) && relief.job.bits.size() > 1)
        relief.job.assumed.push_back("Roughing leaves 0.3 mm above floors and beside walls for the finishing bit (common practice).");
    relief.job.allowance = *cut.allowance;
    // Beyond that the finishing bit would meet more beside a wall than the roughing bit itself may take at once.
    if (const double most = relief.job.bits.front().bit.diameter() / 2; relief.job.bits.size() > 1 && relief.job.allowance > most)
        throw refused(fmt::format(
            "An allowance of {} mm is more than half of the roughing bit's diameter ({} mm): that bit would hardly rough, and '{}' would "
            "have to take nearly everything. Give a smaller --allowance.",
            number_text(relief.job.allowance), number_text(most), finishing.name()));
    choose.given("angle", cut.angle, 0.0);
    choose.given("one-way", cut.one_way, false);
    if (!choose.given("tolerance", cut.tolerance, 0.005))
        relief.job.assumed.push_back("Paths are thinned within 0.005 mm of the exact ones, and never downwards.");
    relief.angle_deg = *cut.angle;
    relief.one_way = *cut.one_way;
    relief.job.tolerance = *cut.tolerance;
    if (!choose.given("cell", cut.cell, reckon_cell(finishing, area.x, area.y)))
        relief.job.assumed.push_back(
            fmt::format("Everything is computed on cells of {} mm, reckoned from the finishing bit{}.", number_text(*cut.cell),
                        *cut.cell > reckon_cell(finishing, 1, 1) ? " and coarsened for the size of the stock" : ""));
    relief.heights.cell = *cut.cell;
    if (rides_on_edge(finishing) && *cut.cell > edge_cell && *cut.cell <= coarsest_provable &&
        area.x / edge_cell * (area.y / edge_cell) <= most_cells_reckoned) {
        relief.heights.cell = edge_cell;
        relief.job.assumed.push_back(fmt::format(
            "Cells of {} mm are used instead of {}: how deep the edge of a flat tip gets between two slopes depends on half a cell.",
            number_text(edge_cell), number_text(*cut.cell)));
    }
    if (*cut.cell > coarsest_provable)
        relief.job.warnings.push_back(
            fmt::format("Cells of {} mm are coarser than the {} mm by which a wall may move sideways: only gentle surfaces pass the proof. "
                        "Leave --cell out.",
                        number_text(*cut.cell), number_text(coarsest_provable)));
    if (area.x / *cut.cell * (area.y / *cut.cell) > most_cells_given)
        throw refused(
            fmt::format("Cells of {} mm make more than {:.0f} million over this stock. Give a larger --cell or a smaller --stock.",
                        number_text(*cut.cell), most_cells_given / 1e6));
}

}  // namespace

double reckon_cell(const Bit& finishing, double width, double height) {
    const double wanted = finishing.tip_diameter() / 2 / 5;
    const double most = rides_on_edge(finishing) ? edge_cell : 0.1;
    double cell = std::min(most, wanted >= 0.1 - 1e-9 ? 0.1 : wanted >= 0.05 - 1e-9 ? 0.05 : 0.02);
    for (const double coarser : {0.05, coarsest_provable})
        if (width / cell * (height / cell) > most_cells_reckoned && coarser > cell) cell = coarser;
    return cell;
}

double reckon_stepover(const Bit& finishing) {
    const double tenth = rounded_stepover(finishing.tip_diameter() / 10);
    if (finishing.shape() != BitShape::vee) return tenth;
    const double steepness = std::numbers::pi / 2 - finishing.spec().angle / 2;  // of the vee's side
    const double floors = finishing.spec().tip + 2 * vee_ridge / std::tan(steepness);
    // On a slope φ the flat of the tip bridges from one groove to the next: s sin(a − φ) sin φ / sin a, most at φ = a/2.
    const double slopes = 2 * vee_ridge / std::tan(steepness / 2);
    return std::max(tenth, std::floor(std::min(floors, slopes) * 1000) / 1000);
}

double scallop_of(const Bit& bit, double stepover) {
    switch (bit.shape()) {
        case BitShape::ball:
        case BitShape::taper:
            return scallop_height(bit.round_radius(), stepover);
        case BitShape::vee:
            return std::max(0.0, (stepover - bit.spec().tip) / 2 / std::tan(bit.spec().angle / 2));
        case BitShape::bull:
            return scallop_height(bit.round_radius(), std::min(stepover, 2 * bit.round_radius()));
        default:
            return 0;
    }
}

SettledRelief settle_relief(const Job& given, const Workshop& workshop, const Source& source) {
    const Picture& picture = source.picture;
    SettledRelief relief;
    SettledJob& job = relief.job;
    job.written = given;
    const Cut& cut = given.cuts.at(0);
    Cut& written_cut = job.written.cuts.at(0);
    Chooser choose(job.written.reckoned), choose_cut(written_cut.reckoned);
    settle_names(given, workshop, source, "flat:3.175 for roughing and ball:1.0 for finishing", choose, choose_cut, job);
    const double ratio = static_cast<double>(picture.height) / picture.width;
    const Point flat_size = settle_size(cut, own_size(picture), ratio, choose_cut, written_cut, job);
    const Point size = settle_copies(turned_size(flat_size, cut.rotate.value_or(0)), choose_cut, job);
    // Light comes through a thin plate only.
    const bool plate = cut.heights == "transmit";
    settle_stock(cut, size, plate ? cut.most_thickness.value_or(plate_thickness) : usual_thickness, {}, choose, choose_cut, job);
    settle_heights(flat_size, choose_cut, relief);
    choose_cut.given("megapixels", written_cut.megapixels, PictureLimits{}.most_megapixels);
    check_fit(job, size, workshop.bits);
    settle_run(choose, job);
    settle_bits(workshop, false, job);
    settle_lines({job.stock.bounds.width(), job.stock.bounds.height()}, choose_cut, relief);
    return relief;
}

}  // namespace burin

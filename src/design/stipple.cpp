// Tones become dots: how dense they lie where, their places, their sizes.
//
// In a weighted centroidal Voronoi diagram of weights w dots lie as dense as √w (Gersho 1979, in two dimensions); so the weights are
// the square of the density n that is wanted. n is what Secord (2002) gets with w = coverage, k √coverage, held between the densities
// at which the least and the most diameter cover what is asked. The rounds that move each dot to its cell's centroid (Lloyd 1982)
// go half as far again, which takes fewer of them.
// Cost: rounds × (dots × 5 µs), one raster of at most some 30 cells a dot.
#include "burin/design/stipple.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "burin/shape/filters.hpp"
#include "stipple_apart.hpp"
#include "stipple_cells.hpp"
#include "stipple_density.hpp"

namespace burin {
namespace {

constexpr double dense = 0.80;       // share that discs without order cover at most; loosely packed discs in the plane, from memory
constexpr double free_sizes = 0.1;   // share of dots whose sizes are at a limit and make up for nothing
constexpr int pushes = 400;          // rounds of making room
constexpr double dense_line = 0.75;  // of a line's turns beside each other, which wander; our choice, no source
constexpr double cells_a_dot = 30, cells_across = 2.5;  // of the raster: on average at most; across the densest dots at least
constexpr double further = 1.5;                         // times the way to the centroid
constexpr double settled = 0.005;                       // of the distance between dots: root mean square of the last moves

constexpr int corrections = 3, correction_rounds = 6;  // of equal dots' densities

/// The mean of blocks of `factor` × `factor` cells; those at the far edges hold less than they could.
Grid<float> coarser(const Grid<float>& fine, int factor) {
    if (factor <= 1) return fine;
    const int width = (fine.width() + factor - 1) / factor, height = (fine.height() + factor - 1) / factor;
    Grid<float> coarse(width, height, fine.cell() * factor, fine.origin());
    const float part = 1.0F / static_cast<float>(factor * factor);
    for (int j = 0; j < fine.height(); ++j) {
        const float* from = fine.row(j);
        float* to = coarse.row(j / factor);
        for (int i = 0; i < fine.width(); ++i) to[i / factor] += from[i] * part;
    }
    return coarse;
}

int coarseness(const Grid<float>& share, double count, double densest) {
    double filled = 0;
    for (const float v : share.values()) filled += v > 0 ? 1 : 0;
    const double by_number = std::sqrt(filled / (count * cells_a_dot)), by_detail = 1 / std::sqrt(densest) / cells_across / share.cell();
    return std::max(1, static_cast<int>(std::min(by_number, by_detail)));
}

/// Lloyd's rounds. `places` in cells of the raster; returns how many rounds it took.
int settle(std::vector<Point>& places, const Grid<float>& density, int most_rounds, const Crew& crew) {
    Grid<float> weights = density;
    for (float& v : weights.values()) v *= v;
    const dots::Pyramid raster(std::move(weights));
    const double width = density.width(), height = density.height();
    for (int round = 0; round < most_rounds; ++round) {
        crew.check();
        crew.say("dots", static_cast<double>(round) / most_rounds);
        const std::vector<dots::Mass> cells = dots::cell_masses(raster, places, crew);
        double moved = 0;
        for (std::size_t k = 0; k < places.size(); ++k) {
            if (!(cells[k].sum > 0)) continue;
            Point& p = places[k];
            const double x = cells[k].x / cells[k].sum - p.x, y = cells[k].y / cells[k].sum - p.y;
            const int i = std::clamp(static_cast<int>(p.x), 0, density.width() - 1);
            const int j = std::clamp(static_cast<int>(p.y), 0, density.height() - 1);
            moved += (x * x + y * y) * static_cast<double>(density(i, j));
            p = {std::clamp(p.x + further * x, 0.0, width), std::clamp(p.y + further * y, 0.0, height)};
        }
        if (moved < settled * settled * static_cast<double>(places.size())) return round + 1;
    }
    return most_rounds;
}

/// Where dots of fixed size lie too sparse or too dense over a few of them, as they do beside edges of the picture, denser or sparser ones
/// are aimed at, and the cells settle once more.
int even_out(std::vector<Point>& places, const Grid<float>& wanted, const Crew& crew) {
    double filled = 0;
    for (const float v : wanted.values()) filled += v > 0 ? 1 : 0;
    const double window = 1.5 * std::sqrt(filled / static_cast<double>(places.size())) * wanted.cell();
    Grid<float> aim = wanted;
    int rounds = 0;
    for (int k = 0; k < corrections; ++k) {
        Grid<float> lacking = wanted;
        for (const Point& p : places)
            lacking(std::min(static_cast<int>(p.x), wanted.width() - 1), std::min(static_cast<int>(p.y), wanted.height() - 1)) -= 1;
        lacking = window_mean(window_mean(lacking, window, crew), window, crew);
        for (std::size_t n = 0; n < aim.size(); ++n)
            if (const float v = wanted.values()[n]; v > 0) aim.values()[n] = std::max(aim.values()[n] + lacking.values()[n], v / 4);
        rounds += settle(places, aim, correction_rounds, crew);
    }
    return rounds;
}

/// Dots that came to lie where the picture is bare go to the nearest cell that is not.
void off_bare_ground(std::vector<Dot>& dots, const Grid<float>& share) {
    const Point o = share.origin();
    const double cell = share.cell();
    for (Dot& dot : dots) {
        const int ci = std::clamp(static_cast<int>((dot.at.x - o.x) / cell), 0, share.width() - 1);
        const int cj = std::clamp(static_cast<int>((dot.at.y - o.y) / cell), 0, share.height() - 1);
        if (share(ci, cj) > 0) continue;
        double least = 1e300;
        Point best = dot.at;
        for (int ring = 1; ring <= std::max(share.width(), share.height()) && (ring - 1) * cell <= least; ++ring)
            for (int j = cj - ring; j <= cj + ring; ++j) {
                const bool whole = j == cj - ring || j == cj + ring;
                for (int i = ci - ring; i <= ci + ring; i += whole ? 1 : 2 * ring) {
                    if (!share.holds(i, j) || !(share(i, j) > 0)) continue;
                    if (const double d = distance(dot.at, share.centre(i, j)); d < least) least = d, best = share.centre(i, j);
                }
            }
        dot.at = best;
    }
}

void check_wishes(const Grid<float>& coverage, const StippleWishes& wishes) {
    if (!(wishes.least > 0) || !(wishes.most >= wishes.least))
        throw Error(Fault::usage, fmt::format("Dots from {:.4g} to {:.4g} mm cannot be: the least diameter must be above 0 and not above "
                                              "the most.",
                                              wishes.least, wishes.most));
    if (wishes.dots < 0) throw Error(Fault::usage, "The number of dots cannot be below 0; 0 lets the picture say how many.");
    if (wishes.gap <= -wishes.least)
        throw Error(Fault::usage,
                    fmt::format("Dots of {:.4g} mm cannot run together by {:.4g} mm; give a larger gap.", wishes.least, -wishes.gap));
    if (coverage.empty()) throw Error(Fault::refused, "There is no picture to be stippled.");
}

/// Each dot as large as what its cell holds; what the limits keep from it goes to the next, which mostly lies beside it.
void size_dots(std::vector<Dot>& dots, const dots::Pyramid& share, const StippleWishes& wishes, const Crew& crew) {
    const Grid<float>& grid = share.values();
    std::vector<Point> places;
    places.reserve(dots.size());
    for (const Dot& dot : dots) places.push_back({(dot.at.x - grid.origin().x) / grid.cell(), (dot.at.y - grid.origin().y) / grid.cell()});
    const std::vector<dots::Mass> cells = dots::cell_masses(share, places, crew);
    const double cell = grid.cell() * grid.cell(), least = dots::disc_area(wishes.least), most = dots::disc_area(wishes.most);
    double carried = 0;
    for (std::size_t k = 0; k < dots.size(); ++k) {
        const double wanted = cells[k].sum * cell + carried, area = std::clamp(wanted, least, most);
        carried = std::clamp(wanted - area, -2 * most, 2 * most);
        dots[k].diameter = std::sqrt(area * 4 / std::numbers::pi);
    }
}

}  // namespace

double darkest_share(double diameter, double gap) {
    const double share = diameter / std::max(diameter + gap, 1e-9);
    return std::min(1.0, dense * share * share);
}

Stipple stipple(const Grid<float>& coverage, const StippleWishes& wishes, const Crew& crew) {
    check_wishes(coverage, wishes);
    Stipple result;
    result.darkest = wishes.line ? dense_line : darkest_share(wishes.most, wishes.gap);
    dots::Tones tones = dots::tones_of(coverage, result.darkest);
    result.asked = tones.asked, result.too_dark = tones.too_dark;
    if (!(tones.asked > 0)) throw Error(Fault::refused, "The picture is bare: no tone of it asks for a dot. Check it and --invert.");
    dots::Density density;
    const std::size_t count = dots::number_of(tones, wishes, density, result.notes);
    result.scale = tones.scale;
    if (result.too_dark > 0.005 * result.asked)
        result.notes.push_back(fmt::format(
            "Tones darker than {:.0f} % are shown as {:.0f} %: darker, {} would run together. That is "
            "{:.1f} % of what the picture asks for.",
            100 * result.darkest, 100 * result.darkest, wishes.line ? "turns of the line" : "dots", 100 * result.too_dark / result.asked));

    result.darkest *= tones.scale;

    const Grid<float> share = coarser(tones.share, coarseness(tones.share, static_cast<double>(count), density.at(tones.darkest)));
    const double cell = share.cell();
    Grid<float> wanted = share.like(0.0F);  // dots a cell
    for (std::size_t n = 0; n < share.size(); ++n)
        wanted.values()[n] = static_cast<float>(density.at(static_cast<double>(share.values()[n])) * cell * cell);
    std::vector<Point> places = dots::places_by_mass(dots::Pyramid(wanted), count);
    result.rounds = settle(places, wanted, wishes.most_rounds, crew);
    if (!wishes.line && dots::share_at_limits(tones.share, density) > free_sizes) result.rounds += even_out(places, wanted, crew);

    const Box box = coverage.bounds();
    for (const Point& p : places)
        result.dots.push_back({{std::min(share.origin().x + p.x * cell, box.hi.x), std::min(share.origin().y + p.y * cell, box.hi.y)}, 0});
    off_bare_ground(result.dots, tones.share);
    if (wishes.line) return result;
    size_dots(result.dots, dots::Pyramid(share), wishes, crew);
    dots::push_apart(result.dots, tones.share, wishes.gap, pushes, crew);
    result.too_close = dots::make_room(result.dots, wishes.gap, wishes.least);
    for (const Dot& dot : result.dots) result.covered += dots::disc_area(dot.diameter);
    return result;
}

}  // namespace burin

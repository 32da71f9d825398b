// A traced piece over its photo: its lines, and what a job leaves on it. The photo holds the wood's own light; a cut surface only changes
// it by the share of light that falls on a slope, against an open level one (light.cpp). Cost: linear in the pixels.
#include "burin/report/piece_pictures.hpp"

#include <algorithm>
#include <cmath>

#include "grain.hpp"
#include "light.hpp"
#include "pictures.hpp"

namespace burin {
namespace {

constexpr std::array<double, 3> edge_colour{25, 105, 165}, wood_colour{235, 110, 20};

/// How much of a place a line `wide` px covers, `away` px from its middle.
double covered(double away, double wide) { return std::clamp(wide / 2 + 0.5 - std::abs(away), 0.0, 1.0); }

Grid<float> cells_of(const Box& box, int width, int height, double pixel) { return {width, height, pixel, box.lo}; }

/// Bilinear; beyond the map its outermost cells go on.
float height_at(const HeightMap& map, const Point& p) {
    const double x = std::clamp((p.x - map.origin().x) / map.cell() - 0.5, 0.0, map.width() - 1.0),
                 y = std::clamp((p.y - map.origin().y) / map.cell() - 0.5, 0.0, map.height() - 1.0);
    const int i = static_cast<int>(x), j = static_cast<int>(y), i1 = std::min(i + 1, map.width() - 1),
              j1 = std::min(j + 1, map.height() - 1);
    const auto u = static_cast<float>(x - i), v = static_cast<float>(y - j);
    return (1 - v) * ((1 - u) * map(i, j) + u * map(i1, j)) + v * ((1 - u) * map(i, j1) + u * map(i1, j1));
}

}  // namespace

std::string straight_png(const StraightPhoto& photo) {
    return write_png_rgb(photo.rgb, photo.width, photo.height, photo.pixel * photo.width,
                         {{"Title", "The piece as seen from straight above"}});
}

std::string traced_png(const StraightPhoto& photo, const TracedPiece& piece, const Crew& crew) {
    const Grid<float> cells = cells_of(photo.box, photo.width, photo.height, photo.pixel);
    const double wide = std::max(1.5, photo.width / 350.0), reach = 2 * wide * photo.pixel + photo.pixel;
    const Grid<float> outer = edge_distance(piece.outer(), cells, reach, crew);
    const Grid<float> wood = edge_distance(piece.wood(), cells, reach, crew);
    std::vector<std::uint8_t> rgb = photo.rgb;
    for (int r = 0; r < photo.height; ++r)
        for (int i = 0; i < photo.width; ++i) {
            const int j = photo.height - 1 - r;
            const double to_edge = static_cast<double>(outer(i, j)) / photo.pixel, to_wood = static_cast<double>(wood(i, j)) / photo.pixel;
            for (std::size_t c = 0; c < 3; ++c) {
                std::uint8_t& sample =
                    rgb[(static_cast<std::size_t>(r) * static_cast<std::size_t>(photo.width) + static_cast<std::size_t>(i)) * 3 + c];
                double value = sample;
                if (to_edge < 0) value += 0.45 * (255 - value);
                const double edge = covered(to_edge, wide), inner = piece.has_bark() ? covered(to_wood, wide) : 0;
                value += edge * (edge_colour[c] - value);
                value += inner * (wood_colour[c] - value);
                sample = static_cast<std::uint8_t>(std::lround(value));
            }
        }
    return write_png_rgb(rgb, photo.width, photo.height, photo.pixel * photo.width, {{"Title", "The piece and its outline"}});
}

std::string on_piece_png(const HeightMap& surface, const Stock& stock, const Picture& photo, const Material& material, const Crew& crew,
                         const std::optional<std::array<double, 3>>& fill, const Grid<float>* burnt) {
    if (surface.empty() || !stock.piece) throw Error(Fault::refused, "There is no surface to show: the proof was not run.");
    const Box& box = stock.piece->photo_box;
    const double pixel = box.width() / photo.width;
    const auto width = static_cast<std::size_t>(photo.width);
    light::Relief relief{photo.width, photo.height, pixel, std::vector<float>(width * static_cast<std::size_t>(photo.height))};
    const auto place = [&](std::size_t i, int r) {
        return Point{box.lo.x + (static_cast<double>(i) + 0.5) * pixel, box.hi.y - (r + 0.5) * pixel};
    };
    over_rows(crew, photo.height, 32, [&](int first, int last) {
        for (int r = first; r < last; ++r)
            for (std::size_t i = 0; i < width; ++i) {
                const Point p = place(i, r);
                // What stands beside the piece throws no shadow that the photo has not got already; nor does a cut right through.
                if (stock.bounds.holds(p)) relief.heights[static_cast<std::size_t>(r) * width + i] = height_at(surface, p);
            }
    });
    const light::Lit lit = light::light_up(relief, crew);
    const auto linear = [&](std::size_t at) {
        const double v = static_cast<double>(photo.samples[at]) / 65535;
        return v <= 0.04045 ? v / 12.92 : std::pow((v + 0.055) / 1.055, 2.4);
    };
    const grain::Light paint = fill ? grain::linear(*fill) : grain::Light{}, charred = grain::linear(material.burnt_colour);
    std::vector<std::uint8_t> rgb(relief.heights.size() * 3);
    over_rows(crew, photo.height, 16, [&](int first, int last) {
        for (int r = first; r < last; ++r)
            for (std::size_t i = 0; i < width; ++i) {
                const std::size_t k = static_cast<std::size_t>(r) * width + i;
                const double z = static_cast<double>(relief.heights[k]), cut = std::clamp((-z - 0.003) * 40, 0.0, 1.0);
                const double falls = 0.63 * static_cast<double>(lit.key[k]) + 0.37 * static_cast<double>(lit.sky[k]);
                const double dark = burnt ? std::clamp(static_cast<double>(height_at(*burnt, place(i, r))), 0.0, 1.0) : 0;
                for (std::size_t c = 0; c < 3; ++c) {
                    double light = linear((photo.channels == 3 ? 3 * k + c : k));
                    if (fill) light += std::clamp((-z - 0.04) * 50, 0.0, 1.0) * (static_cast<double>(paint[c]) - light);
                    if (burnt && stock.bounds.holds(place(i, r))) light += dark * (static_cast<double>(charred[c]) - light);
                    light *= falls * (1 - 0.1 * cut);
                    rgb[3 * k + c] = static_cast<std::uint8_t>(std::lround(255 * std::clamp(page::coded(light), 0.0, 1.0)));
                }
            }
    });
    return write_png_rgb(rgb, photo.width, photo.height, box.width(), {{"Title", "What the job will look like on the piece"}});
}

}  // namespace burin

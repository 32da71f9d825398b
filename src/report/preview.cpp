// preview.png: the cut piece on a bench, seen from above, as the material would look under a low lamp.
//
// The surface is brought to the picture's pixels (area mean when shrinking, Catmull–Rom when enlarging), the bench is
// put round it at the stock's underside, light falls on both (light.cpp), the material answers (grain.cpp), and a
// film-like shoulder keeps highlights from burning out. Cost: linear in the pixels, about 1.3 million.

#include <algorithm>
#include <cmath>

#include "burin/report/report.hpp"
#include "burin/shape/edge_distance.hpp"
#include "grain.hpp"
#include "light.hpp"
#include "pictures.hpp"

namespace burin {
namespace {

constexpr int least_width = 1200, usual_width = 1400, most_height = 2400;

/// For each pixel of a line, which cells it takes and how much of each.
struct Taps {
    int count = 0;               ///< of every pixel
    std::vector<int> first;      ///< cell
    std::vector<float> weights;  ///< pixels × count
};

/// `from`, `to`: where the first pixel begins and how wide one is, both in cells.
Taps taps_for(int pixels, int cells, double begin, double step) {
    Taps taps;
    const bool shrinking = step > 1;
    taps.count = shrinking ? static_cast<int>(std::ceil(step)) + 1 : 4;
    taps.first.resize(static_cast<std::size_t>(pixels));
    taps.weights.resize(static_cast<std::size_t>(pixels) * static_cast<std::size_t>(taps.count));
    for (int k = 0; k < pixels; ++k) {
        const double lo = begin + k * step, hi = lo + step, t = (lo + hi) / 2 - 0.5;
        const int first = shrinking ? static_cast<int>(std::floor(lo)) : static_cast<int>(std::floor(t)) - 1;
        taps.first[static_cast<std::size_t>(k)] = first;
        float* w = taps.weights.data() + static_cast<std::size_t>(k) * static_cast<std::size_t>(taps.count);
        if (shrinking) {
            for (int c = 0; c < taps.count; ++c)
                w[c] = static_cast<float>(std::max(0.0, std::min(hi, first + c + 1.0) - std::max<double>(lo, first + c)) / step);
        } else {
            const auto f = static_cast<float>(t - std::floor(t));
            w[0] = f * (-0.5f + f * (1 - 0.5f * f));
            w[1] = 1 + f * f * (-2.5f + 1.5f * f);
            w[2] = f * (0.5f + f * (2 - 1.5f * f));
            w[3] = f * f * (-0.5f + 0.5f * f);
        }
    }
    // Beyond the map its outermost cell goes on.
    for (auto& first : taps.first) first = std::clamp(first, -taps.count, cells);
    return taps;
}

/// Where the picture lies over the stock.
struct View {
    int width = 0, height = 0;
    double pixel = 1;  ///< mm
    double left = 0, top = 0;
};

View view_over(const HeightMap& surface, const Stock& stock) {
    const Box& b = stock.bounds;
    const double margin = 0.045 * std::max(b.width(), b.height()) + 1.5;
    double w = b.width() + 2 * margin;
    const double h = b.height() + 2 * margin;
    const int pixels = std::clamp(static_cast<int>(w / surface.cell()), least_width, usual_width);
    View view;
    view.width = pixels;
    view.pixel = w / pixels;
    if (h / view.pixel > most_height) {  // tall stock: more bench beside it
        view.pixel = h / most_height;
        w = view.pixel * pixels;
    }
    view.height = static_cast<int>(std::ceil(h / view.pixel - 1e-9));
    view.left = b.centre().x - w / 2;
    view.top = b.centre().y + view.pixel * view.height / 2;
    return view;
}

/// The surface at the picture's pixels, rows from the top.
std::vector<float> resampled(const HeightMap& surface, const View& view, const Crew& crew) {
    const double cell = surface.cell(), step = view.pixel / cell;
    const Box b = surface.bounds();
    const Taps across = taps_for(view.width, surface.width(), (view.left - b.lo.x) / cell, step);
    const Taps down = taps_for(view.height, surface.height(), (b.hi.y - view.top) / cell, step);
    const auto width = static_cast<std::size_t>(view.width);
    std::vector<float> out(width * static_cast<std::size_t>(view.height));
    over_rows(crew, view.height, 32, [&](int first, int last) {
        // Each band narrows the rows that it needs, once, into a ring of lines.
        const int ring = down.count + 1;
        std::vector<float> lines(width * static_cast<std::size_t>(ring));
        std::vector<int> holds(static_cast<std::size_t>(ring), -1);
        const auto line_of = [&](int row) -> const float* {
            const int r = std::clamp(row, 0, surface.height() - 1), slot = r % ring;
            float* line = lines.data() + static_cast<std::size_t>(slot) * width;
            if (holds[static_cast<std::size_t>(slot)] == r) return line;
            holds[static_cast<std::size_t>(slot)] = r;
            const float* from = surface.row(surface.height() - 1 - r);
            const int n = across.count, cells = surface.width();
            for (std::size_t i = 0; i < width; ++i) {
                const int begin = across.first[i];
                const float* w = across.weights.data() + i * static_cast<std::size_t>(n);
                float sum = 0;
                if (begin >= 0 && begin + n <= cells)
                    for (int c = 0; c < n; ++c) sum += w[c] * from[begin + c];
                else
                    for (int c = 0; c < n; ++c) sum += w[c] * from[std::clamp(begin + c, 0, cells - 1)];
                line[i] = sum;
            }
            return line;
        };
        for (int j = first; j < last; ++j) {
            float* to = out.data() + static_cast<std::size_t>(j) * width;
            const float* w = down.weights.data() + static_cast<std::size_t>(j) * static_cast<std::size_t>(down.count);
            for (int c = 0; c < down.count; ++c) {
                const float* line = line_of(down.first[static_cast<std::size_t>(j)] + c);
                const float k = w[c];
                for (std::size_t i = 0; i < width; ++i) to[i] += k * line[i];
            }
        }
    });
    return out;
}

/// How far places lie outside the stock, mm, negative inside: of what may be cut of it (`wood`), and of the whole with its bark.
class Rim {
public:
    Rim(const Stock& stock, const Material& material, const View& view, const Crew& crew) : stock_(stock) {
        if (!stock.piece) {
            if (stock.outline == Outline::round && material.grain == Grain::rings) bark_ = static_cast<float>(0.022 * stock.bounds.width());
            return;
        }
        // A shadow is asked for beside the picture too: the nearest cell answers.
        const double cell = 2 * view.pixel;
        const Grid<float> cells(view.width / 2 + 1, view.height / 2 + 1, cell, {view.left, view.top - cell * (view.height / 2 + 1)});
        const double reach = 0.2 * std::max(stock.bounds.width(), stock.bounds.height());
        wood_ = edge_distance(stock.piece->wood(), cells, reach, crew);
        whole_ = stock.piece->has_bark() ? edge_distance(stock.piece->outer(), cells, reach, crew) : wood_;
    }
    [[nodiscard]] float wood(float x, float y) const { return stock_.piece ? -between(wood_, x, y) : formula(x, y); }
    [[nodiscard]] float whole(float x, float y) const { return stock_.piece ? -between(whole_, x, y) : formula(x, y) - bark_; }
    [[nodiscard]] bool bark() const { return stock_.piece ? stock_.piece->has_bark() : bark_ > 0; }

private:
    [[nodiscard]] float formula(float x, float y) const {
        const Box& b = stock_.bounds;
        const auto dx = x - static_cast<float>(b.centre().x), dy = y - static_cast<float>(b.centre().y);
        if (stock_.outline == Outline::round) {
            // Along the ray from the middle: exact on a disc, and near enough beside an oval's rim for its bark.
            const float along = std::sqrt(dx * dx + dy * dy);
            const float u = dx / static_cast<float>(b.width() / 2), v = dy / static_cast<float>(b.height() / 2),
                        r = std::sqrt(u * u + v * v);
            return r > 0 ? along - along / r : -static_cast<float>(b.height() / 2);
        }
        return std::max(std::abs(dx) - static_cast<float>(b.width() / 2), std::abs(dy) - static_cast<float>(b.height() / 2));
    }
    static float between(const Grid<float>& grid, float x, float y) {
        const auto cell = static_cast<float>(grid.cell());
        const float u =
            std::clamp((x - static_cast<float>(grid.origin().x)) / cell - 0.5f, 0.0f, static_cast<float>(grid.width()) - 1.001f);
        const float v =
            std::clamp((y - static_cast<float>(grid.origin().y)) / cell - 0.5f, 0.0f, static_cast<float>(grid.height()) - 1.001f);
        const int i = static_cast<int>(u), j = static_cast<int>(v);
        const float a = u - static_cast<float>(i), c = v - static_cast<float>(j);
        const float *low = grid.row(j) + i, *high = grid.row(j + 1) + i;
        return (1 - c) * (low[0] + a * (low[1] - low[0])) + c * (high[0] + a * (high[1] - high[0]));
    }
    const Stock& stock_;
    float bark_ = 0;
    Grid<float> wood_, whole_;
};

/// Linear light 0 … to sRGB bytes by table.
class Coding {
public:
    Coding() : table_(4097) {
        for (std::size_t k = 0; k < table_.size(); ++k) {
            const double v = static_cast<double>(k) / 4096, light = v * v;  // finer where it is dark
            table_[k] = static_cast<std::uint8_t>(std::lround(page::coded(light) * 255));
        }
    }
    [[nodiscard]] std::uint8_t operator()(float light) const {
        return table_[static_cast<std::size_t>(std::sqrt(std::clamp(light, 0.0f, 1.0f)) * 4096 + 0.5f)];
    }

private:
    std::vector<std::uint8_t> table_;
};

/// What a polished surface mirrors: a bright window above, a dim room below.
float mirrored(float nx, float ny, float nz) {
    const float rx = 2 * nx * nz, ry = 2 * ny * nz;
    const float window = std::clamp(1 - std::abs(ry - 0.45f + 0.25f * rx) * 2.6f, 0.0f, 1.0f);
    return 0.35f + 0.25f * ry + 1.3f * window * window;
}

/// Share of the key light that reaches the bench beside a stock that stands `tall` mm high on it.
float bench_sun(const Rim& rim, float x, float y, float tall, const light::Direction& key) {
    const float reach = tall * std::sqrt(key.x * key.x + key.y * key.y) / key.z, half = reach / 2;
    const float flat = std::sqrt(key.x * key.x + key.y * key.y);
    const float near = rim.whole(x + key.x / flat * half, y + key.y / flat * half);
    const float t = std::clamp((near + half) / (1.9f * half), 0.0f, 1.0f);
    return t * t * (3 - 2 * t);
}

/// A lamp a little warmer than white and a sky a little bluer.
grain::Light falling(float open, float seen) {
    const float sun = 0.68f * open, sky = 0.40f * seen * (0.30f + 0.70f * seen);
    return {1.04f * sun + 0.96f * sky, sun + sky, 0.93f * sun + 1.08f * sky};
}

grain::Light times(const grain::Light& a, const grain::Light& b) { return {a[0] * b[0], a[1] * b[1], a[2] * b[2]}; }

constexpr grain::Light bench_colour{0.72f, 0.70f, 0.665f};

/// How a polished or dull surface answers the light, beside its colour.
struct Finish {
    float gloss, shine, polish;
    std::array<float, 3> half;  ///< between the lamp and the eye

    explicit Finish(const Material& material) {
        gloss = static_cast<float>(std::clamp(material.gloss, 0.0, 1.0));
        shine = 12 + 90 * gloss;
        polish = std::max(0.0f, gloss - 0.45f) * 1.4f;
        const light::Direction key = light::towards_key();
        const float length = std::sqrt(key.x * key.x + key.y * key.y + (key.z + 1) * (key.z + 1));
        half = {key.x / length, key.y / length, (key.z + 1) / length};
    }
    [[nodiscard]] grain::Light answer(const grain::Light& base, float nx, float ny, float open, float seen) const {
        grain::Light out = times(base, falling(open, seen));
        if (gloss <= 0) return out;
        const float nz = std::sqrt(std::max(0.0f, 1 - nx * nx - ny * ny));
        const float facing = std::max(0.0f, nx * half[0] + ny * half[1] + nz * half[2]);
        const float shown = gloss * 0.8f * std::pow(facing, shine) * std::min(1.0f, open);
        const float mirror = polish > 0 ? polish * mirrored(nx, ny, nz) * (0.3f + 0.7f * seen) : 0;
        for (std::size_t c = 0; c < 3; ++c) out[c] = out[c] * (1 - 0.6f * polish) + shown * (1 + (base[c] - 1) * gloss) + mirror * base[c];
        return out;
    }
};

/// How much of a place is paint: from 0.04 mm to 0.06 mm below the top.
float painted(float z) {
    const float t = std::clamp((-z - 0.04f) * 50, 0.0f, 1.0f);
    return t * t * (3 - 2 * t);
}

/// A film's shoulder: straight up to 0.65, then ever flatter towards 1.
float shouldered(float v) { return v < 0.65f ? v : 1 - 0.35f * std::exp((0.65f - v) / 0.35f); }

}  // namespace

std::string preview_png(const HeightMap& surface, const Stock& stock, const Material& material, const Crew& crew,
                        const std::optional<std::array<double, 3>>& fill, const Grid<float>* burnt) {
    if (surface.empty()) throw Error(Fault::refused, "There is no surface to show: the proof was not run.");
    const View view = view_over(surface, stock);
    const auto width = static_cast<std::size_t>(view.width);
    light::Relief relief{view.width, view.height, view.pixel, resampled(surface, view, crew)};
    const Rim rim(stock, material, view, crew);
    // The stock's side is lit like a wall; how deep the bench lies is told by its shadow alone.
    const auto bench = static_cast<float>(-6 * view.pixel);
    const auto place_x = [&](std::size_t i) { return static_cast<float>(view.left + (static_cast<double>(i) + 0.5) * view.pixel); };
    const auto place_y = [&](int j) { return static_cast<float>(view.top - (j + 0.5) * view.pixel); };
    over_rows(crew, view.height, 32, [&](int first, int last) {
        for (int j = first; j < last; ++j)
            for (std::size_t i = 0; i < width; ++i) {
                float& h = relief.heights[static_cast<std::size_t>(j) * width + i];
                if (rim.whole(place_x(i), place_y(j)) > static_cast<float>(view.pixel / 2)) h = bench;
            }
    });
    const light::Lit lit = light::light_up(relief, crew);

    const grain::Block block(material, stock);
    const Finish finish(material);
    const std::vector<float> darkness = burnt ? resampled(*burnt, view, crew) : std::vector<float>();
    const grain::Light charred = grain::linear(material.burnt_colour);
    const grain::Light paint = fill ? grain::linear(*fill) : grain::Light{};
    const Coding coding;
    const light::Direction key = light::towards_key();
    const auto tall = static_cast<float>(0.032 * std::max(stock.bounds.width(), stock.bounds.height()));
    const auto pixel = static_cast<float>(view.pixel);
    const auto through = static_cast<float>(0.005 - stock.thickness);  // the board below shows
    const Point middle = stock.bounds.centre();
    const auto bench_light = [&](float x, float y, float beyond) {
        const float seen = 1 - 0.5f * std::exp(-std::max(0.0f, beyond) / (0.30f * tall));
        return times(bench_colour, falling(bench_sun(rim, x, y, tall, key), seen));
    };
    const auto piece_light = [&](std::size_t k, float x, float y, float out) {
        if (out > 0 && rim.bark()) {
            const auto angle = std::atan2(y - static_cast<float>(middle.y), x - static_cast<float>(middle.x));
            return times(grain::bark(out, angle), falling(lit.key[k], lit.sky[k]));
        }
        const float z = relief.heights[k];
        if (z < through) return times(bench_colour, falling(lit.key[k], lit.sky[k]));
        const float cut = std::clamp((-z - 0.003f) * 40, 0.0f, 1.0f);
        grain::Light base = block.at(x, y, z, cut);
        if (fill)
            for (std::size_t c = 0; c < 3; ++c) base[c] += painted(z) * (paint[c] - base[c]);
        if (burnt)
            for (std::size_t c = 0; c < 3; ++c) base[c] += std::clamp(darkness[k], 0.0f, 1.0f) * (charred[c] - base[c]);
        return finish.answer(base, lit.normal_x[k], lit.normal_y[k], lit.key[k], lit.sky[k]);
    };
    std::vector<std::uint8_t> rgb(width * static_cast<std::size_t>(view.height) * 3);
    over_rows(crew, view.height, 16, [&](int first, int last) {
        for (int j = first; j < last; ++j)
            for (std::size_t i = 0; i < width; ++i) {
                const std::size_t k = static_cast<std::size_t>(j) * width + i;
                const float x = place_x(i), y = place_y(j), beyond = rim.whole(x, y);
                // The rim of round stock is smoothed over one pixel.
                const float piece = std::clamp(0.5f - beyond / pixel, 0.0f, 1.0f);
                grain::Light seen{};
                if (piece > 0) seen = piece_light(k, x, y, rim.wood(x, y));
                if (piece < 1) {
                    const grain::Light bench_seen = bench_light(x, y, beyond);
                    for (std::size_t c = 0; c < 3; ++c) seen[c] = bench_seen[c] + piece * (seen[c] - bench_seen[c]);
                }
                for (std::size_t c = 0; c < 3; ++c) rgb[k * 3 + c] = coding(shouldered(seen[c]));
            }
    });
    return write_png_rgb(rgb, view.width, view.height, view.pixel * view.width, {{"Title", "What the job will look like"}});
}

}  // namespace burin

/// The painter's order turned into few booleans.
///
/// Dark paint adds, light paint takes away, and only where the two lie on each other does their order count. So each piece
/// goes into the lowest layer above all opposite pieces whose boxes meet its own (dark into even layers, light into odd ones), and each
/// layer is united at once. Light paint with nothing dark below it is forgotten. Layers on top of each other make one coat that
/// adds and takes away, (X without R) with A, and so do coats: with below A₁, R₁ and above A₂, R₂, A = (A₁ without R₂) with A₂, R = R₁ with
/// R₂. Put together two by two, every piece goes through as many booleans as the number of layers has binary digits. Cost: pieces × those
/// in the cells of a grid that they touch, and booleans × the logarithm of the layers.
#include "svg_canvas.hpp"

#include <algorithm>
#include <cmath>

namespace burin {

Box bounds_of(const std::vector<Loop>& loops) {
    Box box{{1e300, 1e300}, {-1e300, -1e300}};
    for (const Loop& loop : loops)
        for (const Point& p : loop) {
            box.lo = {std::min(box.lo.x, p.x), std::min(box.lo.y, p.y)};
            box.hi = {std::max(box.hi.x, p.x), std::max(box.hi.y, p.y)};
        }
    return box;
}

namespace {

bool apart(const Box& a, const Box& b) { return a.hi.x < b.lo.x || b.hi.x < a.lo.x || a.hi.y < b.lo.y || b.hi.y < a.lo.y; }

/// Of many boxes of one layer in a cell, one round all of them will do.
template <class Entry>
void note_entry(std::vector<Entry>& entries, const Entry& entry) {
    constexpr std::size_t many = 32;
    if (entries.size() >= many)
        for (Entry& other : entries)
            if (other.layer == entry.layer) {
                other.box = joined(other.box, entry.box);
                return;
            }
    entries.push_back(entry);
}

/// What layers make of ink below them: it loses `takes` and gets `adds`.
struct Coat {
    Region adds, takes;
};

Region both(Region a, Region b) { return a.empty() ? std::move(b) : b.empty() ? std::move(a) : united(a, b); }

/// Of layers first … last − 1; the lowest ones have nothing below to take away.
Coat coat_of(const std::vector<std::vector<Loop>>& layers, std::size_t first, std::size_t last) {
    if (last - first == 1) {
        Region layer(layers[first], FillRule::positive);
        return first % 2 == 0 ? Coat{std::move(layer), {}} : Coat{{}, std::move(layer)};
    }
    const std::size_t middle = first + (last - first) / 2;
    Coat below = coat_of(layers, first, middle), above = coat_of(layers, middle, last);
    if (!below.adds.empty() && !above.takes.empty()) below.adds = without(below.adds, above.takes);
    return {both(std::move(below.adds), std::move(above.adds)),
            first == 0 ? Region() : both(std::move(below.takes), std::move(above.takes))};
}

}  // namespace

SvgCanvas::SvgCanvas(const Box& page) : page_(page), grid_(static_cast<std::size_t>(cells) * cells) {}

SvgCanvas::Span SvgCanvas::span_of(const Box& box) const {
    const auto cell = [](double v, double lo, double size) {
        return static_cast<int>(std::clamp(std::floor((v - lo) / std::max(size, 1e-9) * cells), 0.0, cells - 1.0));
    };
    const double width = page_.width(), height = page_.height();
    return {cell(box.lo.x, page_.lo.x, width), cell(box.hi.x, page_.lo.x, width), cell(box.lo.y, page_.lo.y, height),
            cell(box.hi.y, page_.lo.y, height)};
}

void SvgCanvas::add(std::vector<Loop> loops, Tone tone) {
    std::erase_if(loops, [](const Loop& loop) { return loop.size() < 3; });
    if (loops.empty() || tone == Tone::none) return;
    const Box box = bounds_of(loops);
    const Span span = span_of(box);
    const auto each_cell = [&](auto&& act) {
        for (int j = span.j0; j <= span.j1; ++j)
            for (int i = span.i0; i <= span.i1; ++i) act(grid_[static_cast<std::size_t>(j * cells + i)]);
    };
    int below = -1;
    each_cell([&](const Cell& cell) {
        for (const Entry& entry : tone == Tone::dark ? cell.light : cell.dark)
            if (entry.layer > below && !apart(entry.box, box)) below = entry.layer;
    });
    if (tone == Tone::light && !lines_.empty()) light_over_lines_.push_back(loops);
    if (tone == Tone::light && below < 0) return;
    const int layer = below + 1;
    each_cell([&](Cell& cell) { note_entry(tone == Tone::dark ? cell.dark : cell.light, {box, layer}); });
    pieces_.push_back({std::move(loops), layer});
}

void SvgCanvas::add(MiddleLine line) { lines_.push_back({std::move(line), light_over_lines_.size()}); }

Region SvgCanvas::ink() const {
    int layers = 0;
    for (const Piece& piece : pieces_) layers = std::max(layers, piece.layer + 1);
    std::vector<std::vector<Loop>> by_layer(static_cast<std::size_t>(layers));
    for (const Piece& piece : pieces_) {
        std::vector<Loop>& layer = by_layer[static_cast<std::size_t>(piece.layer)];
        layer.insert(layer.end(), piece.loops.begin(), piece.loops.end());
    }
    return layers == 0 ? Region() : coat_of(by_layer, 0, by_layer.size()).adds;
}

std::vector<MiddleLine> SvgCanvas::lines() const {
    std::vector<Region> lights;
    for (const std::vector<Loop>& loops : light_over_lines_) lights.emplace_back(loops, FillRule::positive);
    std::vector<MiddleLine> out;
    for (const Line& line : lines_) {
        std::vector<MiddleLine> parts{line.line};
        for (std::size_t k = line.before; k < lights.size() && !parts.empty(); ++k) {
            std::vector<MiddleLine> fewer;
            for (const MiddleLine& part : parts)
                for (MiddleLine& rest : line_parts(part, lights[k], false)) fewer.push_back(std::move(rest));
            parts = std::move(fewer);
        }
        out.insert(out.end(), std::make_move_iterator(parts.begin()), std::make_move_iterator(parts.end()));
    }
    return out;
}

std::vector<MiddleLine> line_parts(const MiddleLine& line, const Region& region, bool within) {
    std::vector<MiddleLine> parts;
    for (ValuedLine& part : line_parts(ValuedLine{line.line, line.width}, region, within)) {
        MiddleLine& out = parts.emplace_back();
        out.line = std::move(part.line);
        out.width = std::move(part.values);
    }
    return parts;
}

}  // namespace burin

/// Nets by union and find over pieces of copper: a plated hole, or a wire soldered on both sides, joins what it meets above and below.
#include <numeric>

#include "burin/design/nets.hpp"

namespace burin {
namespace {

constexpr std::size_t none = static_cast<std::size_t>(-1);

std::size_t piece_at(const Region& copper, const Point& p) {
    const auto inside = [&](const Loop& loop) {
        bool in = false;
        for (std::size_t k = 0, before = loop.size() - 1; k < loop.size(); before = k++) {
            const Point &a = loop[before], &b = loop[k];
            if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y)) in = !in;
        }
        return in;
    };
    // A pad may be drawn with its hole: what the outer line encloses counts.
    for (std::size_t k = 0; k < copper.figures().size(); ++k)
        if (inside(copper.figures()[k].outer)) return k;
    return none;
}

}  // namespace

NetList net_list(const Region& top, const Region& bottom, const std::vector<Point>& holes) {
    NetList list;
    list.top = top.figures().size(), list.bottom = bottom.figures().size(), list.holes = holes.size();
    std::vector<std::size_t> parent(list.top + list.bottom);
    std::iota(parent.begin(), parent.end(), std::size_t{0});
    const auto root = [&](std::size_t n) {
        while (parent[n] != n) n = parent[n] = parent[parent[n]];
        return n;
    };
    list.nets = parent.size();
    for (const Point& hole : holes) {
        const std::size_t above = piece_at(top, hole), below = piece_at(bottom, hole);
        if (above == none && below == none) list.missing.push_back(hole);
        if (above == none || below == none) continue;
        ++list.joining;
        const std::size_t a = root(above), b = root(list.top + below);
        if (a != b) parent[b] = a, --list.nets;
    }
    return list;
}

}  // namespace burin

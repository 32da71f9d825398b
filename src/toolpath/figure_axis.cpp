// Walks over a graph that leave out nothing and lift the bit rarely.
//
// The axis is cut where the tip's depth begins and where the floor does; chains of edges between meetings become one piece. A walk
// takes an untaken piece wherever it stands: short dead ends first, so that what is left behind is left for good; where there is
// none it goes back over what it has cut to the nearest place that has one, if that is no farther than lifting, going over and
// coming down again would be worth. Else a new line begins.
// Cost: n log n of the edges.
#include "figure_axis.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <map>
#include <optional>
#include <queue>

namespace burin {
namespace {

constexpr double worth_going_back = 8;  // mm at the feed take about as long as a lift
constexpr double scratch = 0.003;  // mm: where the tip's flat just fits it goes so deep, that it be seen in the program's three decimals
constexpr double beyond_floor = 0.02;  // mm of radius: the axis is followed so far into the floor

/// Nodes and edges after cutting.
struct Graph {
    std::vector<Point3> nodes;
    std::vector<std::pair<std::uint32_t, std::uint32_t>> edges;
};

Graph cut_graph(const MedialAxis& axis, const AxisCut& cut) {
    const double least = std::max(0.0, cut.tip / 2 - scratch), most = cut.deepest * cut.tan + cut.tip / 2, last = most + beyond_floor;
    const auto height = [&](double radius) {
        return -std::clamp((radius - cut.tip / 2) / cut.tan, cut.tip > 0 ? scratch : 0.0, cut.deepest);
    };
    Graph graph;
    std::vector<std::uint32_t> number(axis.nodes.size(), 0);
    for (std::size_t k = 0; k < axis.nodes.size(); ++k) {
        number[k] = static_cast<std::uint32_t>(graph.nodes.size());
        graph.nodes.push_back({axis.nodes[k].at.x, axis.nodes[k].at.y, height(axis.nodes[k].radius)});
    }
    for (const AxisEdge& edge : axis.edges) {
        const AxisNode &a = axis.nodes[edge.from], &b = axis.nodes[edge.to];
        std::vector<double> shares{0, 1};
        for (const double r : {least, most, last})
            if ((a.radius - r) * (b.radius - r) < 0) shares.push_back((r - a.radius) / (b.radius - a.radius));
        std::sort(shares.begin(), shares.end());
        std::uint32_t from = number[edge.from];
        for (std::size_t k = 1; k < shares.size(); ++k) {
            std::uint32_t to = number[edge.to];
            if (k + 1 < shares.size()) {
                const double t = shares[k], radius = a.radius + (b.radius - a.radius) * t;
                to = static_cast<std::uint32_t>(graph.nodes.size());
                graph.nodes.push_back({a.at.x + (b.at.x - a.at.x) * t, a.at.y + (b.at.y - a.at.y) * t, height(radius)});
            }
            const double t = (shares[k] + shares[k - 1]) / 2, middle = a.radius + (b.radius - a.radius) * t;
            if (middle > least && middle < last && from != to) graph.edges.emplace_back(from, to);
            from = to;
        }
    }
    return graph;
}

/// Edges in a row, between nodes where other than two meet.
struct Piece {
    std::uint32_t from = 0, to = 0;
    std::vector<Point3> points;
    double length = 0;
    bool done = false;
};

class Walker {
public:
    explicit Walker(const Graph& graph) : graph_(graph), at_(graph.nodes.size()) {
        for (std::uint32_t e = 0; e < graph.edges.size(); ++e)
            at_[graph.edges[e].first].push_back(e), at_[graph.edges[e].second].push_back(e);
        make_pieces();
    }
    std::vector<TipLine> walk() {
        std::vector<TipLine> lines;
        // Dead ends are where lines begin best; what is left after them begins anywhere.
        for (const bool ends_only : {true, false})
            for (std::uint32_t n = 0; n < meets_.size(); ++n) {
                if (meets_[n].empty() || (ends_only && meets_[n].size() != 1)) continue;
                while (next_from(n)) lines.push_back(line_from(n));
            }
        return lines;
    }

private:
    void make_pieces() {
        meets_.resize(at_.size());
        std::vector<bool> used(graph_.edges.size(), false);
        const auto follow = [&](std::uint32_t node, std::uint32_t edge) {
            Piece piece;
            piece.from = node;
            piece.points.push_back(graph_.nodes[node]);
            while (true) {
                used[edge] = true;
                node = graph_.edges[edge].first == node ? graph_.edges[edge].second : graph_.edges[edge].first;
                piece.length += distance(flat(piece.points.back()), flat(graph_.nodes[node]));
                piece.points.push_back(graph_.nodes[node]);
                if (at_[node].size() != 2 || node == piece.from) break;
                edge = at_[node][0] == edge ? at_[node][1] : at_[node][0];
                if (used[edge]) break;
            }
            piece.to = node;
            const auto number = static_cast<std::uint32_t>(pieces_.size());
            meets_[piece.from].push_back(number);
            if (piece.to != piece.from) meets_[piece.to].push_back(number);
            pieces_.push_back(std::move(piece));
        };
        for (const bool rings : {false, true})  // rings that meet nothing last
            for (std::uint32_t n = 0; n < at_.size(); ++n)
                if (rings || at_[n].size() != 2)
                    for (const std::uint32_t e : at_[n])
                        if (!used[e]) follow(n, e);
    }
    [[nodiscard]] std::uint32_t other(const Piece& piece, std::uint32_t node) const { return piece.from == node ? piece.to : piece.from; }
    /// The untaken piece to go on with: short dead ends, then what leads on, the shortest first; long dead ends last.
    [[nodiscard]] std::optional<std::uint32_t> next_from(std::uint32_t node) const {
        std::optional<std::uint32_t> best;
        std::pair<int, double> rank;
        for (const std::uint32_t k : meets_[node]) {
            const Piece& piece = pieces_[k];
            if (piece.done) continue;
            const bool dead = meets_[other(piece, node)].size() == 1 && piece.from != piece.to;
            const std::pair<int, double> r{dead ? (piece.length <= worth_going_back ? 0 : 2) : 1, piece.length};
            if (!best || r < rank) best = k, rank = r;
        }
        return best;
    }
    TipLine line_from(std::uint32_t node) {
        TipLine line;
        line.tip.push_back(graph_.nodes[node]);
        while (true) {
            if (const auto next = next_from(node)) {
                go(line, *next, node);
            } else if (const auto back = way_back(node); !back.empty()) {
                for (const std::uint32_t k : back) go(line, k, node);
            } else {
                return line;
            }
        }
    }
    void go(TipLine& line, std::uint32_t number, std::uint32_t& node) {
        Piece& piece = pieces_[number];
        piece.done = true;
        if (piece.from == node)
            line.tip.insert(line.tip.end(), piece.points.begin() + 1, piece.points.end());
        else
            line.tip.insert(line.tip.end(), piece.points.rbegin() + 1, piece.points.rend());
        node = other(piece, node);
    }
    /// The pieces that lead over taken ones to the nearest place with an untaken one (Dijkstra 1959).
    std::vector<std::uint32_t> way_back(std::uint32_t start) {
        struct Reached {
            double way;
            std::uint32_t node;
            bool operator>(const Reached& o) const { return way != o.way ? way > o.way : node > o.node; }
        };
        std::priority_queue<Reached, std::vector<Reached>, std::greater<>> open;
        std::map<std::uint32_t, std::pair<double, std::uint32_t>> best;  // way, piece by which it was reached
        open.push({0, start});
        best[start] = {0, ~std::uint32_t{0}};
        while (!open.empty()) {
            const Reached r = open.top();
            open.pop();
            if (r.way > best[r.node].first) continue;
            if (next_from(r.node)) {
                std::vector<std::uint32_t> way;
                for (std::uint32_t n = r.node; n != start; n = other(pieces_[way.back()], n)) way.push_back(best[n].second);
                std::reverse(way.begin(), way.end());
                return way;
            }
            for (const std::uint32_t k : meets_[r.node]) {
                const std::uint32_t to = other(pieces_[k], r.node);
                const double way = r.way + pieces_[k].length;
                if (way > worth_going_back) continue;
                const auto known = best.find(to);
                if (known == best.end() || way < known->second.first) best[to] = {way, k}, open.push({way, to});
            }
        }
        return {};
    }

    const Graph& graph_;
    std::vector<std::vector<std::uint32_t>> at_;     // edges by node
    std::vector<std::vector<std::uint32_t>> meets_;  // pieces by node
    std::vector<Piece> pieces_;
};

}  // namespace

std::vector<TipLine> lines_over(const MedialAxis& axis, const AxisCut& cut) {
    const Graph graph = cut_graph(axis, cut);
    std::vector<TipLine> lines = Walker(graph).walk();
    std::vector<bool> joined(axis.nodes.size(), false);
    for (const AxisEdge& edge : axis.edges) joined[edge.from] = joined[edge.to] = true;
    const double most = cut.deepest * cut.tan + cut.tip / 2 + beyond_floor;
    for (std::size_t k = 0; k < axis.nodes.size(); ++k)
        if (!joined[k] && axis.nodes[k].radius > std::max(0.0, cut.tip / 2 - scratch) && axis.nodes[k].radius < most)
            lines.push_back({{graph.nodes[k]}, false, false, {}});
    return lines;
}

}  // namespace burin

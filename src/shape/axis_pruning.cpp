/// A medial axis without the arms that shape nothing: every corner between two chords of a curve has one.
///
/// Arms are taken away from their ends inwards, those that cost least first. What an end costs is how far the discs given up reach
/// beyond the disc of the node that is left: for one chord |end − node| + radius(end) − radius(node), added up along the
/// way. A sum within the tolerance bounds the distance between the figure's line and the line round the discs that are left
/// (the scale axis of Giesen, Miklos, Pauly, Wormser 2009 is kin). Cost: n log n.
#include <algorithm>
#include <queue>

#include "burin/base/error.hpp"
#include "burin/shape/medial_axis.hpp"

namespace burin {
namespace {

struct End {
    double cost;  ///< of giving up this node: what the discs given up reach beyond its neighbour's
    std::uint32_t node, edge;
    friend bool operator>(const End& a, const End& b) { return a.cost != b.cost ? a.cost > b.cost : a.node > b.node; }
};

}  // namespace

MedialAxis pruned(const MedialAxis& axis, double tolerance) {
    if (!(tolerance >= 0)) throw Error(Fault::usage, "A medial axis is pruned within a tolerance of 0 mm or more.");
    const std::size_t n = axis.nodes.size();
    std::vector<std::uint32_t> first(n + 1, 0), edges_at, degree(n, 0);
    for (const AxisEdge& e : axis.edges) ++degree[e.from], ++degree[e.to];
    for (std::size_t k = 0; k < n; ++k) first[k + 1] = first[k] + degree[k];
    edges_at.resize(first[n]);
    std::vector<std::uint32_t> next(first.begin(), first.end() - 1);
    for (std::uint32_t e = 0; e < axis.edges.size(); ++e) edges_at[next[axis.edges[e].from]++] = e, edges_at[next[axis.edges[e].to]++] = e;

    std::vector<char> gone(axis.edges.size(), 0), node_gone(n, 0);
    std::vector<double> owed(n, 0);  // what the discs given up so far reach beyond this node's
    std::priority_queue<End, std::vector<End>, std::greater<>> ends;
    const auto other = [&](std::uint32_t e, std::uint32_t k) { return axis.edges[e].from == k ? axis.edges[e].to : axis.edges[e].from; };
    const auto offer = [&](std::uint32_t k) {
        if (degree[k] != 1) return;
        for (std::uint32_t i = first[k]; i < first[k + 1]; ++i) {
            if (gone[edges_at[i]]) continue;
            const AxisNode &end = axis.nodes[k], &left = axis.nodes[other(edges_at[i], k)];
            const double cost = owed[k] + std::max(distance(end.at, left.at) + end.radius - left.radius, 0.0);
            if (cost <= tolerance) ends.push({cost, k, edges_at[i]});
        }
    };
    for (std::uint32_t k = 0; k < n; ++k) offer(k);
    while (!ends.empty()) {
        const End end = ends.top();
        ends.pop();
        if (gone[end.edge] || degree[end.node] != 1) continue;
        const std::uint32_t left = other(end.edge, end.node);
        gone[end.edge] = node_gone[end.node] = 1;
        degree[end.node] = 0;
        --degree[left];
        owed[left] = std::max(owed[left], end.cost);
        offer(left);
    }

    MedialAxis kept;
    std::vector<std::uint32_t> number(n, 0);
    for (std::size_t k = 0; k < n; ++k) {
        number[k] = static_cast<std::uint32_t>(kept.nodes.size());
        if (!node_gone[k]) kept.nodes.push_back(axis.nodes[k]);
    }
    for (std::size_t e = 0; e < axis.edges.size(); ++e)
        if (!gone[e]) kept.edges.push_back({number[axis.edges[e].from], number[axis.edges[e].to]});
    return kept;
}

}  // namespace burin

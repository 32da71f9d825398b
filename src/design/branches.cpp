/// From the edges of a medial axis to branches without spurs. Source and cost: see branches.hpp.
#include "branches.hpp"

#include <algorithm>
#include <cmath>

namespace burin {
namespace {

struct Links {
    std::vector<std::uint32_t> first, to;  ///< neighbours of node k: to[first[k]] … to[first[k + 1] − 1]
};

Links links_of(std::size_t nodes, const std::vector<AxisEdge>& edges) {
    Links links;
    links.first.assign(nodes + 1, 0);
    for (const AxisEdge& e : edges) ++links.first[e.from + 1], ++links.first[e.to + 1];
    for (std::size_t k = 0; k < nodes; ++k) links.first[k + 1] += links.first[k];
    links.to.resize(links.first.back());
    std::vector<std::uint32_t> at(links.first.begin(), links.first.end() - 1);
    for (const AxisEdge& e : edges) {
        links.to[at[e.from]++] = e.to;
        links.to[at[e.to]++] = e.from;
    }
    return links;
}

/// Walks from `start` over `next` to the next node that is no mere bend.
std::vector<std::uint32_t> walk(const Links& links, std::uint32_t start, std::uint32_t next, std::vector<std::uint8_t>& seen) {
    std::vector<std::uint32_t> path{start, next};
    while (links.first[next + 1] - links.first[next] == 2 && next != start) {
        seen[next] = 1;
        const std::uint32_t a = links.to[links.first[next]], b = links.to[links.first[next] + 1];
        const std::uint32_t before = path[path.size() - 2];
        next = a == before ? b : a;
        path.push_back(next);
    }
    return path;
}

Branches branches_of(std::size_t nodes, const std::vector<AxisEdge>& edges) {
    const Links links = links_of(nodes, edges);
    Branches out;
    out.degree.resize(nodes);
    for (std::size_t k = 0; k < nodes; ++k) out.degree[k] = static_cast<int>(links.first[k + 1] - links.first[k]);
    std::vector<std::uint8_t> seen(nodes, 0);
    for (std::uint32_t k = 0; k < nodes; ++k) {
        if (out.degree[k] == 2 || out.degree[k] == 0) continue;
        for (std::uint32_t q = links.first[k]; q < links.first[k + 1]; ++q) {
            std::vector<std::uint32_t> path = walk(links, k, links.to[q], seen);
            // Each branch is walked from both of its ends: kept from the lower one, a loop from its lower second node.
            const bool kept = path.front() != path.back() ? path.front() < path.back() : path[1] <= path[path.size() - 2];
            if (kept) out.branches.push_back({std::move(path), false});
        }
    }
    for (std::uint32_t k = 0; k < nodes; ++k) {
        if (out.degree[k] != 2 || seen[k]) continue;
        seen[k] = 1;
        std::vector<std::uint32_t> path = walk(links, k, links.to[links.first[k]], seen);
        path.pop_back();
        out.branches.push_back({std::move(path), true});
    }
    return out;
}

double length_of(const MedialAxis& axis, const Branch& branch) {
    double sum = 0;
    for (std::size_t k = 1; k < branch.path.size(); ++k) sum += distance(axis.nodes[branch.path[k - 1]].at, axis.nodes[branch.path[k]].at);
    return sum;
}

/// Whether an arm ends in a corner of the outline.
bool is_corner(const MedialAxis& axis, std::uint32_t junction, std::uint32_t end) {
    return axis.nodes[end].radius < 0.2 * axis.nodes[junction].radius;
}

/// Whether a branch from a junction to an end is the shape of an outline's corner or bump and no stroke.
bool is_spur(const MedialAxis& axis, const Branches& all, const Branch& branch) {
    if (branch.ring) return false;
    const std::uint32_t a = branch.path.front(), b = branch.path.back();
    const bool from_a = all.degree[a] >= 3 && all.degree[b] == 1, from_b = all.degree[b] >= 3 && all.degree[a] == 1;
    if (!from_a && !from_b) return false;
    const AxisNode &junction = axis.nodes[from_a ? a : b], &end = axis.nodes[from_a ? b : a];
    const double beyond = length_of(axis, branch) + end.radius - junction.radius;
    // Into a corner of 90° an arm reaches 0.41 radii beyond the disc, into one of 70° 0.74.
    return beyond < (is_corner(axis, from_a ? a : b, from_a ? b : a) ? 0.75 : 0.5) * junction.radius;
}

}  // namespace

Branches strokes_of(const MedialAxis& axis) {
    const std::size_t nodes = axis.nodes.size();
    std::vector<AxisEdge> edges = axis.edges;
    std::vector<std::uint8_t> bare(nodes, 1);  // never had an edge
    for (const AxisEdge& e : edges) bare[e.from] = bare[e.to] = 0;
    std::vector<std::uint32_t> dots;
    std::vector<std::uint8_t> bend(nodes, 0);
    for (;;) {
        Branches all = branches_of(nodes, edges);
        std::vector<AxisEdge> left;
        bool pruned = false;
        std::vector<std::uint8_t> lost(nodes, 0);
        for (const Branch& branch : all.branches) {
            if (is_spur(axis, all, branch)) {
                pruned = true;
                for (const std::uint32_t k : branch.path)
                    if (all.degree[k] >= 3) lost[k] = 1;
                const std::uint32_t a = branch.path.front(), b = branch.path.back();
                if (axis.nodes[a].radius > axis.nodes[b].radius ? is_corner(axis, a, b) : is_corner(axis, b, a))
                    bend[axis.nodes[a].radius > axis.nodes[b].radius ? a : b] = 1;
                continue;
            }
            for (std::size_t k = 1; k < branch.path.size(); ++k) left.push_back({branch.path[k - 1], branch.path[k]});
            if (branch.ring) left.push_back({branch.path.back(), branch.path.front()});
        }
        if (!pruned) {
            for (std::uint32_t k = 0; k < nodes; ++k)
                if (bare[k]) dots.push_back(k);
            std::sort(dots.begin(), dots.end());
            all.dots = std::move(dots);
            for (std::size_t k = 0; k < nodes; ++k) bend[k] = bend[k] && all.degree[k] == 2;
            all.bend = std::move(bend);
            return all;
        }
        // A junction all of whose arms were spurs is the middle of a dot.
        std::vector<std::uint8_t> held(nodes, 0);
        for (const AxisEdge& e : left) held[e.from] = held[e.to] = 1;
        for (std::uint32_t k = 0; k < nodes; ++k)
            if (lost[k] && !held[k]) dots.push_back(k);
        edges = std::move(left);
    }
}

}  // namespace burin

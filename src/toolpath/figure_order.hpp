#pragma once
/// The order of many cuts with little idle travel between them; inside the room only.
#include <cstddef>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/point.hpp"

namespace burin {

/// One thing to be cut.
struct Stop {
    Point a, b;                       ///< where it begins and ends; it may be cut the other way round too
    std::vector<Point> entries = {};  ///< closed lines: where it may begin and end instead of a and b
};
struct Turn {
    std::size_t stop = 0;
    bool reversed = false;
    Point entry;  ///< where it begins
};

/// All stops, each once, from `start` on: nearest neighbour, then 2-opt and Or-opt on neighbour lists until nothing is gained, closed
/// lines begun where that is shortest (Croes 1958; Or 1976). Always the same for the same stops.
/// Cost: n log n and some; reversals longer than 50,000 stops are not tried.
[[nodiscard]] std::vector<Turn> short_tour(const std::vector<Stop>& stops, const Point& start, const Crew& crew);

/// Idle way of a tour, mm.
[[nodiscard]] double idle_way(const std::vector<Stop>& stops, const std::vector<Turn>& tour, const Point& start);

/// For each loop the innermost of the others that holds it; loops.size() where none does. Loops must not cross.
[[nodiscard]] std::vector<std::size_t> holders_of(const std::vector<std::vector<Point>>& loops);

/// Inner before outer, and short ways: every loop after those that it holds. Entries are the loops' corners.
[[nodiscard]] std::vector<Turn> inner_first(const std::vector<std::vector<Point>>& loops, const std::vector<Stop>& stops,
                                            const Point& start, const Crew& crew);

}  // namespace burin

#pragma once
/// Writes moves one after the other and keeps the rules that every move has to keep: rapids go up, across or down and
/// never slanted; what goes down goes no faster down than the plunge feed.
#include <vector>

#include "burin/base/grid.hpp"
#include "burin/motion/track.hpp"
#include "turning.hpp"

namespace burin {

class Pen {
public:
    Pen(double feed, double plunge, double safe_height) : feed_(feed), plunge_(plunge), safe_(safe_height) {}

    /// Positions given and told from now on are the frame's.
    void use(const Frame& frame);
    [[nodiscard]] const Point3& at() const { return at_; }
    [[nodiscard]] bool started() const { return started_; }
    /// A new pass begins with the next move.
    void pass(std::string what, double z);
    /// Rapid up to the safe height, across to p, down to z (above all stock there).
    void approach(const Point& p, double z);
    /// The same, but no higher than travel_z, which is clear all along.
    void hop(const Point& p, double travel_z, double z);
    void cut(const Point3& p);
    void retract();
    [[nodiscard]] Toolpath take();

private:
    void rapid(const Point3& p);
    void go(const Point3& p, MoveKind kind, double feed);
    std::vector<std::vector<Move>> blocks_;  // one vector of a million moves would need twice its room to grow
    std::size_t count_ = 0;                  // of moves
    std::vector<Pass> passes_;
    Point3 at_{0, 0, 0};  // in the frame
    Frame frame_;
    double feed_, plunge_, safe_;
    bool started_ = false;
};

/// The highest value within two cells of p, at most 0: above it no stock is met, the half cell of the prediction allowed for.
[[nodiscard]] double highest_near(const HeightMap& meets, const Point& p);

/// Lowers the cells that the straight way from a to b at height z passes to z: where the tip has been, to half a cell.
void mark_way(HeightMap& reached, const Point& a, const Point& b, double z);

}  // namespace burin

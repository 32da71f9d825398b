#pragma once
/// A way of the tip in a vertical plane: distance along it and height.
#include <vector>

namespace burin {

struct ProfilePoint {
    double d = 0, z = 0;
};

/// Fewer points: the line through them lies nowhere below the given ones and at most `tolerance` above (greedy, O(n); each
/// stretch is as long as some straight line allows). d rising.
[[nodiscard]] std::vector<ProfilePoint> thinned_above(const std::vector<ProfilePoint>& points, double tolerance);

/// What counts as a wall: neighbouring heights that differ by more than `high` are walls in full; by more than `low`, steps.
struct Walls {
    double high = 0.5, low = 0.5;
};

/// The way over heights given at the points in turn, kept clear of walls and steps: where two neighbours differ so much,
/// the straight line between them would cut into the upper edge, so the tip goes up straight at the foot. Down, it stays at
/// the upper height until it is over the foot; it then goes down to the point beyond, and back to clean the foot. Within a
/// falling flight of steps it lags one point behind; a slot one point wide between walls is passed over. Thinned; d may step
/// back at a foot.
[[nodiscard]] std::vector<ProfilePoint> safe_profile(const std::vector<ProfilePoint>& points, const Walls& walls, double tolerance);

}  // namespace burin

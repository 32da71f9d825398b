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

/// The way over heights given at the points in turn, kept clear of sudden walls: where two neighbours differ by more than
/// `jump`, the straight line between them would cut into the upper edge, so the tip goes up straight at the foot, and
/// comes down to the point beyond the foot, from where it goes back to clean it. Then thinned. d may step back there.
[[nodiscard]] std::vector<ProfilePoint> safe_profile(const std::vector<ProfilePoint>& points, double jump, double tolerance);

}  // namespace burin

#pragma once
/// The steps between a photo and the outline of a piece; for slice.cpp, slice_table.cpp and slice_edge.cpp.
#include <array>
#include <opencv2/core.hpp>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/point.hpp"
#include "burin/picture/picture.hpp"

namespace burin {

/// The photo as a table, smoothly lit, would leave it: logarithm of light and two of colour, less what the table shows there, in spreads of
/// the table's own texture. Row 0 is the photo's lowest.
struct AgainstTable {
    cv::Mat planes;   ///< CV_32FC3: light, red and blue beside it
    cv::Mat light;    ///< CV_32FC3: red, green and blue light as a share of the table's, in its spreads; edges lie where this changes most
    double step = 1;  ///< photo pixels in one of these
};
[[nodiscard]] AgainstTable against_table(const Picture& photo, const Crew& crew);

/// The one piece as a mask (CV_8U, 255), holes filled. Throws Error (refused) as find_slice does.
[[nodiscard]] cv::Mat piece_mask(const AgainstTable& photo, std::vector<std::string>& warnings);

/// A closed line of places and the direction out of the piece at each.
struct EdgeLine {
    std::vector<Point> at, outward;
};
/// Evenly spread places on the mask's line, in pixels of the reduced photo.
[[nodiscard]] EdgeLine line_of(const cv::Mat& mask, double smooth);

/// A closed path through a strip: rows are places along the line, columns depths; the sum of `gain` is greatest, and from one place to the
/// next it moves at most one column (dynamic programming; Bellman 1957). The end meets the beginning.
[[nodiscard]] std::vector<double> best_path(const cv::Mat& gain, double bend);
/// Gaussian along a closed row of values; `sigma` in places.
[[nodiscard]] std::vector<double> smoothed_round(const std::vector<double>& values, double sigma);
/// The planes at a place between pixels.
[[nodiscard]] cv::Vec3f plane_at(const cv::Mat& planes, double x, double y);

/// Puts the line where light and colour change most near it; how strongly they change there, in spreads.
[[nodiscard]] std::vector<double> settle_edge(const cv::Mat& planes, double reach, double smooth, EdgeLine& line);

struct Bark {
    std::vector<double> depth;  ///< from the edge inwards, pixels; empty: none
    double contrast = 0;
};
[[nodiscard]] Bark find_bark(const cv::Mat& planes, const EdgeLine& line, double pixels_per_mm, double deepest, double smooth);

}  // namespace burin

#pragma once
/// Relief carving: a design's heights become roughing and finishing toolpaths.
#include <optional>
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/motion/track.hpp"
#include "burin/workshop/bit.hpp"

namespace burin {

/// A bit with what it may do.
struct ReliefBit {
    Bit bit;
    double feed = 0, plunge = 0;  ///< mm/min
    double depth_per_pass = 0;    ///< p, mm
};

struct ReliefOrder {
    std::vector<ReliefBit> bits;  ///< roughing (largest first) … finishing last; one: it does both
    double allowance = 0.3;       ///< g, mm
    double stepover = 0.1;        ///< finishing, along the surface, mm
    double scallop = 0.0025;      ///< what that stepover leaves, mm
    double angle = 0;             ///< of the finishing lines, radians
    bool one_way = false;
    double safe_height = 3;    ///< mm above the stock top
    double tolerance = 0.005;  ///< mm
    double take = 1;           ///< share of what promise 3 allows that is planned with
    HeightMap seen;            ///< what the programs of an earlier plan really left, its cells those of the design: where the prediction
                               ///< was too low the finishing bit goes once more. Empty: nothing is known
};

struct ReliefToolpath {
    std::size_t bit = 0;  ///< index into ReliefOrder::bits
    Toolpath path;
};

struct ReliefPlan {
    std::vector<ReliefToolpath> paths;  ///< in running order; a bit with nothing to do has none
    std::vector<std::string> notes;     ///< for the report
};

/// `design` covers the picture and a margin round it of at least the largest bit's radius where its heights are 0 (stock
/// that stays). Throws Error (refused) where a bit is wider than the job or nothing is to be cut.
[[nodiscard]] ReliefPlan plan_relief(const HeightMap& design, const ReliefOrder& order, const Crew& crew);

}  // namespace burin

#pragma once
/// Facing: an uneven stock, or a spoilboard, is levelled with a wide flat bit. z = 0 is the plane that is wanted; the stock stands up to
/// `rise` above it.
#include "burin/motion/track.hpp"
#include "burin/toolpath/relief.hpp"
#include "burin/workshop/stock.hpp"

namespace burin {

enum class FaceSweep { rows, spiral };

/// How far the bit's middle goes beyond the stock's edge at least where the bit enters from beside the stock: its radius and this, mm.
inline constexpr double face_clearance = 0.3;

struct FaceOrder {
    ReliefBit bit;  ///< flat
    Stock stock;
    double rise = 0;      ///< mm that the stock's highest place stands above the plane, above 0
    double stepover = 0;  ///< mm from row to row at most
    FaceSweep sweep = FaceSweep::rows;
    /// mm that the bit's middle may go beyond the edge of the stock; below 0 it stays that far inside (rectangles only). Less than the
    /// bit's radius and face_clearance: the bit has no room beside the stock, and ramps in.
    double run_out = 0;
    bool one_way = false;       ///< rows: all run the same way, climbing
    bool conventional = false;  ///< one-way rows and spirals run the other way round, against the turn of the bit
    double safe_height = 3;     ///< mm above the highest place
    double take = 1;            ///< share of the depth per pass that is planned with
};

struct FacePlan {
    Toolpath path;
    int levels = 0;            ///< equally thick
    double stepover = 0;       ///< mm, of the rows as they were spread; spirals: as ordered
    bool from_beside = false;  ///< the bit goes down beside the stock; else it ramps in
};

/// The stock is taken as a slab as high as its highest place, which is the worst that it can be, and lowered level by level: every level
/// is as thick as the others and no thicker than the depth per pass, the last one lies at z = 0. Rows run along the stock's longer side,
/// each only as far as its strip of the stock; the first and every later one takes a strip as wide as the stepover. A spiral winds from
/// the edge inwards: round corners of 90 degrees, or with the curve of a round or oval stock. On all paths flat cells overlap, so that no
/// ridge is left where the stepover is at most 80 % of the diameter (plane geometry; the proof looks).
/// With the spindle turning clockwise (M3) a bit climbs where what it cuts lies on its right.
/// Throws Error (usage) for an order that cannot be.
[[nodiscard]] FacePlan plan_face(const FaceOrder& order);

}  // namespace burin

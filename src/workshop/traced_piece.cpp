/// The piece that is there, and its file. Coordinates are written to a hundredth of a millimetre: finer than anyone clamps.
#include "burin/workshop/traced_piece.hpp"

#include <fmt/format.h>

#include <cmath>

#include "burin/base/error.hpp"
#include "burin/workshop/toml_table.hpp"

namespace burin {
namespace {

constexpr std::size_t most_corners = 20000;
constexpr double farthest = 5000;  // mm
constexpr double slack = 0.05;     // mm, by which smoothed wood may leave the outer edge

Region one_figure(const Loop& loop, const char* what) {
    Region region({loop}, FillRule::nonzero);
    if (region.figures().size() != 1 || !region.figures().front().holes.empty() || !(region.area() > 1))
        throw Error(Fault::usage,
                    fmt::format("The line '{}' is not the outline of one piece: it crosses itself, or holds nothing. Trace the "
                                "piece again, or mend the line.",
                                what));
    return region;
}

std::string pairs_text(const Loop& loop) {
    std::string out = "[";
    for (std::size_t k = 0; k < loop.size(); ++k)
        out += fmt::format("{}[{:.2f}, {:.2f}]", k == 0 ? "" : k % 6 == 0 ? ",\n  " : ", ", loop[k].x + 0.0, loop[k].y + 0.0);
    return out + "]\n";
}

Loop moved_loop(const Loop& loop, const Point& by) {
    Loop out = loop;
    for (Point& p : out) p = {p.x + by.x, p.y + by.y};
    return out;
}

Loop points_of(TomlTable& table, std::string_view key, std::size_t least) {
    Loop loop;
    for (const auto& pair : table.take_pairs(key)) {
        if (std::max(std::abs(pair[0]), std::abs(pair[1])) > farthest)
            throw table.wrong(key, "a point lies more than 5 m away; coordinates are in millimetres.");
        loop.push_back({pair[0], pair[1]});
    }
    if (loop.size() < least || loop.size() > most_corners)
        throw table.wrong(key, fmt::format("{} to {} points are wanted, as in [[0, 0], [90, 0], [45, 80]].", least, most_corners));
    return loop;
}

}  // namespace

TracedPiece::TracedPiece(const Loop& outer, const Loop& wood, double thickness)
    : outer_(one_figure(outer, "outer")), wood_(one_figure(wood, "wood")), thickness_(thickness), search_(wood_) {
    if (!(thickness > 0) || !std::isfinite(thickness))
        throw Error(Fault::usage, fmt::format("A piece {} mm thick cannot be: the thickness must be above 0.", thickness));
    if (!without(wood_, offset_by(outer_, slack)).empty())
        throw Error(Fault::usage, "The wood sticks out of the piece: the line 'wood' must lie within the line 'outer'.");
}

bool TracedPiece::holds(const Point& p, double more) const {
    if (search_.holds(p)) return more >= 0 || search_.nearest(p).distance >= -more;
    return more > 1e-6 && outer_.bounds().holds(p, more) && search_.nearest(p).distance <= more;
}

TracedPiece shifted(const TracedPiece& piece, const Point& by) {
    TracedPiece out(moved_loop(piece.outer().figures().front().outer, by), moved_loop(piece.wood().figures().front().outer, by),
                    piece.thickness());
    out.photo = piece.photo;
    out.photo_box = {{piece.photo_box.lo.x + by.x, piece.photo_box.lo.y + by.y},
                     {piece.photo_box.hi.x + by.x, piece.photo_box.hi.y + by.y}};
    out.marks = moved_loop(piece.marks, by);
    return out;
}

TracedPiece read_traced_piece(std::string_view toml, const std::string& origin) {
    const toml::table root = parse_toml(toml, origin);
    TomlTable table(root, origin);
    const double thickness = table.need_number("thickness", 0.01, 1000);
    const Loop outer = points_of(table, "outer", 3);
    const Loop wood = table.has("wood") ? points_of(table, "wood", 3) : outer;
    std::optional<std::string> photo = table.take_text("photo");
    const Loop corners = table.has("photo-box") ? points_of(table, "photo-box", 2) : Loop{};
    const Loop marks = points_of(table, "marks", 0);
    table.finish();
    if (photo && (corners.size() != 2 || !(corners[1].x > corners[0].x) || !(corners[1].y > corners[0].y)))
        throw table.wrong("photo-box", "the photo's lower left and upper right corner are wanted, as in [[-5, -5], [95, 85]].");
    TracedPiece piece = [&] {
        try {
            return TracedPiece(outer, wood, thickness);
        } catch (const Error& error) {
            throw Error(Fault::usage, fmt::format("{}: {}", origin, error.what()));
        }
    }();
    if (photo) piece.photo = *photo, piece.photo_box = {corners[0], corners[1]};
    piece.marks = marks;
    return piece;
}

std::string write_traced_piece(const TracedPiece& piece) {
    std::string out =
        "# A piece of stock as it is, for --stock: lines in mm, x to the right and y away from you,\n"
        "# counted from the lower left corner of the rectangle round it.\n";
    out += fmt::format("thickness = {:.2f}\n", piece.thickness());
    if (!piece.photo.empty()) {
        out += fmt::format("photo = {}\n", toml_quoted(piece.photo));
        out += "photo-box = " + pairs_text({piece.photo_box.lo, piece.photo_box.hi});
    }
    if (!piece.marks.empty()) out += "marks = " + pairs_text(piece.marks);
    out += "outer = " + pairs_text(piece.outer().figures().front().outer);
    if (piece.has_bark()) out += "wood = " + pairs_text(piece.wood().figures().front().outer);
    return out;
}

}  // namespace burin

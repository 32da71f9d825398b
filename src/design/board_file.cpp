/// Board files become drawings in a field that all layers of a board share.
#include "burin/design/board_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>

#include "burin/base/error.hpp"
#include "burin/design/gerber.hpp"
#include "gerber_parts.hpp"

namespace burin {
namespace {

constexpr double hole_chord = 0.002;  // mm that chords may leave a hole's line

bool ends_in(std::string_view name, std::initializer_list<std::string_view> ends) {
    std::string small(name);
    std::transform(small.begin(), small.end(), small.begin(), [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return std::any_of(ends.begin(), ends.end(), [&](std::string_view end) { return small.ends_with(end); });
}

Region holes_of(const DrillFile& file) {
    std::vector<Loop> loops;
    for (const DrilledHole& hole : file.holes)
        loops.push_back(gerber_capsule(hole.at, hole.to.value_or(hole.at), hole.diameter, hole_chord));
    return Region(loops, FillRule::positive);
}

/// Lines with a width lie half on either side of the edge. What their outer lines enclose is larger by that half, and so is every piece cut
/// out within.
Region edge_of(const GerberLayer& layer, std::string_view name) {
    if (!(layer.line_width > 0)) return layer.dark;  // the board is drawn as an area
    std::vector<Loop> outer;
    for (const Figure& figure : layer.dark.figures()) {
        if (figure.holes.empty()) {
            const Box at = box_of(figure.outer);
            throw Error(Fault::refused,
                        fmt::format("The board's edge in '{}' is not closed: a line from X{:.2f} Y{:.2f} to X{:.2f} Y{:.2f} "
                                    "encloses nothing. Close it in the program that drew the board.",
                                    name, at.lo.x, at.lo.y, at.hi.x, at.hi.y));
        }
        outer.push_back(figure.outer);
    }
    Region edge;
    for (const Loop& loop : outer) {
        const Region piece = offset_by(Region({loop}), -layer.line_width / 2);
        edge = united(without(edge, piece), without(piece, edge));
    }
    return edge;
}

}  // namespace

BoardFileKind board_file_kind(std::string_view bytes, std::string_view name) {
    const std::string_view start = bytes.substr(0, board_head_bytes);
    if (looks_like_drill_file(bytes) || ends_in(name, {".drl", ".xln", ".exc"})) return BoardFileKind::drill;
    const auto has = [&](std::string_view words) { return start.find(words) != std::string_view::npos; };
    const bool text = start.find('\0') == std::string_view::npos && !start.starts_with("\x89PNG");
    if (text && (has("%FSLA") || has("%FSTA") || has("%MOMM*%") || has("%MOIN*%") || has("%ADD"))) return BoardFileKind::gerber;
    return ends_in(name, {".gbr", ".ger"}) ? BoardFileKind::gerber : BoardFileKind::none;
}

BoardFile read_board_file(std::string_view bytes, std::string_view name, const DrillHints& hints, bool outline) {
    BoardFile file;
    file.kind = board_file_kind(bytes, name);
    if (file.kind == BoardFileKind::drill) {
        DrillFile drill = read_drill_file(bytes, hints);
        file.region = holes_of(drill);
        file.notes = std::move(drill.remarks);
    } else {
        GerberLayer layer = read_gerber(bytes);
        file.region = outline ? edge_of(layer, name) : layer.dark;
        file.part = std::move(layer.part);
        file.notes = std::move(layer.remarks);
    }
    if (file.region.empty()) throw Error(Fault::refused, fmt::format("Nothing is drawn in '{}': there is nothing to cut.", name));
    return file;
}

Drawing drawing_of(BoardFile&& file, const Box& field) {
    Drawing drawing;
    drawing.region = moved(file.region, 0, false, {-field.lo.x, -field.lo.y});
    drawing.width = field.width();
    drawing.height = field.height();
    drawing.notes = std::move(file.notes);
    drawing.warnings = std::move(file.warnings);
    return drawing;
}

}  // namespace burin

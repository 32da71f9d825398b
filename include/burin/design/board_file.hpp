#pragma once
/// The files that programs for drawing circuit boards write, as figures: Gerber layers, drill files.
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "burin/design/drawing.hpp"
#include "burin/design/drill_file.hpp"

namespace burin {

/// Largest file that is read.
constexpr std::size_t board_most_bytes = std::size_t{64} << 20;

enum class BoardFileKind { none, gerber, drill };
/// How much of a file tells what it is.
constexpr std::size_t board_head_bytes = 65536;
/// Told by the first board_head_bytes; of a drill file without its header, by the name.
[[nodiscard]] BoardFileKind board_file_kind(std::string_view bytes, std::string_view name);

/// A layer or the holes, mm, in the file's own coordinates.
struct BoardFile {
    BoardFileKind kind = BoardFileKind::gerber;
    Region region;     ///< copper, holes; a board's edge where that was asked for
    std::string part;  ///< of the board, as the file says it ("Copper,L1,Top"); empty: it does not
    std::vector<std::string> notes, warnings;
};

/// `outline`: a Gerber layer's lines are the edge of the board, which runs along their middles; within it, edges of what is cut out of the
/// board. Throws Error: input, with the file's line; refused (nothing is drawn, a board's edge that is not closed).
[[nodiscard]] BoardFile read_board_file(std::string_view bytes, std::string_view name, const DrillHints& hints, bool outline);

/// The field's lower left corner comes to lie at (0, 0): layers with one field lie on one another as their origins do.
[[nodiscard]] Drawing drawing_of(BoardFile&& file, const Box& field);

}  // namespace burin

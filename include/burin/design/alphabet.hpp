#pragma once
/// Letters of single lines, to be followed once: an alphabet of our own.
#include <string>
#include <vector>

#include "burin/design/lettering.hpp"

namespace burin {

/// The text as lines to be followed: `lines` with a tenth of the capitals as the width of a nominal pen, no region. Box, arcs and lines
/// of text as for lettering, but aligned and fitted by the letters' advances; each letter is turned as it is on an arc.
/// There are the letters, digits and signs of western Europe (Latin-1, Œ œ Š š Ž ž Ÿ Č č Ć ć Ł ł Ń ń Ś ś Ź ź Ě ě Ř ř Ů ů ẞ, quotes, dashes,
/// ellipsis, euro). Throws Error (refused): a character that it lacks (with its code and a way out), a line longer than its circle;
/// usage: as lettering.
[[nodiscard]] Drawing alphabet_lines(const LetteringWishes& wishes);

/// Whether the alphabet has a character, a blank included.
[[nodiscard]] bool alphabet_has(char32_t c);

/// Strokes in a notation of ours, read for what glyph tables hold: points "x,y" with blanks between, strokes with ';' between. A point
/// with a `v` before it ends a quarter of an ellipse that leaves the last point upright and comes in level; with an `h` one that
/// leaves level and comes in upright. Chords leave it by at most `tolerance`. Throws Error (usage) where it is none.
[[nodiscard]] std::vector<std::vector<Point>> strokes_of(std::string_view notation, double tolerance);

}  // namespace burin

#pragma once
/// Letters as figures: text set in an outline font, in lines or along the arc of a circle.
#include <string>
#include <string_view>

#include "burin/design/drawing.hpp"

namespace burin {

enum class Align { left, centre, right };

/// Lengths in mm; 0 stands for "not wanted" or "as reckoned" where it says so.
struct LetteringWishes {
    std::string text;           ///< UTF-8; '\n' (or "\r\n") parts lines; up to 10,000 characters
    double cap_height = 10;     ///< height of 'H', 0.1…1000
    Align align = Align::left;  ///< lines among each other, by their ink
    double spacing = 0;         ///< more between letters (less where negative); ligatures are then set as single letters
    double line_pitch = 0;      ///< from baseline to baseline; 0: 1.6 cap heights
    double fit_width = 0;       ///< the size follows so that the ink of the longest line is so long (on an arc: along the baseline); 0: no
    double arc_radius = 0;      ///< of the first line's baseline; 0: straight
    bool arc_below = false;     ///< reads along the bottom of its circle, tops of letters towards the centre
    double tolerance = 0.002;   ///< how far chords may leave the font's curves
};

/// The text in outlines, united: what overlaps is cut once. width and height are those of the ink's box, whose lower left corner lies at
/// (0, 0) (to within the tolerance where a curve makes the edge).
///
/// Kerning, ligatures, joining and marks are the font's (OpenType, through HarfBuzz); lines that run from right to left, or mix
/// directions, are ordered by Unicode's bidirectional algorithm (UAX 9, through FriBidi), each by its first letter with a direction.
/// On an arc each letter with its marks is turned as it is, so that the middle of its advance stands upright on the baseline (scripts that
/// join their letters are bent along it instead, and stay joined); the text's middle is at the top, or at the bottom with `arc_below`.
/// Further lines go inwards, or outwards with `arc_below`; lines are aligned by the angle at which the widest begins and ends.
/// Drawing::arc_centre is set.
///
/// `font_bytes`: a TrueType or OpenType font (also in WOFF), `face` as FontFile counts, `font_name` for sentences. Same input, same
/// result, whatever the locale.
/// Throws Error (refused): a character the font lacks (names character, code and place, other fonts that have it), one that it draws
/// nothing for, a line longer than its circle, letters that would reach the circle's centre or lie on each other many deep, outlines of
/// too many corners; Error (usage): empty or blank text, control characters, UTF-8 that is none, numbers out of range, too much text;
/// Error (input): bytes that are no font, fonts of pictures (bitmaps), Type 1 fonts, broken fonts.
/// Cost: some ms for a line, proportional to the number of letters.
[[nodiscard]] Drawing lettering(std::string_view font_bytes, int face, const std::string& font_name, const LetteringWishes& wishes);

/// One line, as drawings that bring their own layout want it.
struct TextLine {
    Region region;       ///< the baseline starts at (0, 0)
    double advance = 0;  ///< mm to where the next piece starts
};
/// `em`: size in mm as typographers count it. Throws as lettering does.
[[nodiscard]] TextLine text_line(std::string_view font_bytes, int face, const std::string& font_name, std::string_view text, double em,
                                 double tolerance = 0.002);

}  // namespace burin

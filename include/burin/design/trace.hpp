#pragma once
/// Drawings become true geometry: a picture's ink as a region in millimetres, and the middle lines of its strokes.
#include <optional>
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/picture/picture.hpp"
#include "burin/shape/region.hpp"

namespace burin {

/// How ink is told from paper.
enum class Threshold {
    automatic,  ///< global, or local where the light on the sheet is uneven; photos are refused
    global,     ///< one value for the whole picture (Otsu 1979)
    local,      ///< against the paper around (Sauvola and Pietikäinen 2000), for scans and photos of sheets lit unevenly
    value       ///< one value by hand
};

struct TraceWishes {
    Threshold threshold = Threshold::automatic;
    double value = 0.5;              ///< Threshold::value: coded lightness 0…1 below which a place is ink
    std::optional<std::string> ink;  ///< "#rrggbb": what is near this colour is ink, whatever its lightness
    bool invert = false;             ///< light is the figure
    bool trim = false;               ///< the picture is cut to its ink first
    double despeckle = 0.05;         ///< mm²: smaller figures are dropped
    double fill = 0.05;              ///< mm²: smaller holes are closed
    double smooth = 0.02;            ///< mm: how far curves may be smoothed and thinned; corners stay. Edges without grey and grainy
                                     ///< ones are smoothed by what the picture does not know of them, and a note says so
    double width = 0, height = 0;    ///< mm of the whole picture (after trim: of the ink's box); one that is 0 follows the other
};

struct Tracing {
    Region region;  ///< mm, the picture's lower left corner at 0, 0
    double width = 0, height = 0;
    Region dropped;                  ///< specks and holes that were taken away or filled, the 2000 largest
    double threshold = 0;            ///< coded value used where there is one for the whole picture
    std::vector<std::string> notes;  ///< what was assumed and reckoned
    std::vector<std::string> warnings;
};

/// Traces a drawing. Contours run where pixels are half ink, in coded values; corners are put back where both sides meet. Figures
/// that run off the picture are closed along its border (a warning says so). Transparent places are no ink.
/// Accuracy on clean drawings: some hundredths of a pixel on edges, a tenth of a pixel in corners, more in acute tips.
/// Throws Error (refused): nothing to cut (blank, or specks only), noise, too many spots, or a photo where a drawing is wanted; Error
/// (usage): wishes that are none.
/// Sources: Otsu 1979; Sauvola and Pietikäinen 2000; see also the files of the steps. Cost: 20 megapixels in 2 s on two cores.
[[nodiscard]] Tracing trace_drawing(const Picture& picture, const TraceWishes& wishes, const Crew& crew);

/// Several tones at once, for stepped figures: one tracing for each value (coded, as TraceWishes::value; wishes.threshold and
/// wishes.value are not read), from the one with the most ink down, each within the one before. A value without ink gives an empty
/// region. After a trim all are cut to the ink of the first. Throws Error as trace_drawing does, usage also where no value is given.
[[nodiscard]] std::vector<Tracing> trace_steps(const Picture& picture, const TraceWishes& wishes, const std::vector<double>& values,
                                               const Crew& crew);

/// A line along the middle of a stroke of ink.
struct MiddleLine {
    Polyline line;
    std::vector<double> width;  ///< of the ink at each point, mm
};

/// One clean polyline a stroke: right through crossings, no spurs, ends reaching the ink's ends; bends with a corner outside keep it.
/// A dot becomes a line of one point. From the medial axis; areas that are no strokes get its main branches.
[[nodiscard]] std::vector<MiddleLine> middle_lines(const Region& ink, const Crew& crew);

}  // namespace burin

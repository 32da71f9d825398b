#pragma once
/// The page and the figures of what serves at the machine: one sheet, in the look of the other pages.
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "burin/base/point.hpp"
#include "burin/proof/proof.hpp"
#include "burin/workshop/machine.hpp"

namespace burin {

/// What to do, one step: a few words to find it by, and the rest.
struct SheetStep {
    std::string head, text;
};

struct SheetTable {
    std::string title;
    std::vector<std::string> columns;
    std::vector<std::vector<std::string>> rows;
};

/// A place in the drawing.
struct SheetMark {
    Point at;
    std::string words;
};

/// From above, y away from the operator, to scale.
struct SheetDrawing {
    std::vector<Point> outline;             ///< filled softly: what is worked on; may be empty
    std::vector<std::vector<Point>> ways;   ///< lines
    std::vector<std::vector<Point>> walks;  ///< dashed lines
    std::vector<SheetMark> marks;           ///< small circles with words
    bool zero = true;                       ///< work zero at (0, 0) is marked
    std::string caption;
};

struct SheetProgram {
    std::string file, purpose;
};

struct Sheet {
    std::string command;  ///< "pace"
    std::string kind;     ///< above the title: "The outline of the work, walked"
    std::string title, version;
    Machine machine;
    std::vector<std::pair<std::string, std::string>> facts;  ///< at the head: a name, a value
    std::vector<std::string> warnings, cautions;
    std::vector<SheetStep> steps;
    std::optional<SheetDrawing> drawing;
    std::vector<SheetTable> tables;
    std::vector<SheetProgram> programs;
    std::vector<ProgramFigures> measured;  ///< of the programs, in their order
    std::vector<Check> checks;             ///< of the programs; empty where there are none
    std::vector<std::string> unknown;      ///< what the proof does not know
    std::vector<std::string> assumed;
    /// Figures of report.json that this command alone has.
    std::vector<std::pair<std::string, std::variant<double, std::string, bool>>> figures;
    bool times = true;  ///< the page tells what times were reckoned with
};

/// One file, no outside references, no script. Every text is taken as text, never as markup.
[[nodiscard]] std::string sheet_html(const Sheet& sheet);
/// Names of the contract where they apply; null for a figure that is no number.
[[nodiscard]] std::string sheet_json(const Sheet& sheet);
/// The cautions of every sheet for a machine whose spindle must stand still, or whose beam must be dark.
[[nodiscard]] std::vector<std::string> still_cautions(const Machine& machine);

}  // namespace burin

#pragma once
/// What a board's own files need of the whole job: one field for all its layers, a cut for each bit that drills.
#include <string_view>

#include "burin/base/point.hpp"
#include "burin/design/drill_file.hpp"
#include "burin/job/job.hpp"
#include "burin/workshop/presets.hpp"

namespace burin {

/// Whether two rectangles have a place in common.
[[nodiscard]] bool meet(const Box& a, const Box& b);
/// "X0,Y0,X1,Y1", lower left and upper right corner. Throws Error (usage).
[[nodiscard]] Box parse_field(std::string_view text);
/// What a cut says of how drill files are meant.
[[nodiscard]] DrillHints drill_hints(const Cut& cut);
/// Whether a file of a board is meant as its edge: it is cut out.
[[nodiscard]] bool meant_as_edge(const Cut& cut);

/// The job with a field for every cut that is made from a board's own file, where none was given: the box round all of them, listed as
/// reckoned. Throws Error: input (files), usage, refused (layers that lie apart from all others).
[[nodiscard]] Job with_board_field(const Job& job);
/// The job with a cut for each bit of a `drill` cut of several: holes go to the drill whose size is nearest, those wider than all drills
/// to a flat bit; bits without holes are left out. Throws Error as load_source and find_workshop do.
[[nodiscard]] Job with_drills_apart(const Job& job, const PresetFolders& presets);

}  // namespace burin

#pragma once
/// Which bits for this picture, at this size.
#include "burin/job/order.hpp"

namespace burin {

/// Every sensible set of the bits given (one that finishes, alone or behind a wider one that roughs; without bits: of a few presets) is
/// planned and proved for the one argument as `run.make` says (relief, incise, outline, pocket or cutout; empty: relief), and compared
/// with the others by what stays standing and by time: choose.html, report.json. Sets that are refused are told with their reason. Same
/// order, same bytes, on any number of threads. Throws Error: usage; input; refused, where none of the sets can be cut.
[[nodiscard]] Finished make_choose(const Order& order, const PresetFolders& presets, const Crew& crew);

}  // namespace burin

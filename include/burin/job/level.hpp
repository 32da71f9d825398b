#pragma once
/// A stock that is not flat: its top is measured, and programs are bent onto it. Each is a `Work`: see order.hpp.
#include "burin/job/order.hpp"

namespace burin {

/// A program that touches the stock's top at places `apart` from each other, with the sheet that says how to keep the answers. Throws
/// Error: usage, where no stock is given; refused, where the machine does not reach or the proof finds a fault.
[[nodiscard]] Finished make_level(const Order& order, const PresetFolders& presets, const Crew& crew);

/// Programs (the arguments) bent onto the top that was measured (`points`). They are proved as they are on flat stock, then bent on a
/// stock with that top, and what is left is compared. Throws Error: usage; input, where programs or points cannot be read; refused, where
/// the programs break a promise, flat or bent.
[[nodiscard]] Finished make_bend(const Order& order, const PresetFolders& presets, const Crew& crew);

}  // namespace burin

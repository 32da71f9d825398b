#pragma once
/// What is made for the time at the machine before anything is cut. Each is a `Work`: see order.hpp.
#include "burin/job/order.hpp"

namespace burin {

/// The controller's list of settings (the one argument) becomes NAME.toml, with report.html and report.json. Throws Error: input, where
/// the list cannot be read or says what no machine has; output, where NAME.toml in the folder was not written by this command.
[[nodiscard]] Finished make_machine_file(const Order& order, const PresetFolders& presets, const Crew& crew);

/// Programs and sheet for setting the work zero: by a touch plate (`plate`), a corner plate (`plate_wall`, `plate_width` too) or a slip of
/// paper; two datum dots where `datum_dots` asks for them. Throws Error: usage; refused, where machine or plate do not allow it or the
/// proof finds a fault.
[[nodiscard]] Finished make_zero(const Order& order, const PresetFolders& presets, const Crew& crew);

/// The outline of what the programs (the arguments) cut or burn, walked above the stock. Throws Error: input, where a file is no program;
/// usage; refused, where nothing is cut or the proof finds a fault.
[[nodiscard]] Finished make_pace(const Order& order, const PresetFolders& presets, const Crew& crew);

}  // namespace burin

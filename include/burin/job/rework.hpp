#pragma once
/// Programs made of programs: after a stop, and for several evenings.
#include "burin/job/order.hpp"

namespace burin {

/// The rest of the last of the programs, from where it stopped (RunOptions::stopped_…); those before it ran before it. A job.toml and a
/// report.json beside it say what was not given. Files: NAME-rest.nc, report.html, left.png, preview.png, report.json. Throws Error: usage,
/// input; refused, where nothing was cut or nothing is left, or the new program would not give the piece of the old one.
[[nodiscard]] Finished make_resume(const Order& order, const PresetFolders& presets, const Crew& crew);

/// The last of the programs in parts (RunOptions::minutes, parts_wanted), NAME-a.nc and so on, each whole by itself. Throws likewise.
[[nodiscard]] Finished make_split(const Order& order, const PresetFolders& presets, const Crew& crew);

}  // namespace burin

#pragma once
/// Whether a job could be begun.
#include "burin/base/crew.hpp"
#include "burin/job/job.hpp"
#include "burin/workshop/presets.hpp"

namespace burin {

/// Everything that run_job asks before it designs: presets and sources are there, letters are in their font, every cut lies on the stock
/// and within the machine. Throws as run_job does. Cost: that of the sources; pictures are read and traced.
void check_ready(const Job& job, const PresetFolders& presets, const Crew& crew);

}  // namespace burin

#pragma once
/// A material's tones from the photo of a finished test card.
#include <filesystem>
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/files.hpp"
#include "burin/workshop/presets.hpp"

namespace burin {

struct ToneOrder {
    std::filesystem::path photo;
    std::filesystem::path card_job;  ///< job file of the card: the job.toml beside its programs
    double most_megapixels = 120;
};

struct ToneFound {
    std::vector<OutputFile> files;     ///< NAME.toml (the material), card.png (the card straightened), tone.svg (the curve)
    std::vector<std::string> summary;  ///< lines for the person
    std::vector<std::string> warnings;
};

/// Reads the photo, finds the card that the job makes in it, and gives the job's material with the tone curve measured.
/// Throws Error: input (files), usage (a job without a card, or with several), refused (see read_card).
[[nodiscard]] ToneFound find_tone(const ToneOrder& order, const PresetFolders& presets, const Crew& crew);

/// Writes the files into `folder`, made if missing. Throws Error (output), also where a file of that name is there that `tone` did not
/// write: nothing of the person's own is replaced.
void write_tone(const ToneFound& found, const std::filesystem::path& folder);

}  // namespace burin

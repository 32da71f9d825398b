#pragma once
/// Where several cuts lie among each other, and what the upper ones spare of the lower.
#include <string>
#include <vector>

#include "burin/base/error.hpp"
#include "combined.hpp"
#include "pipeline.hpp"

namespace burin {

/// "below:ring:4": beside which cut, on which side, how far away.
struct Alignment {
    enum class Side { above, below, left, right, centre } side = Side::centre;
    std::string of;
    double gap = 0;
};
/// Throws Error (usage).
[[nodiscard]] Alignment parse_alignment(std::string_view text);

/// Runs `deed`; its errors begin with the cut they are about.
template <class Deed>
void about_cut(const Cut& cut, std::size_t index, const Deed& deed) {
    try {
        deed();
    } catch (const Error& error) {
        throw Error(error.fault(), called(cut, index + 1) + ": " + error.what());
    }
}

/// Sources and workshops of a job's cuts, one for each.
struct PreparedCuts {
    Job job;  ///< with the sizes that `fit` asks for
    std::vector<Workshop> workshops;
    std::vector<Source> sources;
};
/// `about(k, deed)` runs what concerns cut k.
template <class About>
PreparedCuts prepare_cuts(const Job& job, const PresetFolders& presets, const Crew& crew, const About& about) {
    PreparedCuts out{job, {}, {}};
    for (std::size_t k = 0; k < job.cuts.size(); ++k)
        about(k, [&] {
            const Job one = fitted(one_cut(job, job.cuts[k]), crew);
            out.job.cuts[k] = one.cuts.front();
            out.workshops.push_back(find_workshop(one, presets));
            out.sources.push_back(load_source(one, crew));
        });
    return out;
}

/// Every question of a job with one cut answered, whatever it makes.
[[nodiscard]] SettledJob settled_alone(const Job& one, const Workshop& workshop, const Source& source);

/// Finds a stock for all where none is given, and the places of cuts that are aligned to others.
void place_cuts(Job& job, const std::vector<Workshop>& workshops, const std::vector<Source>& sources);
/// Takes from every cut what later ones with `spare` keep for themselves, and warns of what overlaps otherwise.
/// `numbers`: which cut of the job each design belongs to.
void spare_cuts(const Job& job, const std::vector<std::size_t>& numbers, std::vector<DesignedCut>& designs);

}  // namespace burin

/// The questions of a job, answered without making anything of the answers.
#include "ready.hpp"

#include "burin/base/error.hpp"
#include "placing.hpp"
#include "reckoned.hpp"
#include "settle.hpp"

namespace burin {

void check_ready(const Job& whole, const PresetFolders& presets, const Crew& crew) {
    Job job = as_given(whole);
    const bool several = job.cuts.size() > 1;
    std::vector<Workshop> workshops;
    std::vector<Source> sources;
    const auto alone = [&](std::size_t k) {
        Job one = job;
        one.cuts = {job.cuts[k]};
        return one;
    };
    const auto about = [&](std::size_t k, const auto& deed) {
        if (several)
            about_cut(job.cuts[k], k, deed);
        else
            deed();
    };
    for (std::size_t k = 0; k < job.cuts.size(); ++k)
        about(k, [&] {
            const Job one = fitted(alone(k), crew);
            job.cuts[k] = one.cuts.front();
            workshops.push_back(find_workshop(one, presets));
            sources.push_back(load_source(one, crew));
        });
    if (several) place_cuts(job, workshops, sources);
    for (std::size_t k = 0; k < job.cuts.size(); ++k)
        about(k, [&] {
            if (job.cuts[k].make == "relief")
                (void)settle_relief(alone(k), workshops[k], sources[k]);
            else
                (void)settle_figure(alone(k), workshops[k], sources[k]);
        });
}

}  // namespace burin

/// The questions of a job, answered without making anything of the answers.
#include "ready.hpp"

#include "board_field.hpp"
#include "burin/base/error.hpp"
#include "placing.hpp"
#include "reckoned.hpp"
#include "settle.hpp"

namespace burin {

void check_ready(const Job& whole, const PresetFolders& presets, const Crew& crew) {
    const Job given = with_drills_apart(with_board_field(as_given(whole)), presets);
    const bool several = given.cuts.size() > 1;
    const auto about = [&](std::size_t k, const auto& deed) {
        if (several)
            about_cut(given.cuts[k], k, deed);
        else
            deed();
    };
    PreparedCuts ready = prepare_cuts(given, presets, crew, about);
    if (several) place_cuts(ready.job, ready.workshops, ready.sources);
    for (std::size_t k = 0; k < ready.job.cuts.size(); ++k)
        about(k, [&] { (void)settled_alone(one_cut(ready.job, ready.job.cuts[k]), ready.workshops[k], ready.sources[k]); });
}

}  // namespace burin

/// The job as a whole: what can be refused at once, the picture, and which kind of job it is.
#include "burin/job/run.hpp"

#include "burin/base/error.hpp"
#include "burin/job/job_file.hpp"
#include "burin/job/options.hpp"
#include "combined.hpp"
#include "fmt/format.h"
#include "pipeline.hpp"
#include "placing.hpp"
#include "reckoned.hpp"
#include "settle.hpp"

namespace burin {

void check_inputs_survive(const Job& job, const std::filesystem::path& job_file, const std::filesystem::path& folder) {
    namespace fs = std::filesystem;
    const auto same = [&](const fs::path& input, const char* result) {
        std::error_code error;
        return fs::equivalent(input, folder / result, error) && !error;
    };
    for (const Cut& cut : job.cuts)
        for (const char* result : {"preview.png", "surface.png", "paths.svg", "job.toml", "report.html", "report.json"})
            if (cut.picture && same(*cut.picture, result))
                throw Error(Fault::output,
                            fmt::format("The picture '{}' would be replaced by a result of the same name. Give another folder with -o.",
                                        *cut.picture));
    if (!job_file.empty() && same(job_file, "job.toml") && !read_text(job_file, "job file").starts_with(job_file_mark))
        throw Error(
            Fault::output,
            fmt::format(
                "Your job file '{}' would be replaced by the one that goes with the results. Give another folder with -o, or rename it.",
                job_file.string()));
}

namespace {

/// The job with this one cut alone, and nothing that concerns the whole.
Job one_cut(const Job& job, const Cut& cut) {
    Job one = job;
    one.cuts = {cut};
    return one;
}

DesignedCut designed(const Job& one, const Workshop& workshop, Source& source, const Crew& crew) {
    if (one.cuts.front().make == "relief") return design_relief(settle_relief(one, workshop, source), source.picture, crew);
    return design_figure_cut(settle_figure(one, workshop, source), std::move(source), crew);
}

/// What is planned and proved by itself: a cut, or one step of a pocket.
struct Unit {
    std::size_t number = 0;
    int step = 0, steps = 1;
};

/// One step, of a source that goes on to be needed.
DesignedCut designed_step(const Job& one, const Workshop& workshop, const Source& source, int step, const Crew& crew) {
    Source tone = source;
    tone.picture = {};
    tone.drawing.region = source.steps[static_cast<std::size_t>(step)];
    if (step > 0) drop(tone.drawing.notes), drop(tone.drawing.warnings), drop(tone.dropped);
    return design_figure_cut(settle_figure(one, workshop, source, step), std::move(tone), crew);
}

ProvedCut proved(DesignedCut&& cut, const Crew& crew) {
    if (auto* relief = std::get_if<DesignedRelief>(&cut)) return prove_relief(std::move(*relief), crew);
    return prove_figure(std::get<DesignedFigure>(std::move(cut)), crew);
}

const Picture* shown(const Picture& picture) { return picture.samples.empty() ? nullptr : &picture; }

Finished run_alone(const Job& given, const PresetFolders& presets, const Crew& crew) {
    const Job job = fitted(given, crew);
    if (job.cuts.front().align || job.cuts.front().spare.value_or(false))
        throw Error(Fault::usage,
                    "--align and --spare speak of other cuts, and there is only this one: they belong in a job file with several.");
    const Workshop workshop = find_workshop(job, presets);
    Source source = load_source(job, crew);
    ProvedCut cut = proved(designed(job, workshop, source, crew), crew);
    settle_release(cut.job, cut.programs, cut.proof, crew);
    const Job written = cut.job.written;
    Programs programs = std::move(cut.programs);
    const JobReport report = report_of(std::move(cut), shown(source.picture), programs);
    return finished_of(report, written, std::move(programs), crew);
}

Finished run_together(const Job& job, const PresetFolders& presets, const Crew& crew) {
    if (job.trial)
        throw Error(Fault::usage,
                    "A trial piece is made of one plain cut, and this job has several (or steps). Make a job with the most demanding one.");
    Job shared = job;
    shared.one_file = false;
    std::vector<Workshop> workshops;
    std::vector<Source> sources;
    for (std::size_t k = 0; k < job.cuts.size(); ++k) {
        about_cut(job.cuts[k], k, [&] {
            const Job one = fitted(one_cut(shared, job.cuts[k]), crew);
            shared.cuts[k] = one.cuts.front();
            workshops.push_back(find_workshop(one, presets));
            sources.push_back(load_source(one, crew));
        });
    }
    place_cuts(shared, workshops, sources);
    std::vector<Unit> units;
    std::vector<DesignedCut> designs;
    std::vector<std::size_t> numbers;
    for (std::size_t k = 0; k < job.cuts.size(); ++k)
        about_cut(job.cuts[k], k, [&] {
            const Job one = one_cut(shared, shared.cuts[k]);
            const int steps = static_cast<int>(sources[k].steps.size());
            for (int step = 0; step < std::max(steps, 1); ++step) {
                designs.push_back(steps > 0 ? designed_step(one, workshops[k], sources[k], step, crew)
                                            : designed(one, workshops[k], sources[k], crew));
                units.push_back({k, step, steps});
                numbers.push_back(k);
            }
        });
    spare_cuts(shared, numbers, designs);
    std::vector<ProvedCut> cuts;
    std::vector<const Picture*> pictures;
    for (std::size_t u = 0; u < units.size(); ++u) {
        const std::size_t k = units[u].number;
        about_cut(job.cuts[k], k, [&] { cuts.push_back(proved(std::move(designs[u]), crew)); });
        drop(cuts.back().proof.surface);  // as large as the stock, for every cut; the whole is proved on one of its own
        cuts.back().number = k;
        if (units[u].steps > 1) cuts.back().step = fmt::format("step {}", units[u].step + 1);
        if (units[u].step > 0) cuts.back().follows = u - 1;
        pictures.push_back(shown(sources[k].picture));
    }
    return finish_together(job, std::move(cuts), pictures, crew);
}

}  // namespace

Finished run_job(const Job& whole, const PresetFolders& presets, const Crew& crew) {
    const Job job = as_given(whole);
    if (job.cuts.empty()) throw Error(Fault::usage, "The job has nothing to make.");
    if (job.trial_at && !job.trial)
        throw Error(Fault::usage, "--trial-at says where a trial piece lies, and none was asked for: add --trial, as in --trial 20x20.");
    const bool alone = job.cuts.size() == 1 && job.cuts.front().steps.value_or(1) == 1;
    return alone ? run_alone(job, presets, crew) : run_together(job, presets, crew);
}

}  // namespace burin

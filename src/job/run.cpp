/// The job as a whole: what can be refused at once, the picture, and which kind of job it is.
#include "burin/job/run.hpp"

#include "board_field.hpp"
#include "burin/base/error.hpp"
#include "burin/job/job_file.hpp"
#include "burin/job/options.hpp"
#include "burn.hpp"
#include "combined.hpp"
#include "fmt/format.h"
#include "pipeline.hpp"
#include "placing.hpp"
#include "reckoned.hpp"
#include "settle.hpp"
#include "sides.hpp"

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

DesignedCut designed(const Job& one, const Workshop& workshop, Source& source, const Crew& crew) {
    if (one.cuts.front().make == "relief") return design_relief(settle_relief(one, workshop, source), source.picture, crew);
    if (one.cuts.front().make == "card") return design_card_cut(settle_card(one, workshop, source));
    if (one.cuts.front().make == "face") return DesignedFace{settle_face(one, workshop, source)};
    if (shows_tones(one.cuts.front())) return design_photo_cut(settle_photo(one, workshop, source), source.picture, crew);
    return design_figure_cut(settle_figure(one, workshop, source), std::move(source), crew);
}

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
    if (auto* face = std::get_if<DesignedFace>(&cut)) return prove_face(std::move(*face), crew);
    return prove_figure(std::get<DesignedFigure>(std::move(cut)), crew);
}

const Picture* shown(const Picture& picture) { return picture.samples.empty() ? nullptr : &picture; }

Finished run_alone(const Job& given, const PresetFolders& presets, const Crew& crew) {
    const Job job = fitted(given, crew);
    if (job.cuts.front().align || job.cuts.front().spare.value_or(false))
        throw Error(Fault::usage,
                    "--align and --spare speak of other cuts, and there is only this one: they belong in a job file with several.");
    if (job.cuts.front().make == "burn" || burns_card(job, presets)) return run_burn(job, presets, crew);
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
    const auto about = [&](std::size_t k, const auto& deed) { about_cut(job.cuts[k], k, deed); };
    for (std::size_t k = 0; k < job.cuts.size(); ++k)
        if (job.cuts[k].make == "burn" || burns_card(one_cut(job, job.cuts[k]), presets))
            about(k, [] {
                throw Error(
                    Fault::usage,
                    "What is burnt is a job of its own, before or after the bits: the head, the focus and the cautions are others. Put "
                    "it into a job file by itself, with the same stock and zero.");
            });
    for (std::size_t k = 1; k < job.cuts.size(); ++k)
        if (job.cuts[k].make == "face")
            about(k, [] {
                throw Error(Fault::usage,
                            "Facing makes the plane on which all others are cut, once: put it first in the job file, and there only.");
            });
    Job apart = job;
    apart.one_file = false;
    PreparedCuts ready = prepare_cuts(apart, presets, crew, about);
    std::vector<Source>& sources = ready.sources;
    place_cuts(ready.job, ready.workshops, sources);
    // What is planned and proved by itself: a cut, or one step of a pocket; and which cut of the job it belongs to.
    std::vector<DesignedCut> designs;
    std::vector<std::size_t> numbers;
    for (std::size_t k = 0; k < job.cuts.size(); ++k)
        about(k, [&] {
            const Job one = one_cut(ready.job, ready.job.cuts[k]);
            const int steps = static_cast<int>(sources[k].steps.size());
            for (int step = 0; step < steps; ++step) designs.push_back(designed_step(one, ready.workshops[k], sources[k], step, crew));
            if (steps == 0) designs.push_back(designed(one, ready.workshops[k], sources[k], crew));
            numbers.resize(designs.size(), k);
        });
    spare_cuts(ready.job, numbers, designs);
    std::vector<ProvedCut> cuts;
    std::vector<const Picture*> pictures;
    for (std::size_t u = 0, step = 1; u < designs.size(); ++u) {
        const std::size_t k = numbers[u];
        about(k, [&] { cuts.push_back(proved(std::move(designs[u]), crew)); });
        drop(cuts.back().proof.surface);  // as large as the stock, for every cut; the whole is proved on one of its own
        const bool goes_on = u > 0 && numbers[u - 1] == k;
        step = goes_on ? step + 1 : 1;
        cuts.back().number = k;
        if (sources[k].steps.size() > 1) cuts.back().step = fmt::format("step {}", step);
        if (goes_on) cuts.back().follows = u - 1;
        pictures.push_back(shown(sources[k].picture));
    }
    return finish_together(job, std::move(cuts), pictures, crew);
}

}  // namespace

Finished run_job(const Job& whole, const PresetFolders& presets, const Crew& crew) {
    const Job given = as_given(whole);
    if (given.cuts.empty()) throw Error(Fault::usage, "The job has nothing to make.");
    const Job job = with_drills_apart(with_board_field(given), presets);
    if (job.trial_at && !job.trial)
        throw Error(Fault::usage, "--trial-at says where a trial piece lies, and none was asked for: add --trial, as in --trial 20x20.");
    const auto make = [&](const Job& part) {
        const bool alone = part.cuts.size() == 1 && part.cuts.front().steps.value_or(1) == 1;
        return alone ? run_alone(part, presets, crew) : run_together(part, presets, crew);
    };
    return has_two_sides(job) ? run_sides(job, crew, make) : make(job);
}

}  // namespace burin

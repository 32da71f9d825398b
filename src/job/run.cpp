/// The job as a whole: what can be refused at once, the picture, and which kind of job it is.
#include "burin/job/run.hpp"

#include "burin/base/error.hpp"
#include "burin/job/job_file.hpp"
#include "burin/job/options.hpp"
#include "fmt/format.h"
#include "pipeline.hpp"
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

Finished run_job(const Job& whole, const PresetFolders& presets, const Crew& crew) {
    const Job job = as_given(whole);
    if (job.cuts.size() != 1)
        throw Error(
            Fault::usage,
            fmt::format("The job has {} cuts, and one is what can be made at once. Keep one [[cut]] and make the others by themselves.",
                        job.cuts.size()));
    const Cut& cut = job.cuts.front();
    const Workshop workshop = find_workshop(job, presets);
    if (!cut.picture) throw Error(Fault::usage, "No picture was given.");
    if (!is_utf8(*cut.picture))
        throw Error(Fault::input,
                    "The picture's name holds bytes that are no letters (no UTF-8), which the job file could not say. Rename it.");
    if (job.trial_at && !job.trial)
        throw Error(Fault::usage, "--trial-at says where a trial piece lies, and none was asked for: add --trial, as in --trial 20x20.");
    crew.say("picture");
    Bytes bytes = read_file(*cut.picture, "picture");
    const std::string digest = sha256({reinterpret_cast<const char*>(bytes.data()), bytes.size()});
    if (cut.sha256 && *cut.sha256 != digest)
        throw Error(Fault::input, fmt::format("The picture '{}' is not the one that the job was made with: its SHA-256 differs. Put the "
                                              "old picture there, or take the line sha256 out of the job file.",
                                              *cut.picture));
    const Picture picture = read_picture(bytes, *cut.picture, {cut.megapixels.value_or(PictureLimits{}.most_megapixels)});
    drop(bytes);

    return cut.make == "relief" ? run_relief(job, workshop, picture, digest, crew) : run_figure(job, workshop, picture, digest, crew);
}

}  // namespace burin

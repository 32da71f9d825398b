/// The commands. They find presets and folders, call the library, and print.
#include "commands.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <mutex>
#include <thread>

#include "burin/base/drawn_refusal.hpp"
#include "burin/base/files.hpp"
#include "burin/job/check.hpp"
#include "burin/job/choose.hpp"
#include "burin/job/each.hpp"
#include "burin/job/job_file.hpp"
#include "burin/job/level.hpp"
#include "burin/job/manual.hpp"
#include "burin/job/order.hpp"
#include "burin/job/rework.hpp"
#include "burin/job/run.hpp"
#include "burin/job/setup.hpp"
#include "burin/job/slice.hpp"
#include "burin/job/tone.hpp"
#include "burin/workshop/presets.hpp"

namespace burin::app {
namespace fs = std::filesystem;
namespace {

/// The user's own first, then BURIN_PRESETS, then what came with the program: beside a build, or installed.
PresetFolders preset_folders() {
    PresetFolders found;
    const auto add = [&](const fs::path& folder) {
        std::error_code error;
        if (fs::is_directory(folder, error)) found.folders.push_back(folder);
    };
    if (const char* config = std::getenv("XDG_CONFIG_HOME"); config && *config)
        add(fs::path(config) / "burin");
    else if (const char* home = std::getenv("HOME"); home && *home)
        add(fs::path(home) / ".config" / "burin");
    if (const char* named = std::getenv("BURIN_PRESETS"); named && *named) {
        if (!fs::is_directory(named)) throw Error(Fault::input, fmt::format("BURIN_PRESETS names '{}', which is no folder.", named));
        add(named);
    }
    std::error_code error;
    const fs::path program = fs::read_symlink("/proc/self/exe", error);
    if (!error) {
        add(program.parent_path() / "presets");
        add(program.parent_path().parent_path() / "share" / "burin" / "presets");
        add(program.parent_path().parent_path() / "presets");
    }
#ifdef BURIN_PRESETS_SOURCE
    add(BURIN_PRESETS_SOURCE);
#endif
    return found;
}

/// One line on the terminal, drawn again at most ten times a second.
class ProgressLine {
public:
    explicit ProgressLine(bool shown) : shown_(shown) {}
    ~ProgressLine() { clear(); }
    ProgressLine(const ProgressLine&) = delete;
    ProgressLine& operator=(const ProgressLine&) = delete;
    void tell(std::string_view stage, double share) {
        const std::lock_guard lock(mutex_);
        const auto now = std::chrono::steady_clock::now();
        if (!shown_ || (stage == stage_ && now - drawn_ < std::chrono::milliseconds(100))) return;
        drawn_ = now;
        stage_ = stage;
        fmt::print(stderr, "\r\033[K{}{}", stage, share > 0 ? fmt::format(" {:.0f} %", share * 100) : "");
        std::fflush(stderr);
    }
    void clear() {
        const std::lock_guard lock(mutex_);
        if (shown_ && !stage_.empty()) fmt::print(stderr, "\r\033[K");
        stage_.clear();
    }

private:
    bool shown_;
    std::mutex mutex_;
    std::string stage_;
    std::chrono::steady_clock::time_point drawn_;
};

/// To standard output. A reader that went away is no error of the job; what cannot be written is.
void print(std::string_view text) {
    errno = 0;
    const bool written = std::fwrite(text.data(), 1, text.size(), stdout) == text.size() && std::fflush(stdout) == 0;
    if (!written && errno != EPIPE)
        throw Error(Fault::output, "Standard output cannot be written: the medium is full or closed. Give it another place.");
}

/// On a command line a new line is written as \n.
std::string with_line_breaks(std::string_view text) {
    std::string out;
    for (std::size_t at = 0; at < text.size(); ++at) {
        const bool breaks = text.substr(at, 2) == "\\n";
        out += breaks ? '\n' : text[at];
        if (breaks) ++at;
    }
    return out;
}

/// The command line may ask for another way to run the same job.
void run_otherwise(const CommandLine& line, Job& job) {
    if (line.job.trial) job.trial = line.job.trial;
    if (line.job.trial_at) job.trial_at = line.job.trial_at;
    if (line.job.air) job.air = line.job.air;
    if (line.job.inch) job.inch = line.job.inch;
    if (line.job.one_file) job.one_file = line.job.one_file;
}

Job job_of(const CommandLine& line) {
    if (line.command->command & cut_commands) {
        Job job = line.job;
        Cut cut = line.cut;
        cut.make = line.command->name;
        if (!line.argument.empty()) cut.picture = fs::absolute(line.argument).lexically_normal().string();
        if (cut.text) cut.text = with_line_breaks(*cut.text);
        job.cuts.push_back(std::move(cut));
        return job;
    }
    const fs::path file(line.argument);
    Job job = read_job(read_text(file, "job file"), line.argument, fs::absolute(file).parent_path());
    run_otherwise(line, job);
    return job;
}

Crew crew_for(const CommandLine& line, const std::atomic<bool>& stop, ProgressLine& progress) {
    Crew crew;
    crew.threads = static_cast<int>(line.run.threads.value_or(std::max(1U, std::thread::hardware_concurrency())));
    crew.stop = &stop;
    crew.tell = [&](std::string_view stage, double share) { progress.tell(stage, share); };
    return crew;
}

/// A table's rows. The status is 1 where any of them could not be made.
int make_rows(const CommandLine& line, const std::atomic<bool>& stop) {
    const RunOptions& run = line.run;
    if (!run.output) throw Error(Fault::usage, "No folder was given for the results: add -o FOLDER.");
    if (run.json.value_or(false)) throw Error(Fault::usage, "--json prints the figures of one job, and --each makes many: leave it out.");
    if (run.gap_between && !run.nest) throw Error(Fault::usage, "--gap-between says nothing here: it belongs to --nest.");
    const bool quiet = run.quiet.value_or(false);
    ProgressLine progress(!quiet && ::isatty(STDERR_FILENO));
    const Crew crew = crew_for(line, stop, progress);
    const EachWishes wishes{line.argument, *run.each, *run.output,     run.name_column,
                            run.only,      run.nest,  run.gap_between, [&](Job& job) { run_otherwise(line, job); }};
    const EachOutcome outcome = make_each(wishes, preset_folders(), crew);
    progress.clear();
    constexpr std::size_t most = 50;
    for (std::size_t k = 0; k < std::min(most, outcome.failed.size()); ++k) fmt::print(stderr, "not made: {}\n", outcome.failed[k]);
    if (outcome.failed.size() > most) fmt::print(stderr, "not made: {} more, listed in index.html\n", outcome.failed.size() - most);
    if (!quiet) {
        std::string said;
        for (const std::string& text : outcome.summary) said += text + '\n';
        print(said + fmt::format("Before you cut, look at {}\n", (wishes.folder / "index.html").string()));
    }
    return outcome.failed.empty() ? 0 : static_cast<int>(Fault::refused);
}

/// A refusal that can be drawn leaves its drawing in the folder of the results, and nothing else.
Finished run_or_draw(const Job& job, const fs::path& folder, const Crew& crew) {
    try {
        return run_job(job, preset_folders(), crew);
    } catch (const DrawnRefusal& refusal) {
        fs::create_directories(folder);
        write_file(folder / DrawnRefusal::file, refusal.drawing());
        throw Error(refusal.fault(), fmt::format("{}\n  Only a drawing of where that is was left: {}", refusal.what(),
                                                 (folder / DrawnRefusal::file).string()));
    }
}

int make_job(const CommandLine& line, const std::atomic<bool>& stop) {
    if (!line.run.output)
        throw Error(Fault::usage, fmt::format("No folder was given for the results: add -o FOLDER, as in {}", line.command->example));
    const fs::path folder(*line.run.output);
    const bool quiet = line.run.quiet.value_or(false), json = line.run.json.value_or(false);
    const Job job = job_of(line);
    check_folder(folder);
    check_inputs_survive(job, line.command->command == command_make ? fs::path(line.argument) : fs::path(), folder);
    ProgressLine progress(!quiet && ::isatty(STDERR_FILENO));
    const Crew crew = crew_for(line, stop, progress);
    const Finished finished = run_or_draw(job, folder, crew);
    progress.tell("writing", 0);
    release(folder, finished.files);  // from here on Ctrl-C waits
    progress.clear();
    if (!quiet)
        for (const std::string& warning : finished.warnings) fmt::print(stderr, "warning: {}\n", warning);
    std::string said;
    if (json) {
        said = finished.files.back().content;
    } else if (!quiet) {
        for (const std::string& text : finished.summary) said += text + '\n';
        said += fmt::format("Before you cut, read {}\n", (folder / "report.html").string());
    }
    try {
        print(said);
    } catch (const Error& error) {
        throw Error(error.fault(), fmt::format("{} The job itself is done and lies in '{}'.", error.what(), folder.string()));
    }
    return 0;
}

/// What a command has made goes into its folder; its summary says where to look.
int obey(const CommandLine& line, const std::atomic<bool>& stop, Work work) {
    if (!line.run.output)
        throw Error(Fault::usage, fmt::format("No folder was given for the results: add -o FOLDER, as in {}", line.command->example));
    const fs::path folder(*line.run.output);
    const bool quiet = line.run.quiet.value_or(false), json = line.run.json.value_or(false);
    check_folder(folder);
    Order order{line.arguments, line.job, line.run};
    order.job.cuts.push_back(line.cut);
    ProgressLine progress(!quiet && ::isatty(STDERR_FILENO));
    const Finished made = work(order, preset_folders(), crew_for(line, stop, progress));
    release(folder, made.files);
    progress.clear();
    if (!quiet)
        for (const std::string& warning : made.warnings) fmt::print(stderr, "warning: {}\n", warning);
    std::string said;
    if (json) {
        said = made.files.back().content;
    } else if (!quiet) {
        for (const std::string& text : made.summary) said += text + '\n';
    }
    print(said);
    return 0;
}

/// Programs, in their order, on one stock.
int check_files(const CommandLine& line, const std::atomic<bool>& stop) {
    const bool quiet = line.run.quiet.value_or(false), json = line.run.json.value_or(false);
    if (line.run.output) check_folder(*line.run.output);
    std::vector<CheckedFile> files;
    constexpr std::size_t most_bytes = std::size_t{1} << 30;
    for (const std::string& name : line.arguments) files.push_back({name, read_text(name, "program", most_bytes)});
    Job job = line.job;
    job.cuts.push_back(line.cut);
    ProgressLine progress(!quiet && ::isatty(STDERR_FILENO));
    const Crew crew = crew_for(line, stop, progress);
    const Checked checked = check_programs(files, job, preset_folders(), line.run.output || json, crew);
    if (line.run.output) release(*line.run.output, checked.files);
    progress.clear();
    for (const std::string& finding : checked.findings) fmt::print(stderr, "against it: {}\n", finding);
    std::string said;
    if (json) {
        said = checked.files.back().content;
    } else if (!quiet) {
        for (const std::string& text : checked.summary) said += text + '\n';
        for (const std::string& text : checked.remarks) said += "  note: " + text + '\n';
        if (line.run.output) said += fmt::format("See {}\n", (fs::path(*line.run.output) / "report.html").string());
    }
    print(said);
    return checked.holds ? 0 : static_cast<int>(Fault::refused);
}

/// The photo of a card becomes a material.
int read_tone(const CommandLine& line, const std::atomic<bool>& stop) {
    const RunOptions& run = line.run;
    if (!run.card)
        throw Error(Fault::usage,
                    fmt::format("Which card the photo shows was not said: add --card JOB.toml, as in {}", line.command->example));
    if (!run.output)
        throw Error(Fault::usage, fmt::format("No folder was given for the material: add -o FOLDER, as in {}", line.command->example));
    const bool quiet = run.quiet.value_or(false);
    ProgressLine progress(!quiet && ::isatty(STDERR_FILENO));
    ToneOrder order{line.argument, *run.card};
    if (line.cut.megapixels) order.most_megapixels = *line.cut.megapixels;
    const ToneFound found = find_tone(order, preset_folders(), crew_for(line, stop, progress));
    const fs::path folder(*run.output);
    write_tone(found, folder);
    progress.clear();
    if (quiet) return 0;
    for (const std::string& warning : found.warnings) fmt::print(stderr, "warning: {}\n", warning);
    std::string said;
    for (const std::string& text : found.summary) said += text + '\n';
    print(said + fmt::format("Look at {}, then cut with --material {}\n", (folder / "card.png").string(),
                             (folder / found.files.front().name).string()));
    return 0;
}

/// A file of the person's own is never replaced.
void write_starter(const fs::path& file) {
    std::error_code error;
    if (fs::exists(file, error))
        throw Error(Fault::output, fmt::format("'{}' is there already and is left alone. Give another name.", file.string()));
    write_file(file, starter_job());
    print(fmt::format("Wrote {0}. Change what you like, then: burin make {0} -o FOLDER\n", file.string()));
}

}  // namespace

int run_command(const CommandLine& line, const std::atomic<bool>& stop) {
    if (line.version) {
        print(fmt::format("burin {}\n", BURIN_VERSION));
        return 0;
    }
    if (line.help) {
        print(line.command ? help_text(*line.command) : overview_text());
        return 0;
    }
    switch (line.command->command) {
        case command_relief:
        case command_incise:
        case command_outline:
        case command_pocket:
        case command_stroke:
        case command_cutout:
        case command_isolate:
        case command_drill:
        case command_face:
        case command_screen:
        case command_stipple:
        case command_burn:
        case command_card:
            return make_job(line, stop);
        case command_tone:
            return read_tone(line, stop);
        case command_check:
            return check_files(line, stop);
        case command_machine:
            return obey(line, stop, make_machine_file);
        case command_zero:
            return obey(line, stop, make_zero);
        case command_pace:
            return obey(line, stop, make_pace);
        case command_level:
            return obey(line, stop, make_level);
        case command_bend:
            return obey(line, stop, make_bend);
        case command_resume:
            return obey(line, stop, make_resume);
        case command_split:
            return obey(line, stop, make_split);
        case command_slice:
            return obey(line, stop, make_slice);
        case command_choose:
            return obey(line, stop, make_choose);
        case command_make:
            try {
                if (line.run.each) return make_rows(line, stop);
                for (const bool given : {line.run.name_column.has_value(), line.run.only.has_value(), line.run.nest.has_value(),
                                         line.run.gap_between.has_value()})
                    if (given)
                        throw Error(Fault::usage,
                                    "--name-column, --only, --nest and --gap-between belong to --each, and there is no table.");
                return make_job(line, stop);
            } catch (const Error& error) {
                throw Error(error.fault(), in_keys(error.what()));
            }
        case command_list: {
            std::string names;
            for (const std::string& name : preset_names(preset_folders(), line.argument)) names += name + '\n';
            print(names);
            return 0;
        }
        case command_show:
            print(preset_text(preset_folders(), line.argument));
            return 0;
        case command_manual:
            print(line.run.markdown.value_or(false) ? option_reference() : man_page(BURIN_VERSION));
            return 0;
        case command_new:
            write_starter(line.argument);
            return 0;
        case command_completion:
            print(completion_script(line.argument));
            return 0;
    }
    return 0;
}

}  // namespace burin::app

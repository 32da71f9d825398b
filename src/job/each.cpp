/// Batches. A table's rows become tasks (a job and its folder), boards as well; what is done is known by a digest that lies with the
/// results, so that a run that was stopped goes on where it was. Cost: that of the jobs, and a reading of the job file per row.
#include "burin/job/each.hpp"

#include <algorithm>
#include <map>
#include <mutex>
#include <nlohmann/json.hpp>

#include "burin/base/error.hpp"
#include "burin/base/files.hpp"
#include "burin/job/csv.hpp"
#include "burin/job/job_file.hpp"
#include "burin/job/options.hpp"
#include "burin/job/run.hpp"
#include "burin/motion/timing.hpp"
#include "burin/report/index_page.hpp"
#include "burin/workshop/fonts.hpp"
#include "fmt/format.h"
#include "nest.hpp"
#include "ready.hpp"
#include "reckoned.hpp"
#include "row_names.hpp"
#include "settle.hpp"

namespace burin {
namespace {

namespace fs = std::filesystem;
using Json = nlohmann::ordered_json;

constexpr const char* mark_file = "row.json";          // beside the results, released with them
constexpr const char* failure_file = "not-made.json";  // in place of results
constexpr double usual_gap = 5;

/// One folder to be filled. The job itself is made again when it is due: a thousand of them need not wait in memory.
struct Task {
    std::string name, row, digest;
    std::vector<std::size_t> rows;  ///< of the table, from 0
    std::vector<std::string> holds;
    std::vector<Point> lower_left;  ///< boards: of each piece
    bool chosen = true;
    std::string wrong;  ///< what the check said; empty: it will do
};

class Batch {
public:
    Batch(const EachWishes& wishes, const PresetFolders& presets, const Crew& crew)
        : wishes_(wishes),
          presets_(presets),
          crew_(crew),
          job_text_(read_text(wishes.job_file, "job file")),
          job_folder_(fs::absolute(wishes.job_file).parent_path()),
          table_(read_csv(read_text(wishes.table, "table", csv_most_bytes), wishes.table.string())),
          names_(row_names(table_, wishes.name_column, wishes.table.string())) {
        if (table_.rows.empty())
            throw Error(Fault::input, fmt::format("{} has no rows below its first line, which names the columns.", wishes.table.string()));
    }

    [[nodiscard]] EachOutcome run() {
        const RowRange range = chosen_rows();
        std::vector<Task> tasks = wishes_.board ? boards() : single_rows(range);
        std::error_code error;
        fs::create_directories(wishes_.folder, error);
        EachOutcome outcome;
        if (range.first > 0) make_all(tasks, outcome);
        write_index(tasks, outcome);
        return outcome;
    }

private:
    [[nodiscard]] RowRange chosen_rows() const {
        const std::size_t count = table_.rows.size();
        if (!wishes_.only) return {1, count};
        RowRange range = parse_rows(*wishes_.only);
        if (range.first == 0) return range;
        if (wishes_.board)
            throw Error(Fault::usage, "Boards are laid out from all rows: --only 0 writes their page, other rows cannot be chosen.");
        if (range.first > count)
            throw Error(Fault::usage, fmt::format("--only begins with row {}, and {} has {}.", range.first, wishes_.table.string(), count));
        range.last = std::min(range.last, count);
        return range;
    }

    [[nodiscard]] std::string row_words(std::size_t row) const {
        return fmt::format("row {}, line {} of {}", row + 1, table_.rows[row].line, wishes_.table.filename().string());
    }

    [[nodiscard]] Job job_of(std::size_t row) const {
        std::map<std::string, std::string> values;
        for (std::size_t k = 0; k < table_.columns.size(); ++k) values[table_.columns[k]] = table_.rows[row].values[k];
        Job job = read_job(job_text_, wishes_.job_file.string(), job_folder_, values);
        if (wishes_.adjust) wishes_.adjust(job);
        if (!job.name) job.name = names_[row];
        return job;
    }
    /// On a board a design as large as its stock is sized by its own piece, and has that size from then on.
    [[nodiscard]] Job piece_of(std::size_t row) const {
        Job job = as_given(job_of(row));
        for (Cut& cut : job.cuts) {
            if (!cut.fit) continue;
            cut = fitted(one_cut(job, cut), alone()).cuts.front();
            cut.fit.reset();
            cut.reckoned.clear();
        }
        return job;
    }
    [[nodiscard]] Job job_of(const Task& task) const {
        if (!wishes_.board) return job_of(task.rows.front());
        std::vector<Piece> pieces;
        for (const std::size_t row : task.rows) pieces.push_back({names_[row], piece_of(row)});
        return board_job(pieces, task.lower_left, *wishes_.board, fmt::format("{}, {}", wishes_.job_file.stem().string(), task.name));
    }

    /// SHA-256 of a file that many rows may name.
    const std::string& file_digest(const std::string& path, const char* kind) {
        const std::lock_guard lock(digests_mutex_);
        const auto found = digests_.find(path);
        if (found != digests_.end()) return found->second;
        return digests_[path] = sha256(text_of(read_file(path, kind)));
    }
    const std::string& font_digest(const std::string& font) {
        {
            const std::lock_guard lock(digests_mutex_);
            const auto found = fonts_.find(font);
            if (found != fonts_.end()) return found->second;
        }
        const FontFile file = find_font(font);
        std::string digest = fmt::format("{} {}", file.face, file_digest(file.path.string(), "font"));
        const std::lock_guard lock(digests_mutex_);
        return fonts_.emplace(font, std::move(digest)).first->second;
    }

    /// Everything that the results depend on: the program, the job with its presets written out, pictures and fonts.
    [[nodiscard]] std::string digest_of(Job job) {
        std::string all = fmt::format("burin {}\n", BURIN_VERSION), files;
        if (job.stock && names_stock_file(*job.stock)) files += file_digest(*job.stock, "stock's file") + '\n';
        for (Cut& cut : job.cuts) {
            const Workshop workshop = find_workshop(one_cut(job, cut), presets_);
            if (&cut == job.cuts.data()) {
                job.machine_table = workshop.machine;
                job.material_table = workshop.material;
            }
            for (const Bit& bit : workshop.bits) files += write_bit(bit) + '\n';
            if (cut.picture) files += file_digest(*cut.picture, "picture") + '\n';
            const bool own_letters = sets_single_lines(cut);
            if (cut.text && !own_letters) files += font_digest(cut.font.value_or(usual_font)) + '\n';
        }
        return sha256(all + files + write_job(job));
    }

    /// What is wrong with each row: empty where nothing is. Throws where no row will do at all.
    [[nodiscard]] std::vector<std::string> wrong_rows(const RowRange& range, const std::function<void(std::size_t)>& check) const {
        std::vector<std::string> sentences(table_.rows.size());
        if (range.first == 0) return sentences;
        std::vector<Fault> faults(sentences.size(), Fault::usage);
        Crew quiet = crew_;
        quiet.tell = nullptr;
        in_parallel(quiet, static_cast<int>(range.last - range.first + 1), [&](int k) {
            const std::size_t row = range.first - 1 + static_cast<std::size_t>(k);
            crew_.check();
            try {
                check(row);
            } catch (const Error& error) {
                if (error.fault() == Fault::stopped || error.fault() == Fault::output) throw;
                sentences[row] = in_keys(error.what());
                faults[row] = error.fault();
            }
        });
        for (std::size_t row = range.first - 1; row < range.last; ++row)
            if (sentences[row].empty()) return sentences;
        const std::size_t first = range.first - 1;
        throw Error(faults[first], range.first == range.last
                                       ? fmt::format("The only row, {}, will not do: {}", row_words(first), sentences[first])
                                       : fmt::format("None of the {} rows will do. The first, {}: {}", range.last - first, row_words(first),
                                                     sentences[first]));
    }

    /// Whether lettering and shapes can be made and lie on the stock. Pictures take long to look through: they are only read here.
    void check_quickly(const Job& job) const {
        if (std::any_of(job.cuts.begin(), job.cuts.end(), [](const Cut& cut) { return cut.picture.has_value(); })) return;
        check_ready(job, presets_, alone());
    }
    /// A crew of one for what runs beside others.
    [[nodiscard]] Crew alone() const {
        Crew one;
        one.stop = crew_.stop;
        return one;
    }

    [[nodiscard]] std::vector<Task> single_rows(const RowRange& range) {
        std::vector<Task> tasks(table_.rows.size());
        crew_.say("checking rows");
        for (std::size_t row = 0; row < tasks.size(); ++row) {
            tasks[row].name = names_[row];
            tasks[row].row = row_words(row);
            tasks[row].rows = {row};
            tasks[row].chosen = row + 1 >= range.first && row + 1 <= range.last;
        }
        const std::vector<std::string> sentences = wrong_rows(range, [&](std::size_t row) {
            const Job job = job_of(row);
            check_inputs_survive(job, wishes_.job_file, wishes_.folder / names_[row]);
            check_folder(wishes_.folder / names_[row]);
            tasks[row].digest = digest_of(job);
            if (!mark_of(tasks[row])) check_quickly(job);
        });
        for (std::size_t row = 0; row < tasks.size(); ++row) tasks[row].wrong = sentences[row];
        return tasks;
    }

    [[nodiscard]] std::vector<Task> boards() {
        const StockSize board = parse_stock(*wishes_.board);
        if (board.round) throw Error(Fault::usage, "--nest lays pieces on rectangular boards, as in 300x200x6.");
        const double gap = wishes_.gap.value_or(usual_gap);
        std::vector<Point> sizes(table_.rows.size());
        crew_.say("checking rows");
        const std::vector<std::string> sentences = wrong_rows({1, sizes.size()}, [&](std::size_t row) {
            const Job job = piece_of(row);
            const Point size = piece_size(job, *wishes_.board);
            check_gap(job, gap);
            if (size.x + 2 * gap > board.width + 1e-6 || size.y + 2 * gap > board.height + 1e-6)
                throw Error(Fault::usage, fmt::format("A piece of {} × {} mm with a gap of {} mm round it is larger than the board.",
                                                      number_text(size.x), number_text(size.y), number_text(gap)));
            check_ready(job, presets_, alone());  // on the board nothing would keep a design within its piece
            sizes[row] = size;
        });
        // A row that will not do has no size, and takes no room.
        std::vector<std::size_t> rows;
        std::vector<Point> placed;
        for (std::size_t row = 0; row < sizes.size(); ++row)
            if (sentences[row].empty()) rows.push_back(row), placed.push_back(sizes[row]);
        std::vector<Task> tasks = laid_out(rows, packed(placed, {board.width, board.height}, gap));
        for (std::size_t row = 0; row < sizes.size(); ++row) {
            if (sentences[row].empty()) continue;
            tasks.push_back({names_[row], row_words(row), {}, {row}, {}, {}, true, sentences[row]});
        }
        return tasks;
    }

    [[nodiscard]] std::vector<Task> laid_out(const std::vector<std::size_t>& rows, const std::vector<Spot>& spots) {
        std::vector<Task> tasks;
        for (std::size_t k = 0; k < rows.size(); ++k) {
            while (tasks.size() <= spots[k].board)
                tasks.push_back({fmt::format("board-{}", tasks.size() + 1), {}, {}, {}, {}, {}, true, {}});
            Task& task = tasks[spots[k].board];
            task.rows.push_back(rows[k]);
            task.holds.push_back(names_[rows[k]]);
            task.lower_left.push_back(spots[k].lo);
        }
        for (Task& task : tasks) {
            task.row = fmt::format("{} piece{}", task.rows.size(), task.rows.size() == 1 ? "" : "s");
            check_folder(wishes_.folder / task.name);
            task.digest = digest_of(job_of(task));
        }
        return tasks;
    }

    void check_gap(const Job& job, double gap) const {
        std::vector<double> widest;
        for (const Cut& cut : job.cuts) {
            widest.push_back(0);
            const Workshop workshop = find_workshop(one_cut(job, cut), presets_);
            for (const Bit& bit : workshop.bits) widest.back() = std::max(widest.back(), bit.diameter());
        }
        if (const double least = least_gap(job, widest); gap < least - 1e-9)
            throw Error(Fault::usage,
                        fmt::format("A gap of {} mm is too narrow: what is cut out needs {} mm round it, the bit and the allowance on both "
                                    "sides. Give a larger --gap-between.",
                                    number_text(gap), number_text(least)));
    }

    /// What lies in the folder: empty where it is no finished job, or another one.
    [[nodiscard]] std::optional<Json> mark_of(const Task& task) const {
        const fs::path folder = wishes_.folder / task.name;
        std::error_code error;
        if (!fs::exists(folder / "report.json", error) || !fs::exists(folder / mark_file, error)) return {};
        return read_mark(folder / mark_file, task);
    }
    [[nodiscard]] std::optional<Json> failure_of(const Task& task) const {
        const fs::path file = wishes_.folder / task.name / failure_file;
        std::error_code error;
        if (!fs::exists(file, error)) return {};
        return read_mark(file, task);
    }
    /// Without a digest (the page alone is asked for) any mark of that row does.
    [[nodiscard]] static std::optional<Json> read_mark(const fs::path& file, const Task& task) {
        try {
            Json mark = Json::parse(read_text(file, "mark", 1 << 20), nullptr, false);
            if (!mark.is_object() || !mark.contains("digest") || !mark["digest"].is_string()) return {};
            if (!task.digest.empty() && mark["digest"] != task.digest) return {};
            return mark;
        } catch (const Error&) {
            return {};
        }
    }

    [[nodiscard]] std::string mark_text(const Task& task, const std::string& report) const {
        const Json full = Json::parse(report);
        Json mark;
        mark["digest"] = task.digest;
        mark["row"] = task.row;
        mark["time_s"] = full["time_s"];
        mark["bits"] = Json::array();
        for (const Json& program : full["programs"])
            if (std::find(mark["bits"].begin(), mark["bits"].end(), program["tool"]) == mark["bits"].end())
                mark["bits"].push_back(program["tool"]);
        mark["warnings"] = full["warnings"].size();
        return mark.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
    }

    void make_one(const Task& task, const Crew& crew) const {
        const fs::path folder = wishes_.folder / task.name;
        Finished finished = run_job(job_of(task), presets_, crew);
        finished.files.insert(finished.files.end() - 1, {mark_file, mark_text(task, finished.files.back().content)});
        release(folder, finished.files);
        std::error_code error;
        fs::remove(folder / failure_file, error);
    }

    void note_failure(const Task& task, const std::string& sentence) const {
        const fs::path folder = wishes_.folder / task.name;
        Json mark;
        mark["digest"] = task.digest;
        mark["row"] = task.row;
        mark["sentence"] = sentence;
        std::error_code error;
        fs::create_directories(folder, error);
        write_file(folder / failure_file, mark.dump(2, ' ', false, Json::error_handler_t::replace) + "\n");
    }

    void make_all(const std::vector<Task>& tasks, EachOutcome& outcome) const {
        std::vector<const Task*> due;
        for (const Task& task : tasks) {
            if (!task.chosen) continue;
            if (!task.wrong.empty()) {
                if (!wishes_.board) note_failure(task, task.wrong);
                outcome.failed.push_back(fmt::format("{} ({}): {}", task.name, task.row, task.wrong));
            } else if (mark_of(task))
                ++outcome.kept;
            else
                due.push_back(&task);
        }
        const auto count = static_cast<int>(due.size());
        if (count == 0) return;
        const int beside = std::min(crew_.threads, count);
        Crew many = crew_, each = crew_;
        many.threads = beside;
        each.threads = std::max(1, crew_.threads / beside);
        each.tell = nullptr;
        if (count == 1) each.tell = crew_.tell;
        std::vector<std::string> sentences(due.size());
        std::mutex mutex;
        std::size_t ended = 0;
        bool full = false;
        in_parallel(many, count, [&](int k) {
            const Task& task = *due[static_cast<std::size_t>(k)];
            {
                const std::lock_guard lock(mutex);
                if (full) return;
            }
            crew_.check();
            try {
                make_one(task, each);
            } catch (const Error& error) {
                if (error.fault() == Fault::stopped) throw;
                if (error.fault() == Fault::output) {
                    const std::lock_guard lock(mutex);
                    full = true;
                    throw;
                }
                sentences[static_cast<std::size_t>(k)] = in_keys(error.what());
            } catch (const std::bad_alloc&) {
                sentences[static_cast<std::size_t>(k)] = "There was not enough memory for this one.";
            }
            if (const std::string& sentence = sentences[static_cast<std::size_t>(k)]; !sentence.empty()) note_failure(task, sentence);
            const std::lock_guard lock(mutex);
            ++ended;
            crew_.say(fmt::format("{} of {} done", ended, count));
        });
        for (std::size_t k = 0; k < due.size(); ++k) {
            if (sentences[k].empty())
                ++outcome.done;
            else
                outcome.failed.push_back(fmt::format("{} ({}): {}", due[k]->name, due[k]->row, sentences[k]));
        }
    }

    [[nodiscard]] IndexEntry entry_of(const Task& task) const {
        IndexEntry entry;
        entry.name = entry.folder = task.name;
        entry.row = task.row;
        entry.holds = task.holds;
        try {
            const auto failure = failure_of(task);
            const auto mark = mark_of(task);
            if (!task.wrong.empty()) {
                entry.sentence = task.wrong;
                entry.state = IndexEntry::State::failed;
            } else if (mark && !(failure && task.digest.empty())) {
                entry.time_s = mark->at("time_s").get<double>();
                entry.bits = mark->at("bits").get<std::vector<std::string>>();
                entry.warnings = mark->at("warnings").get<std::size_t>();
                entry.state = IndexEntry::State::done;
            } else if (failure) {
                entry.sentence = failure->at("sentence").get<std::string>();
                entry.state = IndexEntry::State::failed;
            }
        } catch (const Json::exception&) {
            entry.state = IndexEntry::State::missing;  // a mark that somebody changed
        }
        return entry;
    }

    void write_index(const std::vector<Task>& tasks, EachOutcome& outcome) const {
        IndexPage page{wishes_.job_file.stem().string(), BURIN_VERSION, wishes_.board ? "board" : "piece", {}};
        double seconds = 0;
        std::size_t there = 0, all = 0;
        for (const Task& task : tasks) {
            page.entries.push_back(entry_of(task));
            if (!wishes_.board || !task.holds.empty()) ++all;
            if (page.entries.back().state != IndexEntry::State::done) continue;
            ++there;
            seconds += page.entries.back().time_s;
        }
        write_file(wishes_.folder / "index.html", index_html(page));
        outcome.summary.push_back(
            fmt::format("{} of {} {}s proved; {} of cutting all together.", there, all, page.what, duration_text(seconds)));
        if (outcome.kept > 0) outcome.summary.push_back(fmt::format("  {} were finished before and stayed as they are.", outcome.kept));
        if (!outcome.failed.empty()) outcome.summary.push_back(fmt::format("  {} could not be made.", outcome.failed.size()));
    }

    const EachWishes& wishes_;
    const PresetFolders& presets_;
    const Crew& crew_;
    std::string job_text_;
    fs::path job_folder_;
    CsvTable table_;
    std::vector<std::string> names_;
    std::mutex digests_mutex_;
    std::map<std::string, std::string> digests_, fonts_;
};

std::size_t row_number(std::string_view text) {
    const double value = parse_number(text);
    if (!(value >= 0 && value <= 1e9) || value != static_cast<double>(static_cast<std::size_t>(value)) || text.find('.') != text.npos)
        throw Error(Fault::usage, "");
    return static_cast<std::size_t>(value);
}

}  // namespace

RowRange parse_rows(std::string_view text) {
    const std::size_t dash = text.find('-', 1);
    RowRange range;
    try {
        range.first = row_number(text.substr(0, dash));
        range.last = dash == std::string_view::npos ? range.first : row_number(text.substr(dash + 1));
    } catch (const Error&) {
        range = {1, 0};
    }
    if (range.last < range.first || (range.first == 0 && range.last > 0))
        throw Error(Fault::usage,
                    fmt::format("'{}' are no rows: give one or a span of them, as in 7 or 1-50, or 0 for the page alone.", text));
    return range;
}

EachOutcome make_each(const EachWishes& wishes, const PresetFolders& presets, const Crew& crew) {
    check_folder(wishes.folder);
    return Batch(wishes, presets, crew).run();
}

}  // namespace burin

/// Sets of bits compared: each goes through the whole of planning and proving, and only its figures stay. Cost: as many jobs as there are
/// sets, at once as far as threads and memory allow.
#include "burin/job/choose.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <optional>

#include "burin/base/error.hpp"
#include "burin/job/options.hpp"
#include "burin/motion/timing.hpp"
#include "burin/report/choice_page.hpp"
#include "choose_sets.hpp"
#include "pipeline.hpp"
#include "reckoned.hpp"

namespace burin {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t most_bits = 8;
constexpr double quick_cells = 4e6;     // more than so many are made coarser, up to what can still be proved
constexpr double cells_at_once = 16e6;  // of all sets that are worked on at once: what one job may have anyway
constexpr double coarsest_cell = 0.1;   // mm
constexpr double figure_cell = 0.05;    // mm: of a figure's proof, at the most

/// What the command itself says of a job, with all bits still in it.
Job job_of(const Order& order) {
    Job job = order.job;
    Cut& cut = job.cuts.at(0);
    cut.make = order.run.make.value_or("relief");
    cut.picture = fs::absolute(order.arguments.at(0)).lexically_normal().string();
    const Command command = command_named(cut.make)->command;
    for (const Option& option : option_table())
        if ((option.commands & command_choose) != 0 && (option.commands & command) == 0 && held_value(option, job, cut))
            throw Error(Fault::usage, fmt::format("--{} says nothing of {}: leave it out, or give another --make.", option.name, cut.make));
    if (cut.bits.size() > most_bits)
        throw Error(Fault::usage, fmt::format("{} bits were given, and at most {} are compared: leave out those that are much alike.",
                                              cut.bits.size(), most_bits));
    for (std::size_t k = 0; k < cut.bits.size(); ++k)
        for (std::size_t other = 0; other < k; ++other)
            if (cut.bits[k].use == cut.bits[other].use)
                throw Error(
                    Fault::usage,
                    fmt::format("--bit {} was given twice: each bit is named once, and tried alone and with the others.", cut.bits[k].use));
    return job;
}

struct Trial {
    Job job;
    Choice choice;
    std::variant<std::monostate, SettledRelief, SettledFigure> settled;
    double cells = 0;
};

/// Coarser than the bit asks for where that would take long; steps are those that jobs reckon with.
std::optional<double> quick_cell(const SettledRelief& relief) {
    const Box& area = relief.job.stock.bounds;
    const auto cells = [&](double cell) { return area.width() / cell * (area.height() / cell); };
    const double own = relief.heights.cell;
    if (cells(own) <= quick_cells) return {};
    for (const double cell : {0.05, coarsest_cell})
        if (cell > own && (cells(cell) <= quick_cells || cell == coarsest_cell)) return cell;
    return {};
}

void settle(Trial& trial, const PresetFolders& presets, const Source& source) {
    const Workshop workshop = find_workshop(trial.job, presets);
    if (trial.job.cuts[0].make != "relief") {
        SettledFigure figure = settle_figure(trial.job, workshop, source);
        const Box& area = figure.job.stock.bounds;
        trial.cells = std::min(cells_at_once, area.width() / figure_cell * (area.height() / figure_cell));
        trial.settled = std::move(figure);
        return;
    }
    SettledRelief relief = settle_relief(trial.job, workshop, source);
    if (!trial.job.cuts[0].cell)
        if (const auto cell = quick_cell(relief)) {
            Job coarse = trial.job;
            coarse.cuts[0].cell = cell;
            relief = settle_relief(coarse, workshop, source);
            relief.heights.cell = *cell;
        }
    const Box& area = relief.job.stock.bounds;
    trial.cells = area.width() / relief.heights.cell * (area.height() / relief.heights.cell);
    trial.settled = std::move(relief);
}

ProvedCut proved(Trial& trial, const Source& source, const Crew& crew) {
    if (auto* relief = std::get_if<SettledRelief>(&trial.settled))
        return prove_relief(design_relief(std::move(*relief), source.picture, crew), crew);
    Source own = source;
    drop(own.picture);
    return prove_figure(design_figure_cut(std::get<SettledFigure>(std::move(trial.settled)), std::move(own), crew), crew);
}

/// The set's figures; what is not among them goes.
void measure(Trial& trial, const Source& source, const Crew& crew) {
    const ProvedCut cut = proved(trial, source, crew);
    Choice& choice = trial.choice;
    std::vector<Bit> busy;
    std::optional<std::size_t> before;
    for (const Program& program : cut.programs.each) {
        busy.push_back(cut.job.bits[program.bit].bit);
        if (before && *before != program.bit) ++choice.changes;
        before = program.bit;
    }
    for (const ProgramFigures& figures : cut.proof.programs) choice.time_s += figures.time_s;
    choice.depth = cut.job.depth;
    choice.cell = cut.proof.surface.cell();
    if (cut.unreached) {
        choice.loss = loss_of(*cut.unreached, crew);
        choice.piece = preview_png(cut.proof.surface, cut.job.stock, cut.job.material, crew);
    } else if (cut.figure) {
        choice.loss = loss_of(*cut.figure, busy, crew);
    }
}

/// Work on one set; what a job refuses is a reason, all else is a fault.
template <class Deed>
void try_set(Trial& trial, const Deed& deed) {
    if (!trial.choice.refused.empty()) return;
    try {
        deed();
    } catch (const Error& error) {
        if (error.fault() != Fault::refused) throw;
        Choice refused;
        refused.bits = trial.choice.bits;
        refused.refused = error.what();
        trial.choice = std::move(refused);
    }
}

std::vector<Trial> trials_of(const Job& job, const std::string& picture, const PresetFolders& presets) {
    const Cut& cut = job.cuts.at(0);
    UsualBits names = usual_bits(cut.make);
    if (!cut.bits.empty()) {
        names = {};
        for (const BitUse& use : cut.bits) names.bits.push_back(use.use);
    }
    std::vector<Bit> bits;
    for (const std::string& name : names.bits) bits.push_back(find_bit(presets, name));
    std::vector<Trial> trials;
    for (const std::vector<std::size_t>& set : sets_of(bits, names.finishing, cut.make)) {
        Trial& trial = trials.emplace_back();
        trial.job = job;
        trial.job.cuts[0].bits.clear();
        for (const std::size_t k : set) {
            trial.job.cuts[0].bits.emplace_back().use = names.bits[k];
            trial.choice.bits.push_back(names.bits[k]);
        }
        const std::string folder = job.name.value_or(fs::path(picture).stem().string());
        trial.choice.command = command_line(trial.job, picture, folder);
    }
    return trials;
}

/// All sets, as many at once as memory allows.
void measure_all(std::vector<Trial>& trials, const Source& source, const Crew& crew) {
    double largest = 1;
    for (const Trial& trial : trials) largest = std::max(largest, trial.cells);
    const int room = std::max(1, static_cast<int>(cells_at_once / largest));
    Crew sets, inside;
    sets.threads = std::clamp(room, 1, std::max(1, crew.threads));
    inside.threads = std::max(1, crew.threads / sets.threads);
    sets.stop = inside.stop = crew.stop;
    crew.say("sets of bits");
    in_parallel(sets, static_cast<int>(trials.size()), [&](int k) {
        Trial& trial = trials[static_cast<std::size_t>(k)];
        try_set(trial, [&] { measure(trial, source, inside); });
    });
    crew.check();
}

void put_assumed(const Job& job, const std::vector<Trial>& trials, ChoicePage& page) {
    if (job.cuts[0].bits.empty())
        page.assumed.push_back("No bits were given: a few presets were tried (--bit, once for each bit that you have).");
    if (!job.material) page.assumed.push_back(fmt::format("No material was given: {}.", page.material));
    if (!job.machine) page.assumed.push_back(fmt::format("No machine was given: '{}'.", page.machine.name));
    if (page.make == "relief" && !job.cuts[0].depth && job.cuts[0].heights != "transmit")
        page.assumed.push_back("No depth was given: 2 mm.");
    double coarsest = 0;
    for (const Trial& trial : trials) coarsest = std::max(coarsest, trial.choice.cell);
    page.assumed.push_back(fmt::format(
        "Everything was computed on cells of at most {} mm, to be quick; the job itself may take finer ones, and its times and losses "
        "differ a little then.",
        number_text(coarsest)));
}

std::vector<std::string> summary_of(const ChoicePage& page) {
    std::vector<std::string> lines;
    const auto sensible = sensible_of(page.choices);
    for (std::size_t k = 0; k < page.choices.size(); ++k) {
        const Choice& choice = page.choices[k];
        const std::string bits = fmt::format("{}", fmt::join(choice.bits, " + "));
        lines.push_back(choice.refused.empty() ? fmt::format("{} {:<28} loses {}, {}", sensible == k ? '*' : ' ', bits,
                                                             loss_words(choice.loss), duration_text(choice.whole_time_s()))
                                               : fmt::format("  {:<28} cannot be cut: see the page", bits));
    }
    const Choice& chosen = page.choices[*sensible];
    lines.push_back(fmt::format("Take {}: {}", fmt::join(chosen.bits, " + "), choice_reason(page)));
    lines.push_back("Go on with: " + chosen.command);
    return lines;
}

}  // namespace

Finished make_choose(const Order& order, const PresetFolders& presets, const Crew& crew) {
    const Job job = job_of(order);
    const std::string& picture = order.arguments.front();
    std::vector<Trial> trials = trials_of(job, picture, presets);
    const Source source = load_source(job, crew);
    for (Trial& trial : trials) try_set(trial, [&] { settle(trial, presets, source); });
    ChoicePage page{.name = job.name.value_or(fs::path(picture).stem().string()),
                    .version = BURIN_VERSION,
                    .make = job.cuts[0].make,
                    .picture_name = source.name,
                    .material = {},
                    .machine = {},
                    .size = {},
                    .choices = {},
                    .assumed = {}};
    for (const Trial& trial : trials) {
        const SettledJob* settled = nullptr;
        if (const auto* relief = std::get_if<SettledRelief>(&trial.settled)) settled = &relief->job;
        if (const auto* figure = std::get_if<SettledFigure>(&trial.settled)) settled = &figure->job;
        if (settled) page.machine = settled->machine, page.material = settled->material.name, page.size = settled->size;
    }
    measure_all(trials, source, crew);
    for (Trial& trial : trials) page.choices.push_back(trial.choice);
    if (!sensible_of(page.choices))
        throw Error(Fault::refused, fmt::format("None of the {} sets of bits can be cut. {}: {}", trials.size(),
                                                fmt::join(page.choices.front().bits, " + "), page.choices.front().refused));
    put_assumed(job, trials, page);
    Finished finished;
    finished.files = {{"choose.html", choice_html(page, crew)}, {"report.json", choice_json(page)}};
    finished.summary = summary_of(page);
    if (order.run.output) finished.summary.push_back(fmt::format("See {}", (fs::path(*order.run.output) / "choose.html").string()));
    return finished;
}

}  // namespace burin

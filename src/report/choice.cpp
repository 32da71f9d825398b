/// Which set of bits is sensible, why, and the figures of all of them.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <span>
#include <tuple>

#include "burin/motion/timing.hpp"
#include "burin/report/choice_page.hpp"
#include "figure_page.hpp"
#include "ink.hpp"
#include "json_parts.hpp"
#include "page_parts.hpp"

namespace burin {
namespace {

using ink::number;

constexpr int picture_width = 420;

/// The set that loses least; of equals the one that enters most places.
std::optional<std::size_t> best_of(const std::vector<Choice>& choices) {
    std::optional<std::size_t> best;
    const auto loses = [&](std::size_t k) { return std::tuple(choices[k].loss.share, choices[k].loss.too_narrow); };
    for (std::size_t k = 0; k < choices.size(); ++k)
        if (choices[k].refused.empty() && (!best || loses(k) < loses(*best))) best = k;
    return best;
}

/// Shares below a hundredth of a per cent are noise of the grid.
double told(double share) { return std::round(share * 1e4) / 1e4; }

json_parts::Json choice_json(const Choice& choice) {
    json_parts::Json j;
    j["bits"] = choice.bits;
    const bool proved = choice.refused.empty();
    const auto figure = [&](double value) { return proved ? json_parts::figure(value) : json_parts::Json(nullptr); };
    j["refused"] = json_parts::text_or_null(choice.refused);
    j["time_s"] = figure(choice.time_s);
    j["bit_changes"] = figure(choice.changes);
    j["time_with_changes_s"] = figure(choice.whole_time_s());
    j["lost_share"] = figure(choice.loss.share);
    j["worst_mm"] = choice.loss.worst ? figure(*choice.loss.worst) : json_parts::Json(nullptr);
    j["too_narrow"] = figure(choice.loss.too_narrow);
    j["narrowest_mm"] = choice.loss.narrowest > 0 ? figure(choice.loss.narrowest) : json_parts::Json(nullptr);
    j["round_corners"] = figure(choice.loss.corners);
    j["depth_mm"] = figure(choice.depth);
    j["cell_mm"] = figure(choice.cell);
    j["command"] = json_parts::text_or_null(choice.command);
    return j;
}

}  // namespace

ChoiceLoss loss_of(const Unreached& left, const Crew& crew) {
    ChoiceLoss loss;
    loss.share = left.share;
    loss.worst = left.worst;
    loss.where = left.where;
    const auto bytes = std::as_bytes(std::span(left.map.data(), left.map.size()));
    loss.picture = page::image(page::small(read_picture(bytes, "map"), picture_width, crew), 80, "The design, and in colour what stays");
    return loss;
}

ChoiceLoss loss_of(const FigureReport& figure, const std::vector<Bit>& bits, const Crew& crew) {
    const FigureLosses losses = losses_of(figure, bits, crew);
    ChoiceLoss loss;
    loss.share = losses.share;
    loss.too_narrow = static_cast<int>(losses.thin.size());
    loss.corners = losses.corners;
    if (!losses.thin.empty()) loss.narrowest = losses.narrowest(), loss.where = losses.thin.front().at;
    loss.picture = page::lost_picture(figure, losses, bits);
    return loss;
}

std::optional<std::size_t> sensible_of(const std::vector<Choice>& choices) {
    const auto best = best_of(choices);
    if (!best) return {};
    const auto price = [&](const Choice& choice) {
        const double doublings = std::log2(std::max(1.0, std::round(choice.whole_time_s())));
        return std::tuple(std::round(1e6 * (doublings + told(choice.loss.share) / worth_of_double_time)), choice.bits.size(),
                          told(choice.loss.share));
    };
    std::optional<std::size_t> found;
    for (std::size_t k = 0; k < choices.size(); ++k) {
        const Choice& choice = choices[k];
        if (!choice.refused.empty() || choice.loss.too_narrow > choices[*best].loss.too_narrow) continue;
        if (!found || price(choice) < price(choices[*found])) found = k;
    }
    return found;
}

std::string loss_words(const ChoiceLoss& loss) {
    if (loss.share < 5e-5 && loss.too_narrow == 0) return "nothing";
    return fmt::format("{} % of the area", number(100 * loss.share, loss.share < 0.01 ? 2 : 1));
}

std::string choice_reason(const ChoicePage& page) {
    const auto best = best_of(page.choices), sensible = sensible_of(page.choices);
    if (!sensible) return "None of these sets can be cut.";
    const Choice &chosen = page.choices[*sensible], &finest = page.choices[*best];
    std::string why = fmt::format("{} in all, loses {}", duration_text(chosen.whole_time_s()), loss_words(chosen.loss));
    if (told(chosen.loss.share) > told(finest.loss.share))
        why += fmt::format("; the finest ({}) loses {} and takes {}, and for twice the time {} % should be won back",
                           fmt::join(finest.bits, " + "), loss_words(finest.loss), duration_text(finest.whole_time_s()),
                           number(100 * worth_of_double_time));
    else
        why += ", and no set loses less";
    const auto fast = std::min_element(page.choices.begin(), page.choices.end(), [](const Choice& a, const Choice& b) {
        return std::tuple(!a.refused.empty(), a.whole_time_s()) < std::tuple(!b.refused.empty(), b.whole_time_s());
    });
    if (fast->whole_time_s() < chosen.whole_time_s() - 0.5)
        why += fmt::format("; {} would be done in {}, but loses {}{}", fmt::join(fast->bits, " + "), duration_text(fast->whole_time_s()),
                           loss_words(fast->loss),
                           fast->loss.too_narrow > chosen.loss.too_narrow ? " and does not get into all narrow places" : "");
    return why + ".";
}

std::string choice_json(const ChoicePage& page) {
    json_parts::Json j;
    j["job"] = page.name;
    j["burin"] = page.version;
    j["command"] = "choose";
    j["make"] = page.make;
    j["machine"] = json_parts::machine_json(page.machine);
    j["material"] = page.material;
    j["width_mm"] = json_parts::figure(page.size.x);
    j["height_mm"] = json_parts::figure(page.size.y);
    j["worth_of_double_time"] = worth_of_double_time;
    j["time_of_a_change_s"] = Choice::change_time_s;
    const auto sensible = sensible_of(page.choices);
    j["sensible"] = sensible ? json_parts::Json(page.choices[*sensible].bits) : json_parts::Json(nullptr);
    j["reason"] = choice_reason(page);
    j["go_on"] = sensible ? json_parts::Json(page.choices[*sensible].command) : json_parts::Json(nullptr);
    j["sets"] = json_parts::Json::array();
    for (const Choice& choice : page.choices) j["sets"].push_back(choice_json(choice));
    j["assumed"] = page.assumed;
    return j.dump(2, ' ', false, json_parts::Json::error_handler_t::replace) + "\n";
}

}  // namespace burin

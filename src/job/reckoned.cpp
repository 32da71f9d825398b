/// Values that the program chose are only notes for the reader of a job file: whatever else is changed there, they follow.
/// Cost: nothing beside the job.
#include "reckoned.hpp"

#include <algorithm>

namespace burin {
namespace {

template <class Owner>
void forget(const Option& option, Owner& owner) {
    if (const auto* member = std::get_if<MemberOf<Owner>>(&option.member))
        std::visit(
            [&](auto pointer) {
                if constexpr (!is_list<std::decay_t<decltype(owner.*pointer)>>) (owner.*pointer).reset();
            },
            *member);
}

template <class Owner>
std::optional<OptionValue> held(const Option& option, const Owner& owner) {
    const auto* member = std::get_if<MemberOf<Owner>>(&option.member);
    if (!member) return {};
    return std::visit(
        [&](auto pointer) -> std::optional<OptionValue> {
            const auto& value = owner.*pointer;
            if constexpr (!is_list<std::decay_t<decltype(value)>>)
                if (value) return OptionValue(*value);
            return {};
        },
        *member);
}

void forget_wish(std::string_view name, FeedWishes& wishes) {
    if (name == "feed") wishes.feed.reset();
    if (name == "plunge") wishes.plunge.reset();
    if (name == "speed") wishes.speed.reset();
    if (name == "depth-per-pass") wishes.depth_per_pass.reset();
}

/// As the words alone say it: no feeds of its own, no size changed.
bool as_named(const BitUse& use) {
    const FeedWishes& wishes = use.wishes;
    if (wishes.feed || wishes.plunge || wishes.speed || wishes.depth_per_pass) return false;
    if (!use.bit) return true;
    return Bit::looks_like_sizes(use.use) && Bit::parse(use.use).spec() == use.bit->spec();
}

}  // namespace

std::optional<OptionValue> held_value(const Option& option, const Job& job, const Cut& cut) {
    const std::optional<OptionValue> of_job = held(option, job);
    return of_job ? of_job : held(option, cut);
}

Job as_given(const Job& job) {
    Job given = job;
    for (const std::string& name : job.reckoned)
        if (const Option* option = option_named(name)) forget(*option, given);
    given.reckoned.clear();
    for (Cut& cut : given.cuts) {
        for (BitUse& use : cut.bits) {
            for (const std::string& name : use.reckoned) forget_wish(name, use.wishes);
            use.reckoned.clear();
        }
        for (const std::string& name : cut.reckoned) {
            if (const Option* option = option_named(name)) forget(*option, cut);
            if (name == "bit" && std::all_of(cut.bits.begin(), cut.bits.end(), as_named)) cut.bits.clear();
        }
        cut.reckoned.clear();
    }
    return given;
}

}  // namespace burin

#pragma once
/// Values that the program chose and wrote into a job file, told apart from those of the person.
#include <optional>
#include <string_view>

#include "burin/job/job.hpp"
#include "burin/job/options.hpp"

namespace burin {

/// What an option of the job or of the cut holds; empty: not given, or bits.
[[nodiscard]] std::optional<OptionValue> held_value(const Option& option, const Job& job, const Cut& cut);

/// The job as the person gave it: values listed as reckoned are taken out, so that they are reckoned anew. Bits that were
/// the usual ones go too, unless something about them was changed.
[[nodiscard]] Job as_given(const Job& job);

}  // namespace burin

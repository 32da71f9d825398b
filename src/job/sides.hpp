#pragma once
/// A board that is made from both sides: two jobs on one piece of stock, and the sheet that leads from one to the other.
#include <functional>

#include "burin/job/run.hpp"

namespace burin {

/// Whether some cuts are made from below, and others from above.
[[nodiscard]] bool has_two_sides(const Job& job);
/// Both sides, each by `make`; their programs and pages bear the side's name. Throws Error: usage (no stock, layers that are placed or
/// sized differently), refused (layers that do not overlap), and as `make` does.
[[nodiscard]] Finished run_sides(const Job& job, const Crew& crew, const std::function<Finished(const Job&)>& make);

}  // namespace burin

#pragma once
/// Several cuts, each proved by itself, become the programs of one job.
#include <vector>

#include "pipeline.hpp"

namespace burin {

/// Cuts that use one bit share a program, in running_order. What removal leaves does not depend on the order of moves, and with less
/// stock in its way no move takes more: what each cut's lines kept by themselves they keep together, and the whole is proved again for
/// all that happens between them. `pictures` belong to `cuts` in order, null where there is none.
/// Throws Error (refused) where the whole breaks a promise.
[[nodiscard]] Finished finish_together(const Job& given, std::vector<ProvedCut>&& cuts, const std::vector<const Picture*>& pictures,
                                       const Crew& crew);

/// What a cut is called at the start of a sentence, "Cut 2, ring", and within one.
[[nodiscard]] std::string called(const Cut& cut, std::size_t number);
[[nodiscard]] std::string within_sentence(std::string called);

}  // namespace burin

#pragma once
/// In which order the programs of several cuts run, so that bits are changed as seldom as can be.
#include <cstddef>
#include <optional>
#include <vector>

#include "burin/base/point.hpp"

namespace burin {

/// What a cut wants done, in its own order.
struct CutTasks {
    std::vector<std::size_t> bits;          ///< which bit each of its programs needs, by number
    Box box;                                ///< where it lies
    std::optional<std::size_t> follows;     ///< another one, before it in the list, that must be as far with every bit
    bool last = false;                      ///< cuts pieces loose: after all that do not
    std::optional<std::size_t> after = {};  ///< another one, before it in the list, that must be done altogether before this begins
};
struct CutPart {
    std::size_t cut = 0, program = 0;  ///< program: index into CutTasks::bits
    friend bool operator==(const CutPart&, const CutPart&) = default;
};
/// Parts that share one bit and one program.
struct SharedProgram {
    std::size_t bit = 0;
    std::vector<CutPart> parts;
};

/// Every cut's programs in their order, those that cut loose after all others, with the fewest programs (exact where the ways to
/// interleave are at most some hundred thousand, else a bit that nobody wants again comes next, or that which most wait for); of equals the
/// bit with the lower number first. Within a program what lies within another's box comes before that, and then the nearest.
[[nodiscard]] std::vector<SharedProgram> running_order(const std::vector<CutTasks>& cuts);

}  // namespace burin

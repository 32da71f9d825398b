// Large pages for large blocks. Linux gives them on request (madvise, MADV_HUGEPAGE) where they are not given anyhow.
#include "burin/base/pages.hpp"

#include <cstdint>

#if defined(__linux__)
#include <sys/mman.h>
#endif

namespace burin {

void expect_to_fill([[maybe_unused]] void* memory, [[maybe_unused]] std::size_t bytes) {
#if defined(__linux__) && defined(MADV_HUGEPAGE)
    constexpr std::uintptr_t large = std::uintptr_t{2} << 20, page = 4096;
    if (bytes < 4 * large) return;
    const auto first = (reinterpret_cast<std::uintptr_t>(memory) + page - 1) / page * page;
    const auto last = (reinterpret_cast<std::uintptr_t>(memory) + bytes) / page * page;
    (void)madvise(reinterpret_cast<void*>(first), last - first, MADV_HUGEPAGE);
#endif
}

}  // namespace burin

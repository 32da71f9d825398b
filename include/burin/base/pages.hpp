#pragma once
/// How the system backs large blocks of memory.
#include <cstddef>

namespace burin {

/// Asks the system to back this block, allocated but not yet written to, by large pages: the first touch of 40 MB then costs
/// a few milliseconds and not twenty. Advice only: where the system knows no such thing, or the block is small, nothing
/// happens. The content is not touched.
void expect_to_fill(void* memory, std::size_t bytes);

/// Room for `count` values of a vector or string that are all going to be written.
template <class Values>
void reserve_to_fill(Values& values, std::size_t count) {
    values.reserve(count);
    expect_to_fill(values.data(), values.capacity() * sizeof(typename Values::value_type));
}

}  // namespace burin

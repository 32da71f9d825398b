#pragma once
// What must hold whatever the bytes are: else the fuzzer stops there and keeps them.
#include <cstdlib>

inline void demand(bool holds) {
    if (!holds) std::abort();
}

#pragma once
/// Hot loops are built for several widths of vector, and the one that the processor has is taken at run time. What they
/// compute is the same on all: products and sums are not contracted, and sums of floats run in a fixed number of lanes.
/// Only GCC builds such clones, and not under the address sanitizer.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && !defined(__SANITIZE_ADDRESS__)
#define BURIN_CLONES __attribute__((target_clones("avx512f", "avx2", "default")))
#else
#define BURIN_CLONES
#endif

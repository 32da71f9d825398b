#pragma once
// Hot loops of this room are built for several widths of vector and the processor's own is taken at run time; what they
// compute is the same on all: products and sums are not contracted, and sums run in eight fixed lanes.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && !defined(__SANITIZE_ADDRESS__)
#define BURIN_PROOF_CLONES __attribute__((target_clones("avx512f", "avx2", "default")))
#else
#define BURIN_PROOF_CLONES
#endif

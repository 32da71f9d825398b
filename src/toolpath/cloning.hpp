#pragma once
/// Hot loops are built for several widths of vector; the one that the processor has is taken at run time.
#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && !defined(__SANITIZE_ADDRESS__)
#define BURIN_CLONES __attribute__((target_clones("avx512f", "avx2", "default")))
#else
#define BURIN_CLONES
#endif

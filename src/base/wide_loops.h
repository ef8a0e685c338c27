#pragma once

#include <cstddef>  // tells __GLIBC__, whose loader makes the choice

/// Before a function whose loops are long: it is compiled for AVX2 besides the baseline, and the
/// processor's own is taken when the program starts. Without fused multiply-add, so that results are
/// the same bit for bit. Sanitizers' start is too late for the choice (TATTLETONE_BASELINE_LOOPS).
#if defined(__GNUC__) && !defined(__clang__) && defined(__x86_64__) && defined(__GLIBC__) && \
    !defined(TATTLETONE_BASELINE_LOOPS)
#define TATTLETONE_WIDE_LOOPS __attribute__((target_clones("avx2", "default")))
#else
#define TATTLETONE_WIDE_LOOPS
#endif

/// Before a short loop of constant length: GCC would write it out step by step before it looks for
/// vectors, and find none.
#if defined(__GNUC__) && !defined(__clang__)
#define TATTLETONE_KEEP_LOOP _Pragma("GCC unroll 1")
#else
#define TATTLETONE_KEEP_LOOP
#endif

// How the arithmetic is inlined.
#pragma once

// The arithmetic of a cell must end up in one loop body: left to itself the compiler keeps the
// pieces apart and passes packs through memory.
#define PULSEWRIGHT_INLINE [[gnu::always_inline]] inline

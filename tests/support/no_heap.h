// Counts heap allocations, so that a test can claim that a step or a derivative makes none.
//
//   const std::size_t before = support::heap_allocations();
//   band_shape(parcels);
//   EXPECT_EQ(support::heap_allocations(), before);
//
// How      replaces the global operator new of every binary that calls it; counts on every thread
#pragma once

#include <cstddef>

namespace support {

std::size_t heap_allocations();

}  // namespace support

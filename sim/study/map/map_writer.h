// What a format of a map has to do: take the features of a layer, one after the other, and end.
//
// Checked  tests/sim/study/map/map_formats_test.cc
#pragma once

#include "sim/study/map/map_layers.h"

namespace sim::map {

class MapWriter {
 public:
  MapWriter() = default;
  virtual ~MapWriter() = default;
  MapWriter(const MapWriter&) = delete;
  MapWriter& operator=(const MapWriter&) = delete;

  /// `layer` is one with which the writer was made.
  virtual void put(const MapLayer& layer, const MapFeature& feature) = 0;
  /// When it returns, every byte is on disk.
  virtual void finish() = 0;
};

}  // namespace sim::map

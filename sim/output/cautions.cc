#include "sim/output/cautions.h"

#include "sim/output/html.h"

namespace sim::output {

std::string cautions_section() {
  return section_html(
      "Cautions",
      list_html(
          {"Simulated timing is a design aid. Confirm it on a bench and in the field before you "
           "use "
           "it.",
           "Lines hold their pressure after key-off. Bleed them, read zero on a gauge, cut the "
           "supply of the valves and lock the machine out before you open anything or reach in. A "
           "radio command can fire a valve.",
           "Do not stand under a raised planter that is not on its stands.",
           "Wear a face shield and gloves at bench pulses, and start with water.",
           "Treated seed: wear gloves and a dust mask, and follow the seed tag.",
           "Follow the product's label, its safety data sheet and local codes. Flush the lines "
           "before frost and before the product can salt out. Contain spills.",
           "Fertiliser placed with seed can injure it. The limits depend on crop, soil, salt "
           "content and distance. They were written for continuous streams and none is published "
           "for bands: defer to the local extension service or a licensed adviser.",
           "A pesticide's labelled row rate is an upper limit inside the band. Whether it may be "
           "placed intermittently is for its label to say.",
           "Nothing here replaces the instructions of the machine's maker."}));
}

}  // namespace sim::output

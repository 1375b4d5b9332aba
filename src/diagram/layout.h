// From chosen wires to a drawing with places, and its title. Used within diagram/ only.
//
// Needs   graft, index, choice and found outlive what is laid out
// Cost    as diagram.h says; `effort` is what the search for few crossings may take
#pragma once

#include <optional>
#include <string>

#include "diagram/order.h"
#include "diagram/sheet.h"

namespace loomgraft::diagram {

struct Laid {
  DiagramSheet sheet;
  OrderResult order;
};

Laid lay_out(const Graft& graft, const DiagramIndex& index, const Choice& choice, const PartsAndHops& found,
             const SheetStyle& style, const OrderOptions& effort = {});

// As planned, the donor is in the found module's place: the graft to draw then, and `options` name the found
// module where they named either. Nothing: the graft itself.
std::optional<Graft> loom_to_draw(const Graft& graft, DiagramOptions& options);

std::string title_of(const Graft& graft, const DiagramOptions& options);
// "as found", "as planned", "from as found to as planned"
std::string state_text(DiagramShow show);

}  // namespace loomgraft::diagram

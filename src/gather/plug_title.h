// Which plug a heading over a table means, where it has no short name of its own.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "tables/table.h"

namespace loomgraft::gather {

// "LSU sensor pinout" -> "LSU sensor", "Pin assignment" -> "": without the words at either end that name nothing.
std::string bare_heading(std::string_view heading);

// "C1" of "Connector C1 (grey)", "Black" of "Black connector", "7 pin" of "7 pin layout", "Black 35 pin 77-1";
// empty where the heading names no plug.
std::string plug_in_heading(std::string_view heading);

// The plug of a table: by its heading, by the headings around it where its own says nothing ("Pinout"), or by one
// of the last lines before it.
std::string plug_of_table(const Table& table);

// What may tell tables with the same cavities apart: the nearest heading that says anything.
std::string title_of_table(const Table& table);

}  // namespace loomgraft::gather

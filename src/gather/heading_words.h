// Words of headings and lines around pin tables (data/heading_words.csv): those for a connector, those that
// tell that pins are listed below, and the names of module tags.
//
// Model   upper and lower case are one
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "loom/graft.h"

namespace loomgraft::gather {

bool is_connector_word(std::string_view word);  // "Connector", "Stecker"
bool is_pin_table_word(std::string_view word);  // "Pinout", "Belegung"

// The member that "Model years" or "Getriebe" before a colon names.
std::optional<std::string ModuleTags::*> tag_named(std::string_view name);

}  // namespace loomgraft::gather

// Words of headings and lines around pin tables (data/heading_words.csv): those for a connector, those that
// tell that pins are listed below, those that name nothing, those of other boards and of instructions, and the names of
// module tags.
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
bool is_filler_word(std::string_view word);     // "of", "layout", "description": they name no plug
bool is_board_word(std::string_view word);      // "ESP", "GPIO": another board, to which the plug is wired
bool is_step_word(std::string_view word);       // "Disconnect", "Fit": a line of instructions begins so

// The member that "Model years" or "Getriebe" before a colon names.
std::optional<std::string ModuleTags::*> tag_named(std::string_view name);

}  // namespace loomgraft::gather

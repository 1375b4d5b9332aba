// A workbook as text for the readers of tables.
//
// Model   sheet by sheet, each under its name unless a program gave it that name ("Sheet1"); columns that are empty
//         throughout are left out. A cell merged over rows stands in each of them; a head of two rows, the upper with
//         cells over several columns, becomes one. Two tables side by side, parted by an empty column and with a head
//         word in common, are read one after the other
#pragma once

#include "files/placed_text.h"
#include "files/workbook.h"

namespace loomgraft::files {

// False where the text has more cells than are read; what is there is whole rows.
bool add_workbook(PlacedText& text, Workbook& book);

}  // namespace loomgraft::files

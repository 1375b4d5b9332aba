// Pages as text for the readers of tables.
//
// Model   tables become rows of cells, all other lines text; lines in a larger font are headings. A line that stands at one
//         height of several pages is given once; a table whose columns go on at the top of the next page goes on, and its head
//         is given once
#pragma once

#include <vector>

#include "files/pdf_pages.h"
#include "files/placed_text.h"

namespace loomgraft::files {

// False where the pages have more cells than are read.
bool add_pages(PlacedText& text, const std::vector<Page>& pages);

}  // namespace loomgraft::files

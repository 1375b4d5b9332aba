// Pin tables out of the bytes of any file: text in all its forms, spreadsheets and PDF pages.
//
// Model   what a file is shows in its first bytes, whatever its name. A spreadsheet (.xlsx, .xlsm, .ods, .fods) is read
//         sheet by sheet: the sheet's name is a heading, a cell has the text that it shows, a merged cell stands in each
//         of its rows. A PDF is read page by page: words at one height are a line, lines with the same columns a table,
//         which goes on over the end of a page; all other lines stay text. What is then found is read like text
// Gives   as read_tables(); line and column count within a sheet or page, and `place` says where a person finds the cell:
//         "sheet Pins, B7", "page 3, line 12"
// Fails   never as a whole: errors as of read_tables(), and encrypted-file, file-damaged, file-kind-not-read (each kind
//         with what to do instead), scanned-pages (pictures of pages, no text), too-large
// Cost    linear; 128 MiB of unpacked spreadsheet and 300,000 cells at most. A PDF is taken apart by the program
//         `pdftotext`, which gets 30 seconds and a gigabyte: a broken file harms only that program
#pragma once

#include <string>
#include <string_view>

#include "gather/read_tables.h"

namespace loomgraft {

// `file` is the name for locations; nothing is opened.
ReadReport read_table_file(std::string_view bytes, const std::string& file, const ReadOptions& options = {});

}  // namespace loomgraft

// Pin tables out of any file: which tables are pin tables, which column is what, and every cavity's facts.
//
// Model   columns are recognised by head words and by content; one file may hold several connectors and
//         several modules side by side (one column of functions each); tables that are not pin tables are
//         named in a note and skipped
// Gives   every cavity of every pin table, either as a pin or in a Problem with its line; the source's own
//         wording is kept
// Cost    linear; 50,000 pins of a file are read at most
// Fails   never as a whole; a file without any pin table gives an error Problem ("no-pin-table")
#pragma once

#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "base/problem.h"
#include "loom/graft.h"
#include "tables/table.h"

namespace loomgraft {

struct SourceLine {
  std::string file;
  int line = 0;
  int column = 0;
  std::string place = {};  // as a person finds it where the line alone does not say it: "sheet Pins, B7"
};

struct TablePin {
  std::string connector;  // name, empty where the table names none
  std::string cavity;     // canonical: "A1", "12", "C101-12" is connector C101, cavity 12
  std::string signal;     // original wording, notes in brackets taken out into `note`
  std::string term;
  PinClass pin_class = PinClass::unknown;
  std::string stated_type;    // what a type column says, in its own words
  std::string class_grounds;  // what of the table says so: "type \"ls\"", "signal \"fuel pump relay\""
  Colour colour;
  std::string note;
  std::string far_end;
  SourceLine source;
  std::vector<std::string> doubts;
};

struct TableConnector {
  std::string name;
  std::string part;
  std::vector<std::string> cavities;  // in the table's order, each once
};

// A circuit that another controller uses too, as a line beside the table says.
struct TableShared {
  std::string connector;  // with `cavity` its pin; both empty where the table has no such pin
  std::string cavity;
  std::string signal;
  std::string module;  // which controller uses it, as the line says; empty where none is named
  bool operator==(const TableShared&) const = default;
};

struct PinTable {
  std::string name;  // the module's or table's title, or the file's name
  std::vector<TableConnector> connectors;
  std::vector<TablePin> pins;
  std::vector<std::string> legend;  // lines near the table that explain names used in it
  std::vector<TableShared> shared;
  ModuleTags tags;  // where the file says so (years, market, transmission ...)
  // Its plug has the heading for a name only because another table of the file lists the same cavities: it may
  // be another plug of the module, or another module.
  bool plug_by_title = false;
};

// How a table of the file was understood, so that a person can see it and correct it.
struct ColumnPreview {
  std::string name;  // what a column choice calls it
  std::string role;
  std::string doubt;  // why the role may be wrong
};
struct TablePreview {
  std::string name;
  int line = 0;
  std::string place = {};  // as of a SourceLine
  std::vector<ColumnPreview> columns;
  std::vector<std::vector<std::string>> rows;  // the first ones, as in the file
  std::vector<std::size_t> tables;  // indices in ReadReport::tables that its pins went to; none: skipped
  std::string reason;               // why it was skipped, or is doubtful
};

struct ReadReport {
  std::vector<PinTable> tables;
  std::vector<TablePreview> previews;  // only where ReadOptions::rows_shown asks for them
  Problems problems;
};

// `file` is the name for locations; nothing is opened. `column_choice` corrects what was inferred, as
// HEAD=ROLE pairs with roles cavity, connector, signal, colour, note, class, far_end, ignore ("GEVCU 4" style
// heads pick one of several signal columns).
//
// Rules of a person for the whole source: `colour_codes` say what a letter or word of a colour means there ("LG", "GN"),
// `types` what an entry of its type column means ("ls", low_side_driver). They go before every other reading.
struct ReadOptions {
  std::vector<std::pair<std::string, std::string>> column_choice;
  std::vector<std::pair<std::string, std::string>> colour_codes;
  std::vector<std::pair<std::string, PinClass>> types;
  std::size_t rows_shown = 0;  // of each table in ReadReport::previews
  // What sentences call a line where the file has no lines of its own ("sheet Pins, row 7"); "line 7" if empty.
  std::function<std::string(int)> line_text = {};
};
ReadReport read_tables(std::string_view bytes, const std::string& file, const ReadOptions& options = {});
// The same from tables that were found already.
ReadReport read_found_tables(const TableText& text, const std::string& file, const ReadOptions& options = {});

// One module from the tables of one or more sources: pins with a claim per source. Where sources disagree,
// every claim is kept and the one with the highest weight fills the pin; at equal weights the earlier source,
// with a doubt.
struct SourceTables {
  Source source;
  std::vector<PinTable> tables;
};
struct GatheredModule {
  Module module;
  std::vector<Connector>
      connectors;  // ids prefixed with the module's id; geometry guessed where no source gives it
  std::vector<SharedCircuit> shared_circuits;  // by the signal that fills the pin
  Problems problems;
};
GatheredModule gather_module(const std::string& id, ModuleRole role,
                             const std::vector<SourceTables>& sources);

}  // namespace loomgraft

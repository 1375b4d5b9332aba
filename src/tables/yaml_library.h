// Records of YAML that are more than "key: value" lines: the YAML library reads them.
//
// Model   the lines of one record are handed to the library with everything else blanked out, so that its
//         locations are those of the file
// Gives   rows in the table; false, and one Problem, where the library refuses the record
#pragma once

#include <yaml-cpp/yaml.h>

#include "tables/record_table.h"
#include "tables/yaml_lines.h"

namespace loomgraft::tables {

class YamlLibrary {
 public:
  // `lines` begins at line `first` of the document.
  YamlLibrary(Reader& reader, std::size_t first, const std::vector<YamlLine>& lines, RecordTable& table)
      : reader_(reader), first_(first), lines_(lines), table_(table) {}

  // Reads lines [at, end), a list's mark at `indent` blanked out.
  bool read(std::size_t at, std::size_t indent, std::size_t end);

  // The same for one entry of a map of cavities; `cavity` is its key.
  bool read_entry(std::size_t at, std::size_t indent, std::size_t end, const Field& cavity);

 private:
  std::string_view text(std::size_t at) const { return reader_.line(first_ + at); }
  int number(std::size_t at) const { return static_cast<int>(first_ + at) + 1; }
  std::string record_text(std::size_t at, std::size_t indent, std::size_t end) const;
  bool refuse(int line, int column, const std::string& why);
  Cell cell_of(const YAML::Node& node, std::size_t at) const;
  void null_location(Field& field, std::size_t at) const;
  void take_map(const YAML::Node& node, std::size_t at);
  bool take_node(const YAML::Node& node, std::size_t at);
  void take_entry(const YAML::Node& value, std::size_t at);
  void take_cavity_map(const YAML::Node& node, std::size_t at);
  void take_sequence(const YAML::Node& node, std::size_t at);
  void take_row(const YAML::Node& node, std::size_t at);

  Reader& reader_;
  std::size_t first_;
  const std::vector<YamlLine>& lines_;
  RecordTable& table_;
  Record pending_;  // the cavity whose entry is being read
  std::size_t records_ = 0;
};

}  // namespace loomgraft::tables

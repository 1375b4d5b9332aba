// Spreadsheets made by tests: zip archives of the parts that they name, and the sheets of an .xlsx file from their cells.
#pragma once

#include <zip.h>

#include <fstream>
#include <iterator>
#include <string>
#include <utility>
#include <vector>

#include "files/table_file.h"

namespace loomgraft::files_test {

using Parts = std::vector<std::pair<std::string, std::string>>;

inline std::string zip_of(const Parts& parts) {
  zip_error_t error;
  zip_error_init(&error);
  zip_source_t* bytes = zip_source_buffer_create(nullptr, 0, 0, &error);
  zip_source_keep(bytes);
  zip_t* archive = zip_open_from_source(bytes, ZIP_TRUNCATE, &error);
  for (const auto& [name, text] : parts)
    zip_file_add(archive, name.c_str(), zip_source_buffer(archive, text.data(), text.size(), 0),
                 ZIP_FL_OVERWRITE);
  zip_close(archive);
  std::string result;
  zip_source_open(bytes);
  char buffer[4096];
  zip_int64_t count = 0;
  while ((count = zip_source_read(bytes, buffer, sizeof buffer)) > 0)
    result.append(buffer, static_cast<std::size_t>(count));
  zip_source_close(bytes);
  zip_source_free(bytes);
  return result;
}

struct MadeSheet {
  std::string name;
  std::string rows;   // <row>...</row>
  std::string after;  // what stands behind the rows: <mergeCells>
};

inline std::string xlsx_of(const std::vector<MadeSheet>& sheets, const std::string& styles = {}) {
  Parts parts;
  std::string list, relations;
  for (std::size_t i = 0; i < sheets.size(); ++i) {
    const std::string number = std::to_string(i + 1);
    list += "<sheet name=\"" + sheets[i].name + "\" sheetId=\"" + number + "\" r:id=\"r" + number + "\"/>";
    relations += "<Relationship Id=\"r" + number + "\" Type=\"x/worksheet\" Target=\"worksheets/sheet" +
                 number + ".xml\"/>";
    parts.emplace_back(
        "xl/worksheets/sheet" + number + ".xml",
        "<worksheet><sheetData>" + sheets[i].rows + "</sheetData>" + sheets[i].after + "</worksheet>");
  }
  if (!styles.empty()) {
    relations += "<Relationship Id=\"s\" Type=\"x/styles\" Target=\"/xl/styles.xml\"/>";
    parts.emplace_back("xl/styles.xml", "<styleSheet>" + styles + "</styleSheet>");
  }
  parts.emplace_back("xl/workbook.xml", "<workbook><sheets>" + list + "</sheets></workbook>");
  parts.emplace_back("xl/_rels/workbook.xml.rels", "<Relationships>" + relations + "</Relationships>");
  return zip_of(parts);
}

// A row of texts without references, as some programs write them; empty cells are there but hold nothing.
inline std::string row_of(const std::vector<std::string>& cells) {
  std::string row = "<row>";
  for (const std::string& cell : cells)
    row += cell.empty() ? "<c/>" : "<c t=\"inlineStr\"><is><t>" + cell + "</t></is></c>";
  return row + "</row>";
}

#ifdef LOOMGRAFT_ROOT  // not in fuzz targets
inline std::string file_of_tests(const std::string& name) {
  std::ifstream file(std::string(LOOMGRAFT_ROOT) + "/tests/data/" + name, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}
#endif

inline bool has_problem(const ReadReport& report, std::string_view code) {
  for (const Problem& problem : report.problems)
    if (problem.code == code) return true;
  return false;
}

inline std::vector<TablePin> pins_of(const ReadReport& report) {
  std::vector<TablePin> pins;
  for (const PinTable& table : report.tables) pins.insert(pins.end(), table.pins.begin(), table.pins.end());
  return pins;
}

}  // namespace loomgraft::files_test

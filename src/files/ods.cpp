// OpenDocument: one XML text holds all sheets; each cell has its text as it is shown. Rows and cells that are alike
// stand once with a count, which may run to the end of the sheet.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <optional>

#include "files/placed_text.h"
#include "files/workbook.h"
#include "files/xml_names.h"
#include "files/zip_archive.h"

namespace loomgraft::files {
namespace {

constexpr int deepest = 64;  // spans within spans, groups of rows within groups
constexpr std::size_t most_blanks = 100;

int count_of(const pugi::xml_node& node, std::string_view name) {
  const std::string_view text = attribute_named(node, name);
  int value = 1;
  std::from_chars(text.data(), text.data() + text.size(), value);
  return std::clamp(value, 1, most_rows);
}

class OdsReader {
 public:
  explicit OdsReader(const std::string& file) : file_(file) {}

  Workbook run(const pugi::xml_document& document) {
    const pugi::xml_node body = child_named(document.document_element(), "body");
    const pugi::xml_node sheets = child_named(body, "spreadsheet");
    if (!sheets) {
      book_.problems.push_back({Severity::error,
                                "file-kind-not-read",
                                {file_, 0, 0, ""},
                                "This OpenDocument file is no spreadsheet.",
                                "Open it, select the table, copy it and paste it; or save it as PDF."});
      return std::move(book_);
    }
    for (const pugi::xml_node& table : sheets.children())
      if (is_named(table, "table") && !stopped_) read_sheet(table);
    return std::move(book_);
  }

 private:
  void read_sheet(const pugi::xml_node& table) {
    Sheet sheet;
    sheet.name = std::string(attribute_named(table, "name"));
    row_ = 1;
    read_rows(table, sheet, 0);
    book_.sheets.push_back(std::move(sheet));
  }

  // Rows may stand in groups and in the part that is repeated on each page.
  void read_rows(const pugi::xml_node& parent, Sheet& sheet, int depth) {
    for (const pugi::xml_node& node : parent.children()) {
      if (stopped_ || row_ > most_rows) return;
      const std::string_view name = local_name(node.name());
      if (name == "table-row") read_row(node, sheet);
      const bool group = name == "table-header-rows" || name == "table-row-group" || name == "table-rows";
      if (group && depth < deepest) read_rows(node, sheet, depth + 1);
    }
  }

  void read_row(const pugi::xml_node& node, Sheet& sheet) {
    SheetRow row{row_, {}};
    int column = 1;
    for (const pugi::xml_node& cell : node.children()) {
      const bool covered = is_named(cell, "covered-table-cell");
      if ((!covered && !is_named(cell, "table-cell")) || column > most_columns || stopped_) continue;
      const int repeated = count_of(cell, "number-columns-repeated");
      if (!covered) read_cell(cell, row, column, repeated, sheet);
      column += std::min(repeated, most_columns);
    }
    const int repeated = count_of(node, "number-rows-repeated");
    if (!row.cells.empty()) {
      for (int i = 0; i < repeated && row_ + i <= most_rows && take(row.cells.size()); ++i) {
        sheet.rows.push_back(row);
        sheet.rows.back().number = row_ + i;
      }
    }
    row_ += std::min(repeated, most_rows);
  }

  void read_cell(const pugi::xml_node& cell, SheetRow& row, int column, int repeated, Sheet& sheet) {
    std::string text;
    for (const pugi::xml_node& paragraph : cell.children()) {
      if (!is_named(paragraph, "p") && !is_named(paragraph, "h")) continue;
      if (!text.empty()) text += '\n';
      add_text(paragraph, text, 0);
    }
    const int down = count_of(cell, "number-rows-spanned");
    const int across = count_of(cell, "number-columns-spanned");
    if ((down > 1 || across > 1) && sheet.merges.size() < most_merges) {
      sheet.merges.push_back(
          {row_, column, std::min(row_ + down - 1, most_rows), std::min(column + across - 1, most_columns)});
    }
    if (text.empty()) return;
    const std::string doubt =
        text.starts_with("#") && text.ends_with("!")
            ? fmt::format("cell {}{} shows the error {}", column_letters(column), row_, text)
            : std::string();
    for (int i = 0; i < repeated && column + i <= most_columns && take(1); ++i)
      row.cells.push_back({column + i, text, doubt});
  }

  void add_text(const pugi::xml_node& node, std::string& text, int depth) {
    for (const pugi::xml_node& child : node.children()) {
      if (child.type() == pugi::node_pcdata || child.type() == pugi::node_cdata) {
        text += child.value();
        continue;
      }
      const std::string_view name = local_name(child.name());
      if (name == "s")
        text.append(std::min<std::size_t>(static_cast<std::size_t>(count_of(child, "c")), most_blanks), ' ');
      else if (name == "line-break")
        text += '\n';
      else if (name == "tab")
        text += ' ';
      else if (name != "annotation" && name != "note" && depth < deepest)
        add_text(child, text, depth + 1);
    }
  }

  // False, with one problem, where the file holds more cells than are read.
  bool take(std::size_t cells) {
    cells_ += cells;
    if (cells_ <= most_cells) return true;
    if (!stopped_) book_.problems.push_back(too_large_file(file_));
    stopped_ = true;
    return false;
  }

  const std::string& file_;
  Workbook book_;
  int row_ = 1;
  std::size_t cells_ = 0;
  bool stopped_ = false;
};

}  // namespace

Workbook read_ods(ZipArchive& archive, const std::string& file) {
  const std::optional<std::string> manifest = archive.read("META-INF/manifest.xml");
  if (manifest && manifest->find("encryption-data") != std::string::npos)
    return {{}, {encrypted_spreadsheet(file)}};
  const std::optional<std::string> content = archive.read("content.xml");
  if (!content)
    return {
        {},
        {archive.too_large() ? too_large_file(file) : damaged_file(file, "Its content cannot be unpacked.")}};
  return read_flat_ods(*content, file);
}

Workbook read_flat_ods(std::string_view xml, const std::string& file) {
  constexpr std::size_t largest = std::size_t{32} << 20;
  if (xml.size() > largest) return {{}, {too_large_file(file)}};
  pugi::xml_document document;
  const bool whole = static_cast<bool>(
      document.load_buffer(xml.data(), xml.size(), pugi::parse_default | pugi::parse_ws_pcdata));
  if (!whole) return {{}, {damaged_file(file, "Its content is not well-formed.")}};
  return OdsReader(file).run(document);
}

}  // namespace loomgraft::files

// Office Open XML: a zip of XML parts. The workbook names its sheets and, through its relations, their parts; texts stand
// in a table that all sheets share; a cell's style leads to its number format. Everything is optional in practice: a cell
// without a reference stands beside the one before it.
#include <fmt/format.h>

#include <charconv>
#include <map>
#include <optional>

#include "base/ascii.h"
#include "files/number_format.h"
#include "files/placed_text.h"
#include "files/workbook.h"
#include "files/xml_names.h"
#include "files/zip_archive.h"
#include "text/encoding.h"

namespace loomgraft::files {
namespace {

constexpr std::size_t most_sheets = 1'000;
constexpr std::size_t most_formulas_named = 20;

int integer(std::string_view text, int otherwise = 0) {
  int value = otherwise;
  const auto result = std::from_chars(text.data(), text.data() + text.size(), value);
  return result.ec == std::errc() ? value : otherwise;
}

struct CellReference {
  int row = 0, column = 0;
};

// "B7", "$B$7"; zero where a part is missing.
CellReference reference_of(std::string_view text) {
  CellReference at;
  for (const char c : text) {
    if (is_letter(c) && at.row == 0 && at.column <= most_columns)
      at.column = at.column * 26 + (upper(c) - 'A' + 1);
    if (is_digit(c) && at.row <= most_rows) at.row = at.row * 10 + (c - '0');
  }
  return at;
}

bool in_sheet(const CellReference& at) {
  return at.row >= 1 && at.row <= most_rows && at.column >= 1 && at.column <= most_columns;
}

// "_x000A_" stands for a character that XML cannot hold (ECMA-376, part 1, 22.9.2.19).
std::string decoded(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size();) {
    unsigned code = 0;
    const bool escape =
        text.size() - i >= 7 && text[i] == '_' && text[i + 1] == 'x' && text[i + 6] == '_' &&
        std::from_chars(text.data() + i + 2, text.data() + i + 6, code, 16).ptr == text.data() + i + 6;
    if (escape)
      append_utf8(out, code);
    else
      out += text[i];
    i += escape ? 7 : 1;
  }
  return out;
}

// The text of <si> or <is>: its own or that of its runs, without reading aids.
std::string rich_text(const pugi::xml_node& node) {
  std::string text;
  for (const pugi::xml_node& child : node.children()) {
    if (is_named(child, "t")) text += child.text().get();
    if (is_named(child, "r")) text += child_named(child, "t").text().get();
  }
  return decoded(text);
}

std::string folder_of(const std::string& part) {
  const std::size_t slash = part.rfind('/');
  return slash == std::string::npos ? std::string() : part.substr(0, slash + 1);
}

// A target of a relation, which is relative to the part that names it.
std::string resolved(const std::string& folder, std::string_view target) {
  if (target.starts_with('/')) return std::string(target.substr(1));
  std::string base = folder;
  while (target.starts_with("../")) {
    target.remove_prefix(3);
    if (!base.empty()) base.pop_back();
    base = folder_of(base);
  }
  if (target.starts_with("./")) target.remove_prefix(2);
  return base + std::string(target);
}

class XlsxReader {
 public:
  XlsxReader(ZipArchive& archive, const std::string& file) : archive_(archive), file_(file) {}

  Workbook run() {
    const std::string workbook = workbook_part();
    pugi::xml_document document;
    if (!load(workbook, document)) {
      book_.problems.push_back(archive_.too_large()
                                   ? too_large_file(file_)
                                   : damaged_file(file_, "The list of its sheets cannot be read."));
      return std::move(book_);
    }
    const pugi::xml_node root = document.document_element();
    const std::string_view epoch = attribute_named(child_named(root, "workbookPr"), "date1904");
    from_1904_ = epoch == "1" || epoch == "true";
    const auto parts = relations_of(workbook);
    for (const auto& [id, relation] : parts) {
      if (relation.type.ends_with("/sharedStrings")) read_strings(relation.part);
      if (relation.type.ends_with("/styles")) read_styles(relation.part);
    }
    for (const pugi::xml_node& sheet : child_named(root, "sheets").children()) {
      if (book_.sheets.size() == most_sheets || stopped_) break;
      const auto found = parts.find(std::string(relation_id(sheet)));
      if (found == parts.end() || found->second.type.ends_with("/chartsheet")) continue;
      read_sheet(std::string(attribute_named(sheet, "name")), found->second.part);
    }
    return std::move(book_);
  }

 private:
  struct Relation {
    std::string type, part;
  };

  bool load(const std::string& part, pugi::xml_document& document) {
    const std::optional<std::string> xml = archive_.read(part);
    return xml && document.load_buffer(xml->data(), xml->size(), pugi::parse_default | pugi::parse_ws_pcdata);
  }

  std::map<std::string, Relation> relations_of(const std::string& part) {
    std::map<std::string, Relation> relations;
    const std::string folder = folder_of(part);
    pugi::xml_document document;
    if (!load(folder + "_rels/" + part.substr(folder.size()) + ".rels", document)) return relations;
    for (const pugi::xml_node& node : document.document_element().children()) {
      relations[std::string(attribute_named(node, "Id"))] = {
          std::string(attribute_named(node, "Type")), resolved(folder, attribute_named(node, "Target"))};
    }
    return relations;
  }

  std::string workbook_part() {
    for (const auto& [id, relation] : relations_of(""))
      if (relation.type.ends_with("/officeDocument")) return relation.part;
    return "xl/workbook.xml";
  }

  // r:id, beside which there is a sheetId.
  static std::string_view relation_id(const pugi::xml_node& sheet) {
    for (const pugi::xml_attribute& attribute : sheet.attributes()) {
      const std::string_view name = attribute.name();
      if (name.ends_with(":id")) return attribute.value();
    }
    return {};
  }

  void read_strings(const std::string& part) {
    pugi::xml_document document;
    if (!load(part, document)) {
      book_.problems.push_back(archive_.too_large()
                                   ? too_large_file(file_)
                                   : damaged_file(file_, "The texts of its cells cannot be read."));
      return;
    }
    for (const pugi::xml_node& item : document.document_element().children())
      if (is_named(item, "si")) strings_.push_back(rich_text(item));
  }

  void read_styles(const std::string& part) {
    pugi::xml_document document;
    if (!load(part, document)) return;  // numbers are then shown as they are stored
    const pugi::xml_node root = document.document_element();
    std::map<int, std::string> codes;
    for (const pugi::xml_node& format : child_named(root, "numFmts").children())
      codes[integer(attribute_named(format, "numFmtId"))] =
          std::string(attribute_named(format, "formatCode"));
    for (const pugi::xml_node& style : child_named(root, "cellXfs").children()) {
      if (!is_named(style, "xf")) continue;
      const int id = integer(attribute_named(style, "numFmtId"));
      const auto code = codes.find(id);
      formats_.push_back({id, code == codes.end() ? std::string() : code->second});
    }
  }

  void read_sheet(std::string name, const std::string& part) {
    pugi::xml_document document;
    if (!load(part, document)) {
      Problem problem = archive_.too_large() ? too_large_file(file_)
                                             : damaged_file(file_, "One of its sheets cannot be read.");
      problem.location.place = "sheet " + name;
      book_.problems.push_back(std::move(problem));
      stopped_ = archive_.too_large();
      return;
    }
    Sheet sheet;
    sheet.name = std::move(name);
    const pugi::xml_node root = document.document_element();
    CellReference at;
    for (const pugi::xml_node& row : child_named(root, "sheetData").children()) {
      if (!is_named(row, "row")) continue;
      at.row = integer(attribute_named(row, "r"), at.row + 1);
      at.column = 0;
      read_row(row, at, sheet);
      if (stopped_) break;
    }
    for (const pugi::xml_node& merge : child_named(root, "mergeCells").children()) {
      const std::string_view range = attribute_named(merge, "ref");
      const std::size_t colon = std::min(range.find(':'), range.size());
      const CellReference first = reference_of(range.substr(0, colon));
      const CellReference last = reference_of(range.substr(std::min(colon + 1, range.size())));
      if (in_sheet(first) && in_sheet(last) && sheet.merges.size() < most_merges)
        sheet.merges.push_back({first.row, first.column, last.row, last.column});
    }
    book_.sheets.push_back(std::move(sheet));
  }

  void read_row(const pugi::xml_node& row, CellReference at, Sheet& sheet) {
    SheetRow read{at.row, {}};
    for (const pugi::xml_node& cell : row.children()) {
      if (!is_named(cell, "c")) continue;
      const CellReference stated = reference_of(attribute_named(cell, "r"));
      ++at.column;
      if (in_sheet(stated)) at = stated;
      if (!in_sheet(at)) continue;
      SheetCell shown = read_cell(cell, at, sheet.name);
      if (shown.text.empty()) continue;
      if (++cells_ > most_cells) {
        stopped_ = true;
        book_.problems.push_back(too_large_file(file_));
        break;
      }
      read.number = at.row;
      read.cells.push_back(std::move(shown));
    }
    if (!read.cells.empty()) sheet.rows.push_back(std::move(read));
  }

  SheetCell read_cell(const pugi::xml_node& cell, const CellReference& at, const std::string& sheet) {
    const std::string_view type = attribute_named(cell, "t");
    if (type == "inlineStr") return {at.column, rich_text(child_named(cell, "is")), ""};
    const std::string value = child_named(cell, "v").text().get();
    if (value.empty()) {
      if (child_named(cell, "f")) report_formula(at, sheet);
      return {at.column, "", ""};
    }
    if (type == "s") {
      const int index = integer(value, -1);
      const bool known = index >= 0 && static_cast<std::size_t>(index) < strings_.size();
      return {at.column, known ? strings_[static_cast<std::size_t>(index)] : std::string(), ""};
    }
    if (type == "str" || type == "d") return {at.column, decoded(value), ""};
    if (type == "b") return {at.column, value == "0" ? "FALSE" : "TRUE", ""};
    if (type == "e") return {at.column, value, fmt::format("cell {} shows the error {}", name_of(at), value)};
    return number_cell(cell, value, at);
  }

  SheetCell number_cell(const pugi::xml_node& cell, const std::string& value, const CellReference& at) const {
    double number = 0;
    const auto result = std::from_chars(value.data(), value.data() + value.size(), number);
    if (result.ec != std::errc()) return {at.column, value, ""};
    const int style = integer(attribute_named(cell, "s"));
    const bool styled = style >= 0 && static_cast<std::size_t>(style) < formats_.size();
    const ShownNumber shown =
        show_number(number, styled ? formats_[static_cast<std::size_t>(style)] : NumberFormat{}, from_1904_);
    std::string doubt;
    if (shown.day_and_month)
      doubt = fmt::format(
          "cell {} holds the date {}: the spreadsheet program may have made it of a name such as 3/13",
          name_of(at), shown.text);
    return {at.column, shown.text, std::move(doubt)};
  }

  static std::string name_of(const CellReference& at) {
    return column_letters(at.column) + std::to_string(at.row);
  }

  void report_formula(const CellReference& at, const std::string& sheet) {
    if (++formulas_ > most_formulas_named) return;
    Problem problem{Severity::warning,
                    "formula-cell",
                    {file_, at.row, at.column, ""},
                    "This cell has a formula whose result is not stored in the file; it is read as empty.",
                    "Open the file in a spreadsheet program, save it and read it again."};
    problem.location.place = fmt::format("sheet {}, {}", sheet, name_of(at));
    book_.problems.push_back(std::move(problem));
  }

  ZipArchive& archive_;
  const std::string& file_;
  Workbook book_;
  std::vector<std::string> strings_;
  std::vector<NumberFormat> formats_;
  bool from_1904_ = false;
  bool stopped_ = false;
  std::size_t cells_ = 0;
  std::size_t formulas_ = 0;
};

}  // namespace

Workbook read_xlsx(ZipArchive& archive, const std::string& file) {
  return XlsxReader(archive, file).run();
}

Problem damaged_file(const std::string& file, std::string message) {
  return {Severity::error,
          "file-damaged",
          {file, 0, 0, ""},
          "The file is damaged or not complete. " + std::move(message),
          "Get it again from where it came from, or open it in the program that made it and save it anew."};
}

Problem too_large_file(const std::string& file) {
  return {Severity::error,
          "too-large",
          {file, 0, 0, ""},
          "The file holds more than can be read at once; not all of it was read.",
          "Copy the sheets or pages with the pin tables into a file of their own and read that."};
}

Problem encrypted_spreadsheet(const std::string& file) {
  return {Severity::error,
          "encrypted-file",
          {file, 0, 0, ""},
          "The file is locked with a password.",
          "Open it in a spreadsheet program, take the password off, save it and read that."};
}

}  // namespace loomgraft::files

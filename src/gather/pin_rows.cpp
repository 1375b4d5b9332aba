#include "gather/pin_rows.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <utility>

#include "base/ascii.h"
#include "gather/class_guess.h"
#include "gather/heading_words.h"
#include "gather/shared_lines.h"
#include "gather/surroundings.h"
#include "standards/dictionary.h"
#include "text/cavity.h"
#include "text/signal_words.h"

namespace loomgraft::gather {
namespace {

constexpr std::size_t kLongestQuoted = 80;

bool is_empty(std::string_view text) {
  return text.find_first_not_of(" \t\r\n") == std::string_view::npos;
}

// "-", ".", "n/a" and the like in columns where they can only mean "nothing".
bool says_nothing(std::string_view text) {
  return text.find_first_not_of(" \t\r\n-.") == std::string_view::npos;
}

// "ESP pin D17", "Arduino D5", "GPIO 12": where the wire goes on another board, not what it carries.
bool names_other_board(std::string_view text) {
  if (text.size() > 24 || text.empty() || !is_digit(text.back())) return false;
  std::vector<std::string> words;
  for (const NameWord& word : split_name(text, [](std::string_view) { return true; }).words)
    words.emplace_back(word.text);
  const bool numbered = !words.empty() && is_digit(words.back()[0]);
  return numbered && std::any_of(words.begin(), words.end(), is_board_word);
}

bool names_fuses(std::string_view head) {
  const std::string words = lower_case(head);
  return words.find("fuse") != std::string::npos || words.find("sicherung") != std::string::npos ||
         words.find("fusible") != std::string::npos;
}

bool is_formula(std::string_view text) {
  return text.size() > 1 && (text[0] == '=' || text[0] == '@');
}

// A head over cavities that is no known word names their connector where it looks like a name: "C1", "T26",
// "DB9-F".
bool names_connector(std::string_view head) {
  return head.size() <= 12 && head.find(' ') == std::string_view::npos &&
         std::any_of(head.begin(), head.end(), is_digit) && role_of_head(head) == ColumnRole::unknown;
}

// The values of "V1: 22 V2: 34", one for each version of the hardware; empty where the cell is not of that
// form.
std::vector<std::string> values_by_version(std::string_view text) {
  std::string plain;
  for (const char c : text) {
    if (c != '*') plain += c;
  }
  std::vector<std::string> values;
  std::size_t at = plain.find(": ");
  if (at == std::string::npos || plain.find(": ", at + 2) == std::string::npos) return {};
  while (at != std::string::npos) {
    const std::size_t start = at + 2;
    const std::size_t end = std::min(plain.find_first_of(" \n<,;", start), plain.size());
    const std::string value = plain.substr(start, end - start);
    if (!looks_like_cavities(value)) return {};
    values.push_back(value);
    at = plain.find(": ", end);
  }
  return values;
}

class RowReader {
 public:
  RowReader(const Table& table, const ColumnPlan& plan, const RowContext& context, SignalMemory& memory)
      : table_(table), plan_(plan), context_(context), memory_(memory) {
    prepare_columns();
    prepare_modules();
    prepare_connectors();
    prepare_style();
  }

  ReadRows run() {
    for (ModuleRows& module : result_.modules)
      module.pins.reserve(std::min(table_.rows.size(), context_.most_pins));
    for (const std::vector<Cell>& row : table_.rows) {
      if (result_.modules.front().pins.size() >= context_.most_pins) {
        problem(Severity::error, "too-large", cell_at(row, 0),
                "the file holds more pins than any vehicle; reading stopped here",
                "Keep only the tables you need.");
        break;
      }
      take_row(row);
    }
    report_empty_modules();
    return std::move(result_);
  }

 private:
  void prepare_columns() {
    for (std::size_t column = 0; column < plan_.roles.size(); ++column) {
      const ColumnRole role = plan_.roles[column];
      if (role == ColumnRole::pin_class) {
        // A column headed "type" is about the pin; one headed "class" often is about the program.
        const bool first = lower_case(cell_at(table_.header, column).text) == "type";
        class_columns_.insert(first ? class_columns_.begin() : class_columns_.end(), column);
      }
      if (role == ColumnRole::note || role == ColumnRole::description || role == ColumnRole::part ||
          role == ColumnRole::activation) {
        note_columns_.push_back(column);
      }
      if (role == ColumnRole::other && names_fuses(cell_at(table_.header, column).text))
        fuse_columns_.push_back(column);
    }
    signal_ = column_of(plan_, ColumnRole::signal);
    description_ = column_of(plan_, ColumnRole::description);
    colour_ = column_of(plan_, ColumnRole::colour);
    connector_ = column_of(plan_, ColumnRole::connector);
    direction_ = column_of(plan_, ColumnRole::direction);
    far_end_ = column_of(plan_, ColumnRole::far_end);
    label_ = column_of(plan_, ColumnRole::label);
    activation_ = column_of(plan_, ColumnRole::activation);
  }

  void prepare_modules() {
    const std::vector<std::size_t>& columns = plan_.cavity_per_product ? plan_.cavities : plan_.modules;
    for (const std::size_t column : columns)
      result_.modules.push_back({cell_at(table_.header, column).text, {}});
    if (result_.modules.empty()) result_.modules.emplace_back();
  }

  // The connector that each cavity column belongs to, from its head or from the heading.
  void prepare_connectors() {
    for (const std::size_t column : plan_.cavities) {
      const std::string& head = cell_at(table_.header, column).text;
      std::string name = context_.connector;
      if (is_part_number(head)) {
        result_.parts.emplace_back(name, head);
      } else if (!plan_.cavity_per_product && (plan_.cavities.size() > 1 || names_connector(head))) {
        name = head;
      } else if (name.empty() && role_of_head(head) == ColumnRole::cavity) {
        name = connector_in_heading(head);
      }
      column_connectors_.push_back(std::move(name));
    }
  }

  void prepare_style() {
    std::vector<std::string_view> cells;
    for (const std::vector<Cell>& row : table_.rows) cells.push_back(cell_at(row, plan_.cavities[0]).text);
    style_ = cavity_style(cells);
  }

  void take_row(const std::vector<Cell>& row) {
    if (std::all_of(row.begin(), row.end(), [](const Cell& cell) { return is_empty(cell.text); })) return;
    if (repeats_header(row) || is_section(row) || !shared_line_of(row).empty()) return;
    check_cells(row);
    std::vector<CavityReading> readings;
    bool any = false;
    for (const std::size_t column : plan_.cavities) {
      readings.push_back(read_cavity_cell(cell_at(row, column).text));
      any = any || !readings.back().cavities.empty();
    }
    if (!any) return report_no_cavity(row, readings);
    for (std::size_t i = 0; i < readings.size(); ++i) take_cavities(row, readings, i);
  }

  CavityReading read_cavity_cell(std::string_view text) const {
    const std::vector<std::string> values = values_by_version(text);
    if (values.empty()) {
      CavityReading reading = read_cavities(text, style_);
      const bool absent = reading.cavities.size() == 1 && plan_.cavities.size() > 1 &&
                          term_dictionary().normalise(reading.cavities[0].cavity).absent;
      if (absent) reading.cavities.clear();
      return reading;
    }
    CavityReading reading;
    for (const std::string& value : values) {
      for (CavityName& name : read_cavities(value, style_).cavities)
        reading.cavities.push_back(std::move(name));
    }
    reading.doubts.push_back(fmt::format("the cavity depends on the version of the hardware: {}", text));
    return reading;
  }

  bool repeats_header(const std::vector<Cell>& row) const {
    if (table_.header.empty() || row.size() > table_.header.size()) return false;
    bool any = false;
    for (std::size_t i = 0; i < row.size(); ++i) {
      if (row[i].text != table_.header[i].text) return false;
      any = any || !row[i].text.empty();
    }
    return any;
  }

  // A row of one cell that names a connector stands over the rows below it.
  bool is_section(const std::vector<Cell>& row) {
    const Cell* only = nullptr;
    for (const Cell& cell : row) {
      if (is_empty(cell.text)) continue;
      if (only != nullptr) return false;
      only = &cell;
    }
    if (plan_.cavities.size() != 1 || only == nullptr || only->text.size() < 4) return false;
    if (only->text.find(' ') == std::string::npos && only->text.find(':') == std::string::npos) return false;
    std::string name = connector_in_heading(only->text);
    if (name.empty()) return false;
    column_connectors_[0] = std::move(name);
    return true;
  }

  void check_cells(const std::vector<Cell>& row) {
    for (std::size_t i = 0; i < row.size(); ++i) {
      const Cell& cell = row[i];
      if (is_formula(cell.text)) {
        problem(Severity::warning, "formula-cell", cell,
                fmt::format("the cell holds a spreadsheet formula: {}", quoted(cell.text)),
                "Kept as text; replace it with its value.");
      }
      if (!table_.header.empty() && i >= table_.header.size() && !is_empty(cell.text)) {
        problem(
            Severity::warning, "row-too-long", cell,
            fmt::format("the row has more cells than the head; {} belongs to no column", quoted(cell.text)),
            "Check whether a separator stands inside a cell.");
      }
    }
  }

  static std::string quoted(std::string_view text) {
    return fmt::format("\"{}\"", text.substr(0, kLongestQuoted));
  }

  void problem(Severity severity, ProblemCode code, const Cell& at, std::string message, std::string remedy) {
    result_.problems.push_back(
        {severity, code, {context_.file, at.line, at.column, ""}, std::move(message), std::move(remedy)});
  }

  void report_no_cavity(const std::vector<Cell>& row, const std::vector<CavityReading>& readings) {
    std::string line;
    const Cell* first = nullptr;
    bool worth = false;
    for (const Cell& cell : row) {
      if (is_empty(cell.text)) continue;
      if (first == nullptr) first = &cell;
      worth = worth || !says_nothing(cell.text);
      if (!line.empty()) line += " | ";
      line += cell.text;
    }
    if (first == nullptr || !worth) return;
    std::string message = fmt::format("the row names no cavity: {}", quoted(line));
    for (const CavityReading& reading : readings) {
      for (const std::string& doubt : reading.doubts) message += fmt::format(" ({})", doubt);
    }
    problem(Severity::warning, "row-without-cavity", *first, std::move(message),
            "Write the cavity into the row, or leave the row out.");
  }

  void take_cavities(const std::vector<Cell>& row, const std::vector<CavityReading>& readings,
                     std::size_t which) {
    const CavityReading& reading = readings[which];
    const Cell& source = cell_at(row, plan_.cavities[which]);
    for (const CavityName& name : reading.cavities) {
      TablePin pin;
      pin.connector = connector_of(row, name, which);
      pin.cavity = name.cavity;
      pin.source = {context_.file, source.line, source.column};
      pin.doubts = reading.doubts;
      add_remark(pin.note, reading.note);
      if (plan_.cavities.size() > 1 && !plan_.cavity_per_product) set_cable_end(readings, which, pin);
      if (plan_.cavity_per_product) {
        add_pin(row, which, signal_, std::move(pin));
      } else if (!plan_.modules.empty()) {
        for (std::size_t m = 0; m < plan_.modules.size(); ++m) add_pin(row, m, plan_.modules[m], pin);
      } else {
        add_pin(row, 0, signal_, std::move(pin));
      }
    }
  }

  std::string connector_of(const std::vector<Cell>& row, const CavityName& name, std::size_t which) {
    if (!name.connector.empty()) return name.connector;
    if (connector_ == no_column) return column_connectors_[which];
    const std::string& text = cell_at(row, connector_).text;
    // A connector named once counts for the rows below it.
    if (!is_empty(text) && text != "\"") last_connector_ = text;
    return last_connector_.empty() ? column_connectors_[which] : last_connector_;
  }

  void set_cable_end(const std::vector<CavityReading>& readings, std::size_t which, TablePin& pin) const {
    for (std::size_t other = 0; other < readings.size(); ++other) {
      if (other == which) continue;
      for (const CavityName& name : readings[other].cavities) {
        const std::string& connector = name.connector.empty() ? column_connectors_[other] : name.connector;
        if (!pin.far_end.empty()) pin.far_end += ", ";
        pin.far_end += connector + "-" + name.cavity;
      }
    }
  }

  void add_pin(const std::vector<Cell>& row, std::size_t module, std::size_t signal_column, TablePin pin) {
    if (far_end_ != no_column) add_far_end(cell_at(row, far_end_).text, pin);
    fill_texts(row, signal_column, pin);
    if (plan_.doubtful) pin.doubts.push_back("read as a pin table although " + plan_.reason);
    ModuleRows& rows = result_.modules[module];
    if (colour_ != no_column && !says_nothing(cell_at(row, colour_).text)) {
      pin.colour.raw = cell_at(row, colour_).text;
      result_.colours.push_back({module, rows.pins.size(), &cell_at(row, colour_)});
    }
    for (const Cell& cell : row) add_cut_off(cell, pin);
    rows.pins.push_back(std::move(pin));
  }

  static void add_far_end(std::string_view text, TablePin& pin) {
    if (says_nothing(text)) return;
    if (!pin.far_end.empty()) pin.far_end += ", ";
    pin.far_end += text;
  }

  static void add_cut_off(const Cell& cell, TablePin& pin) {
    if (cell.cut_off.empty()) return;
    pin.doubts.push_back(
        fmt::format("the file's own rules cut the cell off; it may mean \"{} {}\"", cell.text, cell.cut_off));
  }

  // The signal is the first of: its own column, a second wording, the label.
  void fill_texts(const std::vector<Cell>& row, std::size_t signal_column, TablePin& pin) {
    const Cell& signal = cell_at(row, signal_column);
    std::size_t used = signal_column;
    if (is_empty(signal.text) || names_other_board(signal.text)) used = second_wording(row, signal_column);
    if (used != signal_column) add_far_end(signal.text, pin);
    const SignalReading* reading = used == no_column ? nullptr : &memory_.read(cell_at(row, used).text);
    if (reading != nullptr) take_signal(*reading, pin);
    take_label(row, reading != nullptr && !pin.signal.empty(), pin);
    const SignalReading* wording = nullptr;
    for (const std::size_t column : note_columns_) {
      const Cell& cell = cell_at(row, column);
      if (column == used || says_nothing(cell.text)) continue;
      add_remark(pin.note, cell.text);
      if (column == description_) wording = &memory_.read(cell.text);
    }
    for (const std::size_t column : fuse_columns_) {
      const std::string& fuse = cell_at(row, column).text;
      if (!says_nothing(fuse)) add_remark(pin.note, fmt::format("fuse {}", fuse));
    }
    classify(row, wording, pin);
  }

  // A second description; a remark where the signal's cell only says which pin of another board it goes to.
  std::size_t second_wording(const std::vector<Cell>& row, std::size_t signal_column) const {
    if (!plan_.modules.empty()) return no_column;
    const bool elsewhere = !is_empty(cell_at(row, signal_column).text);
    const auto found = std::find_if(note_columns_.begin(), note_columns_.end(), [&](std::size_t column) {
      const ColumnRole role = plan_.roles[column];
      const bool worded = role == ColumnRole::description || (elsewhere && role == ColumnRole::note);
      return worded && column != signal_column && !says_nothing(cell_at(row, column).text);
    });
    if (found != note_columns_.end()) return *found;
    return elsewhere ? signal_column : no_column;
  }

  void take_signal(const SignalReading& reading, TablePin& pin) {
    pin.signal = reading.cell.signal;
    pin.term = reading.name.term;
    hint_ = reading.name.class_hint;
    add_remark(pin.note, reading.cell.note);
    pin.doubts.insert(pin.doubts.end(), reading.cell.doubts.begin(), reading.cell.doubts.end());
  }

  void take_label(const std::vector<Cell>& row, bool has_signal, TablePin& pin) {
    if (!has_signal) hint_.clear();
    if (label_ == no_column || is_empty(cell_at(row, label_).text)) return;
    const std::string& text = cell_at(row, label_).text;
    const LabelParts label = split_label(text, pin.cavity);
    if (!label.cavity.empty() && label.cavity != pin.cavity) {
      pin.doubts.push_back(
          fmt::format("the label \"{}\" names cavity {}, the row says {}", text, label.cavity, pin.cavity));
    }
    if (has_signal) {
      add_remark(pin.note, text);
      return;
    }
    pin.signal = label.text;
    const SignalName name = term_dictionary().normalise(label.text);
    pin.term = name.term;
    hint_ = name.class_hint;
    pin.doubts.emplace_back("no function is given, only a label");
  }

  void classify(const std::vector<Cell>& row, const SignalReading* wording, TablePin& pin) {
    if (wording != nullptr && pin.term.empty() && hint_ != "no_connection") {
      pin.term = wording->name.term;
      if (hint_.empty()) hint_ = wording->name.class_hint;
    }
    if (hint_ == "no_connection") {
      pin.pin_class = PinClass::no_connection;
      pin.class_grounds = fmt::format("signal \"{}\"", pin.signal.substr(0, kLongestQuoted));
      return;
    }
    std::string type;
    for (const std::size_t column : class_columns_) {
      if (!type.empty()) type += ' ';
      type += cell_at(row, column).text;
    }
    pin.stated_type = type;
    if (const PinClass ruled = class_by_rule(type); ruled != PinClass::unknown) {
      pin.pin_class = ruled;
      pin.class_grounds = fmt::format("rule for type \"{}\"", type.substr(0, kLongestQuoted));
      return;
    }
    const std::string_view direction =
        direction_ == no_column ? std::string_view() : std::string_view(cell_at(row, direction_).text);
    const std::string_view activation =
        activation_ == no_column ? std::string_view() : std::string_view(cell_at(row, activation_).text);
    ClassGuess guess = guess_class({type, direction, hint_, pin.signal, pin.note, activation, pin.far_end});
    pin.pin_class = guess.pin_class;
    pin.class_grounds = std::move(guess.grounds);
    if (!guess.contradiction.empty()) pin.doubts.push_back(std::move(guess.contradiction));
  }

  PinClass class_by_rule(std::string_view type) const {
    if (context_.types == nullptr || trimmed(type).empty()) return PinClass::unknown;
    const std::string wanted = lower_case(trimmed(type));
    for (const auto& [text, pin_class] : *context_.types)
      if (lower_case(trimmed(text)) == wanted) return pin_class;
    return PinClass::unknown;
  }

  void report_empty_modules() {
    if (plan_.modules.empty()) return;
    for (std::size_t m = result_.modules.size(); m-- > 0;) {
      const bool filled = std::any_of(result_.modules[m].pins.begin(), result_.modules[m].pins.end(),
                                      [](const TablePin& pin) { return !pin.signal.empty(); });
      if (filled) continue;
      problem(Severity::note, "empty-column", cell_at(table_.header, plan_.modules[m]),
              fmt::format("the column \"{}\" is empty; no table is made of it", result_.modules[m].name),
              "Fill the column in if the module is of interest.");
      result_.modules[m].pins.clear();
      std::erase_if(result_.colours, [&](const ColourToRead& colour) { return colour.module == m; });
    }
  }

  const Table& table_;
  const ColumnPlan& plan_;
  const RowContext& context_;
  SignalMemory& memory_;
  ReadRows result_;
  std::vector<std::size_t> class_columns_;
  std::vector<std::size_t> note_columns_;
  std::vector<std::size_t> fuse_columns_;
  std::size_t signal_ = no_column;
  std::size_t description_ = no_column;
  std::size_t colour_ = no_column;
  std::size_t connector_ = no_column;
  std::size_t direction_ = no_column;
  std::size_t far_end_ = no_column;
  std::size_t label_ = no_column;
  std::size_t activation_ = no_column;
  std::vector<std::string> column_connectors_;
  std::string last_connector_;
  std::string hint_;  // class hint of the pin at hand
  CavityStyle style_;
};

}  // namespace

const SignalReading& SignalMemory::read(std::string_view text) {
  const auto [at, fresh] = readings_.try_emplace(text);
  if (fresh) {
    at->second.cell = read_signal_cell(text);
    at->second.name = term_dictionary().normalise(at->second.cell.signal);
  }
  return at->second;
}

ReadRows read_rows(const Table& table, const ColumnPlan& plan, const RowContext& context,
                   SignalMemory& memory) {
  return RowReader(table, plan, context, memory).run();
}

}  // namespace loomgraft::gather

// The tables of a file are read in their order, each with what the ones before it left open: a title, tags, a
// head that goes on after an empty line. Colours come last, for their notation is inferred from all colours
// of the file together.
#include "gather/read_tables.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>
#include <utility>

#include "base/ascii.h"
#include "gather/column_roles.h"
#include "gather/file_colours.h"
#include "gather/pin_rows.h"
#include "gather/plug_title.h"
#include "gather/shared_lines.h"
#include "gather/split_colours.h"
#include "gather/stacked_table.h"
#include "gather/stray_lines.h"
#include "gather/surroundings.h"
#include "gather/table_names.h"
#include "gather/table_preview.h"
#include "gather/turned_table.h"
#include "standards/dictionary.h"
#include "standards/restraint_words.h"
#include "tables/table.h"
#include "text/legend.h"

namespace loomgraft {

using namespace gather;
namespace {

constexpr std::size_t kMostPins = 50'000;  // of a file
constexpr std::size_t kLongestTitle = 120;

std::string stem_of(std::string_view file) {
  const std::size_t slash = file.find_last_of("/\\");
  if (slash != std::string_view::npos) file.remove_prefix(slash + 1);
  return std::string(file.substr(0, std::min(file.rfind('.'), file.size())));
}

int line_of(const Table& table) {
  if (!table.header.empty()) return table.header[0].line;
  return table.rows.empty() || table.rows[0].empty() ? 0 : table.rows[0][0].line;
}

// The first line of the document that is a title rather than a rule, a mark or a tag.
std::string title_in(const std::vector<std::string>& lines) {
  for (const std::string& line : lines) {
    const std::string_view text = trimmed(line, "#=*\";,");
    if (text.size() < 4 || text.size() > kLongestTitle || text[0] == '<' || text[0] == '[' || text[0] == '!')
      continue;
    if (text.find_first_not_of("-=~^+ ") == std::string_view::npos) continue;
    ModuleTags unused;
    return read_tag(text, unused) ? std::string() : std::string(text);
  }
  return {};
}

// The title of the file: above its first table, or the name of a table that only lists where the cavities are
// drawn.
std::string title_of(const TableText& text) {
  if (text.tables.empty()) return {};
  std::string title = title_in(text.tables.front().lines_before);
  for (const Table& table : text.tables) {
    const bool drawing = table.form == TableForm::records && table.header.size() == 3 &&
                         table.header[1].text == "x" && table.header[2].text == "y";
    if (title.empty() && drawing) title = table.name;
  }
  return title;
}

struct PendingColour {
  std::size_t table = 0;
  std::size_t pin = 0;
  Location location;
};

class FileReader {
 public:
  FileReader(std::string file, const ReadOptions& options) : file_(std::move(file)), options_(options) {}

  ReadReport run(const TableText& text) {
    report_.problems = text.problems;
    turned_.reserve(text.tables.size());  // pointers into these stay valid
    split_.reserve(text.tables.size());
    for (const Table& table : text.tables) take_lines(table.lines_before);
    title_ = title_of(text);
    tags_ = {};
    for (const Table& table : text.tables) take_table(table);
    read_all_colours();
    name_plugs_by_title(report_.tables, titles_);
    make_names_unique(report_.tables);
    for (PinTable& table : report_.tables) finish(table);
    report_stray_lines(text, report_.tables, file_, report_.problems);
    if (report_.tables.empty()) {
      report_.problems.push_back(
          {Severity::error,
           "no-pin-table",
           {file_, 0, 0, ""},
           "no pin table was found in the file",
           "A pin table needs a column of cavities (\"Pin\", \"Cavity\") and one of functions."});
    }
    return std::move(report_);
  }

 private:
  void take_lines(const std::vector<std::string>& lines) {
    all_lines_.insert(all_lines_.end(), lines.begin(), lines.end());
  }

  void take_table(const Table& original) {
    for (const std::string& line : original.lines_before) read_tag(line, tags_);
    if (original.rows.empty() && original.header.empty()) {  // nothing but lines
      take_lines(original.lines_after);
      return;
    }
    const Table* table = &original;
    continues_ = continues_last_table(original);
    if (continues_) {
      turned_.push_back(original);
      turned_.back().header = last_header_;
      table = &turned_.back();
    } else if (std::optional<Table> turned = turn_table(original)) {
      turned_.push_back(std::move(*turned));
      table = &turned_.back();
    } else if (std::optional<Table> stacked = stack_table(original)) {
      turned_.push_back(std::move(*stacked));
      table = &turned_.back();
    }
    if (std::optional<Table> split = split_colours(*table)) {
      split_.push_back(std::move(*split));
      table = &split_.back();
    }
    last_header_ = table->header;
    last_form_ = table->form;
    const ColumnPlan plan = plan_columns(*table, options_.column_choice);
    std::vector<std::size_t> targets;
    if (!plan.is_pin_table) {
      refuse(*table, plan);
    } else if (!plan.cavity_per_product || !note_assignments(*table, plan)) {
      targets = read_pin_table(*table, plan);
    }
    if (plan.is_pin_table && plan.colour_chosen) note_colour_choice(*table, *plan.colour_chosen);
    if (options_.rows_shown > 0) {
      report_.previews.push_back(preview_of(*table, plan, options_.rows_shown));
      report_.previews.back().line = line_of(*table);
      report_.previews.back().tables = std::move(targets);
    }
    for (const std::string& line : original.lines_after) {
      ModuleTags own;
      if (read_tag(line, own) && !report_.tables.empty()) read_tag(line, report_.tables.back().tags);
    }
    take_lines(original.lines_after);
  }

  void note_colour_choice(const Table& table, std::size_t column) {
    report_.problems.push_back({Severity::note,
                                "colour-column-chosen",
                                {file_, line_of(table), 1, ""},
                                fmt::format("the table has several columns of colours; \"{}\" was taken",
                                            name_of_column(table, column)),
                                "Name another column if the colours of the wires stand there."});
  }

  // Rows without a head right after a table with one belong to it, cut off by an empty line.
  bool continues_last_table(const Table& table) const {
    if (!table.header.empty() || !table.lines_before.empty() || last_header_.empty()) return false;
    if (table.form != last_form_ || report_.tables.empty()) return false;
    return std::all_of(table.rows.begin(), table.rows.end(),
                       [&](const std::vector<Cell>& row) { return row.size() <= last_header_.size() + 1; });
  }

  void take_as_line(const std::vector<Cell>& row) {
    std::string line = shared_line_of(row);
    if (line.empty()) {
      for (const Cell& cell : row) line += (line.empty() ? "" : " ") + cell.text;
    }
    if (line.size() >= 400) return;
    read_tag(line, tags_);
    all_lines_.push_back(std::move(line));
  }

  void refuse(const Table& table, const ColumnPlan& plan) {
    // What looked like a table may be lines about the tables below.
    take_as_line(table.header);
    for (const std::vector<Cell>& row : table.rows) take_as_line(row);
    const std::string name = table.name.empty() ? "the table" : fmt::format("\"{}\"", table.name);
    const bool likely = may_hold_pins(table, plan);
    report_.problems.push_back({likely ? Severity::warning : Severity::note,
                                likely ? ProblemCode("table-skipped") : ProblemCode("not-a-pin-table"),
                                {file_, line_of(table), 1, ""},
                                fmt::format("{} was skipped: {}", name, plan.reason),
                                "Name the cavity column if it is a pin table after all."});
  }

  // A table under a head or heading that speaks of pins, which could not be read as one.
  static bool may_hold_pins(const Table& table, const ColumnPlan& plan) {
    if (table.rows.empty() || !plan.cavities.empty()) return false;
    const auto pin_head = [](const Cell& cell) { return role_of_head(cell.text) == ColumnRole::cavity; };
    const bool other = column_of(plan, ColumnRole::other) != no_column;
    return std::any_of(table.header.begin(), table.header.end(), pin_head) ||
           (!other && !plug_of_table(table).empty());
  }

  // A table of uses per product ("Signal | unit 2 | unit 4" with cavities in the cells) adds remarks to the
  // pins of these products' tables above it. False where there are none.
  bool note_assignments(const Table& table, const ColumnPlan& plan) {
    std::vector<std::size_t> targets;
    for (const std::size_t column : plan.cavities) {
      const auto found = std::find_if(report_.tables.begin(), report_.tables.end(),
                                      [&](const PinTable& t) { return t.name == table.header[column].text; });
      targets.push_back(found == report_.tables.end()
                            ? no_column
                            : static_cast<std::size_t>(found - report_.tables.begin()));
    }
    if (std::all_of(targets.begin(), targets.end(), [](std::size_t t) { return t == no_column; }))
      return false;
    const RowContext context{file_, "", &options_.types, kMostPins};
    ReadRows rows = read_rows(table, plan, context, memory_);
    for (std::size_t m = 0; m < rows.modules.size(); ++m) {
      for (const TablePin& use : rows.modules[m].pins) note_use(targets[m], use);
    }
    append(report_.problems, std::move(rows.problems));
    report_.problems.push_back(
        {Severity::note,
         "uses-noted",
         {file_, line_of(table), 1, ""},
         fmt::format("the uses in \"{}\" were added as remarks to their cavities", table.name),
         "Nothing to do."});
    return true;
  }

  void note_use(std::size_t target, const TablePin& use) {
    if (target != no_column) {
      for (TablePin& pin : report_.tables[target].pins) {
        if (pin.cavity != use.cavity) continue;
        add_remark(pin.note, fmt::format("use: {}", use.signal));
        if (!use.note.empty()) add_remark(pin.note, use.note);
        return;
      }
    }
    report_.problems.push_back({Severity::warning,
                                "use-without-pin",
                                {file_, use.source.line, use.source.column, ""},
                                fmt::format("cavity {} is given the use \"{}\" but no pin table above has it",
                                            use.cavity, use.signal),
                                "Look the cavity up."});
  }

  // Gives the positions of the pin tables that its rows went to.
  std::vector<std::size_t> read_pin_table(const Table& table, const ColumnPlan& plan) {
    const RowContext context{file_, plug_of_table(table), &options_.types,
                             kMostPins - std::min(kMostPins, pins_)};
    ReadRows rows = read_rows(table, plan, context, memory_);
    append(report_.problems, std::move(rows.problems));
    for (const std::vector<Cell>& row : table.rows) {
      if (std::string line = shared_line_of(row); !line.empty()) all_lines_.push_back(std::move(line));
    }
    std::vector<std::pair<std::size_t, std::size_t>> targets_of_module;  // table and its first new pin
    for (ModuleRows& module : rows.modules) {
      pins_ += module.pins.size();
      if (module.pins.empty()) {
        targets_of_module.emplace_back(0, 0);
        continue;
      }
      const std::size_t target = table_for(table, module, context);
      targets_of_module.emplace_back(target, report_.tables[target].pins.size());
      PinTable& into = report_.tables[target];
      if (into.pins.empty()) into.pins.reserve(module.pins.size());
      for (TablePin& pin : module.pins) into.pins.push_back(std::move(pin));
      add_parts(into, rows.parts);
      take_legend(table, into);
    }
    for (const ColourToRead& colour : rows.colours) {
      colours_.push_back({targets_of_module[colour.module].first,
                          targets_of_module[colour.module].second + colour.pin,
                          {file_, colour.cell->line, colour.cell->column, ""}});
    }
    std::vector<std::size_t> targets;
    for (std::size_t m = 0; m < targets_of_module.size(); ++m) {
      const bool used = !rows.modules[m].pins.empty();
      if (used && std::find(targets.begin(), targets.end(), targets_of_module[m].first) == targets.end())
        targets.push_back(targets_of_module[m].first);
    }
    return targets;
  }

  // Tables of further connectors of one module go to the same pin table; so does a table cut by a blank line.
  std::size_t table_for(const Table& table, const ModuleRows& module, const RowContext& context) {
    const bool named = std::all_of(module.pins.begin(), module.pins.end(),
                                   [](const TablePin& p) { return !p.connector.empty(); });
    if (module.name.empty() && !report_.tables.empty() && named && last_named_) {
      const PinTable& last = report_.tables.back();
      const bool again = !context.connector.empty() &&
                         std::any_of(last.pins.begin(), last.pins.end(),
                                     [&](const TablePin& p) { return p.connector == context.connector; });
      if (!again) return report_.tables.size() - 1;
    }
    if (continues_ && module.name.empty() && !last_modules_) return report_.tables.size() - 1;
    for (std::size_t i = report_.tables.size(); continues_ && !module.name.empty() && i-- > 0;) {
      if (report_.tables[i].name == module.name) return i;
    }
    const bool continued = module.name.empty() && !report_.tables.empty() && !named && !last_named_ &&
                           !last_modules_ && !table.name.empty() && table.name == last_name_ &&
                           table.lines_before.empty();
    if (continued) return report_.tables.size() - 1;
    last_named_ = named && module.name.empty();
    last_modules_ = !module.name.empty();
    last_name_ = table.name;
    PinTable fresh;
    fresh.name = name_for(table, module, context);
    fresh.tags = tags_;
    report_.tables.push_back(std::move(fresh));
    titles_.push_back(module.name.empty() ? title_of_table(table) : std::string());
    return report_.tables.size() - 1;
  }

  std::string name_for(const Table& table, const ModuleRows& module, const RowContext& context) const {
    if (!module.name.empty()) return module.name;
    const bool of_connector = !context.connector.empty() && table.name.starts_with(context.connector);
    const bool says_connector =
        !context.connector.empty() && table.name.size() <= context.connector.size() + 12;
    if (!table.name.empty() && bare_heading(table.name).empty()) {
      const std::string title = title_of_table(table);
      if (!title.empty() && context.connector.empty()) return title;
    }
    if (!table.name.empty() && !of_connector && !says_connector && !begins_with_connector_word(table.name))
      return table.name;
    return title_.empty() ? stem_of(file_) : title_;
  }

  static void add_parts(PinTable& table, const std::vector<std::pair<std::string, std::string>>& parts) {
    for (const auto& [name, part] : parts) table.connectors.push_back({name, part, {}});
  }

  void take_legend(const Table& table, PinTable& into) const {
    std::vector<std::string> lines = table.lines_before;
    lines.insert(lines.end(), table.lines_after.begin(), table.lines_after.end());
    if (lines.size() > 400) lines.resize(400);
    for (const std::string& line : lines) {
      const std::optional<LegendLine> legend = read_legend_line(line);
      if (!legend) continue;
      bool used = false;
      for (TablePin& pin : into.pins) {
        if (!legend_is_meant(legend->name, pin.signal)) continue;
        add_remark(pin.note, legend->meaning);
        used = true;
      }
      if (used && std::find(into.legend.begin(), into.legend.end(), legend->line) == into.legend.end()) {
        into.legend.push_back(legend->line);
      }
    }
  }

  void read_all_colours() {
    std::vector<std::string_view> raw;
    for (const PendingColour& colour : colours_)
      raw.emplace_back(report_.tables[colour.table].pins[colour.pin].colour.raw);
    if (raw.empty()) return;
    const ColourReading reading = read_file_colours(raw, all_lines_, options_.colour_codes);
    for (std::size_t i = 0; i < colours_.size(); ++i) {
      TablePin& pin = report_.tables[colours_[i].table].pins[colours_[i].pin];
      const std::vector<std::string>& doubts = reading.doubts[i];
      pin.doubts.insert(pin.doubts.end(), doubts.begin(), doubts.end());
      if (!reading.colours[i].known()) {
        report_.problems.push_back({Severity::warning, "unknown-colour", colours_[i].location,
                                    fmt::format("the colour \"{}\" of cavity {} could not be read",
                                                pin.colour.raw.substr(0, 60), pin.cavity),
                                    "Look at the wire, or name the colour in words."});
      }
      pin.colour = reading.colours[i];
    }
  }

  void finish(PinTable& table) {
    list_connectors(table);
    find_duplicates(table);
    for (const std::string& line : all_lines_) {
      for (TableShared& circuit : read_shared_line(line, table.pins)) {
        if (std::find(table.shared.begin(), table.shared.end(), circuit) == table.shared.end())
          table.shared.push_back(std::move(circuit));
      }
    }
  }

  static void list_connectors(PinTable& table) {
    std::map<std::string, std::size_t> index;
    for (std::size_t i = 0; i < table.connectors.size(); ++i) index.try_emplace(table.connectors[i].name, i);
    std::map<std::pair<std::string, std::string>, bool> seen;
    for (const TablePin& pin : table.pins) {
      const auto [at, fresh] = index.try_emplace(pin.connector, table.connectors.size());
      if (fresh) table.connectors.push_back({pin.connector, "", {}});
      if (seen.try_emplace({pin.connector, pin.cavity}, true).second) {
        table.connectors[at->second].cavities.push_back(pin.cavity);
      }
    }
    std::erase_if(table.connectors,
                  [](const TableConnector& connector) { return connector.cavities.empty(); });
  }

  std::string line_text(const TablePin& pin) const {
    return options_.line_text ? options_.line_text(pin.source.line) : fmt::format("line {}", pin.source.line);
  }

  void find_duplicates(PinTable& table) {
    std::map<std::pair<std::string, std::string>, std::size_t> first;
    std::vector<bool> doubted(table.pins.size());  // a first row says only once that it is not alone
    for (std::size_t i = 0; i < table.pins.size(); ++i) {
      TablePin& pin = table.pins[i];
      const auto [at, fresh] = first.try_emplace({pin.connector, pin.cavity}, i);
      if (fresh) continue;
      TablePin& other = table.pins[at->second];
      const std::string where = pin.connector.empty() ? pin.cavity : pin.connector + "-" + pin.cavity;
      pin.doubts.push_back(
          fmt::format("cavity {} is also in {}, as \"{}\"", where, line_text(other), other.signal));
      if (!doubted[at->second]) {
        doubted[at->second] = true;
        other.doubts.push_back(
            fmt::format("cavity {} is also in {}, as \"{}\"", where, line_text(pin), pin.signal));
      }
      report_.problems.push_back(
          {Severity::warning,
           "duplicate-cavity",
           {file_, pin.source.line, pin.source.column, ""},
           fmt::format("cavity {} is in {} already; both rows are kept", where, line_text(other)),
           "Find out which row is right; a cavity holds one wire."});
    }
  }

  static void append(Problems& to, Problems&& from) {
    to.insert(to.end(), std::make_move_iterator(from.begin()), std::make_move_iterator(from.end()));
  }

  std::string file_;
  const ReadOptions& options_;
  ReadReport report_;
  SignalMemory memory_;
  ModuleTags tags_;
  std::string title_;
  std::vector<std::string> all_lines_;
  std::vector<PendingColour> colours_;
  std::vector<Table> turned_;        // tables in another order than the file's
  std::vector<Table> split_;         // colours taken out of their signals
  std::size_t pins_ = 0;             // read so far
  std::vector<std::string> titles_;  // of each of report_.tables, empty for products side by side
  std::string last_name_;
  std::vector<Cell> last_header_;
  TableForm last_form_ = TableForm::delimited;
  bool continues_ = false;
  bool last_named_ = false;
  bool last_modules_ = false;
};

// The pin is read all the same; what is planned on it waits for an answer (loom/forbidden.h).
void ask_about_restraints(const PinTable& table, Problems& problems) {
  for (const TablePin& pin : table.pins) {
    const std::string beside =
        pin.signal + " " + pin.far_end + " " + pin.note + " " + std::string(name_of(pin.pin_class));
    for (const std::string* text : {&pin.signal, &pin.far_end, &pin.note}) {
      const auto found = restraint_word(*text, beside);
      if (!found) continue;
      problems.push_back(
          {Severity::warning,
           "presumed-restraint",
           {pin.source.file, pin.source.line, pin.source.column, ""},
           pin.connector + (pin.connector.empty() ? "" : " ") + pin.cavity + " says \"" + *text +
               "\": it may belong to a restraint system or to high voltage (\"" + found->word + "\").",
           "It is left alone until a person has found out and answered: nothing on it is planned, "
           "probed, moved or driven."});
      break;
    }
  }
}

}  // namespace

ReadReport read_tables(std::string_view bytes, const std::string& file, const ReadOptions& options) {
  return read_found_tables(find_tables(bytes, file), file, options);
}

ReadReport read_found_tables(const TableText& text, const std::string& file, const ReadOptions& options) {
  ReadReport report = FileReader(file, options).run(text);
  for (const PinTable& table : report.tables) ask_about_restraints(table, report.problems);
  return report;
}

}  // namespace loomgraft

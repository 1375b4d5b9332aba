#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "cli/command.h"
#include "cli/input.h"
#include "cli/paper.h"
#include "files/table_file.h"
#include "gather/read_json.h"
#include "loom/graft_json.h"
#include "text/csv.h"

namespace loomgraft::cli {
namespace {

struct ReadCall {
  std::vector<std::string> files;
  std::vector<std::string> columns;
  std::vector<std::string> colours;
  std::vector<std::string> types;
  Output output;
};

std::string doubts_of(const TablePin& pin) {
  std::string text;
  for (const std::string& doubt : pin.doubts) text += (text.empty() ? "? " : "; ") + doubt;
  return text;
}

std::string remarks_of(const TablePin& pin) {
  std::string text = pin.note;
  const std::string doubts = doubts_of(pin);
  if (!text.empty() && !doubts.empty()) text += "  ";
  return text + doubts;
}

std::string text_of(const PinTable& table, bool colour) {
  std::string title = table.name;
  for (const TableConnector& connector : table.connectors) {
    if (!connector.name.empty()) title += fmt::format("  {} ({})", connector.name, connector.cavities.size());
  }
  const bool placed =
      std::ranges::any_of(table.pins, [](const TablePin& pin) { return !pin.source.place.empty(); });
  std::vector<std::string> head{"plug", "cavity", "signal", "term", "kind", "colour", "remarks"};
  if (placed) head.insert(head.begin() + 2, "place");
  Columns columns(std::move(head));
  for (const TablePin& pin : table.pins) {
    std::vector<std::string> cells{
        pin.connector,
        pin.cavity,
        pin.signal,
        pin.term,
        pin.pin_class == PinClass::unknown ? "" : std::string(name_of(pin.pin_class)),
        print(pin.colour),
        remarks_of(pin)};
    if (placed) cells.insert(cells.begin() + 2, pin.source.place);
    columns.row(std::move(cells), pin.doubts.empty() ? Ink::plain : Ink::warning);
  }
  std::string text = inked(harmless(title), Ink::strong, colour) + "\n" + columns.print(colour);
  for (const std::string& line : table.legend) text += "  " + harmless(line) + "\n";
  for (const TableShared& circuit : table.shared) {
    const std::string who = circuit.module.empty() ? "another controller" : circuit.module;
    text += harmless(fmt::format("  shared with {}: {}", who, circuit.signal)) + "\n";
  }
  return text + "\n";
}

std::string csv_of(const ReadReport& report) {
  std::string text = csv_line({"table", "connector", "cavity", "signal", "term", "class", "base", "tracer",
                               "raw_colour", "note", "far_end", "file", "line", "place", "doubts"});
  for (const PinTable& table : report.tables) {
    for (const TablePin& pin : table.pins) {
      text += csv_line({table.name, pin.connector, pin.cavity, pin.signal, pin.term,
                        std::string(name_of(pin.pin_class)), pin.colour.base, pin.colour.tracer,
                        pin.colour.raw, pin.note, pin.far_end, pin.source.file,
                        std::to_string(pin.source.line), pin.source.place, doubts_of(pin)});
    }
  }
  return text;
}

using Pairs = std::vector<std::pair<std::string, std::string>>;

Pairs pairs_of(const std::vector<std::string>& choices, const char* example, Problems& problems) {
  Pairs pairs;
  for (const std::string& choice : choices) {
    const std::size_t equals = choice.rfind('=');
    if (equals == std::string::npos)
      problems.push_back({Severity::error,
                          "bad-column-choice",
                          {},
                          "\"" + choice + "\" has no = in it.",
                          fmt::format("For example: {}.", example)});
    else
      pairs.emplace_back(choice.substr(0, equals), choice.substr(equals + 1));
  }
  return pairs;
}

ReadOptions options_of(const ReadCall& call, Problems& problems) {
  ReadOptions options;
  options.column_choice = pairs_of(call.columns, "--column \"Wire=colour\"", problems);
  options.colour_codes = pairs_of(call.colours, "--colour LG=GN", problems);
  for (const auto& [text, name] : pairs_of(call.types, "--type ls=low_side_driver", problems)) {
    if (const auto pin_class = pin_class_of(name))
      options.types.emplace_back(text, *pin_class);
    else
      problems.push_back({Severity::error,
                          "bad-column-choice",
                          {},
                          fmt::format("\"{}\" is no type of a pin.", name),
                          "Use a type as \"loomgraft read --json\" writes it, such as low_side_driver."});
  }
  return options;
}

// A restraint circuit to be confirmed, or a part of the file that was lost.
bool needs_answer(const Problem& problem) {
  return problem.code == "presumed-restraint" || problem.code == "table-skipped" ||
         (problem.code == "line-not-read" && problem.severity == Severity::warning);
}

int run(const ReadCall& call) {
  ReadReport all;
  const ReadOptions options = options_of(call, all.problems);
  for (const std::string& path : call.files) {
    FileContent file = read_file(path);
    for (Problem& problem : file.problems) all.problems.push_back(std::move(problem));
    if (file.graft) file.bytes = write_graft(*file.graft);  // read as the JSON that it would be
    if (!file.bytes) continue;
    ReadReport report = read_table_file(*file.bytes, path, options);
    for (PinTable& table : report.tables) all.tables.push_back(std::move(table));
    for (Problem& problem : report.problems) all.problems.push_back(std::move(problem));
  }
  const bool colour = wants_colour();
  if (call.output.json) {
    print_json(to_json(all));
  } else {
    if (call.output.csv) print_text(csv_of(all));
    if (!call.output.csv) {
      for (const PinTable& table : all.tables) print_text(text_of(table, colour));
    }
    print_problems(all.problems);
  }
  if (all.tables.empty()) return unusable;
  const bool asks = std::ranges::any_of(all.problems, needs_answer);
  return exit_over(all.problems, asks ? attention : done);
}

}  // namespace

void add_read(CLI::App& app, int& exit) {
  auto call = std::make_shared<ReadCall>();
  auto* command = app.add_subcommand("read", "what a pin table says, cavity by cavity, and what is doubtful");
  command->add_option("tables", call->files, "files with pin tables, in any supported format")->required();
  command->add_option("--column", call->columns,
                      "correct a column: HEAD=ROLE with role cavity, connector, signal, colour, note, class, "
                      "far_end or ignore");
  command->add_option("--colour", call->colours,
                      "what a colour's letters mean in these files: CODE=IEC letters, such as LG=GN");
  command->add_option("--type", call->types,
                      "what an entry of the type column means: ENTRY=TYPE, such as ls=low_side_driver");
  add_output_options(*command, call->output, true);
  command->footer("Example: loomgraft read examples/power-takeoff/found-manual.csv --json");
  command->callback([call, &exit] { exit = run(*call); });
}

}  // namespace loomgraft::cli

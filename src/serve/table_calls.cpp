// Pin tables: what is read from a file, and adding it to a graft.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <mutex>

#include "base/problem_json.h"
#include "files/table_file.h"
#include "gather/choose_tables.h"
#include "gather/overlay.h"
#include "gather/read_json.h"
#include "http/base64.h"
#include "loom/validate.h"
#include "serve/answers.h"
#include "serve/handlers.h"

namespace loomgraft::serve {
namespace {

constexpr std::size_t rows_shown = 30;
constexpr std::chrono::seconds longest_wait{20};

struct UploadedTable {
  std::string name;
  std::string bytes;
  ReadOptions options;
};

// The texts of a member that is an object.
std::vector<std::pair<std::string, std::string>> text_pairs(const nlohmann::json& body, const char* member) {
  std::vector<std::pair<std::string, std::string>> pairs;
  const auto found = body.find(member);
  if (found == body.end() || !found->is_object()) return pairs;
  for (const auto& [key, value] : found->items())
    if (value.is_string()) pairs.emplace_back(key, value.get<std::string>());
  return pairs;
}

OrAnswer<UploadedTable> uploaded_table(const nlohmann::json& body) {
  UploadedTable table;
  table.name = text_member(body, "name");
  if (table.name.empty()) table.name = "pasted table";
  table.bytes = text_member(body, "text");
  if (const auto encoded = body.find("base64"); encoded != body.end() && encoded->is_string()) {
    auto bytes = from_base64(encoded->get_ref<const std::string&>());
    if (!bytes)
      return tl::unexpected(
          refuse(400, "bad-base64", "The file's bytes are not valid base64.", "Send the file again."));
    table.bytes = std::move(*bytes);
  }
  table.options.column_choice = text_pairs(body, "columns");
  table.options.colour_codes = text_pairs(body, "colour_codes");
  for (const auto& [text, name] : text_pairs(body, "types"))
    if (const auto pin_class = pin_class_of(name)) table.options.types.emplace_back(text, *pin_class);
  table.options.rows_shown = rows_shown;
  return table;
}

OrAnswer<ReadReport> read_alone(Workbench& bench, const UploadedTable& table) {
  const std::unique_lock<std::timed_mutex> lock(bench.table_reading(), longest_wait);
  if (!lock)
    return tl::unexpected(refuse(503, "busy", "Other tables are being read.", "Try again in a moment."));
  return read_table_file(table.bytes, table.name, table.options);
}

nlohmann::json preview_json(const TablePreview& preview) {
  nlohmann::json columns = nlohmann::json::array();
  for (const ColumnPreview& column : preview.columns)
    columns.push_back({{"head", column.name}, {"role", column.role}, {"doubt", column.doubt}});
  nlohmann::json json{{"name", preview.name},
                      {"line", preview.line},
                      {"reason", preview.reason},
                      {"columns", std::move(columns)},
                      {"rows_preview", preview.rows}};
  if (!preview.place.empty()) json["place"] = preview.place;
  return json;
}

// The report with the columns of each table; tables that were skipped are listed apart.
nlohmann::json read_report_json(const ReadReport& report) {
  nlohmann::json json = to_json(report);
  nlohmann::json skipped = nlohmann::json::array();
  for (const TablePreview& preview : report.previews) {
    if (preview.tables.empty()) skipped.push_back(preview_json(preview));
    for (const std::size_t table : preview.tables) {
      nlohmann::json& into = json["tables"][table];
      if (into.contains("columns")) continue;  // a table in several pieces shows the first
      const nlohmann::json columns = preview_json(preview);
      for (const char* member : {"columns", "rows_preview", "line", "reason", "place"})
        if (columns.contains(member)) into[member] = columns[member];
    }
  }
  json["skipped"] = std::move(skipped);
  return json;
}

ModuleRole role_of(const std::string& name) {
  if (name == "found") return ModuleRole::found;
  return name == "donor" ? ModuleRole::donor : ModuleRole::other;
}

std::string free_module_id(const Graft& graft, const std::string& wanted) {
  std::string id = wanted;
  for (int count = 2; find_module(graft, id); ++count) id = fmt::format("{}{}", wanted, count);
  return id;
}

std::string free_source_id(const Graft& graft, const std::string& module) {
  for (int count = 1;; ++count) {
    std::string id = fmt::format("{}.source{}", module, count);
    const bool taken = std::any_of(graft.sources.begin(), graft.sources.end(),
                                   [&](const Source& source) { return source.id == id; });
    if (!taken) return id;
  }
}

struct AddedTable {
  Graft graft;
  std::string module;
  Problems problems;
};

// An existing module gets a further source; else a new module is made from the table.
AddedTable add_table(Graft graft, const std::string& wanted, ModuleRole role, SourceTables source) {
  AddedTable added;
  if (find_module(graft, wanted)) {
    added.module = wanted;
    source.source.id = free_source_id(graft, wanted);
    OverlaidGraft overlaid = overlay_source(std::move(graft), wanted, source);
    added.graft = std::move(overlaid.graft);
    added.problems = std::move(overlaid.problems);
    return added;
  }
  const char* fallback = role == ModuleRole::found ? "found" : role == ModuleRole::donor ? "donor" : "module";
  added.module = wanted.empty() ? free_module_id(graft, fallback) : wanted;
  source.source.id = free_source_id(graft, added.module);
  GatheredModule gathered = gather_module(added.module, role, {source});
  graft.sources.push_back(source.source);
  for (Connector& connector : gathered.connectors) graft.connectors.push_back(std::move(connector));
  graft.modules.push_back(std::move(gathered.module));
  added.graft = std::move(graft);
  added.problems = std::move(gathered.problems);
  return added;
}

// Problems of the document that are new.
void add_new_problems(const Graft& before, const Graft& after, Problems& problems) {
  const Problems known = validate(before);
  for (Problem& problem : validate(after)) {
    if (std::find(known.begin(), known.end(), problem) == known.end()) problems.push_back(std::move(problem));
  }
}

std::string wanted_table(const nlohmann::json& body, const ReadReport& report) {
  const auto position = body.find("table");
  if (position == body.end() || !position->is_number_unsigned()) return {};
  const auto index = position->get<std::size_t>();
  return index < report.tables.size() ? report.tables[index].name : std::string();
}

}  // namespace

Answer post_tables(Workbench& bench, const Call& call) {
  const auto body = body_of(call);
  if (!body) return body.error();
  const auto table = uploaded_table(*body);
  if (!table) return table.error();
  const auto report = read_alone(bench, *table);
  if (!report) return report.error();
  Answer answer;
  answer.body = text_of(read_report_json(*report));
  return answer;
}

Answer post_graft_table(Workbench& bench, const Call& call) {
  const auto change = document_change(bench, call);
  if (!change) return change.error();
  const auto table = uploaded_table(change->body);
  if (!table) return table.error();
  auto report = read_alone(bench, *table);
  if (!report) return report.error();
  ChosenTables chosen = choose_tables(report->tables, wanted_table(change->body, *report), table->name);
  Problems problems = std::move(report->problems);
  problems.insert(problems.end(), chosen.problems.begin(), chosen.problems.end());
  if (chosen.tables.empty()) return refuse(problems);
  SourceTables source;
  source.source.title = table->name;
  source.tables = std::move(chosen.tables);
  AddedTable added = add_table(change->base->graft, text_member(change->body, "module"),
                               role_of(text_member(change->body, "role")), std::move(source));
  problems.insert(problems.end(), added.problems.begin(), added.problems.end());
  add_new_problems(change->base->graft, added.graft, problems);
  const auto committed = change->graft->writer.commit(
      added.graft, change->expected, stamp_of(call, fmt::format("table \"{}\" added", table->name)));
  if (!committed) return refuse(committed.error());
  bench.grafts().check_now();
  return json_answer(
      {{"revision", committed->revision}, {"module", added.module}, {"problems", problems_json(problems)}});
}

}  // namespace loomgraft::serve

// Brings a document, a graft file or a table of the loom into a graft, after a check: what cannot be used is said, and then
// nothing is written.
#include <fmt/chrono.h>
#include <fmt/format.h>
#include <sys/stat.h>

#include <algorithm>
#include <array>
#include <cstdio>
#include <cstdlib>
#include <ctime>
#include <memory>

#include "base/ascii.h"
#include "cli/command.h"
#include "cli/graft_file.h"
#include "cli/input.h"
#include "cli/paper.h"
#include "gather/loom_table.h"
#include "loom/graft_json.h"
#include "loom/validate.h"
#include "store/attachment_folder.h"
#include "store/graft_file.h"

namespace loomgraft::cli {
namespace {

struct ImportCall {
  std::string source;
  std::string target;
  std::string table;
  std::string photos;
  std::string author;
  std::string time;
  bool check = false;
  bool replace = false;
  bool usable_rows = false;
};

constexpr std::array loom_tables{LoomTable::wires,  LoomTable::devices, LoomTable::fuses,
                                 LoomTable::earths, LoomTable::joints,  LoomTable::places};

int not_taken(const Problems& problems) {
  print_problems(problems);
  return unusable;
}

Problem problem(ProblemCode code, const std::string& file, std::string message, std::string remedy) {
  return {Severity::error, code, {file, 0, 0, ""}, std::move(message), std::move(remedy)};
}

bool exists(const std::string& path) {
  struct stat info {};
  return stat(path.c_str(), &info) == 0;
}

bool is_folder(const std::string& path) {
  struct stat info {};
  return stat(path.c_str(), &info) == 0 && S_ISDIR(info.st_mode);
}

Stamp stamp_of(const ImportCall& call) {
  Stamp stamp{call.author, call.time, "imported from " + call.source.substr(0, 400)};
  const char* user = std::getenv("USER");
  if (stamp.author.empty()) stamp.author = user == nullptr ? "command line" : user;
  if (stamp.time.empty()) stamp.time = fmt::format("{:%Y-%m-%dT%H:%M:%SZ}", fmt::gmtime(std::time(nullptr)));
  return stamp;
}

// ---- a whole document

// In a folder the file is named after the job, as the workbench names it.
std::string file_in(const std::string& folder, const std::string& title) {
  std::string name;
  for (const char c : title) {
    if (is_letter(c) || is_digit(c))
      name += lower(c);
    else if (!name.empty() && name.back() != '-')
      name += '-';
  }
  while (!name.empty() && name.back() == '-') name.pop_back();
  const std::string base = folder + "/" + (name.empty() ? "graft" : name.substr(0, 48));
  std::string path = base + ".graft";
  for (int count = 2; exists(path); ++count) path = fmt::format("{}-{}.graft", base, count);
  return path;
}

// The document of the file becomes its next revision: undo brings back the earlier one.
Stored<GraftFile> replaced(const std::string& path, const Graft& graft, const Stamp& stamp) {
  auto file = GraftFile::open(path);
  if (!file) return file;
  const auto current = file->document();
  if (!current) return tl::unexpected(current.error());
  Graft document = graft;
  document.readings.clear();
  const auto committed = file->commit(document, (*current)->revision, stamp);
  if (!committed) return tl::unexpected(committed.error());
  const auto readings = file->append(graft.readings);
  if (!readings) return tl::unexpected(readings.error());
  return file;
}

int import_document(const ImportCall& call) {
  Problems problems;
  const auto graft = read_graft_file(call.source, problems);
  print_problems(problems);
  if (!graft || has_error(problems)) return unusable;
  const std::string path = is_folder(call.target) ? file_in(call.target, graft->title) : call.target;
  const std::string count =
      fmt::format("{}: {} wires, {} readings", harmless(path), graft->wires.size(), graft->readings.size());
  if (call.check) {
    if (exists(path) && !call.replace)
      return not_taken({problem("file-exists", path, "There is a file of this name already.",
                                "Choose another name, or add --replace.")});
    print_text(count + "; nothing was written\n");
    return done;
  }
  const bool replace = call.replace && exists(path);
  auto file =
      replace ? replaced(path, *graft, stamp_of(call)) : GraftFile::create(path, *graft, stamp_of(call));
  if (!file) return not_taken(file.error());
  FolderCount photos;
  if (!call.photos.empty()) {
    auto read = read_attachment_folder(*file, call.photos);
    if (!read) {
      // A file without its photos could be taken for the complete job.
      file = tl::unexpected(Problems{});
      if (!replace) std::remove(path.c_str());
      return not_taken(read.error());
    }
    photos = *read;
  }
  print_text(fmt::format("{}, {} photos, {} ticks\n", count, photos.attachments, photos.ticks));
  return done;
}

// ---- a table of the loom

void print_rows(const LoomTableReading& reading) {
  Columns columns({"line", "", "row", "what"});
  for (const LoomRow& row : reading.rows) {
    const Ink ink = row.verdict == LoomRowVerdict::unusable ? Ink::warning
                    : row.verdict == LoomRowVerdict::same   ? Ink::faint
                                                            : Ink::plain;
    columns.row({std::to_string(row.line), std::string(name_of(row.verdict)), row.name, row.text}, ink);
  }
  print_text(columns.print(wants_colour()));
  if (reading.ignored.empty()) return;
  std::string heads;
  for (const std::string& head : reading.ignored) heads += (heads.empty() ? "" : ", ") + head;
  print_text(harmless("not used: " + heads) + "\n");
}

std::ptrdiff_t count_of(const LoomTableReading& reading, LoomRowVerdict verdict) {
  return std::ranges::count(reading.rows, verdict, &LoomRow::verdict);
}

// Errors of the document that the rows bring.
Problems new_errors(const Graft& before, const Graft& after) {
  const Problems known = validate(before);
  Problems fresh;
  for (Problem& one : validate(after)) {
    if (one.severity == Severity::error && std::ranges::find(known, one) == known.end())
      fresh.push_back(std::move(one));
  }
  return fresh;
}

int write_table(const ImportCall& call, const Graft& changed) {
  if (!looks_like_graft_file(call.target)) {
    if (write_file(call.target, write_graft(changed))) return done;
    return not_taken({problem("not-written", call.target, "The file could not be written.",
                              "Check the folder, its permissions and the space left.")});
  }
  auto file = GraftFile::open(call.target);
  if (!file) return not_taken(file.error());
  const auto current = file->document();
  if (!current) return not_taken(current.error());
  Graft document = changed;
  document.readings.clear();
  const auto committed = file->commit(document, (*current)->revision, stamp_of(call));
  return committed ? done : not_taken(committed.error());
}

int import_table(const ImportCall& call, LoomTable table) {
  FileContent content = read_file(call.source);
  if (!content.bytes) {
    if (content.graft)
      content.problems.push_back(problem("not-a-pin-table", call.source, "This is a graft file, not a table.",
                                         "Leave out --table to bring in the whole document."));
    return not_taken(content.problems);
  }
  Problems problems;
  const auto graft = read_graft_file(call.target, problems);
  if (!graft) return not_taken(problems);
  LoomTableReading reading = read_loom_table(*graft, table, *content.bytes, call.source);
  for (Problem& one : new_errors(*graft, reading.graft)) reading.problems.push_back(std::move(one));
  print_rows(reading);
  print_problems(reading.problems);
  const auto unusable_rows = count_of(reading, LoomRowVerdict::unusable);
  const auto usable = std::ssize(reading.rows) - unusable_rows;
  const bool only_rows = std::ranges::all_of(reading.problems, [](const Problem& one) {
    return one.severity != Severity::error || one.code == ProblemCode("bad-record");
  });
  const bool takes = only_rows && (unusable_rows == 0 || (call.usable_rows && usable > 0));
  if (!takes || call.check) {
    print_text("Nothing was written.\n");
    return takes ? done : unusable;
  }
  const int status = write_table(call, reading.graft);
  if (status != done) return status;
  print_text(fmt::format("{}: {} added, {} changed, {} as they were, {} left out\n", harmless(call.target),
                         count_of(reading, LoomRowVerdict::added), count_of(reading, LoomRowVerdict::changed),
                         count_of(reading, LoomRowVerdict::same), unusable_rows));
  return unusable_rows > 0 ? attention : done;
}

int run(const ImportCall& call) {
  if (call.table.empty()) return import_document(call);
  const auto table = std::ranges::find(loom_tables, call.table, [](LoomTable one) { return name_of(one); });
  return import_table(call, *table);
}

}  // namespace

void add_import(CLI::App& app, int& exit) {
  auto call = std::make_shared<ImportCall>();
  auto* command = app.add_subcommand(
      "import", "bring a document, a graft file or a table of the loom into a graft, after a check");
  command->add_option("source", call->source, "the document (JSON), graft file or table (CSV and others)")
      ->required();
  command
      ->add_option("target", call->target, "the graft file to make, or a folder for it; with --table the job")
      ->required();
  auto* table =
      command->add_option("--table", call->table,
                          "which table of the loom the rows belong to: wires, devices, fuses, earths, "
                          "joints, places");
  table->check(CLI::IsMember({"wires", "devices", "fuses", "earths", "joints", "places"}));
  command->add_flag("--check", call->check, "say what would be taken, and write nothing");
  command->add_flag(
      "--replace", call->replace,
      "an existing graft file gets the document as its next revision; undo brings back the earlier");
  command->add_flag("--usable-rows", call->usable_rows, "with --table: take the rows that can be used")
      ->needs(table);
  command->add_option("--photos", call->photos, "a folder of photos and ticks written by export")
      ->excludes(table);
  command->add_option("--author", call->author, "who brings it in; default: the user's name");
  command->add_option("--time", call->time, "when, such as 2026-03-01T10:00:00Z; default: now");
  command->footer(
      "Examples: loomgraft import van.json van.graft --photos van-photos\n"
      "          loomgraft import wires.csv van.graft --table wires --check\n"
      "Exit status 2: something cannot be used, and nothing was written.");
  command->callback([call, &exit] { exit = run(*call); });
}

}  // namespace loomgraft::cli

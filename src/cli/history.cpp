// The commands about graft files themselves: export, history, recover.
#include <fmt/format.h>

#include <memory>
#include <nlohmann/json.hpp>

#include "cli/command.h"
#include "cli/input.h"
#include "cli/paper.h"
#include "loom/graft_json.h"
#include "store/attachment_folder.h"
#include "store/graft_file.h"
#include "store/recover.h"

namespace loomgraft::cli {
namespace {

int refused(const Problems& problems) {
  print_problems(problems);
  return unusable;
}

// ---- export

struct ExportCall {
  std::string file;
  std::string out;
  std::string photos;
  std::int64_t revision = 0;
};

Stored<Graft> document_to_export(GraftFile& file, std::int64_t revision) {
  auto graft = file.whole();
  if (!graft || revision == 0) return graft;
  auto older = file.document_at(revision);
  if (!older) return tl::unexpected(std::move(older.error()));
  Graft changed = (*older)->graft;
  changed.readings = std::move(graft->readings);
  return changed;
}

int run_export(const ExportCall& call) {
  auto file = GraftFile::open(call.file, {.access = Access::read});
  if (!file) return refused(file.error());
  print_problems(file->remarks());
  auto graft = document_to_export(*file, call.revision);
  if (!graft) return refused(graft.error());
  if (!call.photos.empty()) {
    auto written = write_attachment_folder(*file, call.photos);
    if (!written) return refused(written.error());
  }
  const std::string text = write_graft(*graft);
  if (call.out.empty()) {
    print_text(text);
    return done;
  }
  if (write_file(call.out, text)) return done;
  return refused({{Severity::error,
                   "not-written",
                   {call.out, 0, 0, ""},
                   "The file could not be written.",
                   "Check the folder, its permissions and the space left."}});
}

// ---- history

struct HistoryCall {
  std::string file;
  std::size_t count = 20;
  std::int64_t from = 0;
  Output output;
};

const char* kind_text(const Revision& revision) {
  return revision.undone ? "undone" : name_of(revision.kind);
}

nlohmann::ordered_json history_json(const std::vector<Revision>& history) {
  auto list = nlohmann::ordered_json::array();
  for (const Revision& r : history) {
    list.push_back({{"revision", r.number},
                    {"kind", name_of(r.kind)},
                    {"author", r.author},
                    {"time", r.time},
                    {"reason", r.reason},
                    {"summary", r.summary},
                    {"undone", r.undone}});
  }
  return {{"history", list}};
}

int run_history(const HistoryCall& call) {
  auto file = GraftFile::open(call.file, {.access = Access::read});
  if (!file) return refused(file.error());
  print_problems(file->remarks());
  auto history = file->history(call.from, call.count);
  if (!history) return refused(history.error());
  if (call.output.json) {
    print_json(history_json(*history));
    return done;
  }
  Columns columns({"rev", "", "by", "when", "what"});
  for (const Revision& r : *history) {
    const Ink ink = r.undone ? Ink::faint : Ink::plain;
    columns.row({std::to_string(r.number), kind_text(r), r.author, r.time, text_of(r)}, ink);
  }
  print_text(columns.print(wants_colour()));
  return done;
}

// ---- recover

struct RecoverCall {
  std::string file;
  std::string out;
};

int run_recover(const RecoverCall& call) {
  auto recovered = recover(call.file, call.out);
  if (!recovered) return refused(recovered.error());
  print_problems(recovered->lost);
  print_problems(recovered->proof);
  print_text(fmt::format("{}: revision {}, {} revisions, {} readings, {} ticks, {} photos\n",
                         harmless(call.out), recovered->revision, recovered->revisions, recovered->readings,
                         recovered->ticks, recovered->attachments));
  return recovered->lost.empty() ? done : attention;
}

}  // namespace

void add_export(CLI::App& app, int& exit) {
  auto call = std::make_shared<ExportCall>();
  auto* command = app.add_subcommand("export", "write a graft file's document with its readings as JSON");
  command->add_option("file", call->file, "the graft file")->required();
  command->add_option("-o,--output", call->out, "the document to write; default: standard output");
  command->add_option("--photos", call->photos, "also write photos and ticks into this folder");
  command->add_option("--revision", call->revision, "the document as it was at this revision")
      ->check(CLI::PositiveNumber);
  command->footer("Example: loomgraft export van.graft -o van.json --photos van-photos");
  command->callback([call, &exit] { exit = run_export(*call); });
}

void add_history(CLI::App& app, int& exit) {
  auto call = std::make_shared<HistoryCall>();
  auto* command = app.add_subcommand("history", "who changed what in a graft file, newest first");
  command->add_option("file", call->file, "the graft file")->required();
  command->add_option("--count", call->count, "how many revisions")->capture_default_str();
  command->add_option("--from", call->from, "from this revision downwards; default: the current one");
  add_output_options(*command, call->output, false);
  command->footer("Example: loomgraft history van.graft --count 5");
  command->callback([call, &exit] { exit = run_history(*call); });
}

void add_recover(CLI::App& app, int& exit) {
  auto call = std::make_shared<RecoverCall>();
  auto* command = app.add_subcommand("recover", "save what can be read of a damaged graft file as a new one");
  command->add_option("file", call->file, "the damaged file; it is not written to")->required();
  command->add_option("-o,--output", call->out, "the new graft file")->required();
  command->footer(
      "Example: loomgraft recover van.graft -o van-recovered.graft\nExit status 1: something is lost; each "
      "loss is listed.");
  command->callback([call, &exit] { exit = run_recover(*call); });
}

}  // namespace loomgraft::cli

// Whole copies of graft files, and putting one back.
#include <fmt/format.h>

#include <filesystem>
#include <memory>

#include "cli/command.h"
#include "cli/input.h"
#include "cli/paper.h"
#include "http/clock.h"
#include "store/copies.h"
#include "store/graft_folder.h"

namespace loomgraft::cli {
namespace {

namespace fs = std::filesystem;

struct BackupCall {
  std::string from;
  std::string to;
};

Stored<bool> copy_one(const std::string& from, const std::string& to) {
  auto file = GraftFile::open(from, {.access = Access::read});
  if (!file) return tl::unexpected(std::move(file.error()));
  print_problems(file->remarks());
  auto copied = file->copy_to(to);
  if (!copied) return copied;
  print_text(fmt::format("{} -> {}\n", harmless(from), harmless(to)));
  return true;
}

int copy_folder(const BackupCall& call) {
  const auto folder = GraftFolder::open(call.from);
  if (!folder) {
    print_problems(folder.error());
    return unusable;
  }
  std::error_code failed;
  fs::create_directories(call.to, failed);
  int exit = done;
  for (const std::string& name : folder->names()) {
    const auto from = folder->path_of(name);
    const auto copied = copy_one(*from, call.to + "/" + name + ".graft");
    if (copied) continue;
    print_problems(copied.error());
    exit = unusable;
  }
  return exit;
}

int run_backup(const BackupCall& call) {
  std::error_code failed;
  if (fs::is_directory(call.from, failed)) return copy_folder(call);
  const bool into_folder = fs::is_directory(call.to, failed);
  const std::string to = into_folder ? call.to + "/" + fs::path(call.from).filename().string() : call.to;
  const auto copied = copy_one(call.from, to);
  if (copied) return done;
  print_problems(copied.error());
  return unusable;
}

struct RestoreCall {
  std::string file;
  std::string copy;
};

int list_copies(const std::string& file) {
  const auto copies = dated_copies(file);
  if (copies.empty()) print_text("There are no dated copies of this file.\n");
  Columns columns({"copy", "entries", "bytes"});
  for (const DatedCopy& copy : copies)
    columns.row(
        {copies_folder(file) + "/" + copy.name, std::to_string(copy.sequence), std::to_string(copy.bytes)});
  if (!copies.empty()) print_text(columns.print(wants_colour()));
  return done;
}

int run_restore(const RestoreCall& call) {
  if (call.copy.empty()) return list_copies(call.file);
  // A name from the list, or any graft file.
  const auto dated = path_of_copy(call.file, call.copy);
  const auto put = put_back(dated ? *dated : call.copy, call.file, time_now());
  if (!put) {
    print_problems(put.error());
    return unusable;
  }
  print_text(fmt::format("{} is put back. What was there before is kept: loomgraft restore {}\n",
                         harmless(call.file), harmless(call.file)));
  return done;
}

}  // namespace

void add_backup(CLI::App& app, int& exit) {
  auto call = std::make_shared<BackupCall>();
  auto* command =
      app.add_subcommand("backup", "make whole, checked copies of graft files, also while they are in use");
  command->add_option("from", call->from, "a folder of graft files, or one of them")->required();
  command->add_option("-o,--output", call->to, "the folder to copy to, or for one file its copy")->required();
  command->footer("Example: loomgraft backup jobs -o /media/stick/jobs-2026-03-01");
  command->callback([call, &exit] { exit = run_backup(*call); });
}

void add_restore(CLI::App& app, int& exit) {
  auto call = std::make_shared<RestoreCall>();
  auto* command =
      app.add_subcommand("restore", "put a copy of a graft file in its place; alone: list its dated copies");
  command->add_option("file", call->file, "the graft file")->required();
  command->add_option("copy", call->copy, "a dated copy of it, or any whole copy");
  command->footer(
      "Examples: loomgraft restore jobs/van.graft\n"
      "          loomgraft restore jobs/van.graft 2026-03-01T10-00-00Z-345.graft\n"
      "What was there before becomes a dated copy itself.");
  command->callback([call, &exit] { exit = run_restore(*call); });
}

}  // namespace loomgraft::cli

#include "store/graft_folder.h"

#include <algorithm>
#include <cctype>
#include <filesystem>

#include "store/database_internal.h"
#include "text/encoding.h"

namespace loomgraft {

using namespace store;

namespace fs = std::filesystem;
using store::refuse;
using store::store_problem;

namespace {

constexpr std::string_view ending = ".graft";
constexpr std::size_t longest_name = 100;

// Bytes above 0x7f are letters of other scripts; valid_utf8() has seen to it that they are whole.
bool is_name_character(char c) {
  const auto byte = static_cast<unsigned char>(c);
  return byte > 0x7f || std::isalnum(byte) != 0 ||
         std::string_view(" -_.+()").find(c) != std::string_view::npos;
}

bool is_bad_at_edge(char c) {
  return c == '.' || c == ' ';
}

// Invisible characters and those that change the writing direction, which make one name look like another: U+200B to
// U+200F, U+2028 to U+202F, U+2060 to U+206F and U+FEFF, and the control codes U+0080 to U+009F.
bool has_invisible_characters(std::string_view name) {
  for (std::size_t i = 0; i + 1 < name.size(); ++i) {
    const auto first = static_cast<unsigned char>(name[i]);
    const auto second = static_cast<unsigned char>(name[i + 1]);
    if (first == 0xc2 && second < 0xa0) return true;
    if (i + 2 >= name.size()) continue;
    const auto third = static_cast<unsigned char>(name[i + 2]);
    if (first == 0xef && second == 0xbb && third == 0xbf) return true;
    if (first != 0xe2) continue;
    if (second == 0x80 && ((third >= 0x8b && third <= 0x8f) || (third >= 0xa8 && third <= 0xaf))) return true;
    if (second == 0x81 && third >= 0xa0 && third <= 0xaf) return true;
  }
  return false;
}

bool is_safe(std::string_view name) {
  return !name.empty() && name.size() <= longest_name && valid_utf8(name) && !is_bad_at_edge(name.front()) &&
         !is_bad_at_edge(name.back()) && std::all_of(name.begin(), name.end(), is_name_character) &&
         !has_invisible_characters(name);
}

FolderEntry read_entry(const std::string& path, std::string name) {
  FolderEntry entry;
  entry.name = std::move(name);
  auto file = GraftFile::open(path, {.access = Access::read, .busy_ms = 500, .check = false});
  auto history = file ? file->history(0, 1) : tl::unexpected(file.error());
  auto document = file ? file->document() : tl::unexpected(file.error());
  if (!history || !document) {
    entry.problems = history ? document.error() : history.error();
    return entry;
  }
  entry.remarks = file->remarks();
  entry.title = (*document)->graft.title;
  entry.revision = (*document)->revision;
  if (!history->empty()) entry.changed = history->front().time;
  return entry;
}

}  // namespace

Stored<GraftFolder> GraftFolder::open(const std::string& path) {
  std::error_code failed;
  const fs::path folder = fs::canonical(path, failed);
  if (failed || !fs::is_directory(folder, failed)) {
    return refuse(
        store_problem(path, "not-found", "There is no such folder.", "Check its name, or make it first."));
  }
  return GraftFolder(folder.string());
}

Stored<std::string> GraftFolder::path_of(const std::string& name) const {
  if (!is_safe(name)) {
    return refuse(store_problem(path_, "unsafe-name", "A file cannot have this name.",
                                "Use letters, digits, blanks and - _ . + ( ), at most " +
                                    std::to_string(longest_name) +
                                    " bytes, with no dot or blank at an end."));
  }
  const std::string path = path_ + "/" + name + std::string(ending);
  std::error_code failed;
  if (fs::is_symlink(path, failed) && fs::canonical(path, failed).parent_path() != fs::path(path_)) {
    return refuse(store_problem(path_, "unsafe-name", "This name leads out of the folder.",
                                "Copy the file itself into the folder."));
  }
  return path;
}

std::vector<std::string> GraftFolder::names() const {
  std::vector<std::string> names;
  std::error_code failed;
  for (fs::directory_iterator at(path_, failed), end; !failed && at != end; at.increment(failed)) {
    const std::string file = at->path().filename().string();
    if (!std::string_view(file).ends_with(ending)) continue;
    std::string name = file.substr(0, file.size() - ending.size());
    if (path_of(name) && at->is_regular_file(failed)) names.push_back(std::move(name));
  }
  std::sort(names.begin(), names.end());
  return names;
}

std::vector<FolderEntry> GraftFolder::list() const {
  std::vector<FolderEntry> entries;
  for (std::string& name : names()) {
    const auto path = path_of(name);
    if (path) entries.push_back(read_entry(*path, std::move(name)));
  }
  return entries;
}

Stored<GraftFile> GraftFolder::create(const std::string& name, const std::string& title,
                                      const Stamp& stamp) const {
  auto path = path_of(name);
  if (!path) return tl::unexpected(std::move(path.error()));
  Graft graft;
  graft.title = title;
  return GraftFile::create(*path, graft, stamp);
}

Stored<GraftFile> GraftFolder::open_file(const std::string& name, const OpenOptions& options) const {
  auto path = path_of(name);
  if (!path) return tl::unexpected(std::move(path.error()));
  return GraftFile::open(*path, options);
}

}  // namespace loomgraft

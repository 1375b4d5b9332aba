#include "store/attachment_folder.h"

#include <filesystem>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>

#include "store/database_internal.h"
#include "store/sha256.h"

namespace loomgraft {

using namespace store;

namespace fs = std::filesystem;
using store::refuse;
using store::store_problem;
using Json = nlohmann::ordered_json;

namespace {

constexpr const char* list_name = "attachments.json";
constexpr const char* list_format = "loomgraft-attachments";

Problem not_written(const std::string& path) {
  return store_problem(path, "not-written", "The file could not be written.",
                       "Check the folder, its permissions and the space left.");
}

Problem bad_list(const std::string& path) {
  return store_problem(path, "attachment-list-not-usable", "This is not a list of a graft file's photos.",
                       "Choose a folder that was written by an export.");
}

bool write_bytes(const fs::path& path, std::string_view bytes) {
  std::ofstream out(path, std::ios::binary | std::ios::trunc);
  out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  return static_cast<bool>(out.flush());
}

std::optional<std::string> read_bytes(const fs::path& path) {
  std::error_code failed;
  if (!fs::is_regular_file(path, failed)) return std::nullopt;
  std::ifstream in(path, std::ios::binary);
  if (!in) return std::nullopt;
  return std::string(std::istreambuf_iterator<char>(in), {});
}

// The sender's file name is never used as a path.
std::string file_name(std::size_t index, const std::string& mime) {
  const std::string number = std::to_string(index + 1);
  return std::string(number.size() < 4 ? 4 - number.size() : 0, '0') + number + "." +
         mime.substr(mime.find('/') + 1);
}

bool stays_inside(const std::string& name) {
  return !name.empty() && name.front() != '.' && name.find('/') == std::string::npos &&
         name.find('\0') == std::string::npos;
}

Json list_of(const std::vector<Attachment>& attachments, const std::vector<Tick>& ticks) {
  Json list = {
      {"format", list_format}, {"version", 1}, {"attachments", Json::array()}, {"ticks", Json::array()}};
  for (std::size_t i = 0; i < attachments.size(); ++i) {
    const Attachment& a = attachments[i];
    Json item =
        a.removed ? Json{{"removed", true}, {"bytes", a.bytes}} : Json{{"file", file_name(i, a.mime)}};
    item.update({{"id", a.id},
                 {"subject", a.subject},
                 {"name", a.name},
                 {"mime", a.mime},
                 {"author", a.author},
                 {"time", a.time},
                 {"sha256", a.sha256}});
    list["attachments"].push_back(std::move(item));
  }
  for (const Tick& t : ticks) {
    list["ticks"].push_back(
        {{"id", t.id}, {"subject", t.subject}, {"done", t.done}, {"author", t.author}, {"time", t.time}});
  }
  return list;
}

Attachment about_of(const Json& item) {
  return {item.value("id", ""),
          item.value("subject", ""),
          item.value("name", ""),
          item.value("mime", ""),
          item.value("author", ""),
          item.value("time", ""),
          0,
          ""};
}

// Who removed it is among the ticks of the list.
Stored<bool> read_removed(GraftFile& file, const Json& item) {
  Attachment about = about_of(item);
  about.removed = Removal{};
  about.bytes = item.value("bytes", std::uint64_t{0});
  about.sha256 = item.value("sha256", "");
  auto written = file.attach(about, {});
  if (!written) return tl::unexpected(std::move(written.error()));
  return true;
}

Stored<bool> read_one(GraftFile& file, const fs::path& folder, const Json& item) {
  if (item.value("removed", false)) return read_removed(file, item);
  const std::string name = item.value("file", "");
  if (!stays_inside(name)) return refuse(bad_list(folder / list_name));
  const auto bytes = read_bytes(folder / name);
  if (!bytes) {
    return refuse(store_problem(folder / name, "not-found", "The list names this file, but it is not there.",
                                "Export again, or copy the whole folder."));
  }
  if (sha256_hex(*bytes) != item.value("sha256", "")) {
    return refuse(store_problem(folder / name, "damaged", "This photo is not the one that was exported.",
                                "Export again, or remove its entry from the list."));
  }
  auto written = file.attach(about_of(item), *bytes);
  if (!written) return tl::unexpected(std::move(written.error()));
  return true;
}

}  // namespace

Stored<FolderCount> write_attachment_folder(GraftFile& file, const std::string& folder) {
  const auto attachments = file.attachments();
  if (!attachments) return tl::unexpected(attachments.error());
  const auto ticks = file.all_ticks();
  if (!ticks) return tl::unexpected(ticks.error());
  std::error_code failed;
  fs::create_directories(folder, failed);
  for (std::size_t i = 0; i < attachments->size(); ++i) {
    if ((*attachments)[i].removed) continue;
    const auto bytes = file.attachment_bytes((*attachments)[i].id);
    if (!bytes) return tl::unexpected(bytes.error());
    const fs::path path = fs::path(folder) / file_name(i, (*attachments)[i].mime);
    if (!write_bytes(path, *bytes)) return refuse(not_written(path));
  }
  const fs::path path = fs::path(folder) / list_name;
  if (!write_bytes(path, list_of(*attachments, *ticks).dump(2) + "\n")) return refuse(not_written(path));
  return FolderCount{attachments->size(), ticks->size()};
}

Stored<FolderCount> read_attachment_folder(GraftFile& file, const std::string& folder) {
  const fs::path path = fs::path(folder) / list_name;
  const auto text = read_bytes(path);
  if (!text) {
    return refuse(store_problem(path, "not-found", "The folder holds no list of attachments.",
                                "Choose a folder that was written by an export."));
  }
  const Json list = Json::parse(*text, nullptr, false);
  if (!list.is_object() || list.value("format", Json()) != Json(list_format)) return refuse(bad_list(path));
  FolderCount count;
  try {
    for (const Json& item : list.value("attachments", Json::array())) {
      if (auto read = read_one(file, folder, item); !read) return tl::unexpected(std::move(read.error()));
      ++count.attachments;
    }
    for (const Json& item : list.value("ticks", Json::array())) {
      auto written =
          file.append(Tick{item.value("id", ""), item.value("subject", ""), item.value("done", true),
                           item.value("author", ""), item.value("time", "")});
      if (!written) return tl::unexpected(std::move(written.error()));
      ++count.ticks;
    }
  } catch (const Json::exception&) {  // a member of the wrong type
    return refuse(bad_list(path));
  }
  return count;
}

}  // namespace loomgraft

#include "serve/open_grafts.h"

#include <sys/stat.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "http/clock.h"
#include "http/refusal.h"
#include "store/copies.h"

namespace loomgraft {
namespace {

constexpr std::chrono::milliseconds check_every{100};
constexpr std::size_t max_open = 32;

tl::unexpected<Problems> not_here(const std::string& name) {
  return tl::unexpected(Problems{{Severity::error,
                                  "not-found",
                                  {name, 0, 0, ""},
                                  "There is no graft of this name here.",
                                  "Choose one from the list."}});
}

// For connections beside one that has looked through the file.
OpenOptions already_checked() {
  OpenOptions options;
  options.check = false;
  return options;
}

bool same_file(const OpenGraft& open, const struct stat& info) {
  return open.device == info.st_dev && open.inode == info.st_ino;
}

nlohmann::ordered_json revision_json(GraftFile& file, const std::string& id) {
  const std::int64_t number = std::strtoll(id.c_str(), nullptr, 10);
  nlohmann::ordered_json json{{"revision", number}};
  const auto history = file.history(number, 1);
  if (history && !history->empty()) {
    const Revision& revision = history->front();
    json["author"] = revision.author;
    json["text"] = text_of(revision);
    json["changes"] = changes_of(revision);
  }
  return json;
}

nlohmann::ordered_json reading_json(GraftFile& file, const Change& change) {
  nlohmann::ordered_json json{{"id", change.id}, {"sequence", change.sequence}};
  const auto readings = file.readings_since(change.sequence - 1);
  if (readings && !readings->empty() && readings->front().id == change.id) {
    const Reading& reading = readings->front();
    json["test"] = reading.test;
    json["value"] = reading.value;
    json["unit"] = reading.unit;
    json["author"] = reading.author;
    if (reading.in_band_only) json["in_band_only"] = true;
  }
  return json;
}

Event event_of(GraftFile& file, const Change& change) {
  switch (change.kind) {
    case ChangeKind::revision:
      return {change.sequence, "revision", text_of(revision_json(file, change.id))};
    case ChangeKind::reading:
      return {change.sequence, "reading", text_of(reading_json(file, change))};
    case ChangeKind::tick:
      return {change.sequence, "tick", text_of(nlohmann::ordered_json{{"id", change.id}})};
    case ChangeKind::removal:
      return {change.sequence, "photo",
              text_of(nlohmann::ordered_json{{"id", change.id}, {"removed", true}})};
    case ChangeKind::attachment:
      break;
  }
  return {change.sequence, "photo", text_of(nlohmann::ordered_json{{"id", change.id}})};
}

}  // namespace

Stored<std::vector<Event>> events_since(GraftFile& file, std::int64_t sequence, std::size_t most) {
  const auto changes = file.changes_since(sequence, most);
  if (!changes) return tl::unexpected(changes.error());
  std::vector<Event> events;
  events.reserve(changes->size());
  for (const Change& change : *changes) events.push_back(event_of(file, change));
  return events;
}

OpenGrafts::OpenGrafts(GraftFolder folder, std::string only, bool dated_copies)
    : folder_(std::move(folder)),
      only_(std::move(only)),
      watcher_([this] { watch(); }),
      keeper_([this] { return all_open(); }, dated_copies) {}

OpenGrafts::~OpenGrafts() {
  keeper_.stop();
  {
    const std::lock_guard<std::mutex> lock(watch_mutex_);
    ending_ = true;
  }
  wake_.notify_all();
  watcher_.join();
  close_events();
}

void OpenGrafts::close_events() {
  const std::lock_guard<std::mutex> lock(mutex_);
  for (const auto& [name, graft] : open_) graft->events.close();
}

std::vector<std::string> OpenGrafts::names() const {
  return only_.empty() ? folder_.names() : std::vector<std::string>{only_};
}

std::vector<FolderEntry> OpenGrafts::list() const {
  std::vector<FolderEntry> entries = folder_.list();
  if (!only_.empty())
    std::erase_if(entries, [this](const FolderEntry& entry) { return entry.name != only_; });
  // What was found when a file was opened first, nobody finds again.
  const std::lock_guard<std::mutex> lock(mutex_);
  for (FolderEntry& entry : entries) {
    const auto found = open_.find(entry.name);
    if (found != open_.end() && entry.problems.empty()) entry.remarks = found->second->remarks;
  }
  return entries;
}

Stored<OpenGraftPtr> OpenGrafts::create(const std::string& name, const Graft& graft, const Stamp& stamp) {
  if (!only_.empty())
    return tl::unexpected(Problems{{Severity::error,
                                    "one-file-only",
                                    {name, 0, 0, ""},
                                    "The program was started for one graft file.",
                                    "Start it with the folder instead: loomgraft serve FOLDER."}});
  const auto path = folder_.path_of(name);
  if (!path) return tl::unexpected(path.error());
  auto made = GraftFile::create(*path, graft, stamp);
  if (!made) return tl::unexpected(std::move(made.error()));
  // It will be asked for next; the connection that made it goes on as the one that writes.
  const std::lock_guard<std::mutex> lock(mutex_);
  forget(name);
  auto reader = folder_.open_file(name, {.access = Access::read, .check = false});
  if (!reader) return tl::unexpected(std::move(reader.error()));
  return keep(name, *path, std::move(*reader), std::move(*made));
}

Stored<OpenGraftPtr> OpenGrafts::open(const std::string& name) {
  if (!only_.empty() && name != only_) return not_here(name);
  const auto path = folder_.path_of(name);
  if (!path) return tl::unexpected(path.error());
  struct stat info {};
  const std::lock_guard<std::mutex> lock(mutex_);
  if (::stat(path->c_str(), &info) != 0) {
    forget(name);
    return not_here(name);
  }
  if (const auto found = open_.find(name); found != open_.end() && same_file(*found->second, info) &&
                                           !found->second->writer.replaced() &&
                                           !found->second->readings.replaced()) {
    found->second->used = seconds_now();
    return found->second;
  }
  forget(name);
  auto reader = folder_.open_file(name, {.access = Access::read});
  if (!reader) return tl::unexpected(std::move(reader.error()));
  auto writer = folder_.open_file(name, already_checked());
  // Where nothing can be written the rest still works; whoever writes is told.
  if (!writer && writer.error().front().code == "read-only")
    writer = folder_.open_file(name, {.access = Access::read, .check = false});
  if (!writer) return tl::unexpected(std::move(writer.error()));
  return keep(name, *path, std::move(*reader), std::move(*writer));
}

void OpenGrafts::forget(const std::string& name) {
  const auto found = open_.find(name);
  if (found == open_.end()) return;
  found->second->events.close();
  open_.erase(found);
}

Stored<OpenGraftPtr> OpenGrafts::keep(const std::string& name, const std::string& path, GraftFile reader,
                                      GraftFile writer) {
  struct stat info {};
  if (::stat(path.c_str(), &info) != 0) return not_here(name);
  auto queue = ReadingQueue::open(path, {.access = writer.access(), .check = false});
  if (!queue) return tl::unexpected(std::move(queue.error()));
  auto graft = std::make_shared<OpenGraft>(name, std::move(reader), std::move(writer), std::move(*queue));
  graft->remarks = graft->reader.remarks();
  for (const Problem& remark : graft->writer.remarks()) {
    const bool known = std::any_of(graft->remarks.begin(), graft->remarks.end(),
                                   [&](const Problem& one) { return one.code == remark.code; });
    if (!known) graft->remarks.push_back(remark);
  }
  graft->device = info.st_dev;
  graft->inode = info.st_ino;
  graft->used = seconds_now();
  graft->announced = graft->reader.last_sequence().value_or(0);
  if (open_.size() >= max_open) {
    const auto oldest = std::min_element(open_.begin(), open_.end(), [](const auto& a, const auto& b) {
      return a.second->used < b.second->used;
    });
    forget(oldest->first);
  }
  open_.emplace(name, graft);
  return graft;
}

Stored<std::string> OpenGrafts::path_of(const std::string& name) const {
  if (!only_.empty() && name != only_) return not_here(name);
  return folder_.path_of(name);
}

Stored<OpenGraftPtr> OpenGrafts::put_back(const std::string& name, const std::string& copy,
                                          const std::string& now) {
  const auto path = path_of(name);
  if (!path) return tl::unexpected(path.error());
  const auto from = path_of_copy(*path, copy);
  if (!from) return tl::unexpected(from.error());
  const auto done = loomgraft::put_back(*from, *path, now);
  if (!done) return tl::unexpected(done.error());
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    forget(name);
  }
  return open(name);
}

std::vector<OpenGraftPtr> OpenGrafts::all_open() {
  const std::lock_guard<std::mutex> lock(mutex_);
  std::vector<OpenGraftPtr> grafts;
  for (const auto& [name, graft] : open_) grafts.push_back(graft);
  return grafts;
}

void OpenGrafts::forget_replaced(const OpenGraftPtr& graft) {
  const std::lock_guard<std::mutex> lock(mutex_);
  const auto found = open_.find(graft->name);
  if (found != open_.end() && found->second == graft) forget(graft->name);
}

void OpenGrafts::check_now() {
  {
    const std::lock_guard<std::mutex> lock(watch_mutex_);
    check_wanted_ = true;
  }
  wake_.notify_all();
}

void OpenGrafts::publish_to_all(const std::string& name, const std::string& data) {
  const std::lock_guard<std::mutex> lock(mutex_);
  for (const auto& [graft_name, graft] : open_) graft->events.publish({0, name, data});
}

void OpenGrafts::check_all() {
  for (const OpenGraftPtr& graft : all_open()) {
    if (!graft->reader.in_place()) {
      forget_replaced(graft);
      continue;
    }
    const auto last = graft->reader.last_sequence();
    if (!last || *last <= graft->announced) continue;
    auto events = events_since(graft->reader, graft->announced);
    if (!events) continue;
    for (Event& event : *events) {
      graft->announced = std::max(graft->announced, event.sequence);
      graft->events.publish(std::move(event));
    }
  }
}

void OpenGrafts::watch() {
  std::unique_lock<std::mutex> lock(watch_mutex_);
  while (!ending_) {
    wake_.wait_for(lock, check_every, [this] { return ending_ || check_wanted_; });
    check_wanted_ = false;
    lock.unlock();
    check_all();
    lock.lock();
  }
}

}  // namespace loomgraft

#include "serve/proof_folder.h"

#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "find/proof_file.h"
#include "loom/graft_json.h"
#include "store/sha256.h"

namespace loomgraft {
namespace {

namespace fs = std::filesystem;

constexpr std::uintmax_t most_bytes = 256U * 1024U * 1024U;  // of all files together
constexpr std::size_t most_files = 32;

std::string cache_folder() {
  const char* cache = std::getenv("XDG_CACHE_HOME");
  // A relative path is to be ignored: XDG Base Directory Specification.
  if (cache && *cache == '/') return std::string(cache) + "/loomgraft";
  const char* home = std::getenv("HOME");
  return home && *home == '/' ? std::string(home) + "/.cache/loomgraft" : std::string();
}

struct Kept {
  fs::path path;
  fs::file_time_type used;
  std::uintmax_t bytes = 0;
};

// Removes the files that were not used for longest, until the rest fits.
void make_room(const std::string& folder) {
  std::vector<Kept> kept;
  std::error_code ignored;
  for (const fs::directory_entry& one : fs::directory_iterator(folder, ignored)) {
    if (one.path().extension() == ".proof")
      kept.push_back({one.path(), one.last_write_time(ignored), one.file_size(ignored)});
  }
  std::ranges::sort(kept, std::greater<>(), &Kept::used);
  std::uintmax_t bytes = 0;
  for (std::size_t k = 0; k < kept.size(); ++k) {
    bytes += kept[k].bytes;
    if (k >= most_files || bytes > most_bytes) fs::remove(kept[k].path, ignored);
  }
}

}  // namespace

ProofFolder::ProofFolder() : folder_(cache_folder()) {}

std::optional<Proof> ProofFolder::find(const std::string& key) const {
  if (folder_.empty() || key.empty()) return std::nullopt;
  const fs::path path = fs::path(folder_) / (key + ".proof");
  std::error_code failed;
  const std::uintmax_t size = fs::file_size(path, failed);
  if (failed || size > most_bytes) return std::nullopt;
  std::string bytes(size, '\0');
  std::ifstream file(path, std::ios::binary);
  if (!file.read(bytes.data(), static_cast<std::streamsize>(size))) return std::nullopt;
  std::optional<Proof> proof = proof_from_bytes(bytes);
  if (proof) fs::last_write_time(path, fs::file_time_type::clock::now(), failed);
  if (!proof) fs::remove(path, failed);
  return proof;
}

void ProofFolder::keep(const std::string& key, const Proof& proof) const {
  if (folder_.empty() || key.empty() || has_error(proof.report.problems)) return;
  const std::string bytes = proof_to_bytes(proof);
  if (bytes.size() > most_bytes / 2) return;
  std::error_code failed;
  fs::create_directories(folder_, failed);
  if (failed) return;
  fs::permissions(folder_, fs::perms::owner_all, failed);
  // Another run reads either nothing or the whole file.
  const fs::path part = fs::path(folder_) / (key + "." + std::to_string(getpid()) + ".part");
  std::ofstream file(part, std::ios::binary | std::ios::trunc);
  file.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  file.close();
  if (!file) {
    fs::remove(part, failed);
    return;
  }
  fs::rename(part, fs::path(folder_) / (key + ".proof"), failed);
  make_room(folder_);
}

std::string proof_key_of(const Graft& graft, const ProveOptions& options) {
  std::error_code failed;
  const fs::path program = fs::read_symlink("/proc/self/exe", failed);
  const auto bytes = failed ? 0 : fs::file_size(program, failed);
  const auto changed = failed ? fs::file_time_type() : fs::last_write_time(program, failed);
  if (failed) return {};
  Graft without_readings = graft;
  without_readings.readings.clear();
  std::ostringstream text;
  text << bytes << ' ' << changed.time_since_epoch().count() << ' ' << options.faults.whole_loom << ' '
       << options.faults.joint_ohms << ' ' << options.meter << ' ' << options.minutes.value_or(-1.0) << ' '
       << options.hazards.size() << '\n'  // the hazards themselves follow from the document
       << to_json(without_readings).dump();
  return sha256_hex(text.str());
}

Proof kept_proof(const Graft& graft, const ProveOptions& options) {
  const ProofFolder folder;
  const std::string key = proof_key_of(graft, options);
  if (auto kept = folder.find(key)) return std::move(*kept);
  Proof proof = prove_loom(graft, options);
  folder.keep(key, proof);
  return proof;
}

}  // namespace loomgraft

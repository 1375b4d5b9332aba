// A folder of its own for one test, gone afterwards.
#pragma once

#include <gtest/gtest.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

#include "store/graft_file.h"

namespace loomgraft {

class ScratchFolder {
 public:
  ScratchFolder() {
    // In memory where there is such a folder: thousands of real syncs would make the tests slow on a busy
    // disk, and what a killed process leaves behind is the same.
    const std::string root = access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp";
    std::string name = root + "/loomgraft-store-XXXXXX";
    if (mkdtemp(name.data()) == nullptr) ADD_FAILURE() << "no scratch folder";
    path_ = name;
  }
  ~ScratchFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  ScratchFolder(const ScratchFolder&) = delete;
  ScratchFolder& operator=(const ScratchFolder&) = delete;
  std::string operator/(const std::string& name) const { return path_ + "/" + name; }
  const std::string& path() const { return path_; }

 private:
  std::string path_;
};

inline Stamp stamp_of(const std::string& author, const std::string& reason = "") {
  return {author, "2026-03-01T10:00:00Z", reason};
}

inline std::string bytes_of(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

inline void write_bytes(const std::string& path, const std::string& bytes) {
  std::ofstream(path, std::ios::binary) << bytes;
}

template <class T>
std::string code_of(const Stored<T>& result) {
  return result ? std::string("fine") : std::string(result.error().front().code.text());
}

// What `result` holds; a failed one fails the test and says why.
template <class T>
T held(Stored<T> result) {
  if (result) return std::move(*result);
  for (const Problem& problem : result.error()) ADD_FAILURE() << problem.code << ": " << problem.message;
  throw std::runtime_error(std::string(result.error().front().code.text()));
}

}  // namespace loomgraft

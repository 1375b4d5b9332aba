// The folder that the graft files of a workshop stand in. Nothing outside it is opened or made through this.
//
// Needs   the folder exists; names are what people call a file, without its ending
// Gives   files by safe names only: letters, digits, blank and - _ . + ( ) of any script, no separator, no
//         leading dot or blank, no trailing dot or blank, at most 100 bytes; a link that leads out is refused
// Fails   unsafe-name, file-exists, not-found, and as GraftFile
#pragma once

#include <string>
#include <vector>

#include "store/graft_file.h"

namespace loomgraft {

struct FolderEntry {
  std::string name;
  std::string title;
  std::int64_t revision = 0;
  std::string changed;  // time of the last revision, as its author's device gave it
  Problems problems;    // why the file cannot be read; then the rest is empty
  Problems remarks;     // what a person should know of a file that can be read
};

class GraftFolder {
 public:
  static Stored<GraftFolder> open(const std::string& path);

  // In order; no file is opened for it.
  std::vector<std::string> names() const;
  // By name. A file that cannot be read is listed with its Problems. Reads every document.
  std::vector<FolderEntry> list() const;
  Stored<GraftFile> create(const std::string& name, const std::string& title, const Stamp& stamp) const;
  Stored<GraftFile> open_file(const std::string& name, const OpenOptions& options = {}) const;
  // Where the file of this name stands or would stand.
  Stored<std::string> path_of(const std::string& name) const;

 private:
  explicit GraftFolder(std::string path) : path_(std::move(path)) {}
  std::string path_;
};

}  // namespace loomgraft

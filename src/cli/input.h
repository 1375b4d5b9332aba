// What a command line names: table files, several with + for several sources, or a module of a graft
// document.
//
// Model   "chart.csv" is one source; "manual.txt+forum.md" two of one module; "chart.txt#GEVCU 4" picks one
//         of the modules that a file holds side by side, "chart.txt#Left+chart.txt#Right" two of its tables as one
//         module; a name behind the last of several files counts for all of them that have none;
//         "job.json#donor" is a module of a graft document
// Fails   a file that cannot be read, holds no pin table, or has no such module: error Problems, and no
//         module
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "gather/read_tables.h"
#include "loom/graft.h"

namespace loomgraft::cli {

// The bytes of a file, or of a graft file (store/graft_file.h) its current document with its readings; or a Problem.
// Files above 256 MiB are refused.
struct FileContent {
  std::optional<std::string> bytes;
  std::optional<Graft> graft;
  Problems problems;
};
FileContent read_file(const std::string& path);

// The files of one command: each is read, parsed and validated once, however often the command line names it.
class InputFiles {
 public:
  struct File {
    std::string bytes;           // of a file that is not a graft document
    std::optional<Graft> graft;  // of a graft document or graft file
    bool usable = false;
  };
  // `problems` gets those of the file when it is read for the first time.
  const File& read(const std::string& path, Problems& problems);

 private:
  std::map<std::string, File> files_;
};

// True where every byte reached the file.
bool write_file(const std::string& path, const std::string& text);

// Splits "a+b#name", "a#one+a#two"; a file whose own name has a + or # is found first.
struct InputPart {
  std::string file;
  std::string table;  // or the module of a document; empty where none is named
  bool operator==(const InputPart&) const = default;
};
using InputName = std::vector<InputPart>;
InputName split_input_name(const std::string& text);

// Adds the module (with its connectors, sources and what the document says of the vehicle) to `graft` under
// `id` and `role`. Returns the module's id, empty if it could not be read.
std::string add_input(InputFiles& files, Graft& graft, const std::string& text, const std::string& id,
                      ModuleRole role, Problems& problems);

// The answers of people about pairs of pins of the two modules, if both are in one graft document. Needs both added.
void add_circuit_answers(InputFiles& files, Graft& graft, const std::string& found_text,
                         const std::string& found, const std::string& donor_text, const std::string& donor);

}  // namespace loomgraft::cli

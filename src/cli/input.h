// What a command line names: table files, several with + for several sources, or a module of a graft
// document.
//
// Model   "chart.csv" is one source; "manual.txt+forum.md" two of one module; "chart.txt#GEVCU 4" picks one
//         of the modules that a file holds side by side; "job.json#donor" is a module of a graft document
// Fails   a file that cannot be read, holds no pin table, or has no such module: error Problems, and no
//         module
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "gather/read_tables.h"
#include "loom/graft.h"

namespace loomgraft::cli {

// The bytes of a file, or a Problem; files above 256 MiB are refused. Of a graft file (store/graft_file.h)
// the current document with its readings, as JSON.
struct FileBytes {
  std::optional<std::string> bytes;
  Problems problems;
};
FileBytes read_file(const std::string& path);

// True where every byte reached the file.
bool write_file(const std::string& path, const std::string& text);

// Splits "a+b#name"; a file whose own name has a + or # is found first.
struct InputName {
  std::vector<std::string> files;
  std::string module;
};
InputName split_input_name(const std::string& text);

// Adds the module (with its connectors, sources and what the document says of the vehicle) to `graft` under
// `id` and `role`. Returns the module's id, empty if it could not be read.
std::string add_input(Graft& graft, const std::string& text, const std::string& id, ModuleRole role,
                      Problems& problems);

// What people said of pairs of pins of the two modules, where both stand in one graft document. Needs both
// added.
void add_circuit_answers(Graft& graft, const std::string& found_text, const std::string& found,
                         const std::string& donor_text, const std::string& donor);

}  // namespace loomgraft::cli

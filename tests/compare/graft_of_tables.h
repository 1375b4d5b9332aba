// A graft of two modules read from files, as the program reads them: each module from one or more sources.
#pragma once

#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "gather/read_tables.h"
#include "loom/graft.h"

namespace loomgraft {

inline std::string content_of(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

// Of several modules in one file the one called `name`; all tables where no name is given.
struct TableFile {
  std::string path;
  std::string name;
};

inline void add_module_of(Graft& graft, const std::string& id, ModuleRole role,
                          const std::vector<TableFile>& files) {
  std::vector<SourceTables> sources;
  for (const TableFile& file : files) {
    SourceTables source;
    source.source.id = id + ".source" + std::to_string(sources.size() + 1);
    source.source.title = file.path;
    for (PinTable& table : read_tables(content_of(file.path), file.path).tables) {
      if (file.name.empty() || table.name == file.name) source.tables.push_back(std::move(table));
    }
    sources.push_back(std::move(source));
  }
  GatheredModule gathered = gather_module(id, role, sources);
  for (Connector& connector : gathered.connectors) graft.connectors.push_back(std::move(connector));
  for (SharedCircuit& circuit : gathered.shared_circuits) graft.shared_circuits.push_back(std::move(circuit));
  graft.modules.push_back(std::move(gathered.module));
}

inline Graft graft_of_tables(const std::vector<TableFile>& found, const std::vector<TableFile>& donor) {
  Graft graft;
  add_module_of(graft, "found", ModuleRole::found, found);
  add_module_of(graft, "donor", ModuleRole::donor, donor);
  return graft;
}

}  // namespace loomgraft

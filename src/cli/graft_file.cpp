#include "cli/graft_file.h"

#include "cli/input.h"
#include "loom/graft_json.h"
#include "loom/validate.h"

namespace loomgraft::cli {

std::optional<Graft> read_graft_file(const std::string& path, Problems& problems) {
  FileContent file = read_file(path);
  problems.insert(problems.end(), file.problems.begin(), file.problems.end());
  if (file.bytes) {
    GraftReading reading = graft_from_json(*file.bytes, path);
    problems.insert(problems.end(), reading.problems.begin(), reading.problems.end());
    file.graft = std::move(reading.graft);
  }
  if (!file.graft) return std::nullopt;
  for (Problem problem : validate(*file.graft)) {
    problem.location.file = path;
    problems.push_back(std::move(problem));
  }
  return std::move(file.graft);
}

}  // namespace loomgraft::cli

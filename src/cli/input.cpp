#include "cli/input.h"

#include <fmt/format.h>
#include <sys/stat.h>

#include <algorithm>
#include <cstdio>
#include <cstring>
#include <iterator>
#include <memory>

#include "files/table_file.h"
#include "gather/choose_tables.h"
#include "loom/graft_json.h"
#include "loom/validate.h"
#include "store/graft_file.h"

namespace loomgraft::cli {
namespace {

constexpr std::size_t largest_file = std::size_t{256} << 20;

Problem file_problem(const std::string& path, ProblemCode code, std::string message, std::string remedy) {
  return {Severity::error, code, {path, 0, 0, ""}, std::move(message), std::move(remedy)};
}

bool is_there(const std::string& path) {
  struct stat info {};
  return stat(path.c_str(), &info) == 0;
}

bool looks_like_graft(const std::string& bytes) {
  const std::size_t start = bytes.find_first_not_of(" \t\r\n\xef\xbb\xbf");
  return start != std::string::npos && bytes[start] == '{' &&
         bytes.substr(0, 4096).find("\"loomgraft\"") != std::string::npos;
}

const Module* pick_module(const Graft& document, const std::string& name, ModuleRole role) {
  for (const Module& module : document.modules) {
    if (name.empty() ? module.role == role : module.id == name || module.name == name) return &module;
  }
  return nullptr;
}

// Ids of the document get the module's own prefix, so that two documents may use the same ids.
void take_module(Graft& graft, const Graft& document, const Module& module, const std::string& id,
                 ModuleRole role) {
  Module copy = module;
  copy.id = id;
  copy.role = role;
  const std::string prefix = id + ".";
  for (std::string& connector : copy.connectors) {
    if (const Connector* plug = find_connector(document, connector)) {
      graft.connectors.push_back(*plug);
      graft.connectors.back().id.insert(0, prefix);
    }
    connector.insert(0, prefix);
  }
  for (Pin& pin : copy.pins) {
    pin.at.connector.insert(0, prefix);
    for (Claim& claim : pin.claims) claim.source.insert(0, prefix);
  }
  for (Source source : document.sources) {
    source.id.insert(0, prefix);
    graft.sources.push_back(std::move(source));
  }
  graft.modules.push_back(std::move(copy));
}

std::string add_from_document(Graft& graft, const Graft& document, const std::string& file,
                              const std::string& wanted, const std::string& id, ModuleRole role,
                              Problems& problems) {
  const Module* module = pick_module(document, wanted, role);
  if (!module) {
    std::string names;
    for (const Module& m : document.modules) names += (names.empty() ? "" : ", ") + m.id;
    problems.push_back(file_problem(file, "no-such-module",
                                    fmt::format("The document has no module \"{}\".", wanted),
                                    "Add #ID to the file name with one of: " + names + "."));
    return {};
  }
  if (role == ModuleRole::found) {
    graft.vehicle = document.vehicle;
    graft.shared_circuits = document.shared_circuits;
  }
  take_module(graft, document, *module, id, role);
  return id;
}

std::string stem(const std::string& path) {
  const std::size_t slash = path.rfind('/');
  std::string name = slash == std::string::npos ? path : path.substr(slash + 1);
  return name.substr(0, name.rfind('.'));
}

FileContent content_of_graft_file(const std::string& path) {
  auto file = GraftFile::open(path, {.access = Access::read});
  auto graft = file ? file->whole() : tl::unexpected(file.error());
  if (!graft) return {std::nullopt, std::nullopt, std::move(graft.error())};
  return {std::nullopt, std::move(*graft), file->remarks()};
}

FileContent unusable_file(Problem problem) {
  return {std::nullopt, std::nullopt, {std::move(problem)}};
}

}  // namespace

FileContent read_file(const std::string& path) {
  struct stat info {};
  if (stat(path.c_str(), &info) != 0) {
    return unusable_file(file_problem(path, "no-such-file",
                                      "The file cannot be opened: " + std::string(std::strerror(errno)) + ".",
                                      "Check the name and the folder."));
  }
  if (S_ISDIR(info.st_mode)) {
    return unusable_file(
        file_problem(path, "is-a-folder", "This is a folder, not a file.", "Name a file in it."));
  }
  if (looks_like_graft_file(path)) return content_of_graft_file(path);
  if (static_cast<std::size_t>(std::max<off_t>(info.st_size, 0)) > largest_file) {
    return unusable_file(file_problem(path, "too-large", "The file is larger than 256 MiB: no pin table is.",
                                      "Cut out the part with the table and read that."));
  }
  const std::unique_ptr<std::FILE, int (*)(std::FILE*)> file(std::fopen(path.c_str(), "rb"), &std::fclose);
  std::string bytes;
  if (file) {
    char buffer[65536];
    std::size_t count = 0;
    while (bytes.size() <= largest_file && (count = std::fread(buffer, 1, sizeof buffer, file.get())) > 0)
      bytes.append(buffer, count);
  }
  if (!file || std::ferror(file.get()) != 0) {
    return unusable_file(file_problem(path, "unreadable", "The file cannot be read.",
                                      "Check its permissions and the medium it is on."));
  }
  return {std::move(bytes), std::nullopt, {}};
}

const InputFiles::File& InputFiles::read(const std::string& path, Problems& problems) {
  const auto [found, is_new] = files_.try_emplace(path);
  File& file = found->second;
  if (!is_new) return file;
  FileContent content = read_file(path);
  Problems met = std::move(content.problems);
  file.graft = std::move(content.graft);
  file.usable = file.graft || content.bytes;
  if (content.bytes && looks_like_graft(*content.bytes)) {
    GraftReading reading = graft_from_json(*content.bytes, path);
    std::move(reading.problems.begin(), reading.problems.end(), std::back_inserter(met));
    file.graft = std::move(reading.graft);
    file.usable = file.graft.has_value();
  } else if (content.bytes) {
    file.bytes = std::move(*content.bytes);
  }
  if (file.graft) {
    for (Problem& problem : validate(*file.graft)) {
      problem.location.file = path;
      met.push_back(std::move(problem));
    }
  }
  std::move(met.begin(), met.end(), std::back_inserter(problems));
  return file;
}

bool write_file(const std::string& path, const std::string& text) {
  const std::unique_ptr<std::FILE, int (*)(std::FILE*)> file(std::fopen(path.c_str(), "wb"), &std::fclose);
  return file && std::fwrite(text.data(), 1, text.size(), file.get()) == text.size() &&
         std::fflush(file.get()) == 0;
}

namespace {

// The longest beginning that is a file and ends at a mark, so that a mark in a file's own name does no harm.
std::size_t length_of_file(std::string_view text) {
  std::size_t end = text.size();
  while (end > 0) {
    if (is_there(std::string(text.substr(0, end)))) return end;
    const std::size_t mark = text.find_last_of("#+", end - 1);
    end = mark == std::string_view::npos ? 0 : mark;
  }
  return std::min(text.find_first_of("#+"), text.size());
}

bool begins_with_file(std::string_view text) {
  return is_there(std::string(text.substr(0, length_of_file(text))));
}

// A table's name ends at a + before a further file; it may have a + of its own.
std::size_t length_of_table(std::string_view text) {
  for (std::size_t plus = text.find('+'); plus != std::string_view::npos; plus = text.find('+', plus + 1))
    if (begins_with_file(text.substr(plus + 1))) return plus;
  return text.size();
}

}  // namespace

InputName split_input_name(const std::string& text) {
  InputName name;
  std::string_view rest = text;
  do {
    InputPart part;
    const std::size_t file = length_of_file(rest);
    part.file = rest.substr(0, file);
    rest.remove_prefix(file);
    if (rest.starts_with('#')) {
      rest.remove_prefix(1);
      const std::size_t table = length_of_table(rest);
      part.table = rest.substr(0, table);
      rest.remove_prefix(table);
    }
    if (!rest.empty()) rest.remove_prefix(1);  // the +
    name.push_back(std::move(part));
  } while (!rest.empty());
  const auto named = std::ranges::count_if(name, [](const InputPart& part) { return !part.table.empty(); });
  if (named == 1 && !name.back().table.empty())
    for (InputPart& part : name) part.table = name.back().table;
  return name;
}

std::string add_input(InputFiles& files, Graft& graft, const std::string& text, const std::string& id,
                      ModuleRole role, Problems& problems) {
  const InputName name = split_input_name(text);
  std::vector<SourceTables> sources;
  for (const auto& [path, table] : name) {
    const InputFiles::File& file = files.read(path, problems);
    if (!file.usable) return {};
    if (file.graft) return add_from_document(graft, *file.graft, path, table, id, role, problems);
    ReadReport read = read_table_file(file.bytes, path);
    for (Problem& problem : read.problems) problems.push_back(std::move(problem));
    ChosenTables chosen = choose_tables(read.tables, table, path);
    for (Problem& problem : chosen.problems) problems.push_back(std::move(problem));
    if (chosen.tables.empty()) return {};
    SourceTables source;
    source.source.id = fmt::format("{}.source{}", id, sources.size() + 1);
    source.source.title = path;
    source.tables = std::move(chosen.tables);
    sources.push_back(std::move(source));
  }
  GatheredModule gathered = gather_module(id, role, sources);
  for (Problem& problem : gathered.problems) problems.push_back(std::move(problem));
  if (gathered.module.pins.empty()) return {};
  if (gathered.module.name.empty()) gathered.module.name = stem(name.front().file);
  for (const SourceTables& source : sources) graft.sources.push_back(source.source);
  for (Connector& connector : gathered.connectors) graft.connectors.push_back(std::move(connector));
  for (SharedCircuit& circuit : gathered.shared_circuits) graft.shared_circuits.push_back(std::move(circuit));
  graft.modules.push_back(std::move(gathered.module));
  return id;
}

void add_circuit_answers(InputFiles& files, Graft& graft, const std::string& found_text,
                         const std::string& found, const std::string& donor_text, const std::string& donor) {
  const InputName one = split_input_name(found_text);
  const InputName other = split_input_name(donor_text);
  if (one.size() != 1 || other.size() != 1 || one.front().file != other.front().file) return;
  Problems known;  // reported when the modules were added
  const std::optional<Graft>& document = files.read(one.front().file, known).graft;
  const Module* found_module = find_module(graft, found);
  const Module* donor_module = find_module(graft, donor);
  if (!document || !found_module || !donor_module) return;
  const auto has = [](const Module& module, const CavityRef& at) {
    return std::ranges::find(module.pins, at, &Pin::at) != module.pins.end();
  };
  for (CircuitAnswer answer : document->circuit_answers) {
    answer.found.connector.insert(0, found + ".");
    answer.donor.connector.insert(0, donor + ".");
    // Other answers are about other modules, or were reported when the document was read.
    if (has(*found_module, answer.found) && has(*donor_module, answer.donor))
      graft.circuit_answers.push_back(std::move(answer));
  }
}

}  // namespace loomgraft::cli

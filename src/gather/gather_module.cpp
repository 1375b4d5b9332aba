#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <utility>

#include "gather/guessed_rows.h"
#include "gather/read_tables.h"
#include "standards/dictionary.h"
#include "text/signal.h"

namespace loomgraft {

using namespace gather;
namespace {

// One source's row for a cavity.
struct SourceRow {
  const TablePin* pin = nullptr;
  const Source* source = nullptr;
};

struct CavityRows {
  CavityRef at;
  std::vector<SourceRow> rows;  // in the order of the sources
};

bool says_anything(const TablePin& pin) {
  return !pin.signal.empty() || pin.pin_class != PinClass::unknown || !pin.colour.raw.empty();
}

bool same_signal(const TablePin& a, const TablePin& b) {
  if (a.signal == b.signal) return true;
  const SignalName left = term_dictionary().normalise(a.signal);
  const SignalName right = term_dictionary().normalise(b.signal);
  if (left.absent || right.absent) return left.absent == right.absent;
  return left.term == right.term && left.words == right.words;
}

bool is_absent(const TablePin& pin) {
  return pin.pin_class == PinClass::no_connection;
}

std::string name_of_source(const Source& source) {
  return source.title.empty() ? source.id : source.title;
}

std::string wording(const TablePin& pin) {
  return pin.signal.empty() ? "nothing" : "\"" + pin.signal + "\"";
}

class ModuleGatherer {
 public:
  ModuleGatherer(const std::string& id, ModuleRole role) {
    result_.module.id = id;
    result_.module.role = role;
  }

  GatheredModule run(const std::vector<SourceTables>& sources) {
    for (const SourceTables& source : sources) take_source(source);
    for (const CavityRows& cavity : cavity_rows_) result_.module.pins.push_back(merged_pin(cavity));
    for (const SourceTables& source : sources) take_shared(source);
    for (Connector& connector : result_.connectors) {
      connector.rows = guess_rows(cavities_[connector.id]);
      connector.rows_guessed = true;
    }
    if (result_.module.name.empty()) result_.module.name = result_.module.id;
    return std::move(result_);
  }

 private:
  void take_source(const SourceTables& source) {
    const bool one_connector = connectors_of(source) == 1;
    for (const PinTable& table : source.tables) {
      if (result_.module.name.empty()) result_.module.name = table.name;
      take_tags(table.tags);
      for (const std::string& line : table.legend) add_once(result_.module.legend, line);
      for (const TableConnector& connector : table.connectors) take_connector(connector, one_connector);
      for (const TablePin& pin : table.pins) take_pin(pin, source.source, one_connector);
    }
  }

  static std::size_t connectors_of(const SourceTables& source) {
    std::vector<std::string> names;
    for (const PinTable& table : source.tables) {
      for (const TableConnector& connector : table.connectors) add_once(names, connector.name);
    }
    return names.size();
  }

  static void add_once(std::vector<std::string>& list, const std::string& text) {
    if (std::find(list.begin(), list.end(), text) == list.end()) list.push_back(text);
  }

  void take_tags(const ModuleTags& tags) {
    ModuleTags& into = result_.module.tags;
    const auto take = [](std::string& to, const std::string& from) {
      if (to.empty()) to = from;
    };
    take(into.generation, tags.generation);
    take(into.diagnostics, tags.diagnostics);
    take(into.years, tags.years);
    take(into.market, tags.market);
    take(into.transmission, tags.transmission);
    take(into.board, tags.board);
  }

  // A source that names no connector means the module's only one, where the others know but one.
  std::string id_of(const std::string& name, bool one_connector) const {
    if (name.empty() && one_connector && result_.connectors.size() == 1) return result_.connectors[0].id;
    return result_.module.id + "." + (name.empty() ? "plug" : name);
  }

  void take_connector(const TableConnector& connector, bool one_connector) {
    const std::string id = id_of(connector.name, one_connector);
    auto found = std::find_if(result_.connectors.begin(), result_.connectors.end(),
                              [&](const Connector& known) { return known.id == id; });
    if (found == result_.connectors.end()) {
      Connector fresh;
      fresh.id = id;
      fresh.name = connector.name.empty() ? "plug" : connector.name;
      result_.connectors.push_back(std::move(fresh));
      result_.module.connectors.push_back(id);
      found = std::prev(result_.connectors.end());
    }
    if (found->part.empty()) found->part = connector.part;
  }

  void take_pin(const TablePin& pin, const Source& source, bool one_connector) {
    const CavityRef at{id_of(pin.connector, one_connector), pin.cavity};
    const auto [index, fresh] = index_of_.try_emplace(at, cavity_rows_.size());
    if (fresh) {
      cavity_rows_.push_back({at, {}});
      cavities_[at.connector].push_back(at.cavity);
    }
    cavity_rows_[index->second].rows.push_back({&pin, &source});
  }

  // Each source words a circuit in its own way: it gets the signal of the merged pin.
  void take_shared(const SourceTables& source) {
    const bool one_connector = connectors_of(source) == 1;
    for (const PinTable& table : source.tables) {
      for (const TableShared& shared : table.shared) {
        SharedCircuit circuit{shared.signal, shared.module};
        const auto found = index_of_.find({id_of(shared.connector, one_connector), shared.cavity});
        if (found != index_of_.end()) circuit.signal = result_.module.pins[found->second].signal;
        auto& list = result_.shared_circuits;
        if (std::find(list.begin(), list.end(), circuit) == list.end()) list.push_back(std::move(circuit));
      }
    }
  }

  static double weight_of(const SourceRow& row) { return says_anything(*row.pin) ? row.source->weight : 0.0; }

  // The source of highest weight that says anything; among equals the earliest.
  static std::size_t heaviest(const CavityRows& cavity) {
    std::size_t best = 0;
    for (std::size_t i = 1; i < cavity.rows.size(); ++i) {
      if (weight_of(cavity.rows[i]) > weight_of(cavity.rows[best])) best = i;
    }
    return best;
  }

  Pin merged_pin(const CavityRows& cavity) {
    const std::size_t best = heaviest(cavity);
    const SourceRow& chosen = cavity.rows[best];
    Pin pin;
    pin.at = cavity.at;
    fill(pin, *chosen.pin);
    for (std::size_t i = 0; i < cavity.rows.size(); ++i) {
      const SourceRow& row = cavity.rows[i];
      pin.claims.push_back({row.source->id, row.pin->source.line, row.pin->source.column, row.pin->signal,
                            row.pin->pin_class, row.pin->colour, false, row.pin->source.place});
      if (i == best) continue;
      compare(chosen, row, pin);
      complete(pin, *row.pin);
    }
    if (is_absent(*chosen.pin)) pin.populated = false;
    return pin;
  }

  static void fill(Pin& pin, const TablePin& from) {
    pin.signal = from.signal;
    pin.term = from.term;
    pin.pin_class = from.pin_class;
    pin.colour = from.colour;
    pin.note = from.note;
    pin.far_end = from.far_end;
    pin.doubts = from.doubts;
  }

  // What the chosen source leaves out comes from the next that has it.
  static void complete(Pin& pin, const TablePin& from) {
    if (pin.term.empty() && same_or_empty(pin, from)) pin.term = from.term;
    if (pin.pin_class == PinClass::unknown && same_or_empty(pin, from)) pin.pin_class = from.pin_class;
    if (!pin.colour.known() && from.colour.known()) pin.colour = from.colour;
    if (pin.note.empty()) pin.note = from.note;
    if (pin.far_end.empty()) pin.far_end = from.far_end;
    if (pin.signal.empty()) pin.signal = from.signal;
  }

  static bool same_or_empty(const Pin& pin, const TablePin& from) {
    return pin.signal.empty() || pin.signal == from.signal || from.signal.empty() ||
           term_dictionary().normalise(pin.signal).words == term_dictionary().normalise(from.signal).words;
  }

  static void compare(const SourceRow& chosen, const SourceRow& other, Pin& pin) {
    const TablePin& a = *chosen.pin;
    const TablePin& b = *other.pin;
    if (!says_anything(a) || !says_anything(b)) return;
    const std::string left = name_of_source(*chosen.source);
    const std::string right = name_of_source(*other.source);
    const bool tie = chosen.source->weight == other.source->weight;
    const char* why = tie ? "; both weigh the same, the earlier one is taken" : "";
    if (!a.signal.empty() && !b.signal.empty() && !same_signal(a, b)) {
      pin.doubts.push_back(fmt::format("{} says {}, {} says {}{}", left, wording(a), right, wording(b), why));
    }
    if (a.colour.known() && b.colour.known() &&
        a.colour.base + a.colour.tracer != b.colour.base + b.colour.tracer) {
      pin.doubts.push_back(fmt::format("{} says the wire is {}, {} says {}{}", left, print(a.colour), right,
                                       print(b.colour), why));
    }
  }

  GatheredModule result_;
  std::vector<CavityRows> cavity_rows_;
  std::map<CavityRef, std::size_t> index_of_;
  std::map<std::string, std::vector<std::string>> cavities_;  // connector id -> cavities in order
};

}  // namespace

GatheredModule gather_module(const std::string& id, ModuleRole role,
                             const std::vector<SourceTables>& sources) {
  return ModuleGatherer(id, role).run(sources);
}

}  // namespace loomgraft

#include "gather/overlay.h"

#include <algorithm>
#include <map>

namespace loomgraft {
namespace {

const Connector* connector_of(const Graft& graft, const std::string& id) {
  const auto found = std::find_if(graft.connectors.begin(), graft.connectors.end(),
                                  [&](const Connector& connector) { return connector.id == id; });
  return found == graft.connectors.end() ? nullptr : &*found;
}

TablePin as_table_pin(const Pin& pin, const std::string& connector) {
  TablePin row;
  row.connector = connector;
  row.cavity = pin.at.cavity;
  row.signal = pin.signal;
  row.term = pin.term;
  row.pin_class = pin.pin_class;
  row.colour = pin.colour;
  row.note = pin.note;
  row.far_end = pin.far_end;
  row.doubts = pin.doubts;
  return row;
}

// What the document says of the module, as the tables of its sources: each cavity in that of its first claim.
std::vector<SourceTables> as_sources(const Graft& graft, const Module& module) {
  std::vector<SourceTables> sources;
  std::map<std::string, std::size_t> position;
  for (const Pin& pin : module.pins) {
    const std::string id = pin.claims.empty() ? std::string() : pin.claims.front().source;
    const auto [at, fresh] = position.try_emplace(id, sources.size());
    if (fresh) {
      sources.emplace_back();
      sources.back().source.id = id;
      sources.back().source.title = "the document";
      for (const Source& source : graft.sources) {
        if (source.id == id) sources.back().source = source;
      }
      sources.back().tables.emplace_back();
      sources.back().tables.front().name = module.name;
    }
    const Connector* connector = connector_of(graft, pin.at.connector);
    const std::string name = connector ? connector->name : pin.at.connector;
    PinTable& table = sources[at->second].tables.front();
    const bool known = std::any_of(table.connectors.begin(), table.connectors.end(),
                                   [&](const TableConnector& entry) { return entry.name == name; });
    if (!known) table.connectors.push_back({name, "", {}});
    table.pins.push_back(as_table_pin(pin, name));
  }
  return sources;
}

class Overlay {
 public:
  Overlay(Graft& graft, Module& module, const SourceTables& source)
      : graft_(graft), module_(module), source_(source) {}

  Problems run() {
    std::vector<SourceTables> sources = as_sources(graft_, module_);
    sources.push_back(source_);
    GatheredModule gathered = gather_module(module_.id, module_.role, sources);
    for (Connector& connector : gathered.connectors) take(connector);
    for (Pin& pin : gathered.module.pins) take(pin);
    for (const std::string& line : gathered.module.legend) {
      if (std::find(module_.legend.begin(), module_.legend.end(), line) == module_.legend.end())
        module_.legend.push_back(line);
    }
    take_tags(gathered.module.tags);
    graft_.sources.push_back(source_.source);
    return std::move(gathered.problems);
  }

 private:
  void take_tags(const ModuleTags& from) {
    const auto fill = [](std::string& to, const std::string& text) {
      if (to.empty()) to = text;
    };
    ModuleTags& into = module_.tags;
    fill(into.generation, from.generation);
    fill(into.diagnostics, from.diagnostics);
    fill(into.years, from.years);
    fill(into.market, from.market);
    fill(into.transmission, from.transmission);
    fill(into.board, from.board);
  }

  void take(const Connector& connector) {
    for (const std::string& id : module_.connectors) {
      for (Connector& own : graft_.connectors) {
        if (own.id != id || own.name != connector.name) continue;
        id_of_[connector.id] = own.id;
        if (own.rows_guessed || own.rows.empty()) own.rows = connector.rows;
        if (own.part.empty()) own.part = connector.part;
        return;
      }
    }
    Connector fresh = connector;
    while (connector_of(graft_, fresh.id)) fresh.id += "_";
    id_of_[connector.id] = fresh.id;
    module_.connectors.push_back(fresh.id);
    graft_.connectors.push_back(std::move(fresh));
  }

  void take(Pin& pin) {
    pin.at.connector = id_of_[pin.at.connector];
    const auto own = std::find_if(module_.pins.begin(), module_.pins.end(),
                                  [&](const Pin& known) { return known.at == pin.at; });
    if (own == module_.pins.end()) {
      module_.pins.push_back(std::move(pin));
      return;
    }
    bool has_claim = false;
    for (Claim& claim : pin.claims) {
      if (claim.source != source_.source.id) continue;
      own->claims.push_back(std::move(claim));
      has_claim = true;
    }
    if (!has_claim) return;
    own->signal = std::move(pin.signal);
    own->term = std::move(pin.term);
    own->pin_class = pin.pin_class;
    own->colour = std::move(pin.colour);
    own->note = std::move(pin.note);
    own->far_end = std::move(pin.far_end);
    own->doubts = std::move(pin.doubts);
    if (!own->populated) own->populated = pin.populated;
  }

  Graft& graft_;
  Module& module_;
  const SourceTables& source_;
  std::map<std::string, std::string> id_of_;  // of the gathered connector -> in the graft
};

}  // namespace

OverlaidGraft overlay_source(Graft graft, const std::string& module, const SourceTables& source) {
  OverlaidGraft result;
  for (Module& own : graft.modules) {
    if (own.id == module) result.problems = Overlay(graft, own, source).run();
  }
  result.graft = std::move(graft);
  return result;
}

}  // namespace loomgraft

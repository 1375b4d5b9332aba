#include "loom/forbidden.h"

#include <algorithm>
#include <initializer_list>
#include <map>

#include "loom/part_text.h"
#include "standards/device_kinds.h"
#include "text/fold.h"

namespace loomgraft {
namespace {

struct Search {
  const Graft& graft;
  ForbiddenParts parts;

  void mark(SafetySubject subject, const WireEnd& at) {
    if (subject == SafetySubject::wire)
      parts.wires.insert(at.at);
    else if (subject != SafetySubject::module)
      parts.ends.insert(at);
    else if (const Module* module = find_module(graft, at.at))
      for (const std::string& connector : module->connectors) parts.ends.insert({connector, ""});
  }
};

// Nobody's word does not make a circuit harmless.
bool counts(const SafetyAnswer& answer) {
  return !answer.harmless || (!answer.by.empty() && !answer.time.empty());
}

const SafetyAnswer* answer_about(const Graft& graft, SafetySubject subject, const WireEnd& at,
                                 const std::string& said) {
  const auto found = std::ranges::find_if(graft.safety_answers, [&](const SafetyAnswer& answer) {
    return counts(answer) && answer.subject == subject && answer.at == at &&
           folded_together(answer.said) == folded_together(said);
  });
  return found == graft.safety_answers.end() ? nullptr : &*found;
}

void presume(Search& search, PresumedPart part) {
  // What a person answered that it is one, mark_answered() marks.
  if (answer_about(search.graft, part.subject, part.at, part.said)) return;
  const auto same = [&](const PresumedPart& other) {
    return other.subject == part.subject && other.at == part.at && other.said == part.said;
  };
  if (std::ranges::any_of(search.parts.presumed, same)) return;
  search.mark(part.subject, part.at);
  search.parts.presumed.push_back(std::move(part));
}

void read_texts(Search& search, const PresumedPart& part, std::initializer_list<const std::string*> texts,
                const std::string& beside = {}) {
  for (const std::string* text : texts) {
    if (text->empty()) continue;
    const auto found = restraint_word(*text, beside);
    if (!found) continue;
    PresumedPart presumed = part;
    presumed.said = *text;
    presumed.word = found->word;
    presumed.kind = found->kind;
    presume(search, std::move(presumed));
  }
}

const std::string& name_or_id(const std::string& name, const std::string& id) {
  return name.empty() ? id : name;
}

PresumedPart part_of(SafetySubject subject, WireEnd at, std::string name, std::string pointer) {
  return {subject, std::move(at), {}, {}, RestraintKind::restraint, std::move(name), std::move(pointer)};
}

std::string pointer_to(const char* list, std::size_t index) {
  return list + std::to_string(index);
}

void read_pin(Search& search, const Pin& pin, std::string pointer) {
  const WireEnd at{pin.at.connector, pin.at.cavity};
  if (pin.forbidden) search.mark(SafetySubject::pin, at);
  const PresumedPart part =
      part_of(SafetySubject::pin, at, cavity_text(search.graft, {at.at, at.cavity}), std::move(pointer));
  const std::string beside =
      pin.signal + " " + pin.far_end + " " + pin.note + " " + std::string(name_of(pin.pin_class));
  read_texts(search, part, {&pin.signal, &pin.far_end, &pin.note}, beside);
  for (const Claim& claim : pin.claims) {
    if (claim.signal != pin.signal) read_texts(search, part, {&claim.signal}, beside);
  }
}

void read_modules(Search& search) {
  for (std::size_t i = 0; i < search.graft.modules.size(); ++i) {
    const Module& module = search.graft.modules[i];
    const std::string pointer = pointer_to("/modules/", i);
    read_texts(search,
               part_of(SafetySubject::module, {module.id, ""}, name_or_id(module.name, module.id), pointer),
               {&module.name});
    for (std::size_t j = 0; j < module.pins.size(); ++j)
      read_pin(search, module.pins[j], pointer + pointer_to("/pins/", j));
  }
}

void read_connectors(Search& search) {
  for (std::size_t i = 0; i < search.graft.connectors.size(); ++i) {
    const Connector& connector = search.graft.connectors[i];
    read_texts(search,
               part_of(SafetySubject::connector, {connector.id, ""}, name_or_id(connector.name, connector.id),
                       pointer_to("/connectors/", i)),
               {&connector.name, &connector.keying, &connector.origin});
  }
}

void read_devices(Search& search) {
  for (std::size_t i = 0; i < search.graft.devices.size(); ++i) {
    const Device& device = search.graft.devices[i];
    const PresumedPart part = part_of(SafetySubject::device, {device.id, ""},
                                      name_or_id(device.name, device.id), pointer_to("/devices/", i));
    if (device.forbidden) search.mark(SafetySubject::device, part.at);
    read_texts(search, part, {&device.name, &device.model});
  }
}

bool is_thick_and_orange(const Wire& wire) {
  return wire.colour.base == "OG" && wire.colour.tracer.empty() && wire.area &&
         wire.area->si >= orange_high_voltage_area().si * 0.999;
}

void read_wire(Search& search, const Wire& wire, std::string pointer) {
  PresumedPart part =
      part_of(SafetySubject::wire, {wire.id, ""}, name_or_id(wire.signal, wire.id), std::move(pointer));
  read_texts(search, part, {&wire.signal, &wire.insulation});
  if (!is_thick_and_orange(wire)) return;
  part.said = "thick orange wire";
  part.word = "orange";
  part.kind = RestraintKind::high_voltage;
  presume(search, std::move(part));
}

void read_wires(Search& search) {
  const Graft& graft = search.graft;
  for (std::size_t i = 0; i < graft.wires.size(); ++i)
    read_wire(search, graft.wires[i], pointer_to("/wires/", i));
  for (std::size_t i = 0; i < graft.plan.size(); ++i) {
    if (graft.plan[i].added) read_wire(search, *graft.plan[i].added, pointer_to("/plan/", i) + "/added");
  }
}

void mark_answered(Search& search) {
  for (const SafetyAnswer& answer : search.graft.safety_answers) {
    if (!answer.harmless) search.mark(answer.subject, answer.at);
  }
}

// The wires as found, with their ends moved as the plan says as well, and those that the plan adds.
std::vector<Wire> all_wires(const Graft& graft) {
  std::vector<Wire> wires = graft.wires;
  std::map<std::string, Wire> by_id;
  for (const Wire& wire : graft.wires) by_id.emplace(wire.id, wire);
  for (const PlanStep& step : graft.plan) {
    if (step.action == PlanAction::add && step.added) wires.push_back(*step.added);
    const auto moved = by_id.find(step.wire);
    if (step.action != PlanAction::move || moved == by_id.end()) continue;
    wires.push_back(moved->second);
    (wires.back().from == step.from ? wires.back().from : wires.back().to) = step.to;
  }
  return wires;
}

// What is reached from where: built once, walked once.
class Reach {
 public:
  Reach(ForbiddenParts& parts, const Graft& graft, const std::vector<Wire>& wires) : parts_(parts) {
    for (const Device& device : graft.devices) devices_.emplace(device.id, &device);
    note_plugs(graft);
    for (const Wire& wire : wires) {
      for (const WireEnd* end : {&wire.from, &wire.to}) {
        if (!end->at.empty()) wires_at_[end->at].push_back(&wire);
      }
    }
    for (const Wire& wire : wires) {
      if (parts_.wires.contains(wire.id)) follow(wire);
    }
    for (const WireEnd& end : std::set<WireEnd>(parts_.ends)) leave(end);
  }

 private:
  ForbiddenParts& parts_;
  std::map<std::string, const Device*> devices_;
  std::map<std::string, std::vector<const Wire*>> wires_at_;
  std::map<std::string, std::vector<std::string>> plugs_;  // what a plug meets, or stands for
  std::set<const Wire*> followed_;
  std::set<WireEnd> left_;

  // A donor's plug and the loom's of the same name are one; plugs in the middle of the loom meet.
  void note_plugs(const Graft& graft) {
    std::map<std::string, std::vector<std::string>> named;
    for (const Module& module : graft.modules) {
      if (module.role == ModuleRole::other) continue;
      for (const std::string& id : module.connectors) {
        const Connector* connector = find_connector(graft, id);
        if (connector && !connector->name.empty()) named[connector->name].push_back(id);
      }
    }
    for (const auto& [name, ids] : named) {
      for (const std::string& id : ids) {
        for (const std::string& other : ids) {
          if (id != other) plugs_[id].push_back(other);
        }
      }
    }
    for (const Connector& connector : graft.connectors) {
      if (connector.mates.empty()) continue;
      plugs_[connector.id].push_back(connector.mates);
      plugs_[connector.mates].push_back(connector.id);
    }
  }

  void follow(const Wire& wire) {
    if (!followed_.insert(&wire).second) return;
    parts_.wires.insert(wire.id);
    arrive(wire.from);
    arrive(wire.to);
  }

  void arrive(const WireEnd& end) {
    if (end.at.empty()) return;
    const auto device = devices_.find(end.at);
    if (device == devices_.end()) {
      parts_.ends.insert(end);
      leave(end);
      return;
    }
    const DeviceKind* kind = device_kind(device->second->kind);
    if (kind && is_shared(kind->build)) return;
    // A part of many terminals serves other circuits too.
    const bool whole = kind ? kind->terminals.size() <= 2 : wires_at_[end.at].size() <= 2;
    const WireEnd reached = whole ? WireEnd{end.at, ""} : end;
    parts_.ends.insert(reached);
    leave(reached);
  }

  void leave(const WireEnd& end) {
    if (!left_.insert(end).second) return;
    for (const Wire* wire : wires_at_[end.at]) {
      if (end.cavity.empty() || wire->from == end || wire->to == end) follow(*wire);
    }
    for (const std::string& plug : plugs_[end.at]) {
      parts_.ends.insert({plug, end.cavity});
      leave({plug, end.cavity});
    }
  }
};

const char* words_of(RestraintKind kind) {
  switch (kind) {
    case RestraintKind::restraint:
      return "a restraint system (airbag, belt tensioner)";
    case RestraintKind::high_voltage:
      return "high voltage";
    case RestraintKind::interlock:
      return "the loop that switches high voltage off";
  }
  return "";
}

bool is_there(const Graft& graft, const SafetyAnswer& answer) {
  const auto has = [&](const auto& list, auto id) {
    return std::ranges::find(list, answer.at.at, id) != list.end();
  };
  switch (answer.subject) {
    case SafetySubject::pin:
    case SafetySubject::connector:
      return has(graft.connectors, &Connector::id);
    case SafetySubject::module:
      return has(graft.modules, &Module::id);
    case SafetySubject::device:
      return has(graft.devices, &Device::id);
    case SafetySubject::wire:
      return has(graft.wires, &Wire::id) || std::ranges::any_of(graft.plan, [&](const PlanStep& step) {
               return step.added && step.added->id == answer.at.at;
             });
  }
  return false;
}

}  // namespace

ForbiddenParts forbidden_parts(const Graft& graft) {
  Search search{graft, {}};
  mark_answered(search);
  read_modules(search);
  read_connectors(search);
  read_devices(search);
  read_wires(search);
  spread(search.parts, graft, all_wires(graft));
  return std::move(search.parts);
}

void spread(ForbiddenParts& parts, const Graft& graft, const std::vector<Wire>& wires) {
  if (!parts.ends.empty() || !parts.wires.empty()) Reach(parts, graft, wires);
}

Problems check_safety(const Graft& graft, const ForbiddenParts& forbidden) {
  Problems problems;
  for (const PresumedPart& part : forbidden.presumed) {
    problems.push_back(
        {Severity::warning,
         "presumed-restraint",
         {"", 0, 0, part.pointer},
         part.name + " says \"" + part.said + "\": it may belong to " + words_of(part.kind) +
             ". Nothing on it is planned, probed, moved or driven until a person answers.",
         "Find out from the maker's diagram and answer. If it is one, leave it alone: it is for trained "
         "people with the maker's procedure."});
  }
  for (std::size_t i = 0; i < graft.safety_answers.size(); ++i) {
    const SafetyAnswer& answer = graft.safety_answers[i];
    const std::string pointer = "/safety_answers/" + std::to_string(i);
    if (!is_there(graft, answer))
      problems.push_back({Severity::warning,
                          "no-such-id",
                          {"", 0, 0, pointer + "/at"},
                          "The answer is about \"" + answer.at.at + "\", which is not in the document.",
                          "Remove the answer, or correct the id."});
    if (counts(answer)) continue;
    problems.push_back({Severity::error,
                        "unsigned-answer",
                        {"", 0, 0, pointer},
                        "The answer that \"" + answer.said + "\" is harmless has no name or no time.",
                        "Say who found it out, and when. Until then it does not count."});
  }
  return problems;
}

}  // namespace loomgraft

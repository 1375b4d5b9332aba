// The same networks and rounds of blowing fuses as for the harm of faults, but every reading is kept: what is a
// symptom depends on the same load in several states.
#include "find/symptoms.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <map>
#include <set>
#include <span>

#include "base/ascii.h"
#include "base/parallel.h"
#include "loom/part_text.h"
#include "network/cavity_pins.h"
#include "network/frame.h"
#include "readings/dictionary.h"
#include "readings/working_conditions.h"
#include "standards/network_figures.h"
#include "standards/pin_states.h"

namespace loomgraft {
namespace {

constexpr int most_blown = 4;
constexpr double smallest_current = 1e-3;  // of a load that can be seen to work
constexpr double dead_share = 0.5;         // of its sound volts, below which a feed is gone

enum State : std::size_t { key_off, at_rest, all_on, states };

Condition condition_of(State state, const Graft& graft) {
  if (state == all_on) return everything_on(graft);
  Condition condition;
  if (state == key_off) condition.key = KeyPosition::off;
  return condition;
}

enum class WatchedKind { load, fuse, input, feed };

struct Watch {
  WatchedKind what = WatchedKind::load;
  std::string subject;
  DictionaryTest test;
  double limit = 0.0;  // amperes of a fuse
};

// What one state shows: readings by what is watched and by fault, and the fuses that blow under each fault.
struct Shown {
  LoomNetwork network;
  std::vector<Watch> watches;
  std::vector<double> sound;                 // by watch
  std::vector<std::vector<double>> faulty;   // by watch, by fault
  std::vector<std::set<std::string>> blown;  // by fault
};

void watch_parts(const LoomFrame& frame, const NetworkSolution& sound, Shown& shown) {
  const double blows_at = surely_blows_at();
  for (std::size_t k = 0; k < shown.network.branches.size(); ++k) {
    const NetworkBranch& branch = shown.network.branches[k];
    const DictionaryTest clamp{MeterKind::amperes, earth_node, earth_node, k};
    if (branch.kind == BranchKind::consumer && frame.devices.contains(branch.subject))
      shown.watches.push_back({WatchedKind::load, branch.subject, clamp, 0.0});
    if (branch.kind == BranchKind::fuse && branch.rating && branch.list == ElementList::resistor) {
      const double loaded = std::abs(branch_current(shown.network, sound, k).si);
      shown.watches.push_back(
          {WatchedKind::fuse, branch.subject, clamp, blows_at * std::max(branch.rating->si, loaded)});
    }
  }
  for (const auto& [end, node] : shown.network.inner_nodes) {
    const PinAt found = pin_at(frame.graft, end);
    // A donor's pin is shown in the loom's plug that takes it.
    if (!found.pin || frame.plug_of.contains(end.at)) continue;
    const PinKind kind = pin_model(found.pin->pin_class, PinSide::module, frame.system).ratings.kind;
    const DictionaryTest volts{MeterKind::volts, node, earth_node, 0};
    if (kind == PinKind::input || kind == PinKind::sensor)
      shown.watches.push_back({WatchedKind::input, end.at + ":" + end.cavity, volts, 0.0});
    if (kind == PinKind::feed_in || kind == PinKind::feed)
      shown.watches.push_back({WatchedKind::feed, found.module->id, volts, 0.0});
  }
}

// Faults in the present round, with the fuses open that they have blown so far.
struct Trial {
  std::size_t fault = 0;
  NetworkChange change;
  double most = 1.0;
  std::optional<std::size_t> blows{};  // watch of the most overloaded fuse
};

bool read_round(Shown& shown, std::vector<Trial>& trials, const StopToken& stop) {
  std::vector<NetworkChange> changes;
  std::vector<DictionaryTest> tests;
  changes.reserve(trials.size());
  for (const Trial& trial : trials) changes.push_back(trial.change);
  for (const Watch& watch : shown.watches) tests.push_back(watch.test);
  const auto take = [&](std::size_t test, double, std::span<const double> readings) {
    const Watch& watch = shown.watches[test];
    for (std::size_t k = 0; k < trials.size(); ++k) {
      shown.faulty[test][trials[k].fault] = readings[k];
      const double share = watch.what == WatchedKind::fuse ? std::abs(readings[k]) / watch.limit : 0.0;
      if (share <= trials[k].most) continue;
      trials[k].most = share;
      trials[k].blows = test;
    }
  };
  return fault_dictionary(shown.network, tests, changes, take, stop).has_value();
}

void blow_fuses(Shown& shown, std::vector<Trial> trials, const StopToken& stop) {
  for (int round = 0; round <= most_blown && !trials.empty(); ++round) {
    if (!read_round(shown, trials, stop)) return;
    std::erase_if(trials, [](const Trial& trial) { return !trial.blows; });
    for (Trial& trial : trials) {
      const Watch& fuse = shown.watches[*trial.blows];
      shown.blown[trial.fault].insert(fuse.subject);
      trial.change.branches.push_back({fuse.test.clamp, Ohms{std::numeric_limits<double>::infinity()}});
      trial.most = 1.0;
      trial.blows.reset();
    }
  }
}

std::optional<Shown> show(const LoomFrame& frame, State state, const std::vector<Fault>& faults,
                          const StopToken& stop) {
  Shown shown;
  NetworkOptions options;
  options.crimps = true;
  shown.network = network_of(frame, condition_of(state, frame.graft), options);
  const auto sound = solve(shown.network);
  if (!sound) return std::nullopt;
  watch_parts(frame, *sound, shown);
  for (const Watch& watch : shown.watches) {
    const bool volts = watch.test.kind == MeterKind::volts;
    shown.sound.push_back(volts ? sound->point.nodes[watch.test.red.value].si
                                : branch_current(shown.network, *sound, watch.test.clamp).si);
    shown.faulty.emplace_back(faults.size(), shown.sound.back());
  }
  shown.blown.resize(faults.size());
  std::vector<NetworkChange> changes = changes_of(faults, shown.network);
  std::vector<Trial> trials;
  // A joint that opens only when it is moved leaves a loom at rest as it is.
  for (std::size_t k = 0; k < faults.size(); ++k) {
    if (!changes[k].empty() && !is_intermittent(faults[k])) trials.push_back({k, std::move(changes[k])});
  }
  blow_fuses(shown, std::move(trials), stop);
  return shown;
}

using AllStates = std::array<std::optional<Shown>, states>;

class Symptoms {
 public:
  Symptoms(const LoomFrame& frame, const std::vector<Fault>& faults, const AllStates& shown)
      : frame_(frame), faults_(faults), shown_(shown) {
    for (std::size_t state = 0; state < states; ++state) {
      for (std::size_t k = 0; k < shown[state]->watches.size(); ++k) {
        const Watch& watch = shown[state]->watches[k];
        watches_[{watch.what, watch.subject}][state].push_back(k);
      }
    }
  }

  std::vector<Symptom> all() {
    for (const auto& [watched, where] : watches_) {
      const auto& [what, subject] = watched;
      if (what == WatchedKind::load) add_load(subject, where);
      if (what == WatchedKind::input) add_input(subject, where);
      if (what == WatchedKind::feed) add_feed(subject, where);
      if (what == WatchedKind::fuse) add_fuse(subject);
    }
    add(SymptomKind::when_moved, "", "it comes and goes when the loom is moved", [&](std::size_t fault) {
      const FaultKind kind = faults_[fault].kind;
      return is_intermittent(faults_[fault]) || kind == FaultKind::wire_open ||
             kind == FaultKind::terminal_unseated || kind == FaultKind::bad_joint ||
             kind == FaultKind::chafed_together;
    });
    return std::move(made_);
  }

 private:
  using Where = std::map<std::size_t, std::vector<std::size_t>>;  // by state: watches

  template <class Causes>
  void add(SymptomKind kind, const std::string& subject, const std::string& text, Causes causes) {
    Symptom symptom{subject + (subject.empty() ? "" : ":") + name_of(kind), kind, subject, text, {}};
    for (std::size_t fault = 0; fault < faults_.size(); ++fault) {
      if (causes(fault)) symptom.faults.push_back(fault);
    }
    if (!symptom.faults.empty()) made_.push_back(std::move(symptom));
  }

  // Of the branches of a load the one that carries most: a motor with two speeds has several.
  double amperes(const Where& where, State state, std::optional<std::size_t> fault) const {
    double most = 0.0;
    const auto found = where.find(state);
    if (found == where.end()) return 0.0;
    for (const std::size_t k : found->second) {
      const Shown& shown = *shown_[state];
      most = std::max(most, std::abs(fault ? shown.faulty[k][*fault] : shown.sound[k]));
    }
    return most;
  }

  void add_load(const std::string& id, const Where& where) {
    const find::FindFigures& figures = find::find_figures();
    const double works = amperes(where, all_on, {});
    const double rests = std::max(amperes(where, at_rest, {}), amperes(where, key_off, {}));
    if (works < smallest_current) return;
    const std::string name = device_text(*frame_.devices.at(id));
    const auto share = [&](std::size_t fault) { return amperes(where, all_on, fault) / works; };
    add(SymptomKind::never_works, id, name + " never works",
        [&](std::size_t fault) { return share(fault) < figures.symptom_stops; });
    add(SymptomKind::weak, id, name + " is weak, dim or slow", [&](std::size_t fault) {
      return share(fault) >= figures.symptom_stops && share(fault) < figures.symptom_weak;
    });
    if (rests >= figures.symptom_stops * works) return;
    add(SymptomKind::always_on, id, name + " is always on", [&](std::size_t fault) {
      return std::max(amperes(where, at_rest, fault), amperes(where, key_off, fault)) >
             figures.symptom_runs * works;
    });
  }

  void add_fuse(const std::string& id) {
    const auto device = frame_.devices.find(id);
    const std::string name = device == frame_.devices.end() ? "fuse " + id : device_text(*device->second);
    const auto blows = [&](State state, std::size_t fault) {
      return shown_[state]->blown[fault].contains(id);
    };
    add(SymptomKind::blows_always, id, name + " blows even with the key off",
        [&](std::size_t fault) { return blows(key_off, fault); });
    add(SymptomKind::blows_with_key, id, name + " blows when the key is turned on",
        [&](std::size_t fault) { return blows(at_rest, fault) && !blows(key_off, fault); });
    add(SymptomKind::blows_when_driven, id, name + " blows when something is switched on",
        [&](std::size_t fault) { return blows(all_on, fault) && !blows(at_rest, fault); });
  }

  double volts(const Where& where, State state, std::optional<std::size_t> fault) const {
    const std::size_t k = where.at(state).front();
    return fault ? shown_[state]->faulty[k][*fault] : shown_[state]->sound[k];
  }

  void add_input(const std::string& id, const Where& where) {
    if (!where.contains(at_rest) || !where.contains(all_on)) return;
    const double shift = network_figure("input_shift_v", frame_.system).middle();
    const double rest = volts(where, at_rest, {});
    const double worked = volts(where, all_on, {});
    const std::string name = input_text(id);
    const auto off = [&](State state, std::size_t fault) {
      return std::abs(volts(where, state, fault) - volts(where, state, {})) > shift;
    };
    if (std::abs(worked - rest) <= shift) {
      add(SymptomKind::reads_wrong, id, "input " + name + " drifts or is out of range",
          [&](std::size_t fault) { return off(at_rest, fault) || off(all_on, fault); });
      return;
    }
    // On which side of the middle between its two sound levels.
    const auto reads_worked = [&](State state, std::size_t fault) {
      return (volts(where, state, fault) > 0.5 * (rest + worked)) == (worked > rest);
    };
    add(SymptomKind::stuck_worked, id, "input " + name + " always reads as if it were worked",
        [&](std::size_t fault) { return reads_worked(at_rest, fault) && reads_worked(all_on, fault); });
    add(SymptomKind::stuck_at_rest, id, "input " + name + " always reads as at rest",
        [&](std::size_t fault) { return !reads_worked(at_rest, fault) && !reads_worked(all_on, fault); });
  }

  // "C1-14 (feedback switch)"
  std::string input_text(const std::string& id) const {
    const std::size_t colon = id.rfind(':');
    const WireEnd end{id.substr(0, colon), id.substr(colon + 1)};
    const auto plug = frame_.connectors.find(end.at);
    const bool named = plug != frame_.connectors.end() && !plug->second->name.empty();
    const PinAt found = pin_at(frame_.graft, end);
    const std::string signal = found.pin ? found.pin->signal : "";
    return (named ? plug->second->name : end.at) + "-" + end.cavity +
           (signal.empty() ? "" : " (" + signal + ")");
  }

  void add_feed(const std::string& id, const Where& where) {
    const auto module = std::ranges::find(frame_.graft.modules, id, &Module::id);
    if (!where.contains(all_on) || module == frame_.graft.modules.end()) return;
    const std::string name = module->name.empty() ? id : module->name;
    add(SymptomKind::module_dead, id, name + " is dead", [&](std::size_t fault) {
      return std::ranges::any_of(where.at(all_on), [&](std::size_t k) {
        const double sound = shown_[all_on]->sound[k];
        return sound > 1.0 && shown_[all_on]->faulty[k][fault] < dead_share * sound;
      });
    });
  }

  const LoomFrame& frame_;
  const std::vector<Fault>& faults_;
  const AllStates& shown_;
  std::map<std::pair<WatchedKind, std::string>, Where> watches_;
  std::vector<Symptom> made_;
};

// The kinds that a person's words may mean; the first word that is found decides.
std::vector<SymptomKind> kinds_meant(const std::string& words) {
  using enum SymptomKind;
  static const std::pair<const char*, std::vector<SymptomKind>> table[] = {
      {"key off", {blows_always}},
      {"driven", {blows_when_driven}},
      {"switched", {blows_when_driven}},
      {"key", {blows_with_key}},
      {"blow", {blows_always, blows_with_key, blows_when_driven}},
      {"open", {stuck_at_rest}},
      {"at rest", {stuck_at_rest}},
      {"closed", {stuck_worked}},
      {"worked", {stuck_worked}},
      {"always", {always_on}},
      {"stays on", {always_on}},
      {"never", {never_works}},
      {"does not work", {never_works}},
      {"not work", {never_works}},
      {"weak", {weak}},
      {"slow", {weak}},
      {"dim", {weak}},
      {"drift", {reads_wrong}},
      {"range", {reads_wrong}},
      {"wrong", {reads_wrong}},
      {"dead", {module_dead, never_works}},
      {"wiggle", {when_moved}},
      {"moved", {when_moved}}};
  for (const auto& [word, kinds] : table) {
    if (words.find(word) != std::string::npos) return kinds;
  }
  return {};
}

}  // namespace

const char* name_of(SymptomKind kind) {
  constexpr std::array names{
      "never-works",   "weak",         "always-on",   "blows-always", "blows-with-key", "blows-when-driven",
      "stuck-at-rest", "stuck-worked", "reads-wrong", "module-dead",  "when-moved"};
  return names[static_cast<std::size_t>(kind)];
}

std::vector<Symptom> symptoms_of(const Graft& graft, const std::vector<Fault>& faults,
                                 const StopToken& stop) {
  const std::shared_ptr<const LoomFrame> frame = frame_of(graft, LoomState::as_planned);
  AllStates shown;
  parallel_for(states, [&](std::size_t state) {
    if (!stop.stop_requested()) shown[state] = show(*frame, static_cast<State>(state), faults, stop);
  });
  for (const auto& one : shown) {
    if (!one) return {};
  }
  return Symptoms(*frame, faults, shown).all();
}

const Symptom* symptom_named(std::string_view text, const Graft& graft,
                             const std::vector<Symptom>& symptoms) {
  const auto exact = std::ranges::find(symptoms, text, &Symptom::id);
  if (exact != symptoms.end()) return &*exact;
  const std::size_t colon = text.rfind(':');
  const std::string part = colon == std::string_view::npos ? "" : lower(text.substr(0, colon));
  const std::string words = lower(colon == std::string_view::npos ? text : text.substr(colon + 1));
  const std::vector<SymptomKind> kinds = kinds_meant(words);
  const auto name_of_subject = [&](const Symptom& symptom) {
    const auto device = std::ranges::find(graft.devices, symptom.subject, &Device::id);
    const auto module = std::ranges::find(graft.modules, symptom.subject, &Module::id);
    if (device != graft.devices.end()) return lower(device->name);
    return module != graft.modules.end() ? lower(module->name) : std::string();
  };
  // Exactly named first, then by a part of the name; of several symptoms that fit none.
  for (const bool whole : {true, false}) {
    std::vector<const Symptom*> fitting;
    for (const Symptom& symptom : symptoms) {
      if (!std::ranges::count(kinds, symptom.kind)) continue;
      const std::string id = lower(symptom.subject);
      const std::string name = name_of_subject(symptom);
      const bool fits =
          whole ? part == id || part == name : !part.empty() && (name.find(part) != std::string::npos);
      if (fits) fitting.push_back(&symptom);
    }
    if (fitting.size() == 1) return fitting.front();
    if (!fitting.empty()) return nullptr;
  }
  return nullptr;
}

Evidence evidence_of(const Symptom& symptom, std::size_t faults) {
  const double wrong = find::find_figures().symptom_wrong;
  Evidence evidence{symptom.id, symptom.text, wrong, std::vector<double>(faults, wrong)};
  for (const std::size_t fault : symptom.faults) evidence.faults[fault] = 1.0;
  return evidence;
}

}  // namespace loomgraft

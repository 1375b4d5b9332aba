// What a module's pin must withstand and read: a driver's current, the energy of a coil at turn-off, the levels of an
// input. Limits are the pin's own if stated, else the defaults of its class.
#include <algorithm>
#include <cmath>

#include "design/checks_internal.h"
#include "loom/end_id.h"
#include "network/cavity_pins.h"
#include "network/device_figures.h"
#include "standards/device_kinds.h"
#include "standards/network_figures.h"
#include "standards/pin_states.h"
#include "units/print.h"

namespace loomgraft::design {
namespace {

struct PinCase {
  const SizingRun& run;
  const AlteredCircuit& circuit;
  WireEnd at;
  const Pin* pin = nullptr;
  const Module* module = nullptr;
  const PinModel* model = nullptr;
};

// The page shows the name of the subject beside the text, so the text has the signal alone.
std::string label(const PinCase& item, const char* what) {
  return item.pin->signal.empty() ? std::string("the ") + what
                                  : std::string("the ") + what + " " + item.pin->signal;
}

Amperes negligible() {
  return {1e-6};  // rounding of the solver
}

struct PinCurrent {
  Amperes current;
  std::string condition;
};

PinCurrent greatest(const PinCase& item) {
  PinCurrent most;
  for (const LoadCase& load_case : item.run.load_cases) {
    const auto contact = branch_of(load_case, end_id(item.at), BranchKind::contact);
    if (!load_case.solved || !contact) continue;
    const Amperes current{std::abs(branch_current(load_case.network, load_case.solution, *contact).si)};
    if (current > most.current) most = {current, text_of(load_case)};
  }
  return most;
}

std::optional<Check> driver_check(const PinCase& item) {
  const auto& own = item.pin->limits.current;
  const std::optional<Amperes> allowed = own ? own : item.model->ratings.allowed;
  const PinCurrent most = greatest(item);
  if (!allowed || most.current < negligible()) return std::nullopt;
  const double limit = allowed->si * rule(*item.run.rules, "driver_current_fraction");
  Check check = make_check(CheckKind::driver_current, pin_subject(item.at),
                           "load of " + label(item, "output"), {most.current.si, limit, "A", true});
  check.condition = most.condition;
  check.assumed = !own;
  check.why = {"current with the coil cold and the supply at its highest <= what the pin carries",
               own ? "the pin's own limit" : "data/pin_limits.csv: default of a " + item.model->ratings.text,
               {{"current", print(most.current), "solved network"}}};
  return check;
}

// The coil that an output drives: the device of this circuit with the largest inductance.
struct Coil {
  const Device* device = nullptr;
  DeviceFigure inductance;
};

std::optional<Coil> coil_of(const PinCase& item) {
  std::optional<Coil> coil;
  for (const std::string& id : item.circuit.devices) {
    const Device* device = find_device(*item.run.graft, id);
    const auto inductance =
        device ? device_figure(*device, "inductance_h", system_of(item.run)) : std::nullopt;
    if (!inductance || !is_consumer(*device)) continue;
    if (!coil || inductance->figure.high() > coil->inductance.figure.high()) coil = {device, *inductance};
  }
  return coil;
}

// While the output clamps: across the output, and across the coil, which is less by the supply.
struct ClampVolts {
  Volts clamp;
  Volts coil;
};

ClampVolts clamp_volts(const PinCase& item) {
  const double supply = network_figure("running_v", system_of(item.run)).high();
  const PinRatings& ratings = item.model->ratings;
  if (ratings.clamp_high && ratings.clamp_high->si > supply)
    return {*ratings.clamp_high, {ratings.clamp_high->si - supply}};
  // An output towards the feed lets its pin go below earth.
  if (ratings.clamp_low && ratings.clamp_low->si < 0.0)
    return {{supply - ratings.clamp_low->si}, {-ratings.clamp_low->si}};
  return {{2.0 * supply}, {supply}};
}

// The output carries the coil's current at its clamp's volts until the current is gone; the coil's own resistance takes a
// part. Without resistance it is L I^2 / 2 times Vc / (Vc - Vbat).
double clamped_joules(double henries, double ohms, double amperes, const ClampVolts& volts) {
  const double plain = 0.5 * henries * amperes * amperes * (volts.clamp / volts.coil);
  const double x = amperes * ohms / volts.coil.si;
  if (x < 1e-3) return plain;
  return volts.clamp.si * henries / ohms * (amperes - volts.coil.si / ohms * std::log1p(x));
}

void check_clamp(const PinCase& item, std::vector<Check>& checks) {
  const auto& own = item.pin->limits.clamp_energy;
  const std::optional<Joules> allowed = own ? own : item.model->ratings.clamp_energy;
  const auto coil = coil_of(item);
  if (!allowed || !coil || coil->device->suppression == "diode" || coil->device->suppression == "resistor")
    return;
  const PinCurrent most = greatest(item);
  const Figure& stated = coil->inductance.figure;
  const double henries = stated.high();
  const auto ohms = device_figure(*coil->device, "resistance_ohm", system_of(item.run));
  const ClampVolts volts = clamp_volts(item);
  const double energy = clamped_joules(henries, ohms ? ohms->figure.low() : 0.0, most.current.si, volts);
  const double limit = allowed->si * rule(*item.run.rules, "clamp_energy_fraction");
  Check check = make_check(CheckKind::clamp_energy, pin_subject(item.at),
                           "energy of the coil that the output must absorb at turn-off",
                           {energy * 1e3, limit * 1e3, "mJ", true});
  check.condition = most.condition;
  check.assumed = !own || coil->inductance.origin == FigureOrigin::default_value;
  check.judged = check.passes || own || coil->inductance.origin != FigureOrigin::default_value;
  check.why = {"E = Vc L / R (I - (Vc - Vbat) / R ln(1 + I R / (Vc - Vbat)))",
               own ? "the pin's own limit" : "data/pin_limits.csv",
               {{"current", print(most.current), "solved network"},
                {"clamp", print(volts.clamp), "data/pin_limits.csv"},
                {"across the coil", print(volts.coil), "clamp less the supply"},
                {"resistance", ohms ? print(Ohms{ohms->figure.low()}) : "none", "of the coil, at its lowest"},
                {"inductance", std::to_string(henries * 1e3).substr(0, 5) + " mH", stated.source}}};
  checks.push_back(std::move(check));
}

// Volts that the input reads, against its module's own earth.
std::optional<Volts> read_volts(const PinCase& item, const LoadCase& load_case) {
  const auto pin = inner_node_at(load_case.network, item.at);
  const auto earth = module_earth_node(load_case.network, item.module->id);
  if (!pin || !load_case.solved) return std::nullopt;
  return Volts{volts_at(load_case, *pin).si - (earth ? volts_at(load_case, *earth).si : 0.0)};
}

// Whether opening the switches of the new circuits changes what the input reads: one that watches a feed has none.
bool switch_matters(const PinCase& item, Corner corner) {
  constexpr double moved = 0.5;  // V
  const auto closed = read_volts(item, load_case_of(item.run, LoadCaseKind::everything_on, corner));
  const auto open = read_volts(item, load_case_of(item.run, LoadCaseKind::switches_open, corner));
  return !closed || !open || std::abs(closed->si - open->si) > moved;
}

void check_level(const PinCase& item, bool closed, std::vector<Check>& checks) {
  const PinRatings& ratings = item.model->ratings;
  if (!ratings.logic_low || !ratings.logic_high) return;
  const bool reads_high = closed == (item.pin->pin_class == PinClass::switch_to_supply_input);
  const double margin = rule(*item.run.rules, "logic_margin_v");
  const double limit = reads_high ? ratings.logic_high->si + margin : ratings.logic_low->si - margin;
  std::optional<Check> worst;
  for (const LoadCase& load_case : item.run.load_cases) {
    if (load_case.kind != (closed ? LoadCaseKind::everything_on : LoadCaseKind::switches_open)) continue;
    const auto volts = read_volts(item, load_case);
    if (!volts) continue;
    Check check =
        make_check(closed ? CheckKind::level_closed : CheckKind::level_open, pin_subject(item.at),
                   "what " + label(item, "input") + " reads with its switch " + (closed ? "closed" : "open"),
                   {volts->si, limit, "V", !reads_high});
    check.condition = text_of(load_case);
    check.assumed = true;
    check.judged = check.passes || closed || switch_matters(item, load_case.corner);
    check.why = {reads_high ? "volts at the pin >= high threshold + margin"
                            : "volts at the pin <= low threshold - margin",
                 "data/pin_limits.csv: default of a " + ratings.text + "; " +
                     rule_source(*item.run.rules, "logic_margin_v"),
                 {{"volts", print(*volts), "solved network, against the module's own earth"}}};
    keep_worst(worst, std::move(check));
  }
  if (worst) checks.push_back(std::move(*worst));
}

bool is_switched_input(PinClass pin_class) {
  return pin_class == PinClass::switch_to_earth_input || pin_class == PinClass::switch_to_supply_input;
}

void check_pin(const PinCase& item, std::vector<Check>& checks) {
  if (item.model->ratings.kind == PinKind::output) {
    if (auto check = driver_check(item)) checks.push_back(std::move(*check));
    check_clamp(item, checks);
  } else if (is_switched_input(item.pin->pin_class)) {
    check_level(item, true, checks);
    check_level(item, false, checks);
  }
}

}  // namespace

std::optional<Check> driver_current_check(const SizingRun& run, const AlteredCircuit& circuit,
                                          const WireEnd& cavity) {
  const PinAt found = pin_at(*run.graft, cavity);
  if (!found.pin) return std::nullopt;
  return driver_check({run, circuit, cavity, found.pin, found.module,
                       &pin_model(found.pin->pin_class, PinSide::module, system_of(run))});
}

std::vector<Check> pin_checks(const SizingRun& run, const AlteredCircuit& circuit) {
  std::vector<Check> checks;
  std::set<WireEnd> seen;
  for (const std::string& id : circuit.wires) {
    const Wire* wire = planned_wire(run, id);
    if (!wire) continue;
    for (const WireEnd& end : {wire->from, wire->to}) {
      const PinAt found = pin_at(*run.graft, end);
      if (!found.pin || !seen.insert(end).second) continue;
      const SystemVolts system = system_of(run.graft->vehicle.supply);
      check_pin({run, circuit, end, found.pin, found.module,
                 &pin_model(found.pin->pin_class, PinSide::module, system)},
                checks);
    }
  }
  return checks;
}

}  // namespace loomgraft::design

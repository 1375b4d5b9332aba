#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <optional>

#include "compare/pin_key.h"
#include "compare/questions_internal.h"
#include "compare/settle.h"
#include "standards/pin_states.h"

namespace loomgraft::compare {
namespace {

std::string text_of(const PinName& pin) {
  return pin.connector.empty() ? pin.cavity : pin.connector + "-" + pin.cavity;
}

bool feeds(PinClass pin_class) {
  return pin_class == PinClass::supply_30 || pin_class == PinClass::supply_15 ||
         pin_class == PinClass::supply_output;
}

void ask_unsure(const CircuitFacts& facts, std::vector<Question>& questions) {
  const CircuitReport& circuit = facts.report;
  if (circuit.verdict != Verdict::unsure || !circuit.found || !circuit.donor) return;
  questions.push_back(
      {*circuit.found,
       fmt::format("Is \"{}\" at {} of the vehicle the same circuit as \"{}\" at {} of the donor?",
                   circuit.found->signal, text_of(*circuit.found), circuit.donor->signal,
                   text_of(*circuit.donor)),
       "Follow the wire to its far end, or check continuity to the part that each table names, battery "
       "negative off.",
       2, *circuit.donor});
}

void ask_hazard(const CircuitFacts& facts, std::vector<Question>& questions) {
  const CircuitReport& circuit = facts.report;
  if (circuit.hazard.assumed && circuit.hazard.grade >= Grade::damage && circuit.meets) {
    questions.push_back(
        {*circuit.meets,
         fmt::format("What kind of pin is \"{}\" at {} of the donor? Until it is known the worst is assumed.",
                     circuit.meets->signal, text_of(*circuit.meets)),
         "Look it up in a second source, or measure the bare module's pin against its case earth.", 3});
  }
  if (facts.donor_cavity_unknown && facts.found && feeds(facts.found->pin_class)) {
    questions.push_back({*circuit.found,
                         fmt::format("The donor's table does not mention {}, where the vehicle has the feed "
                                     "\"{}\". What is behind it?",
                                     text_of(*circuit.found), circuit.signal),
                         "Not documented is not the same as empty. Take the terminal out and insulate it "
                         "before the donor goes in.",
                         3});
  }
}

void ask_hardware(const CircuitFacts& facts, std::vector<Question>& questions) {
  const CircuitReport& circuit = facts.report;
  if (circuit.verdict != Verdict::add || !facts.donor || facts.donor->hardware.value_or(true)) return;
  questions.push_back(
      {*circuit.donor,
       fmt::format("A source says that nothing is behind \"{}\" at {} of the donor. Is this board equipped?",
                   circuit.donor->signal, text_of(*circuit.donor)),
       "Compare the number on the board, not the label on the case; look for the parts behind the pin.", 2});
}

// The pin with names for people: the name on the plug, and the titles of sources without the folder of their
// file.
Pin with_names(const Pin& pin, const PinName& name, const std::vector<Source>& sources) {
  Pin named = pin;
  named.at.connector = name.connector;
  for (Claim& claim : named.claims) {
    const auto source = std::ranges::find(sources, claim.source, &Source::id);
    if (source != sources.end() && !source->title.empty())
      claim.source = source->title.substr(source->title.find_last_of("/\\") + 1);
  }
  return named;
}

// Sources that disagree: the measurement that settles it.
void ask_claims(const Pin* pin, const std::optional<PinName>& name, const std::vector<Source>& sources,
                const ContentionOptions& options, std::vector<Question>& questions) {
  if (!pin || !name || pin->claims.size() < 2) return;
  const SettleReport settled = settle(with_names(*pin, *name, sources), {options.supply});
  if (settled.by == SettleBy::nothing) return;
  const SystemVolts system = system_of(options.supply);
  std::string text = fmt::format("The sources disagree about {}:", text_of(*name));
  for (const Claim& claim : pin->claims)
    text += fmt::format(" \"{}\" ({});", claim.signal,
                        pin_model(claim.pin_class, PinSide::module, system).ratings.text);
  text.back() = '.';
  Question question{*name, text, settled.advice, settled.by == SettleBy::look_at_wire ? 1 : 2};
  if (!settled.measurements.empty()) question.measure = settled.measurements.front();
  questions.push_back(std::move(question));
}

int highest_number(const Module& module, const std::string& connector) {
  int highest = 0;
  for (const Pin& pin : module.pins) {
    if (pin.at.connector != connector) continue;
    int number = 0;
    const auto& name = pin.at.cavity;
    const auto [end, error] = std::from_chars(name.data(), name.data() + name.size(), number);
    if (error == std::errc{} && end == name.data() + name.size()) highest = std::max(highest, number);
  }
  return highest;
}

bool named_alike(const Connector& found, const Connector& donor) {
  return canonical_connector(found.name) == canonical_connector(donor.name);
}

}  // namespace

void ask_about_circuit(const CircuitFacts& facts, const ContentionOptions& options,
                       std::vector<Question>& questions) {
  ask_hazard(facts, questions);
  ask_unsure(facts, questions);
  ask_hardware(facts, questions);
  ask_claims(facts.found, facts.report.found, facts.sources, options, questions);
  ask_claims(facts.donor, facts.report.donor, facts.sources, options, questions);
}

void ask_about_plugs(const Connector& found, const Connector& donor, const Module& found_module,
                     const Module& donor_module, bool guessed, std::vector<Question>& questions) {
  const int found_size = highest_number(found_module, found.id);
  const int donor_size = highest_number(donor_module, donor.id);
  const bool parts_differ = !found.part.empty() && !donor.part.empty() && found.part != donor.part;
  if (found_size != donor_size || parts_differ) {
    const std::string sizes =
        found_size != donor_size && found_size > 0 && donor_size > 0
            ? fmt::format(" The vehicle's table goes up to {}, the donor's to {}.", found_size, donor_size)
            : std::string{};
    questions.push_back({{found.name, "", ""},
                         fmt::format("Is the vehicle's plug \"{}\" the same body as the donor's \"{}\"?{}",
                                     found.name, donor.name, sizes),
                         "Hold them together. If not, equal numbers are not equal cavities: every circuit of "
                         "this plug moves.",
                         2});
  } else if (guessed && !named_alike(found, donor)) {
    questions.push_back({{found.name, "", ""},
                         fmt::format("Does the vehicle's plug \"{}\" fit where the donor has \"{}\"? The "
                                     "names differ; this pairing is a guess.",
                                     found.name, donor.name),
                         "Compare housing, keying and number of cavities.",
                         2});
  }
}

}  // namespace loomgraft::compare

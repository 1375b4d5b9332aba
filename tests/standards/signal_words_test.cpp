// The wordings of data/signal_words.csv: what each language calls a circuit reads as the English term.
#include "text/signal_words.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "standards/data_table.h"
#include "standards/dictionary.h"
#include "standards/pin_class.h"

namespace loomgraft::standards_signal_words_test {
namespace {

const std::vector<std::string> languages{"German", "French", "Spanish", "Italian",
                                         "Dutch",  "Polish", "Swedish", "Japanese"};

SignalName name(std::string_view text) {
  return term_dictionary().normalise(text);
}

struct Row {
  std::string language, phrase, term, words, hint, source, status;
};

std::vector<Row> all_rows() {
  const DataTable table("signal_words.csv");
  std::vector<Row> rows;
  for (std::size_t i = 0; i < table.rows(); ++i) {
    const auto at = [&](std::string_view column) { return table.at(i, table.column(column)); };
    rows.push_back({at("language"), at("phrase"), at("term"), at("words"), at("class_hint"), at("source"),
                    at("status")});
  }
  return rows;
}

std::string joined(const std::vector<std::string>& words) {
  std::string result;
  for (const std::string& word : words) result += (result.empty() ? "" : " ") + word;
  return result;
}

// As people write it: "+" and "-" stand against the word.
std::string written(std::string phrase) {
  if (phrase.starts_with("+ ") || phrase.starts_with("- ")) phrase.erase(1, 1);
  return phrase;
}

TEST(SignalWords, EveryRowHasALanguageASourceAndAKnownClass) {
  std::set<std::pair<std::string, std::string>> seen;
  for (const Row& row : all_rows()) {
    EXPECT_TRUE(row.language == "English" || std::ranges::count(languages, row.language) == 1)
        << row.language;
    EXPECT_TRUE(row.hint.empty() || pin_class_of(row.hint).has_value()) << row.phrase;
    EXPECT_FALSE(row.source.empty()) << row.phrase;
    EXPECT_FALSE(row.status.empty()) << row.phrase;
    EXPECT_TRUE(seen.insert({row.language, row.phrase}).second) << row.language << ": " << row.phrase;
  }
}

TEST(SignalWords, PhrasesAreSplitAsNamesAre) {
  for (const Row& row : all_rows()) {
    if (row.phrase.find('#') != std::string::npos) continue;
    std::string split;
    for (const NameWord& word : split_name(written(row.phrase), [](std::string_view) { return true; }).words)
      split += (split.empty() ? "" : " ") + std::string(word.text);
    EXPECT_EQ(split, row.phrase);
  }
}

// Nothing before the row, in this table or in terms.csv, gives the phrase another meaning.
TEST(SignalWords, EveryRowReadsAsItSays) {
  for (const Row& row : all_rows()) {
    if (row.term.empty() &&
        (row.words.empty() || row.words == "~" || row.words == "#" || row.words[0] == '='))
      continue;
    const SignalName read = name(written(row.phrase));
    EXPECT_EQ(read.class_hint, row.hint) << row.phrase;
    EXPECT_EQ(read.absent, row.hint == "no_connection") << row.phrase;
    if (read.absent) continue;
    EXPECT_EQ(read.term, row.term) << row.phrase;
    EXPECT_EQ(joined(read.words), row.words) << row.phrase;
  }
}

struct Circuit {
  const char* english;
  const char* term;
  const char* hint;
};

TEST(SignalWords, EveryCircuitHasWordsInEveryLanguage) {
  const std::vector<Circuit> circuits{{"battery feed", "B+", "supply_30"},
                                      {"ignition feed", "IGN", "supply_15"},
                                      {"supply", "12V", "supply_30"},
                                      {"accessory", "ACC", "supply_15"},
                                      {"ground", "GND", "power_earth"},
                                      {"sensor ground", "SENSOR GND", "sensor_earth"},
                                      {"5 V supply", "5V REF", "reference_5v"},
                                      {"starter", "STARTER", "low_side_driver"},
                                      {"charge lamp", "ALT", "low_side_driver"},
                                      {"fuel pump relay", "FP", "low_side_driver"},
                                      {"injector", "INJ", "injector"},
                                      {"ignition coil", "IC", "ignition_trigger"},
                                      {"crank sensor", "CKP", "variable_reluctance"},
                                      {"cam sensor", "CMP", "digital_sensor_input"},
                                      {"coolant temperature", "ECT", "thermistor_input"},
                                      {"intake air temperature", "IAT", "thermistor_input"},
                                      {"oil temperature", "EOT", "thermistor_input"},
                                      {"oil pressure", "EOP", "voltage_input"},
                                      {"oil pressure switch", "EOP", "switch_to_earth_input"},
                                      {"throttle position", "TP", "voltage_input"},
                                      {"pedal position", "APP", "voltage_input"},
                                      {"air flow", "MAF", "voltage_input"},
                                      {"manifold pressure", "MAP", "voltage_input"},
                                      {"knock sensor", "KS", "knock"},
                                      {"lambda sensor", "O2S", "oxygen_sensor"},
                                      {"lambda heater", "O2S HTR", "low_side_driver"},
                                      {"vehicle speed", "VSS", "digital_sensor_input"},
                                      {"wheel speed", "WSS", "variable_reluctance"},
                                      {"engine speed", "RPM", "digital_sensor_input"},
                                      {"brake light switch", "BPP", "switch_to_supply_input"},
                                      {"brake lamp", "BRAKE LAMP", "high_side_driver"},
                                      {"clutch switch", "CPP", "switch_to_earth_input"},
                                      {"park neutral switch", "PNP", "switch_to_earth_input"},
                                      {"reverse lamp", "REVERSE LAMP", "high_side_driver"},
                                      {"reverse lamp switch", "REVERSE", "switch_to_supply_input"},
                                      {"kickdown", "KD", "switch_to_earth_input"},
                                      {"cruise control", "CRUISE", "switch_to_supply_input"},
                                      {"ac request", "A/C", "switch_to_supply_input"},
                                      {"ac compressor", "A/C CLUTCH", "low_side_driver"},
                                      {"radiator fan", "FC", "low_side_driver"},
                                      {"glow plug", "GLOW", "low_side_driver"},
                                      {"left indicator", "INDICATOR", "high_side_driver"},
                                      {"right indicator", "INDICATOR", "high_side_driver"},
                                      {"indicator", "INDICATOR", "high_side_driver"},
                                      {"dipped beam", "HEADLAMP", "high_side_driver"},
                                      {"main beam", "MAIN BEAM", "high_side_driver"},
                                      {"side lamp", "TAIL LAMP", "high_side_driver"},
                                      {"fog lamp", "FOG LAMP", "high_side_driver"},
                                      {"rear fog lamp", "FOG LAMP", "high_side_driver"},
                                      {"hazard switch", "HAZARD", "switch_to_earth_input"},
                                      {"horn", "HORN", "low_side_driver"},
                                      {"wiper", "WIPER", "high_side_driver"},
                                      {"wiper low", "WIPER", "high_side_driver"},
                                      {"wiper high", "WIPER", "high_side_driver"},
                                      {"wiper intermittent", "WIPER", "high_side_driver"},
                                      {"wiper park", "WIPER", "high_side_driver"},
                                      {"washer", "WASHER", "high_side_driver"},
                                      {"heated rear window", "DEFOG", "low_side_driver"},
                                      {"door switch", "DOOR", "switch_to_earth_input"},
                                      {"door lock", "DOOR LOCK", "push_pull"},
                                      {"central locking lock", "DOOR LOCK", "push_pull"},
                                      {"central locking unlock", "DOOR LOCK", "push_pull"},
                                      {"window lift", "WINDOW", "push_pull"},
                                      {"interior lamp", "INTERIOR LAMP", "low_side_driver"},
                                      {"instrument illumination", "ILLUMINATION", "supply_15"},
                                      {"fuel level", "FLI", "voltage_input"},
                                      {"warning lamp", "MIL", "low_side_driver"},
                                      {"CAN high", "CAN", "can_high"},
                                      {"CAN low", "CAN", "can_low"},
                                      {"k line", "K-LINE", "serial_line"},
                                      {"shield", "SHIELD", "shield"},
                                      {"not connected", "", "no_connection"},
                                      {"relay coil", "", "low_side_driver"},
                                      {"solenoid valve", "", "low_side_driver"},
                                      {"switch", "", "switch_to_earth_input"},
                                      {"motor", "", "push_pull"},
                                      {"trailer", "", ""},
                                      {"main relay", "MREL", "low_side_driver"},
                                      {"idle control valve", "IAC", "low_side_driver"},
                                      {"purge valve", "EVAP", "low_side_driver"},
                                      {"egr valve", "EGR", "low_side_driver"},
                                      {"parking brake", "PKB", "switch_to_earth_input"},
                                      {"loudspeaker", "SPEAKER", "push_pull"},
                                      {"immobiliser", "IMMO", "serial_line"},
                                      {"diagnostic connector", "DLC", "serial_line"}};
  EXPECT_GE(circuits.size(), 60U);
  const std::vector<Row> rows = all_rows();
  for (const Circuit& circuit : circuits) {
    const SignalName english = name(circuit.english);
    EXPECT_EQ(english.term, circuit.term) << circuit.english;
    EXPECT_EQ(english.class_hint, circuit.hint) << circuit.english;
    for (const std::string& language : languages) {
      const auto same = [&](const Row& row) {
        return row.language == language && name(written(row.phrase)) == english;
      };
      EXPECT_TRUE(std::ranges::any_of(rows, same)) << circuit.english << " in " << language;
    }
  }
}

TEST(SignalWords, WordingsOfManuals) {
  const std::vector<Circuit> cases{{"Kl. 30", "B+", "supply_30"},
                                   {"+APC", "IGN", "supply_15"},
                                   {"+12V APC", "IGN", "supply_15"},
                                   {"+AVC", "B+", "supply_30"},
                                   {"Positivo sotto chiave", "IGN", "supply_15"},
                                   {"positivo de contacto", "IGN", "supply_15"},
                                   {"Zasilanie po zapłonie", "IGN", "supply_15"},
                                   {"contact +", "IGN", "supply_15"},
                                   {"Masa de los sensores", "SENSOR GND", "sensor_earth"},
                                   {"Masse des capteurs", "SENSOR GND", "sensor_earth"},
                                   {"Jord givare", "SENSOR GND", "sensor_earth"},
                                   {"aasu", "GND", "power_earth"},
                                   {"Masa nadwozia", "GND", "power_earth"},
                                   {"Sensorversorgung", "5V REF", "reference_5v"},
                                   {"Alimentazione sensori", "5V REF", "reference_5v"},
                                   {"Motorino d'avviamento", "STARTER", "low_side_driver"},
                                   {"Ladekontrollleuchte", "ALT", "low_side_driver"},
                                   {"Témoin de charge", "ALT", "low_side_driver"},
                                   {"Relais de la pompe à carburant", "FP", "low_side_driver"},
                                   {"Relé de la bomba de combustible", "FP", "low_side_driver"},
                                   {"nenryou ponpu riree", "FP", "low_side_driver"},
                                   {"Przekaźnik pompy paliwa", "FP", "low_side_driver"},
                                   {"Iniettore cilindro 1", "INJ", "injector"},
                                   {"Einspritzventil Zylinder 3", "INJ", "injector"},
                                   {"Bobina de encendido 2", "IC", "ignition_trigger"},
                                   {"Capteur PMH", "CKP", "variable_reluctance"},
                                   {"OT-Geber", "CKP", "variable_reluctance"},
                                   {"kuranku kaku sensa", "CKP", "variable_reluctance"},
                                   {"Capteur d'arbre à cames", "CMP", "digital_sensor_input"},
                                   {"Capteur de température de l'eau", "ECT", "thermistor_input"},
                                   {"Czujnik temperatury cieczy chłodzącej", "ECT", "thermistor_input"},
                                   {"suion sensa", "ECT", "thermistor_input"},
                                   {"Sonde de température d'air d'admission", "IAT", "thermistor_input"},
                                   {"Interruptor de presión de aceite", "EOP", "switch_to_earth_input"},
                                   {"Oljetryckskontakt", "EOP", "switch_to_earth_input"},
                                   {"Potenziometro farfalla", "TP", "voltage_input"},
                                   {"Gaskleppositie", "TP", "voltage_input"},
                                   {"Pedalwertgeber", "APP", "voltage_input"},
                                   {"Luchtmassameter", "MAF", "voltage_input"},
                                   {"Pression de suralimentation", "MAP", "voltage_input"},
                                   {"Sensor de detonación", "KS", "knock"},
                                   {"Chauffage de la sonde lambda", "O2S HTR", "low_side_driver"},
                                   {"Riscaldatore sonda lambda", "O2S HTR", "low_side_driver"},
                                   {"Information vitesse véhicule", "VSS", "digital_sensor_input"},
                                   {"Régime moteur", "RPM", "digital_sensor_input"},
                                   {"BLS", "BPP", "switch_to_supply_input"},
                                   {"Schalter für Bremslicht", "BPP", "switch_to_supply_input"},
                                   {"Contacteur de feux stop", "BPP", "switch_to_supply_input"},
                                   {"Interruttore frizione", "CPP", "switch_to_earth_input"},
                                   {"Feu de recul", "REVERSE LAMP", "high_side_driver"},
                                   {"Aircocompressor", "A/C CLUTCH", "low_side_driver"},
                                   {"GMV", "FC", "low_side_driver"},
                                   {"Elettroventola radiatore", "FC", "low_side_driver"},
                                   {"Vorglührelais", "GLOW", "low_side_driver"},
                                   {"Clignotant arrière gauche", "INDICATOR", "high_side_driver"},
                                   {"Richtingaanwijzer linksvoor", "INDICATOR", "high_side_driver"},
                                   {"Anabbagliante sinistro", "HEADLAMP", "high_side_driver"},
                                   {"Feux de position avant gauche", "TAIL LAMP", "high_side_driver"},
                                   {"Mistachterlicht", "FOG LAMP", "high_side_driver"},
                                   {"Lunette arrière chauffante", "DEFOG", "low_side_driver"},
                                   {"Lève-vitre", "WINDOW", "push_pull"},
                                   {"Plafonnier", "INTERIOR LAMP", "low_side_driver"},
                                   {"Aforador de combustible", "FLI", "voltage_input"},
                                   {"k-ledning", "K-LINE", "serial_line"},
                                   {"Czujnik", "", ""}};
  for (const Circuit& wording : cases) {
    EXPECT_EQ(name(wording.english).term, wording.term) << wording.english;
    EXPECT_EQ(name(wording.english).class_hint, wording.hint) << wording.english;
  }
}

TEST(SignalWords, AccentsMayBeLeftOut) {
  const std::vector<std::vector<std::string_view>> groups{
      {"Kühlmitteltemperatur", "Kuehlmitteltemperatur", "Kuhlmitteltemperatur", "KÜHLMITTELTEMPERATUR"},
      {"Température d'huile", "Temperature d'huile", "TEMPÉRATURE D'HUILE"},
      {"Czujnik położenia wału korbowego", "Czujnik polozenia walu korbowego"},
      {"Schließer Öldruck", "Schließer Oeldruck"},
      {"Kylvätsketemperatur", "Kylvatsketemperatur"}};
  for (const auto& group : groups) {
    for (const std::string_view text : group) EXPECT_EQ(name(text), name(group[0])) << text;
  }
}

TEST(SignalWords, LinkingWordsCountOnlyBetweenTheWordsOfAPhrase) {
  EXPECT_EQ(name("masa de la carrocería"), name("masa carrocería"));
  EXPECT_EQ(name("Heizung der Lambdasonde"), name("Heizung Lambdasonde"));
  // A letter tells circuits apart.
  EXPECT_NE(name("Coil D output"), name("Coil C output"));
  EXPECT_THAT(name("box van").words, ::testing::ElementsAre("box", "van"));
  EXPECT_NE(name("fan less often"), name("fan often"));
}

// Words that mean something else in another language stay without a meaning.
TEST(SignalWords, FalseFriendsAreLeftAlone) {
  for (const std::string_view word :
       {"sale", "mise", "or", "code", "min", "koppeling", "minimo", "vers", "ladder"}) {
    EXPECT_EQ(name(word).term, "") << word;
    EXPECT_EQ(name(word).class_hint, "") << word;
  }
  EXPECT_THAT(name("fan on").words, ::testing::ElementsAre("on"));
}

TEST(SignalWords, FrontAndRearFogLampsStayApart) {
  EXPECT_NE(name("Nebelscheinwerfer"), name("Nebelschlussleuchte"));
  EXPECT_EQ(name("Nebelschlussleuchte"), name("rear fog lamp"));
  EXPECT_EQ(name("Wischer Stufe 1"), name("wiper low"));
  EXPECT_NE(name("Wischer Stufe 1"), name("Wischer Stufe 2"));
}

}  // namespace
}  // namespace loomgraft::standards_signal_words_test

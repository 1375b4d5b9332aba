#include "gather/read_json.h"

#include "base/problem_json.h"

namespace loomgraft {
namespace {

nlohmann::json source_json(const SourceLine& source) {
  nlohmann::json json{{"file", source.file}, {"line", source.line}, {"column", source.column}};
  if (!source.place.empty()) json["place"] = source.place;
  return json;
}

nlohmann::json pin_json(const TablePin& pin) {
  return {{"connector", pin.connector},
          {"cavity", pin.cavity},
          {"signal", pin.signal},
          {"term", pin.term},
          {"class", name_of(pin.pin_class)},
          {"stated_type", pin.stated_type},
          {"class_grounds", pin.class_grounds},
          {"colour", {{"base", pin.colour.base}, {"tracer", pin.colour.tracer}, {"raw", pin.colour.raw}}},
          {"note", pin.note},
          {"far_end", pin.far_end},
          {"source", source_json(pin.source)},
          {"doubts", pin.doubts}};
}

nlohmann::json table_json(const PinTable& table) {
  nlohmann::json connectors = nlohmann::json::array();
  for (const TableConnector& connector : table.connectors) {
    connectors.push_back(
        {{"name", connector.name}, {"part", connector.part}, {"cavities", connector.cavities}});
  }
  nlohmann::json pins = nlohmann::json::array();
  for (const TablePin& pin : table.pins) pins.push_back(pin_json(pin));
  nlohmann::json shared = nlohmann::json::array();
  for (const TableShared& circuit : table.shared) {
    shared.push_back({{"connector", circuit.connector},
                      {"cavity", circuit.cavity},
                      {"signal", circuit.signal},
                      {"module", circuit.module}});
  }
  return {{"name", table.name},
          {"connectors", connectors},
          {"pins", pins},
          {"legend", table.legend},
          {"shared", shared}};
}

}  // namespace

nlohmann::json to_json(const ReadReport& report) {
  nlohmann::json tables = nlohmann::json::array();
  for (const PinTable& table : report.tables) tables.push_back(table_json(table));
  return {{"tables", tables}, {"problems", problems_json(report.problems)}};
}

}  // namespace loomgraft

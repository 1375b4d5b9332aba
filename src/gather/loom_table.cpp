#include "gather/loom_table.h"

#include <algorithm>
#include <array>
#include <set>
#include <span>

#include "base/ascii.h"
#include "gather/loom_cells.h"
#include "tables/table.h"

namespace loomgraft {

using namespace gather;
namespace {

struct Column {
  std::string head;
  HeadMeaning meaning;
};

// The columns that a table has; what else is exported with it follows from the rest and is left aside.
std::span<const std::string_view> members_of(LoomTable table) {
  static constexpr std::array<std::string_view, 10> wire{
      "id", "signal", "from", "to", "colour", "area_mm2", "length_mm", "insulation", "along", "twist"};
  static constexpr std::array<std::string_view, 9> device{
      "id", "name", "kind", "model", "place", "resistance_ohm", "rating_a", "current_a", "forbidden"};
  static constexpr std::array<std::string_view, 6> place{"id",  "name",   "hottest_c",
                                                         "wet", "moving", "access_min"};
  if (table == LoomTable::wires) return wire;
  if (table == LoomTable::places) return place;
  return device;
}

std::vector<Column> columns_of(LoomTable table, const std::vector<Cell>& header, LoomTableReading& reading) {
  std::vector<Column> columns;
  std::set<std::string> taken;
  for (const Cell& cell : header) {
    Column column{cell.text, meaning_of_head(cell.text, members_of(table))};
    if (!taken.insert(column.meaning.member).second) column.meaning = {};
    if (column.meaning.member.empty() && !cell.text.empty()) reading.ignored.push_back(cell.text);
    columns.push_back(std::move(column));
  }
  return columns;
}

const std::string& name_in(const Wire& wire) {
  return wire.signal;
}
const std::string& name_in(const Device& device) {
  return device.name;
}
const std::string& name_in(const LoomPlace& place) {
  return place.name;
}

bool same_ends(const Wire& a, const Wire& b) {
  if (a.from.at.empty() || a.to.at.empty()) return false;
  return (a.from == b.from && a.to == b.to) || (a.from == b.to && a.to == b.from);
}
template <class Item>
bool same_ends(const Item&, const Item&) {
  return false;
}

// Rows of one table into the items of one list.
template <class Item>
class Importer {
 public:
  Importer(LoomTable table, const Graft& graft, std::string file, LoomTableReading& reading)
      : table_(table), book_(graft), file_(std::move(file)), reading_(reading) {}

  // `items` are those of the document; wires of the plan among them.
  void take(const std::vector<Column>& columns, const std::vector<Cell>& cells, std::vector<Item*>& items,
            std::vector<Item>& added) {
    Item read;
    std::string id, reasons;
    std::vector<const Column*> set;
    for (std::size_t k = 0; k < cells.size() && k < columns.size(); ++k) {
      const std::string text = typed(cells[k].text);
      const std::string& member = columns[k].meaning.member;
      if (text.empty() || member.empty()) continue;
      if (member == "id") id = text;
      if (member == "id") continue;
      const std::string reason = set_cell(book_, read, member, columns[k].meaning.unit, text);
      if (!reason.empty()) reasons += (reasons.empty() ? "" : "; ") + columns[k].head + ": " + reason;
      set.push_back(&columns[k]);
    }
    const int line = cells.empty() ? 0 : cells.front().line;
    if (!reasons.empty()) return refuse(line, name_in(read), reasons);
    if (set.empty() && id.empty()) return;
    std::string unclear;
    Item* known = match(id, read, items, unclear);
    if (!unclear.empty()) return refuse(line, name_in(read), unclear);
    if (!known) return add(line, id, read, added);
    change(line, cells, columns, *known);
  }

 private:
  // A cell that a spreadsheet would have run as a formula comes back with an apostrophe.
  static std::string typed(const std::string& text) {
    const bool guarded = text.size() > 1 && text[0] == '\'' &&
                         std::string_view("=+@-").find(text[1]) != std::string_view::npos;
    return guarded ? text.substr(1) : text;
  }

  Item* match(const std::string& id, const Item& read, std::vector<Item*>& items, std::string& unclear) {
    std::vector<Item*> found;
    const auto gather_those = [&](auto&& is) {
      std::ranges::copy_if(items, std::back_inserter(found), [&](const Item* item) { return is(*item); });
    };
    if (!id.empty()) {
      gather_those([&](const Item& item) { return plain(item.id) == plain(id); });
      return found.empty() ? nullptr : found.front();
    }
    gather_those([&](const Item& item) { return same_ends(read, item); });
    if (found.empty() && !name_in(read).empty() && !has_ends(read))
      gather_those([&](const Item& item) {
        return plain(name_in(item)) == plain(name_in(read)) || plain(item.id) == plain(name_in(read));
      });
    if (found.size() > 1)
      unclear = "several rows are called \"" + name_in(read) + "\": give the id, or make the names differ";
    return found.size() == 1 ? found.front() : nullptr;
  }

  static bool has_ends(const Wire& wire) { return !wire.from.at.empty() && !wire.to.at.empty(); }
  static bool has_ends(const Device&) { return false; }
  static bool has_ends(const LoomPlace&) { return false; }

  void refuse(int line, const std::string& name, const std::string& why) {
    reading_.rows.push_back({line, LoomRowVerdict::unusable, name, why});
    reading_.problems.push_back({Severity::error,
                                 "bad-record",
                                 {file_, line, 0, ""},
                                 "The row cannot be used: " + why + ".",
                                 "Correct the row, or leave it out."});
  }

  void add(int line, const std::string& id, Item item, std::vector<Item>& added) {
    item.id = id;
    set_kind_of_table(item);
    reading_.rows.push_back({line, LoomRowVerdict::added, name_in(item).empty() ? id : name_in(item), ""});
    added.push_back(std::move(item));
  }

  void set_kind_of_table(Device& device) const {
    if (!device.kind.empty()) return;
    if (table_ == LoomTable::fuses) device.kind = "fuse";
    if (table_ == LoomTable::earths) device.kind = "earth";
    if (table_ == LoomTable::joints) device.kind = "splice";
  }
  void set_kind_of_table(Wire&) const {}
  void set_kind_of_table(LoomPlace&) const {}

  void change(int line, const std::vector<Cell>& cells, const std::vector<Column>& columns, Item& item) {
    if (!changed_.insert(item.id).second)
      return refuse(line, name_in(item), "an earlier row already changes \"" + name_in(item) + "\"");
    std::string heads;
    for (std::size_t k = 0; k < cells.size() && k < columns.size(); ++k) {
      const std::string text = typed(cells[k].text);
      const HeadMeaning& meaning = columns[k].meaning;
      if (text.empty() || meaning.member.empty() || meaning.member == "id") continue;
      const Item before = item;
      set_cell(book_, item, meaning.member, meaning.unit, text);
      if (item == before) continue;
      heads += (heads.empty() ? "" : ", ") + columns[k].head;
    }
    const auto verdict = heads.empty() ? LoomRowVerdict::same : LoomRowVerdict::changed;
    reading_.rows.push_back({line, verdict, name_in(item).empty() ? item.id : name_in(item), heads});
  }

  LoomTable table_;
  PartBook book_;
  std::string file_;
  LoomTableReading& reading_;
  std::set<std::string> changed_;
};

std::set<std::string> ids_of(const Graft& graft) {
  std::set<std::string> ids;
  for (const Wire& wire : graft.wires) ids.insert(wire.id);
  for (const PlanStep& step : graft.plan) {
    if (step.added) ids.insert(step.added->id);
  }
  for (const Device& device : graft.devices) ids.insert(device.id);
  for (const Connector& plug : graft.connectors) ids.insert(plug.id);
  for (const LoomPlace& place : graft.places) ids.insert(place.id);
  return ids;
}

std::string id_from(const std::string& name, const char* prefix) {
  std::string id;
  for (const char c : name) {
    const bool fits = is_letter(c) || is_digit(c) || static_cast<unsigned char>(c) >= 0x80;
    if (fits) id += c;
    if (!fits && !id.empty() && id.back() != '_') id += '_';
  }
  while (!id.empty() && id.back() == '_') id.pop_back();
  return id.empty() ? prefix : id;
}

template <class Item>
void append(std::vector<Item>& list, std::vector<Item>& added, const char* prefix,
            std::set<std::string>& ids) {
  for (Item& item : added) {
    const std::string wanted = item.id.empty() ? id_from(name_in(item), prefix) : item.id;
    item.id = wanted;
    for (int count = 2; !ids.insert(item.id).second; ++count) item.id = wanted + "_" + std::to_string(count);
    list.push_back(std::move(item));
  }
}

template <class Item>
void take_all(LoomTable table, const Table& rows, const std::vector<Column>& columns, const std::string& file,
              std::vector<Item>& list, const char* prefix, LoomTableReading& reading) {
  const Graft before = reading.graft;
  Importer<Item> importer(table, before, file, reading);
  std::vector<Item*> items;
  for (Item& item : list) items.push_back(&item);
  if constexpr (std::is_same_v<Item, Wire>) {
    for (PlanStep& step : reading.graft.plan) {
      if (step.added) items.push_back(&*step.added);
    }
  }
  std::vector<Item> added;
  for (const std::vector<Cell>& row : rows.rows) importer.take(columns, row, items, added);
  std::set<std::string> ids = ids_of(before);
  append(list, added, prefix, ids);
}

}  // namespace

LoomTableReading read_loom_table(const Graft& graft, LoomTable table, std::string_view bytes,
                                 const std::string& file) {
  LoomTableReading reading{graft, {}, {}, {}};
  const TableText text = find_tables(bytes, file);
  reading.problems = text.problems;
  const auto rows = std::ranges::find_if(text.tables, [](const Table& one) { return !one.header.empty(); });
  if (rows == text.tables.end()) {
    reading.problems.push_back({Severity::error,
                                "no-table",
                                {file, 0, 0, ""},
                                "No table with a head line was found.",
                                "Name the columns in the first line, such as: from;to;colour;size;length."});
    return reading;
  }
  const std::vector<Column> columns = columns_of(table, rows->header, reading);
  if (table == LoomTable::wires)
    take_all(table, *rows, columns, file, reading.graft.wires, "w", reading);
  else if (table == LoomTable::places)
    take_all(table, *rows, columns, file, reading.graft.places, "place", reading);
  else
    take_all(table, *rows, columns, file, reading.graft.devices, "d", reading);
  if (reading.rows.empty() && !has_error(reading.problems))
    reading.problems.push_back(
        {Severity::error,
         "no-rows",
         {file, 0, 0, ""},
         "No row of the table says anything about " + std::string(name_of(table)) + ".",
         "Check the heads of the columns and the table that was named."});
  return reading;
}

}  // namespace loomgraft

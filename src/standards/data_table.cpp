#include "standards/data_table.h"

#include <stdexcept>
#include <utility>

#include "standards/embedded.h"

namespace loomgraft {
namespace {

// One field from `i`; leaves `i` at the comma, the line end or the end of the text.
std::string take_field(std::string_view text, std::size_t& i) {
  std::string field;
  if (i >= text.size() || text[i] != '"') {
    while (i < text.size() && text[i] != ',' && text[i] != '\n') field += text[i++];
    return field;
  }
  for (++i; i < text.size(); ++i) {
    if (text[i] != '"') {
      field += text[i];
    } else if (i + 1 < text.size() && text[i + 1] == '"') {
      field += '"';
      ++i;
    } else {
      ++i;
      break;
    }
  }
  return field;
}

std::vector<std::string> take_row(std::string_view text, std::size_t& i) {
  std::vector<std::string> row;
  while (true) {
    row.push_back(take_field(text, i));
    if (i >= text.size()) return row;
    const char end = text[i++];
    if (end == '\n') return row;
  }
}

}  // namespace

DataTable::DataTable(std::string_view file_name) : name_(file_name) {
  const std::string_view text = embedded_file(file_name);
  std::size_t i = 0;
  head_ = take_row(text, i);
  while (i < text.size()) {
    std::vector<std::string> row = take_row(text, i);
    if (row.size() > 1 || !row[0].empty()) rows_.push_back(std::move(row));
  }
}

std::size_t DataTable::column(std::string_view name) const {
  for (std::size_t i = 0; i < head_.size(); ++i) {
    if (head_[i] == name) return i;
  }
  throw std::logic_error(name_ + " has no column " + std::string(name));
}

const std::string& DataTable::at(std::size_t row, std::size_t column) const {
  static const std::string nothing;
  const std::vector<std::string>& fields = rows_.at(row);
  return column < fields.size() ? fields[column] : nothing;
}

}  // namespace loomgraft

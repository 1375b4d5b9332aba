#include "standards/data_table.h"

#include <iterator>
#include <utility>

#include "base/bug.h"
#include "standards/embedded.h"
#include "text/csv.h"

namespace loomgraft {
DataTable::DataTable(std::string_view file_name) : name_(file_name) {
  std::vector<std::vector<std::string>> rows = read_csv(embedded_file(file_name));
  if (rows.empty()) bug(name_ + " is empty");
  head_ = std::move(rows.front());
  rows_.assign(std::make_move_iterator(rows.begin() + 1), std::make_move_iterator(rows.end()));
}

std::size_t DataTable::column(std::string_view name) const {
  for (std::size_t i = 0; i < head_.size(); ++i) {
    if (head_[i] == name) return i;
  }
  bug(name_ + " has no column " + std::string(name));
}

const std::string& DataTable::at(std::size_t row, std::size_t column) const {
  static const std::string nothing;
  const std::vector<std::string>& fields = rows_.at(row);
  return column < fields.size() ? fields[column] : nothing;
}

}  // namespace loomgraft

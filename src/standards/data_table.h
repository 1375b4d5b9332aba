// Rows of a published table that the program carries, by column name.
//
// Needs   the name of a file of data/ and of its columns; a wrong name is a bug of the caller
//         (std::logic_error)
// Gives   every row's fields as text, quotes undone (RFC 4180), in the order of the file
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace loomgraft {

class DataTable {
 public:
  explicit DataTable(std::string_view file_name);

  std::size_t rows() const { return rows_.size(); }
  // The index of a column, to be asked once before a loop.
  std::size_t column(std::string_view name) const;
  // Empty where the row is shorter.
  const std::string& at(std::size_t row, std::size_t column) const;

 private:
  std::string name_;
  std::vector<std::string> head_;
  std::vector<std::vector<std::string>> rows_;
};

}  // namespace loomgraft

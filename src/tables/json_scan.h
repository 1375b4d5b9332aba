// Finds where a string, a value or a run of blanks of JSON text ends. No recursion, whatever the depth.
#pragma once

#include <string_view>

namespace loomgraft::tables {

class JsonScanner {
 public:
  explicit JsonScanner(std::string_view text) : text_(text) {}

  // Blanks and comments.
  void skip_blanks(std::size_t& at) const;
  // Behind the string that begins at `at`; a line end ends a string that nobody closed.
  std::size_t skip_string(std::size_t at) const;
  // Behind the value: brackets are only counted.
  std::size_t skip_value(std::size_t at);
  bool is_container(std::size_t at) const {
    return at < text_.size() && (text_[at] == '{' || text_[at] == '[');
  }
  // An unclosed string that runs over the bracket which ends its record.
  bool swallows_bracket(std::size_t open, std::size_t end) const;
  bool unclosed() const { return unclosed_; }

 protected:
  std::string_view text_;

 private:
  bool unclosed_ = false;
};

}  // namespace loomgraft::tables

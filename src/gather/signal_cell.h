// A signal cell split into the wording of the signal and remarks.
//
// Model   brackets, text after "//", bold and struck-out text and web addresses are remarks; "(+)", "(1)",
//         "(low)" and brackets grown onto a name ("TX_(TO HU)") are part of it
// Gives   the signal as worded, the remarks joined with "; ", and doubts; nothing of the cell is dropped
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace loomgraft::gather {

struct SignalCell {
  std::string signal;
  std::string note;
  std::vector<std::string> doubts;
};

SignalCell read_signal_cell(std::string_view text);

// Appends with "; " between, leaving out what is there already.
void add_remark(std::string& note, std::string_view remark);

// A label such as "6C - AT3" or "30 Crank VR+": the cavity it starts with, and the rest.
struct LabelParts {
  std::string cavity;  // empty where the label starts with none
  std::string text;
};
LabelParts split_label(std::string_view label, std::string_view cavity);

}  // namespace loomgraft::gather

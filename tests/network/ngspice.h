// Runs a netlist in ngspice as a child process and reads the node voltages it prints.
#pragma once

#include <unistd.h>

#include <array>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

namespace loomgraft::reference {

inline bool have_ngspice() {
  return std::system("command -v ngspice >/dev/null 2>&1") == 0;
}

// Everything that ngspice prints when it runs the deck in batch mode.
inline std::string ngspice_output(const std::string& deck) {
  const std::string path = std::string(LOOMGRAFT_BUILD) + "/ngspice-" + std::to_string(::getpid()) + ".cir";
  std::ofstream(path) << deck;
  std::string printed;
  if (FILE* pipe = ::popen(("ngspice -b " + path + " 2>&1 </dev/null").c_str(), "r")) {
    std::array<char, 4096> part{};
    for (std::size_t n = 0; (n = std::fread(part.data(), 1, part.size(), pipe)) > 0;) {
      printed.append(part.data(), n);
    }
    ::pclose(pipe);
  }
  std::remove(path.c_str());
  return printed;
}

// The same deck with each resistance below 10 ohm as a volt source that senses the current and one that the
// current drives. ngspice adds conductances up in its matrix: beside the 1e4 S of a crimp the 1e-10 S of
// insulation are gone, and a node that only insulation and open contacts hold is wrong in the fourth digit.
inline std::string without_high_conductances(const std::string& deck) {
  std::istringstream lines(deck);
  std::string result;
  for (std::string line; std::getline(lines, line);) {
    std::istringstream words(line);
    std::string name, a, b;
    double ohms = 0.0;
    if (line.starts_with('R') && words >> name >> a >> b >> ohms && ohms < 10.0) {
      const std::string value = line.substr(line.rfind(' ') + 1);
      result += "V" + name + " " + a + " m" + name + " 0\n";
      result += "H" + name + " m" + name + " " + b + " V" + name + " " + value + "\n";
    } else {
      result += line + "\n";
    }
  }
  return result;
}

// volts[k] of node k; empty where ngspice found no operating point. `count` includes node 0.
inline std::vector<double> ngspice_volts(const std::string& deck, std::uint32_t count) {
  const std::string printed = ngspice_output(deck);
  std::vector<double> volts(count, 0.0);
  std::vector<bool> seen(count, false);
  for (std::size_t at = 0; (at = printed.find("v(n", at)) != std::string::npos; ++at) {
    const char* text = printed.c_str() + at + 3;
    char* end = nullptr;
    const unsigned long node = std::strtoul(text, &end, 10);
    if (node >= count || std::string(end, 4) != ") = ") continue;
    volts[node] = std::strtod(end + 4, nullptr);
    seen[node] = true;
  }
  for (std::size_t node = 1; node < count; ++node) {
    if (!seen[node]) return {};
  }
  return volts;
}

}  // namespace loomgraft::reference

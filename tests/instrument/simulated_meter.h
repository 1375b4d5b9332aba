// A meter that is none: it answers commands as a bench meter does, with faults to order.
#pragma once

#include <functional>
#include <map>
#include <mutex>
#include <string>
#include <vector>

namespace loomgraft {

class SimulatedMeter {
 public:
  // What it says to a command, with its line ends; empty where it says nothing.
  std::string answer(const std::string& command) {
    const std::lock_guard<std::mutex> lock(mutex_);
    heard_.push_back(command);
    if (const auto made = replies_.find(command); made != replies_.end()) return made->second;
    if (silent_) return "";
    if (command == "*IDN?") return "EXAMPLE,BENCH 6,0042,1.0-2.0\n";
    if (command == "SYST:ERR?") return "+0,\"No error\"\n";
    if (command == "FUNC?") return "\"" + function_ + "\"\n";
    if (command == "READ?") return reading_ + "\n";
    if (command.starts_with("CONF:")) function_ = command.substr(5, command.find(' ') - 5);
    return "";
  }

  void shows(const std::string& reading) {
    set([&] { reading_ = reading; });
  }
  // From now on this is its reply to that command, whatever it would be else.
  void replies(const std::string& command, const std::string& bytes) {
    set([&] { replies_[command] = bytes; });
  }
  void replies_truly(const std::string& command) {
    set([&] { replies_.erase(command); });
  }
  void is_silent(bool silent) {
    set([&] { silent_ = silent; });
  }
  void turned_to(const std::string& function) {
    set([&] { function_ = function; });
  }

  std::vector<std::string> heard() const {
    const std::lock_guard<std::mutex> lock(mutex_);
    return heard_;
  }

 private:
  void set(const std::function<void()>& change) {
    const std::lock_guard<std::mutex> lock(mutex_);
    change();
  }

  mutable std::mutex mutex_;
  std::string reading_ = "+9.90000000E+37";
  std::string function_ = "VOLT";
  bool silent_ = false;
  std::map<std::string, std::string> replies_;
  std::vector<std::string> heard_;
};

}  // namespace loomgraft

#include "http/clock.h"

#include <fmt/format.h>

#include <chrono>
#include <ctime>

namespace loomgraft {
namespace {

std::string date_and_time(std::int64_t seconds) {
  const auto time = static_cast<std::time_t>(seconds);
  std::tm parts{};
  ::gmtime_r(&time, &parts);
  return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}", parts.tm_year + 1900, parts.tm_mon + 1,
                     parts.tm_mday, parts.tm_hour, parts.tm_min, parts.tm_sec);
}

std::int64_t milliseconds_now() {
  const auto since = std::chrono::system_clock::now().time_since_epoch();
  return std::chrono::duration_cast<std::chrono::milliseconds>(since).count();
}

}  // namespace

std::int64_t seconds_now() {
  return milliseconds_now() / 1000;
}

std::int64_t steady_seconds() {
  timespec now{};
  ::clock_gettime(CLOCK_BOOTTIME, &now);
  return now.tv_sec;
}

std::string time_now() {
  const std::int64_t now = milliseconds_now();
  return fmt::format("{}.{:03}Z", date_and_time(now / 1000), now % 1000);
}

std::string time_text(std::int64_t seconds) {
  return date_and_time(seconds) + "Z";
}

}  // namespace loomgraft

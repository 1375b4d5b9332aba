// The clocks, which only this layer and the command line may read.
#pragma once

#include <cstdint>
#include <string>

namespace loomgraft {

std::int64_t seconds_now();
// Since some moment before the program began, asleep or not. Nobody can set it.
std::int64_t steady_seconds();
// "2026-03-01T10:00:00.123Z" (RFC 3339, section 5.6).
std::string time_now();
std::string time_text(std::int64_t seconds);

}  // namespace loomgraft

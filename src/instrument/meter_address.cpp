#include "instrument/meter_address.h"

#include <charconv>
#include <optional>

#include "instrument/line.h"

namespace loomgraft {
namespace {

std::optional<int> whole_number(std::string_view text) {
  int value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (text.empty() || error != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

bool read_tcp(std::string_view rest, MeterAddress& address) {
  const std::size_t colon = rest.rfind(':');
  if (colon == std::string_view::npos) return false;
  std::string_view host = rest.substr(0, colon);
  if (host.size() > 2 && host.front() == '[' && host.back() == ']') host = host.substr(1, host.size() - 2);
  const auto port = whole_number(rest.substr(colon + 1));
  if (host.empty() || !port || *port < 1 || *port > 65535) return false;
  address.host = host;
  address.port = *port;
  return true;
}

bool read_serial(std::string_view rest, MeterAddress& address) {
  address.serial = true;
  const std::size_t colon = rest.rfind(':');
  // A device's name may hold colons itself; only digits behind the last one are a speed.
  const auto baud = colon == std::string_view::npos ? std::nullopt : whole_number(rest.substr(colon + 1));
  address.device = rest.substr(0, baud ? colon : rest.size());
  if (baud) address.baud = *baud;
  return !address.device.empty() && instrument::is_baud(address.baud);
}

}  // namespace

tl::expected<MeterAddress, Problem> read_meter_address(std::string_view text) {
  MeterAddress address;
  address.text = text;
  const bool read = text.starts_with("tcp:")      ? read_tcp(text.substr(4), address)
                    : text.starts_with("serial:") ? read_serial(text.substr(7), address)
                                                  : false;
  if (read) return address;
  return tl::unexpected(
      Problem{Severity::error,
              "bad-meter-address",
              {},
              "\"" + address.text + "\" is no address of a meter.",
              "Write tcp:HOST:PORT, serial:DEVICE or serial:DEVICE:BAUD, with a usual speed: "
              "tcp:192.168.1.20:5025, serial:/dev/ttyUSB0:9600."});
}

}  // namespace loomgraft

// A request and its answer as plain data, free of the HTTP library.
//
// Model   a handler gets a Call only after the head check: host, origin, size and session are checked. Header
//         values are as the library gives them, already percent-decoded
// Gives   text of a Call gets into an answer's header only through safe_field()
#pragma once

#include <functional>
#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace loomgraft {

// Names compare without regard to case (RFC 9110, section 5.1).
struct FieldLess {
  using is_transparent = void;
  bool operator()(std::string_view a, std::string_view b) const;
};
using Fields = std::multimap<std::string, std::string, FieldLess>;

struct Call {
  std::string method;                        // HEAD comes as GET
  std::string path;                          // as sent, without the query
  std::vector<std::string> names;            // the values of the {names} of the route, decoded
  std::map<std::string, std::string> query;  // decoded; if a name is given twice the first counts
  Fields fields;
  std::string body;
  std::string remote;     // address of the client
  bool loopback = false;  // the client is this machine
  bool paired = false;
  bool tls = false;
  std::string device;   // name of the device
  std::string session;  // id of its session; empty for this machine
  std::string author;   // who makes a change: `X-Author`, else the device's name
};

// The first value; empty where there is none.
std::string_view field(const Call& call, std::string_view name);
std::string query_value(const Call& call, const std::string& name);

struct Answer {
  int status = 200;
  std::string type = "application/json";
  std::string body;
  Fields fields;
  // A stream instead of a body: called repeatedly until it returns false. Sending an empty text checks whether the
  // client is still connected.
  using Send = std::function<bool(std::string_view)>;
  std::function<bool(const Send&)> stream;
};

// Without control characters, so that no header line can be added.
std::string safe_field(std::string_view text);

// Percent-decoding (RFC 3986, section 2.1); false where an escape is cut off or is no hexadecimal number.
bool percent_decoded(std::string_view text, std::string& decoded, bool plus_is_blank = false);
std::string percent_encoded(std::string_view text);

}  // namespace loomgraft

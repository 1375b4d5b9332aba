// Access check: what a request must satisfy before it is handled.
//
// Model   the Host names this machine (else another name was made to point to our address); a request that
//         changes something comes from our own page (Origin, Sec-Fetch-Site); the device is paired, or is this
//         machine itself, which needs no session: its user can read the files anyway
// Gives   an Answer that refuses, or none, with the Call's device and author filled in
// Method  docs/api.md, "Access"
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "http/call.h"
#include "serve/pairing.h"
#include "serve/routes.h"

namespace loomgraft::serve {

struct AccessRules {
  std::vector<std::string> hosts;   // accepted values of Host: "127.0.0.1:4747"
  bool loopback_is_remote = false;  // for tests: this machine must pair, too
};

// `route` is null where no route has the path.
std::optional<Answer> check_access(Call& call, const Route* route, const AccessRules& rules,
                                   Pairing& pairing);

// Headers of every answer against framing, content sniffing, caching and foreign content.
void add_security_headers(Answer& answer);

Moment moment_now();

// The Set-Cookie value of a session of the caller; an empty cookie takes it back.
std::string session_cookie(const Call& call, const std::string& cookie);

}  // namespace loomgraft::serve

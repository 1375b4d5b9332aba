// The door: what a request must be before anything looks at what it asks for.
//
// Model   the Host names this machine (else a foreign name was bent to our address); what changes something
//         comes from our own page (Origin, Sec-Fetch-Site); the device is paired, or is this machine itself,
//         which needs no session: whoever sits at it can read the files anyway
// Gives   an Answer that refuses, or none, with the Call's device and author filled in
// Method  docs/api.md, "Who is let in"
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "http/call.h"
#include "serve/pairing.h"
#include "serve/routes.h"

namespace loomgraft::serve {

struct DoorRules {
  std::vector<std::string> hosts;   // values of Host that name us: "127.0.0.1:4747"
  bool loopback_is_remote = false;  // for tests: this machine must pair, too
};

// `route` is null where no route has the path.
std::optional<Answer> refuse_entry(Call& call, const Route* route, const DoorRules& rules, Pairing& pairing);

// What every answer carries against being framed, sniffed, cached or fed foreign content.
void add_shields(Answer& answer);

// The Set-Cookie value of a session.
std::string session_cookie(const std::string& cookie);

}  // namespace loomgraft::serve

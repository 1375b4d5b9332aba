// Every route of the API in one table: the server works from it, and docs/api.md is checked against it.
//
// Model   a path is matched segment by segment as it was sent; {names} stand for one segment each and are
//         decoded after the split, so that an encoded slash is never a separator
// Gives   the route and its names; where only the method does not fit, the methods that do
// Fails   a segment that decodes to a dot, a path separator or a control character matches nothing
#pragma once

#include <cstddef>
#include <span>
#include <string>

#include "http/call.h"

namespace loomgraft {
class Workbench;
}

namespace loomgraft::serve {

enum class Caller { anyone, paired, this_machine };

struct Route {
  const char* method;
  const char* path;
  Answer (*handle)(Workbench&, const Call&);
  Caller caller = Caller::paired;
  std::size_t largest_body = 0;
  const char* type = "";  // of the body: the beginning of its Content-Type
};

std::span<const Route> routes();

struct FoundRoute {
  const Route* route = nullptr;
  std::string allowed;  // methods of the path, if the requested one is not among them
};
// Fills `call.names`.
FoundRoute find_route(Call& call);

}  // namespace loomgraft::serve

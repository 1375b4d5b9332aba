#include "loom/end_id.h"

namespace loomgraft {

std::string end_id(const WireEnd& end) {
  return end.cavity.empty() ? end.at : end.at + ":" + end.cavity;
}

std::string end_id(const CavityRef& at) {
  return end_id(WireEnd{at.connector, at.cavity});
}

WireEnd end_from(const std::string& id) {
  const std::size_t colon = id.rfind(':');
  if (colon == std::string::npos) return {id, ""};
  return {id.substr(0, colon), id.substr(colon + 1)};
}

}  // namespace loomgraft

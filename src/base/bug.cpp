#include "base/bug.h"

#include <cstdio>
#include <cstdlib>
#include <stdexcept>

namespace loomgraft {

void bug(const std::string& what) {
#ifdef __cpp_exceptions
  throw std::logic_error(what);
#else
  std::fputs((what + "\n").c_str(), stderr);
  std::abort();
#endif
}

}  // namespace loomgraft

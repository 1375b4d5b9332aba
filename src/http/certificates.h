// TLS for a folder of grafts: a certificate authority of the folder's own, and the server's certificate under it.
//
// Model   the authority is made once: an EC key on P-256 (FIPS 186-5), ten years, and limited by name constraints (RFC
//         5280, section 4.2.1.10) to private addresses (RFC 1918, RFC 3927), this machine and names under .local, so
//         that its key, stolen, is worth nothing for other sites. The server's key and certificate live in memory only:
//         made at each start for the addresses of the day, 90 days
// Needs   a folder that can be written when there is no authority yet
// Gives   a TLS context (TLS 1.2 and 1.3), the authority's certificate in DER, and its SHA-256 fingerprint
// Fails   no-certificate: the key or certificate cannot be made, read or written, or has ended
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <tl/expected.hpp>
#include <vector>

#include "base/problem.h"

struct ssl_ctx_st;

namespace loomgraft {

struct FreeTlsContext {
  void operator()(ssl_ctx_st* context) const;
};
using TlsContext = std::unique_ptr<ssl_ctx_st, FreeTlsContext>;

struct FolderTls {
  TlsContext context;
  std::string authority_der;
  std::string fingerprint;  // "A1:B2:…", 32 bytes
};

// `folder` keeps authority.key (readable by its owner only) and authority.crt; `addresses` are IPv4 addresses.
tl::expected<FolderTls, Problem> folder_tls(const std::string& folder,
                                            const std::vector<std::string>& addresses);

}  // namespace loomgraft

// What may be appended. Only store/ includes this file.
#pragma once

#include <string>
#include <string_view>

#include "base/problem.h"

namespace loomgraft::store {

// UTF-8 of at most longest_text_bytes.
bool usable_text(std::string_view text);
// The form of RFC 3339, section 5.6: "2026-03-01T10:00:00Z", with fraction and offset where wanted.
bool is_rfc3339(std::string_view text);
// The bytes begin as files of that kind do, and the kind is one that we keep.
bool fits_mime(std::string_view mime, std::string_view bytes);

Problem unusable_entry(const std::string& path, const std::string& what);
Problem id_taken(const std::string& path, const std::string& id);

}  // namespace loomgraft::store

// The head of a request, as bytes, before anything interprets it.
//
// Model   RFC 9112: what two programs on the way could read differently is refused, not mended. No blank before a
//         colon (5.1), no folded lines (5.2), no NUL or other control character in a field (RFC 9110, 5.5), no CR
//         without LF (2.2), a request line of three parts (3)
// Gives   where the head ends; why it is refused
#pragma once

#include <cstddef>
#include <string_view>

namespace loomgraft {

// Bytes up to and with the empty line; 0 while it has not come.
std::size_t head_size(std::string_view bytes);

// `head` as head_size() measures it.
bool is_well_formed_head(std::string_view head);

}  // namespace loomgraft

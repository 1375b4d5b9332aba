// Bytes of unknown encoding to UTF-8 text.
//
// Model   UTF-8 with or without mark; UTF-16 with mark, or without where zero bytes give it away; everything else is
//         read as Windows-1252, which is Latin-1 with letters where Latin-1 has control codes
// Gives   valid UTF-8 without mark; one broken UTF-16 unit becomes U+FFFD
// Fails   never; bytes that are no text at all give `binary` and an empty text
// Cost    linear; UTF-8 input is not copied
#pragma once

#include <string>
#include <string_view>

namespace loomgraft {

enum class Encoding { utf8, utf16_le, utf16_be, windows_1252 };

struct DecodedText {
  std::string_view text;  // points into the input or into `owned`
  std::string owned;
  Encoding encoding = Encoding::utf8;
  bool guessed = false;  // nothing in the bytes says so for certain
  bool binary = false;

  DecodedText() = default;
  DecodedText(const DecodedText&) = delete;  // `text` may point into `owned`
  DecodedText& operator=(const DecodedText&) = delete;
};

// The result is written in place, since its text may point into itself. The bytes must outlive it.
void decode_text(std::string_view bytes, DecodedText& result);

bool valid_utf8(std::string_view bytes);
void append_utf8(std::string& out, char32_t code_point);

const char* name_of(Encoding encoding);

}  // namespace loomgraft

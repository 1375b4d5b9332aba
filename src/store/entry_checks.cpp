#include <cctype>

#include "store/database_internal.h"
#include "store/entry_checks_internal.h"
#include "text/encoding.h"
#include "text/unseen.h"

namespace loomgraft::store {
namespace {

// `0` in the form stands for any digit; everything else for itself, letters in either case.
bool has_form(std::string_view text, std::string_view form) {
  if (text.size() != form.size()) return false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto byte = static_cast<unsigned char>(text[i]);
    const bool fits = form[i] == '0' ? std::isdigit(byte) != 0 : std::toupper(byte) == form[i];
    if (!fits) return false;
  }
  return true;
}

int two_digits(std::string_view text, std::size_t at) {
  return 10 * (text[at] - '0') + (text[at + 1] - '0');
}

std::string_view without_fraction(std::string_view rest) {
  if (rest.empty() || rest.front() != '.') return rest;
  std::size_t digits = 1;
  while (digits < rest.size() && std::isdigit(static_cast<unsigned char>(rest[digits])) != 0) ++digits;
  return digits == 1 ? rest : rest.substr(digits);
}

}  // namespace

bool usable_text(std::string_view text) {
  return text.size() <= longest_text_bytes && valid_utf8(text) && !has_unseen_characters(text);
}

bool is_rfc3339(std::string_view text) {
  constexpr std::string_view form = "0000-00-00T00:00:00";
  if (text.size() > 64 || !has_form(text.substr(0, form.size()), form)) return false;
  const int month = two_digits(text, 5);
  const int day = two_digits(text, 8);
  if (month < 1 || month > 12 || day < 1 || day > 31) return false;
  // A leap second is written as 60.
  if (two_digits(text, 11) > 23 || two_digits(text, 14) > 59 || two_digits(text, 17) > 60) return false;
  const std::string_view zone = without_fraction(text.substr(form.size()));
  if (has_form(zone, "Z")) return true;
  return (has_form(zone, "+00:00") || has_form(zone, "-00:00")) && two_digits(zone, 1) <= 23 &&
         two_digits(zone, 4) <= 59;
}

bool fits_mime(std::string_view mime, std::string_view bytes) {
  if (mime == "image/jpeg") return bytes.starts_with("\xff\xd8\xff");
  if (mime == "image/png") return bytes.starts_with("\x89PNG\r\n\x1a\n");
  if (mime == "image/webp") {
    return bytes.size() >= 12 && bytes.starts_with("RIFF") && bytes.substr(8, 4) == "WEBP";
  }
  return false;
}

Problem unusable_entry(const std::string& path, const std::string& what) {
  return store_problem(path, "entry-not-usable",
                       "There is " + what +
                           " that cannot be kept: it is missing, too long, no valid text "
                           "or not of a kind that is kept.",
                       "Give an id, texts of at most " + std::to_string(longest_text_bytes) +
                           " bytes, a finite value, or a JPEG, PNG or WebP picture of at most " +
                           std::to_string(largest_attachment_bytes >> 20U) + " MiB.");
}

Problem id_taken(const std::string& path, const std::string& id) {
  return store_problem(
      path, "id-taken",
      "An entry \"" + id + "\" is there already and says something else; it was left as it is.",
      "Send the new entry under an id of its own.");
}

}  // namespace loomgraft::store

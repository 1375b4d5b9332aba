#include "files/file_kind.h"

#include <array>

#include "files/workbook.h"

namespace loomgraft::files {
namespace {

using namespace std::string_view_literals;

struct Mark {
  std::string_view bytes;
  FileKind kind;
  std::size_t at = 0;
};

// The first bytes by which formats are known, from their specifications.
constexpr std::array marks = {Mark{"PK\x03\x04"sv, FileKind::zip},
                              Mark{"PK\x05\x06"sv, FileKind::zip},
                              Mark{"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1"sv, FileKind::old_office},
                              Mark{"{\\rtf"sv, FileKind::rich_text},
                              Mark{"\x89PNG\r\n"sv, FileKind::picture},
                              Mark{"\xFF\xD8\xFF"sv, FileKind::picture},
                              Mark{"GIF87a"sv, FileKind::picture},
                              Mark{"GIF89a"sv, FileKind::picture},
                              Mark{"II*\0"sv, FileKind::picture},
                              Mark{"MM\0*"sv, FileKind::picture},
                              Mark{"WEBP"sv, FileKind::picture, 8},
                              Mark{"ftyphei"sv, FileKind::picture, 4},
                              Mark{"ftypmif1"sv, FileKind::picture, 4},
                              Mark{"ftypavif"sv, FileKind::picture, 4},
                              Mark{"7z\xBC\xAF\x27\x1C"sv, FileKind::archive},
                              Mark{"Rar!\x1A"sv, FileKind::archive},
                              Mark{"\x1F\x8B"sv, FileKind::archive}};

constexpr std::size_t looked_at = 1024;

// The names in a compound file are UTF-16.
bool names_part(std::string_view bytes, std::string_view part) {
  std::string wide;
  for (const char c : part) wide.append({c, '\0'});
  return bytes.find(wide) != std::string_view::npos;
}

Problem not_read(const std::string& file, std::string message, std::string remedy) {
  return {Severity::error, "file-kind-not-read", {file, 0, 0, ""}, std::move(message), std::move(remedy)};
}

Problem old_office_refusal(std::string_view bytes, const std::string& file) {
  if (names_part(bytes, "EncryptedPackage")) return encrypted_spreadsheet(file);
  if (names_part(bytes, "WordDocument"))
    return not_read(file, "This is a .doc document, which is not read.",
                    "Open it, select the table, copy it and paste it; or save the document as PDF.");
  return not_read(file, "This is an old spreadsheet (.xls), which is not read.",
                  "Open it in a spreadsheet program, save it as .xlsx or .ods and read that.");
}

}  // namespace

FileKind kind_of(std::string_view bytes) {
  for (const Mark& mark : marks)
    if (bytes.size() > mark.at && bytes.substr(mark.at).starts_with(mark.bytes)) return mark.kind;
  const std::string_view head = bytes.substr(0, looked_at);
  // Some programs put a few bytes in front of the mark of a PDF (ISO 32000-1, annex H.3).
  const std::size_t pdf = head.find("%PDF-");
  if (pdf == 0 ||
      (pdf != std::string_view::npos && head.substr(0, pdf).find("\n\n") == std::string_view::npos &&
       head.find('\0') != std::string_view::npos))
    return FileKind::pdf;
  if (head.find("<office:document") != std::string_view::npos &&
      head.find("urn:oasis:names:tc:opendocument") != std::string_view::npos)
    return FileKind::flat_sheet;
  return FileKind::text;
}

Problem refusal_of(FileKind kind, std::string_view bytes, const std::string& file) {
  switch (kind) {
    case FileKind::old_office:
      return old_office_refusal(bytes, file);
    case FileKind::rich_text:
      return not_read(file, "This is an RTF document, which is not read.",
                      "Open it, select the table, copy it and paste it; or save the document as PDF.");
    case FileKind::picture:
      return not_read(
          file, "This is a picture, and no text is read from pictures.",
          "Run a text recogniser over it and check each cell, or type the table in; then read that.");
    default:
      return not_read(file, "This is a packed archive.", "Unpack it and read the file inside.");
  }
}

}  // namespace loomgraft::files

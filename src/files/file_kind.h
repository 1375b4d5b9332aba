// What kind of file bytes are, by their content.
#pragma once

#include <string>
#include <string_view>

#include "base/problem.h"

namespace loomgraft::files {

enum class FileKind { text, zip, flat_sheet, pdf, old_office, rich_text, picture, archive };

FileKind kind_of(std::string_view bytes);

// Why files of a kind are not read, and what to do: for old_office, rich_text, picture and archive.
Problem refusal_of(FileKind kind, std::string_view bytes, const std::string& file);

}  // namespace loomgraft::files

#include "files/zip_archive.h"

namespace loomgraft::files {
namespace {

// The tree of a part takes some fifteen times its bytes; spreadsheets of a hundred thousand cells have 5 MiB.
constexpr std::size_t largest_part = std::size_t{32} << 20;
constexpr std::size_t largest_sum = std::size_t{128} << 20;
constexpr zip_int64_t most_parts = 10'000;

}  // namespace

ZipArchive::ZipArchive(std::string_view bytes) : left_(largest_sum) {
  zip_error_t error;
  zip_error_init(&error);
  zip_source_t* source = zip_source_buffer_create(bytes.data(), bytes.size(), 0, &error);
  if (source) {
    archive_.reset(zip_open_from_source(source, ZIP_RDONLY, &error));
    if (!archive_) zip_source_free(source);
  }
  zip_error_fini(&error);
  if (!archive_) return;
  const zip_int64_t parts = zip_get_num_entries(archive_.get(), 0);
  too_large_ = parts > most_parts;
  for (zip_int64_t i = 0; i < parts && !too_large_; ++i) {
    zip_stat_t stat;
    if (zip_stat_index(archive_.get(), static_cast<zip_uint64_t>(i), 0, &stat) == 0 &&
        (stat.valid & ZIP_STAT_ENCRYPTION_METHOD) != 0 && stat.encryption_method != ZIP_EM_NONE)
      encrypted_ = true;
  }
}

bool ZipArchive::has(const std::string& part) const {
  return archive_ && zip_name_locate(archive_.get(), part.c_str(), 0) >= 0;
}

std::optional<std::string> ZipArchive::read(const std::string& part) {
  if (!archive_ || too_large_) return std::nullopt;
  const std::unique_ptr<zip_file_t, int (*)(zip_file_t*)> file(zip_fopen(archive_.get(), part.c_str(), 0),
                                                               &zip_fclose);
  if (!file) return std::nullopt;
  std::string bytes;
  char buffer[65536];
  zip_int64_t count = 0;
  while ((count = zip_fread(file.get(), buffer, sizeof buffer)) > 0) {
    const auto size = static_cast<std::size_t>(count);
    if (bytes.size() + size > largest_part || size > left_) {
      too_large_ = true;
      return std::nullopt;
    }
    left_ -= size;
    bytes.append(buffer, size);
  }
  if (count < 0) return std::nullopt;
  return bytes;
}

}  // namespace loomgraft::files

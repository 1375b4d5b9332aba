// The parts of a zip archive in memory. Names and sizes that the archive states are not believed: reading stops at limits.
#pragma once

#include <zip.h>

#include <memory>
#include <optional>
#include <string>
#include <string_view>

namespace loomgraft::files {

class ZipArchive {
 public:
  // `bytes` must outlive it.
  explicit ZipArchive(std::string_view bytes);

  bool usable() const { return archive_ != nullptr; }
  bool has(const std::string& part) const;
  // Nothing where the part is not there, is damaged, or is larger than the limits allow: then too_large() says so.
  std::optional<std::string> read(const std::string& part);
  bool encrypted() const { return encrypted_; }
  bool too_large() const { return too_large_; }

 private:
  struct Close {
    void operator()(zip_t* archive) const { zip_discard(archive); }
  };
  std::unique_ptr<zip_t, Close> archive_;
  std::size_t left_;
  bool encrypted_ = false;
  bool too_large_ = false;
};

}  // namespace loomgraft::files

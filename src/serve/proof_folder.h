// Proofs kept between runs in the user's cache folder, so that the same document is not proved twice.
//
// Model   a file per proof, named by a hash of the document, the options and the program file. The folder is
//         XDG_CACHE_HOME/loomgraft, else ~/.cache/loomgraft; the oldest files go when there is too much
// Gives   the proof kept, or none; keeping one never fails loudly
// Fails   a file that is damaged or cannot be read or written counts as not there
#pragma once

#include <optional>
#include <string>

#include "prove/prove.h"

namespace loomgraft {

class ProofFolder {
 public:
  ProofFolder();  // of this user; without a home nothing is kept
  std::optional<Proof> find(const std::string& key) const;
  void keep(const std::string& key, const Proof& proof) const;

 private:
  std::string folder_;
};

// Names the proof of a document made with these options by this program file; empty where the program file is unknown.
std::string proof_key_of(const Graft& graft, const ProveOptions& options);

// The proof kept for this document and these options, else a new one, which is then kept.
Proof kept_proof(const Graft& graft, const ProveOptions& options);

}  // namespace loomgraft

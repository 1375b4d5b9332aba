// Proofs of the documents being worked on: made once for each revision, and kept for the questions that stand
// on them.
//
// Model   who asks for one that is being made waits for it
// Needs   a key that names the file and its revision
// Gives   the same proof to everyone; the few asked for last are kept
#pragma once

#include <future>
#include <list>
#include <memory>
#include <mutex>
#include <string>
#include <utility>

#include "prove/prove.h"

namespace loomgraft {

class ProofShelf {
 public:
  using ProofPtr = std::shared_ptr<const Proof>;
  ProofPtr of(const std::string& key, const Graft& graft);

 private:
  std::mutex turn_;
  std::list<std::pair<std::string, std::shared_future<ProofPtr>>> kept_;  // asked for last stands first
};

}  // namespace loomgraft

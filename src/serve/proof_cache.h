// Proofs of the open documents, computed once for each revision and kept for the reports that need them.
//
// Model   a request for a proof that is being computed waits for it. The computation is stopped when the last
//         request that waits for it was stopped
// Needs   a key that names the file and its revision
// Gives   the same proof for every request; the few most recently used are kept; null if the request was stopped
#pragma once

#include <condition_variable>
#include <functional>
#include <list>
#include <memory>
#include <mutex>
#include <stop_token>
#include <string>
#include <utility>

#include "prove/prove.h"

namespace loomgraft {

// prove_loom() with default options, until it is stopped; the second takes the one kept in the user's cache folder.
Proof make_proof(const Graft& graft, const std::stop_token& stop);
Proof make_or_find_proof(const Graft& graft, const std::stop_token& stop);

class ProofCache {
 public:
  using ProofPtr = std::shared_ptr<const Proof>;
  using Make = std::function<Proof(const Graft&, const std::stop_token&)>;
  explicit ProofCache(Make make = make_proof) : make_(std::move(make)) {}  // replaced in tests

  ProofPtr get(const std::string& key, const Graft& graft, const std::stop_token& stop);

 private:
  struct Computation {
    std::stop_source stop;
    std::size_t requests = 0;  // number of requests
    bool ended = false;
    ProofPtr proof;  // null if it was stopped or failed
  };
  using ComputationPtr = std::shared_ptr<Computation>;

  ComputationPtr join(const std::string& key, bool& is_new);
  void leave(const ComputationPtr& computation);
  void make(const std::string& key, const Graft& graft, const ComputationPtr& computation);
  void end(const std::string& key, const ComputationPtr& computation, ProofPtr proof);

  Make make_;
  std::mutex mutex_;
  std::condition_variable_any ended_;
  std::list<std::pair<std::string, ComputationPtr>> kept_;  // most recently used first
};

}  // namespace loomgraft

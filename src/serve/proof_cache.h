// Proofs of the documents being worked on: made once for each revision, and kept for the questions that stand
// on them.
//
// Model   who asks for one that is being made waits for it. A proof that is being made is stopped when the
//         last of those who wait for it has stopped waiting.
// Needs   a key that names the file and its revision
// Gives   the same proof to everyone; the few asked for last are kept; nothing where the asker was stopped
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

// prove_loom() with the usual options, as long as nobody asks it to stop.
Proof make_proof(const Graft& graft, const std::stop_token& stop);

class ProofShelf {
 public:
  using ProofPtr = std::shared_ptr<const Proof>;
  using Make = std::function<Proof(const Graft&, const std::stop_token&)>;
  explicit ProofShelf(Make make = make_proof) : make_(std::move(make)) {}  // another one for tests

  ProofPtr of(const std::string& key, const Graft& graft, const std::stop_token& stop);

 private:
  struct Making {
    std::stop_source stop;
    std::size_t wanted = 0;  // by so many
    bool ended = false;
    ProofPtr proof;  // none where it was stopped or failed
  };
  using MakingPtr = std::shared_ptr<Making>;

  MakingPtr join(const std::string& key, bool& ours);
  void leave(const MakingPtr& making);
  void make(const std::string& key, const Graft& graft, const MakingPtr& making);
  void end(const std::string& key, const MakingPtr& making, ProofPtr proof);

  Make make_;
  std::mutex turn_;
  std::condition_variable_any ended_;
  std::list<std::pair<std::string, MakingPtr>> kept_;  // asked for last stands first
};

}  // namespace loomgraft

#include "serve/proof_shelf.h"

#include <algorithm>

namespace loomgraft {
namespace {

constexpr std::size_t most_kept = 4;

}  // namespace

ProofShelf::ProofPtr ProofShelf::of(const std::string& key, const Graft& graft) {
  std::promise<ProofPtr> promise;
  std::shared_future<ProofPtr> proof;
  bool ours = false;
  {
    const std::lock_guard<std::mutex> lock(turn_);
    const auto found =
        std::find_if(kept_.begin(), kept_.end(), [&](const auto& one) { return one.first == key; });
    if (found != kept_.end()) {
      kept_.splice(kept_.begin(), kept_, found);
      proof = found->second;
    } else {
      ours = true;
      proof = promise.get_future().share();
      kept_.emplace_front(key, proof);
      if (kept_.size() > most_kept) kept_.pop_back();
    }
  }
  if (ours) promise.set_value(std::make_shared<const Proof>(prove(graft)));
  return proof.get();
}

}  // namespace loomgraft

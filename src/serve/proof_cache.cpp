#include "serve/proof_cache.h"

#include <algorithm>

namespace loomgraft {
namespace {

constexpr std::size_t most_kept = 4;

}  // namespace

Proof make_proof(const Graft& graft, const std::stop_token& stop) {
  ProveOptions options;
  options.stop = stop;
  return prove_loom(graft, options);
}

ProofShelf::MakingPtr ProofShelf::join(const std::string& key, bool& ours) {
  const std::lock_guard<std::mutex> lock(turn_);
  const auto found =
      std::find_if(kept_.begin(), kept_.end(), [&](const auto& one) { return one.first == key; });
  // One that is being stopped is no use to anybody who comes now.
  const bool usable = found != kept_.end() && !found->second->stop.stop_requested();
  ours = !usable;
  if (usable) {
    kept_.splice(kept_.begin(), kept_, found);
  } else {
    if (found != kept_.end()) kept_.erase(found);
    kept_.emplace_front(key, std::make_shared<Making>());
    if (kept_.size() > most_kept) kept_.pop_back();
  }
  ++kept_.front().second->wanted;
  return kept_.front().second;
}

void ProofShelf::leave(const MakingPtr& making) {
  const std::lock_guard<std::mutex> lock(turn_);
  if (--making->wanted == 0 && !making->ended) making->stop.request_stop();
}

void ProofShelf::end(const std::string& key, const MakingPtr& making, ProofPtr proof) {
  {
    const std::lock_guard<std::mutex> lock(turn_);
    making->ended = true;
    making->proof = std::move(proof);
    if (!making->proof)
      kept_.remove_if([&](const auto& one) { return one.first == key && one.second == making; });
  }
  ended_.notify_all();
}

void ProofShelf::make(const std::string& key, const Graft& graft, const MakingPtr& making) {
  try {
    auto proof = std::make_shared<const Proof>(make_(graft, making->stop.get_token()));
    end(key, making, is_stopped(proof->report.problems) ? nullptr : std::move(proof));
  } catch (...) {
    end(key, making, nullptr);
    throw;
  }
}

ProofShelf::ProofPtr ProofShelf::of(const std::string& key, const Graft& graft, const std::stop_token& stop) {
  while (!stop.stop_requested()) {
    bool ours = false;
    const MakingPtr making = join(key, ours);
    const std::stop_callback on_stop(stop, [&] { leave(making); });
    if (ours) make(key, graft, making);
    std::unique_lock<std::mutex> lock(turn_);
    ended_.wait(lock, stop, [&] { return making->ended; });
    if (making->proof) return making->proof;
    // Whoever made it failed, and has said so; we try ourselves unless nobody wants it any more.
  }
  return nullptr;
}

}  // namespace loomgraft

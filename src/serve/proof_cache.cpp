#include "serve/proof_cache.h"

#include <algorithm>

#include "hazards/open_hazards.h"
#include "serve/proof_folder.h"

namespace loomgraft {
namespace {

constexpr std::size_t max_kept = 4;

ProveOptions options_for(const Graft& graft, const std::stop_token& stop) {
  ProveOptions options;
  options.stop = stop;
  options.hazards = open_hazards(graft);
  return options;
}

}  // namespace

Proof make_proof(const Graft& graft, const std::stop_token& stop) {
  return prove_loom(graft, options_for(graft, stop));
}

Proof make_or_find_proof(const Graft& graft, const std::stop_token& stop) {
  return kept_proof(graft, options_for(graft, stop));
}

ProofCache::ComputationPtr ProofCache::join(const std::string& key, bool& is_new) {
  const std::lock_guard<std::mutex> lock(mutex_);
  const auto found =
      std::find_if(kept_.begin(), kept_.end(), [&](const auto& one) { return one.first == key; });
  // A computation that is being stopped gives no proof.
  const bool usable = found != kept_.end() && !found->second->stop.stop_requested();
  is_new = !usable;
  if (usable) {
    kept_.splice(kept_.begin(), kept_, found);
  } else {
    if (found != kept_.end()) kept_.erase(found);
    kept_.emplace_front(key, std::make_shared<Computation>());
    if (kept_.size() > max_kept) kept_.pop_back();
  }
  ++kept_.front().second->requests;
  return kept_.front().second;
}

void ProofCache::leave(const ComputationPtr& computation) {
  const std::lock_guard<std::mutex> lock(mutex_);
  if (--computation->requests == 0 && !computation->ended) computation->stop.request_stop();
}

void ProofCache::end(const std::string& key, const ComputationPtr& computation, ProofPtr proof) {
  {
    const std::lock_guard<std::mutex> lock(mutex_);
    computation->ended = true;
    computation->proof = std::move(proof);
    if (!computation->proof)
      kept_.remove_if([&](const auto& one) { return one.first == key && one.second == computation; });
  }
  ended_.notify_all();
}

void ProofCache::make(const std::string& key, const Graft& graft, const ComputationPtr& computation) {
  try {
    auto proof = std::make_shared<const Proof>(make_(graft, computation->stop.get_token()));
    end(key, computation, is_stopped(proof->report.problems) ? nullptr : std::move(proof));
  } catch (...) {
    end(key, computation, nullptr);
    throw;
  }
}

ProofCache::ProofPtr ProofCache::get(const std::string& key, const Graft& graft,
                                     const std::stop_token& stop) {
  while (!stop.stop_requested()) {
    bool is_new = false;
    const ComputationPtr computation = join(key, is_new);
    const std::stop_callback on_stop(stop, [&] { leave(computation); });
    if (is_new) make(key, graft, computation);
    std::unique_lock<std::mutex> lock(mutex_);
    ended_.wait(lock, stop, [&] { return computation->ended; });
    if (computation->proof) return computation->proof;
    // The request that computed it failed or was stopped: try again here.
  }
  return nullptr;
}

}  // namespace loomgraft

#include "find/learn.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "find/figures.h"
#include "standards/fault_odds.h"

namespace loomgraft {

using namespace find;
namespace {

int count_of(const FaultCounts& counts, FaultKind kind) {
  const auto found = counts.found.find(kind);
  return found == counts.found.end() ? 0 : found->second;
}

struct KindShare {
  FaultKind kind = FaultKind::wire_open;
  double table = 0.0;
  double learnt = 0.0;
};

std::vector<KindShare> table_shares(const std::vector<Fault>& faults) {
  std::vector<KindShare> shares;
  double sum = 0.0;
  for (const Fault& fault : faults) {
    auto share = std::ranges::find(shares, fault.kind, &KindShare::kind);
    if (share == shares.end()) share = shares.insert(shares.end(), {fault.kind, 0.0, 0.0});
    share->table += fault.prior;
    sum += fault.prior;
  }
  for (KindShare& share : shares) share.learnt = share.table /= sum;
  return shares;
}

std::string text_of(const KindShare& share, int count, int found, int grafts) {
  return fmt::format(
      "{}: {} of {} faults confirmed in {} recorded graft{}; odds of {:.0f} % instead of {:.0f} %",
      fault_odds(name_of(share.kind)).text, count, found, grafts, grafts == 1 ? "" : "s",
      100.0 * share.learnt, 100.0 * share.table);
}

}  // namespace

FaultCounts count_faults(const std::vector<std::vector<ConfirmedFault>>& confirmed) {
  FaultCounts counts;
  for (const std::vector<ConfirmedFault>& of_graft : confirmed) {
    for (const ConfirmedFault& fault : std::set<ConfirmedFault>(of_graft.begin(), of_graft.end()))
      ++counts.found[fault.kind];
    counts.grafts += of_graft.empty() ? 0 : 1;
  }
  return counts;
}

LearntOdds learnt_odds(const std::vector<Fault>& faults, const std::optional<FaultCounts>& counts) {
  LearntOdds learnt;
  std::vector<KindShare> shares = table_shares(faults);
  int found = 0;
  if (counts) {
    for (const KindShare& share : shares) found += count_of(*counts, share.kind);
  }
  const double weight = find_figures().table_weight;
  for (KindShare& share : shares) {
    if (found == 0) break;
    const int count = count_of(*counts, share.kind);
    share.learnt = (weight * share.table + count) / (weight + found);
    if (count > 0) learnt.text.push_back(text_of(share, count, found, counts->grafts));
  }
  double sum = 0.0;
  for (const Fault& fault : faults) sum += fault.prior;
  for (const Fault& fault : faults) {
    const auto share = std::ranges::find(shares, fault.kind, &KindShare::kind);
    learnt.odds.push_back(fault.prior / sum * (share->learnt / share->table));
  }
  return learnt;
}

}  // namespace loomgraft

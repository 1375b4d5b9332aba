#include "find/learn.h"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "find/figures.h"
#include "standards/fault_odds.h"

namespace loomgraft {

using namespace find;
namespace {

constexpr std::string_view prefix = "fault:";

// "fault:wire_open:open W3" -> "wire_open"; empty for any other subject.
std::string kind_of(std::string_view subject) {
  if (!subject.starts_with(prefix)) return {};
  subject.remove_prefix(prefix.size());
  const std::size_t colon = subject.find(':');
  return colon == std::string_view::npos ? std::string() : std::string(subject.substr(0, colon));
}

int count_of(const FaultCounts& counts, const std::string& kind) {
  const auto found = counts.found.find(kind);
  return found == counts.found.end() ? 0 : found->second;
}

struct KindShare {
  const char* kind = "";
  double usual = 0.0;
  double learnt = 0.0;
};

std::vector<KindShare> usual_shares(const std::vector<Fault>& faults) {
  std::vector<KindShare> shares;
  double sum = 0.0;
  for (const Fault& fault : faults) {
    const std::string_view kind = name_of(fault.kind);
    auto share = std::ranges::find_if(shares, [&](const KindShare& one) { return kind == one.kind; });
    if (share == shares.end()) share = shares.insert(shares.end(), {name_of(fault.kind), 0.0, 0.0});
    share->usual += fault.prior;
    sum += fault.prior;
  }
  for (KindShare& share : shares) share.learnt = share.usual /= sum;
  return shares;
}

std::string words_of(const KindShare& share, int count, int found, int grafts) {
  return fmt::format(
      "{}: {} of {} faults confirmed in {} recorded graft{}; odds of {:.0f} % instead of {:.0f} %",
      fault_odds(share.kind).text, count, found, grafts, grafts == 1 ? "" : "s", 100.0 * share.learnt,
      100.0 * share.usual);
}

}  // namespace

std::string confirmed_subject(const Fault& fault) {
  return std::string(prefix) + name_of(fault.kind) + ":" + fault.id;
}

FaultCounts count_faults(const std::vector<std::vector<std::string>>& done_subjects) {
  FaultCounts counts;
  for (const std::vector<std::string>& graft : done_subjects) {
    bool confirmed = false;
    for (const std::string& subject : std::set<std::string>(graft.begin(), graft.end())) {
      const std::string kind = kind_of(subject);
      if (kind.empty()) continue;
      ++counts.found[kind];
      confirmed = true;
    }
    counts.grafts += confirmed ? 1 : 0;
  }
  return counts;
}

LearntOdds learnt_odds(const std::vector<Fault>& faults, const std::optional<FaultCounts>& counts) {
  LearntOdds learnt;
  std::vector<KindShare> shares = usual_shares(faults);
  int found = 0;
  if (counts) {
    for (const KindShare& share : shares) found += count_of(*counts, share.kind);
  }
  const double weight = find_figures().table_weight;
  for (KindShare& share : shares) {
    if (found == 0) break;
    const int count = count_of(*counts, share.kind);
    share.learnt = (weight * share.usual + count) / (weight + found);
    if (count > 0) learnt.text.push_back(words_of(share, count, found, counts->grafts));
  }
  double sum = 0.0;
  for (const Fault& fault : faults) sum += fault.prior;
  for (const Fault& fault : faults) {
    const std::string_view kind = name_of(fault.kind);
    const auto share = std::ranges::find_if(shares, [&](const KindShare& one) { return kind == one.kind; });
    learnt.odds.push_back(fault.prior / sum * (share->learnt / share->usual));
  }
  return learnt;
}

}  // namespace loomgraft

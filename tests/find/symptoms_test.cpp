// Symptoms of a small loom: what a blown fuse, an open wire and a short cause.
#include "find/symptoms.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <sstream>

#include "loom/graft_json.h"

namespace loomgraft::find_symptoms_test {
namespace {

struct Demo {
  Graft graft;
  Proof proof;
  std::vector<Symptom> symptoms;
};

const Demo& demo() {
  static const Demo made = [] {
    std::ifstream file(std::string(LOOMGRAFT_ROOT) + "/examples/power-takeoff/graft.json");
    std::stringstream text;
    text << file.rdbuf();
    Demo demo;
    demo.graft = *graft_from_json(text.str(), "graft.json").graft;
    demo.proof = prove_loom(demo.graft);
    demo.symptoms = symptoms_of(demo.graft, demo.proof.report.faults);
    return demo;
  }();
  return made;
}

bool causes(const std::string& symptom, const std::string& fault) {
  const auto found = std::ranges::find(demo().symptoms, symptom, &Symptom::id);
  if (found == demo().symptoms.end()) return false;
  return std::ranges::any_of(found->faults,
                             [&](std::size_t k) { return demo().proof.report.faults[k].id == fault; });
}

TEST(Symptoms, FollowFromTheNetwork) {
  EXPECT_TRUE(causes("Y20:never-works", "open_device Y20"));
  EXPECT_FALSE(causes("H20:never-works", "open_device Y20"));
  EXPECT_TRUE(causes("Y20:never-works", "blown_fuse F31"));
  EXPECT_FALSE(causes("H20:always-on", "open_device H20"));
}

// A relay or lamp that never works is no sign of a joint that is sound until somebody moves it.
TEST(Symptoms, OfAnIntermittentJointComeOnlyWhenItIsMoved) {
  const std::vector<Fault>& faults = demo().proof.report.faults;
  std::size_t met = 0;
  for (std::size_t k = 0; k < faults.size(); ++k) {
    if (!is_intermittent(faults[k])) continue;
    ++met;
    for (const Symptom& symptom : demo().symptoms)
      EXPECT_EQ(std::ranges::count(symptom.faults, k), symptom.kind == SymptomKind::when_moved ? 1 : 0)
          << symptom.id << " by " << faults[k].id;
  }
  EXPECT_GT(met, 0U);
}

TEST(Symptoms, OfOneLoadExcludeEachOther) {
  for (const Symptom& one : demo().symptoms) {
    if (one.kind != SymptomKind::never_works) continue;
    for (const Symptom& other : demo().symptoms) {
      if (other.kind != SymptomKind::weak || other.subject != one.subject) continue;
      for (const std::size_t fault : one.faults)
        EXPECT_EQ(std::ranges::count(other.faults, fault), 0) << one.id;
    }
  }
}

TEST(Symptoms, AreFoundByAPersonsWords) {
  const auto named = [](const std::string& text) {
    const Symptom* found = symptom_named(text, demo().graft, demo().symptoms);
    return found ? found->id : std::string();
  };
  EXPECT_EQ(named("Y20:never-works"), "Y20:never-works");
  EXPECT_EQ(named("PTO valve:never pulls"), "Y20:never-works");
  EXPECT_EQ(named("pto lamp: is always on"), "H20:always-on");
  EXPECT_EQ(named("valve:never pulls"), "") << "there are several valves";
  EXPECT_EQ(named("PTO valve:sings"), "");
}

TEST(Symptoms, MakeTheirFaultsLikelier) {
  const Symptom* symptom = symptom_named("Y20:never-works", demo().graft, demo().symptoms);
  ASSERT_NE(symptom, nullptr);
  FindOptions options;
  options.next_tests = 0;
  const FindReport before = find_fault(demo().proof, {}, options);
  options.evidence.push_back(evidence_of(*symptom, demo().proof.report.faults.size()));
  const FindReport after = find_fault(demo().proof, {}, options);
  EXPECT_LT(after.no_fault, before.no_fault);
  ASSERT_FALSE(after.repairs.empty());
  EXPECT_EQ(std::ranges::count(symptom->faults, after.repairs[0].faults[0]), 1);
  ASSERT_EQ(after.symptoms.size(), 1U);
}

}  // namespace
}  // namespace loomgraft::find_symptoms_test

#include "find/proof_file.h"

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "find/find.h"
#include "find/json.h"
#include "find/practice.h"
#include "prove/json.h"
#include "tests/network/random_loom.h"

namespace loomgraft::find_proof_file_test {
namespace {

Proof sample() {
  ProveOptions options;
  options.faults.whole_loom = true;
  return prove_loom(samples::random_loom(4, 3, 12.0).graft, options);
}

TEST(ProofFile, GivesTheSameFindReport) {
  const Proof proof = sample();
  const auto kept = proof_from_bytes(proof_to_bytes(proof));
  ASSERT_TRUE(kept.has_value());
  const std::vector<Reading> readings = practice_readings(proof, proof.report.faults[3].id);
  EXPECT_EQ(to_json(find_fault(*kept, readings), *kept).dump(),
            to_json(find_fault(proof, readings), proof).dump());
  EXPECT_EQ(proof_to_bytes(*kept), proof_to_bytes(proof));
}

// What is to be confirmed before the battery is joined must not be lost between two starts of the program.
TEST(ProofFile, GivesTheSameProveReport) {
  ProveOptions options;
  options.minutes = 20.0;
  options.hazards = {{HazardSource::comparison, "hazard.1", "could burn", "look at it"}};
  const Proof proof = prove_loom(samples::random_loom(4, 3, 12.0).graft, options);
  ASSERT_FALSE(proof.report.to_confirm.empty());
  ASSERT_FALSE(proof.report.unexposed.empty());
  const auto kept = proof_from_bytes(proof_to_bytes(proof));
  ASSERT_TRUE(kept.has_value());
  EXPECT_EQ(to_json(kept->report).dump(2), to_json(proof.report).dump(2));
}

TEST(ProofFile, DamageIsNoticed) {
  const std::string bytes = proof_to_bytes(sample());
  for (const std::size_t size :
       {std::size_t{0}, std::size_t{10}, std::size_t{40}, bytes.size() / 2, bytes.size() - 1})
    EXPECT_FALSE(proof_from_bytes(std::string_view(bytes).substr(0, size)).has_value()) << size;
  for (std::size_t at = 0; at < bytes.size(); at += bytes.size() / 97 + 1) {
    std::string altered = bytes;
    altered[at] = static_cast<char>(altered[at] ^ 0x20);
    EXPECT_FALSE(proof_from_bytes(altered).has_value()) << at;
  }
  EXPECT_FALSE(proof_from_bytes(bytes + "x").has_value());
}

}  // namespace
}  // namespace loomgraft::find_proof_file_test

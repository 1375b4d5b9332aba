// The search against worked examples of measuring by entropy, half-split and the bounds of decision trees:
// tests/find/diagnosis_examples.csv, each row with its source.
#include <gtest/gtest.h>

#include <cmath>
#include <fstream>
#include <numeric>
#include <sstream>

#include "find/find.h"
#include "tests/find/csv_fields.h"
#include "tests/find/walk.h"
#include "tests/prove/made_up_proof.h"

namespace loomgraft::find_figures_test {
namespace {

using samples::MadeUpProof;

constexpr double last_digit = 6e-7;   // the entropies of the table have six digits
constexpr double five_digits = 6e-6;  // its expected numbers of tests have five

using samples::fields_of;

struct Example {
  std::string name, inputs, quantity, value;
};

std::vector<Example> examples(const std::string& name) {
  std::ifstream file(std::string(LOOMGRAFT_ROOT) + "/tests/find/diagnosis_examples.csv");
  std::vector<Example> found;
  for (std::string line; std::getline(file, line);) {
    const std::vector<std::string> fields = fields_of(line);
    if (fields.size() >= 4 && fields[0].starts_with(name))
      found.push_back({fields[0], fields[1], fields[2], fields[3]});
  }
  return found;
}

std::vector<double> numbers_in(const std::string& text) {
  std::vector<double> numbers;
  std::string spaced = text;
  for (char& c : spaced) {
    if (c == ';') c = ' ';
  }
  std::istringstream words(spaced);
  for (std::string word; words >> word;) {
    if (word.find_first_of("0123456789") == 0 || word[0] == '.') numbers.push_back(std::stod(word));
  }
  return numbers;
}

// A worked example has no misreadings and one fault.
FindOptions sure() {
  FindOptions options;
  options.misread = 0.0;
  options.small_misread = 0.0;
  options.pairs = false;
  options.next_tests = 1000;
  options.notes = false;
  options.worth = 0.0;
  return options;
}

double bits_of(const FindReport& report, const Proof& proof, const std::string& test) {
  for (const NextTest& next : report.next) {
    if (proof.report.tests[next.test].id == test) return next.bits;
  }
  return -1.0;
}

FindReport after_wrong_output(const Proof& proof) {
  return find_fault(proof, {samples::reading_of(proof.report.tests.back().id, 1.0)}, sure());
}

void expect_stages(const std::string& name, const std::vector<double>& odds) {
  const std::vector<Example> rows = examples(name);
  ASSERT_EQ(rows.size(), odds.size() - 1);
  const MadeUpProof made = samples::chain(odds);
  const FindReport report = after_wrong_output(made.proof);
  for (const Example& row : rows) {
    const std::string marker = "behind stage ";
    const std::size_t at = row.quantity.find(marker) + marker.size();
    const std::string test = "behind " + row.quantity.substr(at, row.quantity.find(',') - at);
    EXPECT_NEAR(report.entropy_bits - bits_of(report, made.proof, test), std::stod(row.value), last_digit)
        << row.name << ": " << test;
  }
}

TEST(FindFigures, ExpectedEntropyOnChains) {
  expect_stages("chain of 4 inverters", std::vector<double>(4, 1.0));
  expect_stages("chain of 8 inverters", std::vector<double>(8, 1.0));
  expect_stages("chain of 4, unequal", {0.4, 0.3, 0.2, 0.1});
  const MadeUpProof four = samples::chain(std::vector<double>(4, 1.0));
  const FindReport report = after_wrong_output(four.proof);
  EXPECT_NEAR(report.entropy_bits, 2.0, last_digit);
  EXPECT_EQ(four.proof.report.tests[report.next.front().test].id, "behind 2") << "the middle is best";
}

// Two adders behind three multipliers: four minimal diagnoses and what X, Y and Z read under each.
TEST(FindFigures, ExpectedEntropyOfThePolybox) {
  MadeUpProof made;
  std::vector<std::vector<Band>> rows(3);
  const std::vector<double> weights = numbers_in(examples("polybox")[0].value);
  ASSERT_EQ(weights.size(), 4U);
  std::size_t number = 0;
  for (const std::string diagnosis : {"M1", "A1", "A2 M2", "M2 M3"}) {
    made.add_fault(diagnosis, weights[number++]);
    for (const Example& row : examples("polybox")) {
      if (row.inputs != "minimal diagnosis " + diagnosis) continue;
      const std::vector<double> shown = numbers_in(row.value);
      for (std::size_t k = 0; k < 3; ++k) rows[k].push_back({shown[k], shown[k]});
    }
  }
  const Band never{-5.0, -5.0};  // a sound box would not have shown F = 10
  for (std::size_t k = 0; k < 3; ++k)
    made.add_test(std::string(1, static_cast<char>('X' + k)), never, rows[k]);
  made.add_test("F", {12.0, 12.0}, std::vector<Band>(4, {10.0, 10.0}));
  made.done();
  const FindReport report = find_fault(made.proof, {samples::reading_of("F", 10.0)}, sure());
  std::size_t compared = 0;
  for (const Example& row : examples("polybox")) {
    if (row.quantity == "entropy before a measurement, bits") {
      EXPECT_NEAR(report.entropy_bits, std::stod(row.value), last_digit);
      ++compared;
    }
    if (row.quantity != "expected entropy after, bits") continue;
    const std::string test = row.inputs.substr(row.inputs.size() - 1);
    EXPECT_NEAR(report.entropy_bits - bits_of(report, made.proof, test), std::stod(row.value), last_digit)
        << test;
    ++compared;
  }
  EXPECT_EQ(compared, 4U);
  EXPECT_EQ(made.proof.report.tests[report.next.front().test].id, "X");
}

struct Searches {
  double expected = 0.0;  // measurements, by odds
  std::size_t worst = 0;
};

// Each fault in turn, the first reading given.
Searches search_all(const Proof& proof, const std::vector<double>& odds, double first_value,
                    const std::function<double(std::size_t, std::size_t)>& shown) {
  Searches all;
  FindOptions options = sure();
  options.isolated_at = 0.999;
  options.next_tests = 1;
  const double sum = std::accumulate(odds.begin(), odds.end(), 0.0);
  for (std::size_t fault = 0; fault < odds.size(); ++fault) {
    const auto meter = [&](std::size_t test) { return shown(test, fault); };
    const samples::Walk walk =
        samples::walk(proof, fault, {samples::reading_of(proof.report.tests.back().id, first_value)}, meter,
                      samples::best_next, options);
    EXPECT_TRUE(walk.right) << fault;
    all.expected += odds[fault] / sum * static_cast<double>(walk.measurements);
    all.worst = std::max(all.worst, walk.measurements);
  }
  return all;
}

Searches search_chain(const std::vector<double>& odds) {
  const MadeUpProof made = samples::chain(odds);
  return search_all(made.proof, odds, 1.0, [](std::size_t test, std::size_t fault) {
    return fault <= test ? 1.0 : 0.0;  // test k stands behind stage k + 1
  });
}

TEST(FindFigures, IsHalfSplitOnAUniformChain) {
  const std::vector<Example> rows = examples("half-split");
  ASSERT_EQ(rows.size(), 15U);
  for (const Example& row : rows) {
    const std::size_t stages = std::stoul(row.inputs);
    const std::vector<double> published = numbers_in(row.value);  // entropy; expected; worst case
    const Searches searches = search_chain(std::vector<double>(stages, 1.0));
    EXPECT_NEAR(searches.expected, published[1], five_digits) << stages;
    EXPECT_EQ(static_cast<double>(searches.worst), published[2]) << stages;
    EXPECT_EQ(static_cast<double>(searches.worst), std::ceil(std::log2(static_cast<double>(stages))));
    EXPECT_GE(searches.expected, published[0] - five_digits) << stages;
  }
}

// Any set of faults can be tested against the rest, as free as a Huffman code.
Searches search_sets(const std::vector<double>& odds) {
  MadeUpProof made;
  for (std::size_t k = 0; k < odds.size(); ++k) made.add_fault("part " + std::to_string(k), odds[k]);
  const auto in_set = [](std::size_t test, std::size_t fault) { return ((test + 1) >> fault & 1U) != 0; };
  const std::size_t sets = (std::size_t{1} << odds.size()) - 1;
  for (std::size_t test = 0; test < sets; ++test) {
    std::vector<Band> under;
    for (std::size_t k = 0; k < odds.size(); ++k)
      under.push_back(in_set(test, k) ? samples::faulty : samples::sound);
    made.add_test("set " + std::to_string(test), samples::sound, under);
  }
  return search_all(made.done(), odds, 1.0,
                    [&](std::size_t test, std::size_t fault) { return in_set(test, fault) ? 1.0 : 0.0; });
}

TEST(FindFigures, StaysWithinTheBoundsOfDecisionTrees) {
  std::size_t compared = 0;
  for (const Example& row : examples("decision-tree bounds")) {
    const std::vector<double> odds = numbers_in(row.inputs.substr(row.inputs.find(' ') + 1));
    if (odds.empty()) continue;                                   // the bound itself, in words
    const std::vector<double> published = numbers_in(row.value);  // entropy; Huffman; chain optimum
    const Searches on_chain = search_chain(odds);
    const Searches on_sets = search_sets(odds);
    EXPECT_GE(on_chain.expected, published[2] - five_digits) << row.inputs;
    EXPECT_GE(on_sets.expected, published[1] - five_digits) << row.inputs;
    EXPECT_LT(on_sets.expected, published[0] + 1.0) << row.inputs;
    EXPECT_LT(on_chain.expected, published[0] + 1.0) << row.inputs;
    ++compared;
  }
  EXPECT_EQ(compared, 6U);
}

}  // namespace
}  // namespace loomgraft::find_figures_test

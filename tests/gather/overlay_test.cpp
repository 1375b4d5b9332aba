// A further source over what the document says, and tables shown with what was made of their columns.
#include "gather/overlay.h"

#include <gtest/gtest.h>

#include "loom/validate.h"

namespace loomgraft::gather_overlay_test {
namespace {

SourceTables source_of(const std::string& id, const std::string& text, double weight = 1.0) {
  SourceTables source;
  source.source.id = id;
  source.source.title = id;
  source.source.weight = weight;
  source.tables = read_tables(text, id).tables;
  return source;
}

const char* const first =
    "Connector,Pin,Signal,Wire\nC1,1,Battery feed,RD\nC1,2,Power earth,BK\nC1,3,Engine speed,\n";

Graft started() {
  Graft graft;
  const SourceTables source = source_of("manual", first);
  GatheredModule gathered = gather_module("found", ModuleRole::found, {source});
  graft.sources.push_back(source.source);
  graft.connectors = gathered.connectors;
  for (Connector& connector : graft.connectors) connector.view = View::wire_entry;
  graft.modules.push_back(gathered.module);
  return graft;
}

TEST(Overlay, FillsWhatIsMissingAndKeepsWhatAPersonSet) {
  Graft graft = started();
  graft.modules[0].pins[0].populated = true;
  graft.modules[0].pins[2].limits.current = Amperes{0.5};
  const OverlaidGraft overlaid = overlay_source(
      graft, "found", source_of("forum", "Connector,Pin,Signal,Wire\nC1,3,Engine speed,YE/BU\n"));
  const Module& module = overlaid.graft.modules[0];
  ASSERT_EQ(module.pins.size(), 3U);
  EXPECT_EQ(module.pins[0], graft.modules[0].pins[0]);
  EXPECT_EQ(module.pins[2].colour.base, "YE");
  EXPECT_EQ(module.pins[2].limits.current, Amperes{0.5});
  ASSERT_EQ(module.pins[2].claims.size(), 2U);
  EXPECT_EQ(module.pins[2].claims[1].source, "forum");
  EXPECT_TRUE(module.pins[2].doubts.empty());
  EXPECT_EQ(overlaid.graft.sources.size(), 2U);
}

TEST(Overlay, HeavierSourceFillsThePinAndTheDoubtNamesBoth) {
  const char* other = "Connector,Pin,Signal,Wire\nC1,3,Road speed,WH\n";
  const Pin light = overlay_source(started(), "found", source_of("forum", other)).graft.modules[0].pins[2];
  EXPECT_EQ(light.signal, "Engine speed");
  ASSERT_FALSE(light.doubts.empty());
  EXPECT_NE(light.doubts[0].find("manual"), std::string::npos);
  EXPECT_NE(light.doubts[0].find("forum"), std::string::npos);
  const Pin heavy =
      overlay_source(started(), "found", source_of("forum", other, 3.0)).graft.modules[0].pins[2];
  EXPECT_EQ(heavy.signal, "Road speed");
}

TEST(Overlay, NewCavitiesAndConnectorsFitTheDocument) {
  const OverlaidGraft overlaid = overlay_source(
      started(), "found", source_of("forum", "Connector,Pin,Signal\nC1,4,Brake switch\nC9,1,Horn\n"));
  ASSERT_EQ(overlaid.graft.modules[0].pins.size(), 5U);
  ASSERT_EQ(overlaid.graft.connectors.size(), 2U);
  for (const Problem& problem : validate(overlaid.graft))
    EXPECT_NE(problem.severity, Severity::error) << problem.message;
  // Measured geometry is not overlaid out anew.
  Graft drawn = started();
  drawn.connectors[0].rows_guessed = false;
  const std::vector<CavityRow> rows = drawn.connectors[0].rows;
  EXPECT_EQ(overlay_source(drawn, "found", source_of("forum", "Connector,Pin,Signal\nC1,4,Horn\n"))
                .graft.connectors[0]
                .rows,
            rows);
}

TEST(TablePreviews, AreGivenOnlyOnRequest) {
  EXPECT_TRUE(read_tables(first, "a").previews.empty());
  ReadOptions options;
  options.rows_shown = 2;
  const ReadReport report = read_tables(first, "a", options);
  ASSERT_EQ(report.previews.size(), 1U);
  EXPECT_EQ(report.previews[0].rows.size(), 2U);
  EXPECT_EQ(report.previews[0].tables, std::vector<std::size_t>{0});
  EXPECT_EQ(report.previews[0].columns[1].role, "cavity");
}

TEST(TablePreviews, AColumnWithoutAHeadCanBeChosen) {
  ReadOptions options;
  options.rows_shown = 3;
  const std::string text = "1,Battery feed,RD\n2,Power earth,BK\n3,Engine speed,YE\n4,Horn,GN\n";
  const ReadReport report = read_tables(text, "a", options);
  ASSERT_EQ(report.previews.size(), 1U);
  EXPECT_EQ(report.previews[0].columns[2].name, "column 3");
  options.column_choice = {{"column 3", "ignore"}};
  const ReadReport corrected = read_tables(text, "a", options);
  EXPECT_EQ(corrected.previews[0].columns[2].role, "ignore");
}

}  // namespace
}  // namespace loomgraft::gather_overlay_test

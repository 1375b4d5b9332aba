// Reading files: a manual of 300 pages with 60 pin tables as PDF (10 s at most), a spreadsheet of 20 sheets (1 s at most).
#include <benchmark/benchmark.h>

#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include "tests/files/made_files.h"

namespace {

using namespace loomgraft;

const std::vector<std::string> signals{"Injector",   "Coil",     "Sensor earth",
                                       "Road speed", "CAN high", "Lamp relay"};
const std::vector<std::string> colours{"BK", "RD/WH", "GN/YE", "BN", "BU", "GY/RD"};

void expect_pins(const ReadReport& report, std::size_t pins) {
  if (files_test::pins_of(report).size() == pins) return;
  std::fprintf(stderr, "%zu pins are read, not %zu\n", files_test::pins_of(report).size(), pins);
  std::abort();
}

// ---- a PDF, uncompressed

class PdfWriter {
 public:
  void begin_page() { pages_.emplace_back(); }
  void text(int x, int y, const std::string& text) {
    pages_.back() +=
        "BT /F 9 Tf " + std::to_string(x) + " " + std::to_string(800 - y) + " Td (" + text + ") Tj ET\n";
  }

  std::string bytes() const {
    std::string out = "%PDF-1.4\n";
    std::vector<std::size_t> offsets;
    const auto add = [&](const std::string& body) {
      offsets.push_back(out.size());
      out += std::to_string(offsets.size()) + " 0 obj\n" + body + "\nendobj\n";
    };
    std::string kids;
    for (std::size_t i = 0; i < pages_.size(); ++i) kids += std::to_string(4 + 2 * i) + " 0 R ";
    add("<</Type/Catalog/Pages 2 0 R>>");
    add("<</Type/Pages/Count " + std::to_string(pages_.size()) + "/Kids[" + kids + "]>>");
    add("<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>");
    for (std::size_t i = 0; i < pages_.size(); ++i) {
      add("<</Type/Page/Parent 2 0 R/MediaBox[0 0 595 842]/Resources<</Font<</F 3 0 R>>>>/Contents " +
          std::to_string(5 + 2 * i) + " 0 R>>");
      add("<</Length " + std::to_string(pages_[i].size()) + ">>stream\n" + pages_[i] + "endstream");
    }
    const std::size_t table = out.size();
    out += "xref\n0 " + std::to_string(offsets.size() + 1) + "\n0000000000 65535 f \n";
    for (const std::size_t offset : offsets) {
      char line[32];
      std::snprintf(line, sizeof line, "%010zu 00000 n \n", offset);
      out += line;
    }
    return out + "trailer<</Root 1 0 R/Size " + std::to_string(offsets.size() + 1) + ">>\nstartxref\n" +
           std::to_string(table) + "\n%%EOF\n";
  }

 private:
  std::vector<std::string> pages_;
};

constexpr int pages = 300, pages_of_table = 5, pins_of_table = 40;

// Every fifth page has a table of 40 pins under its title, the others are full of sentences.
std::string manual() {
  PdfWriter pdf;
  for (int page = 0; page < pages; ++page) {
    pdf.begin_page();
    pdf.text(60, 20, "Workshop manual");
    pdf.text(500, 20, "Page " + std::to_string(page + 1));
    if (page % pages_of_table != 0) {
      for (int line = 0; line < 50; ++line)
        pdf.text(60, 60 + 12 * line,
                 "Disconnect the battery before any plug is opened, and measure each wire at both ends.");
      continue;
    }
    pdf.text(60, 60, "Connector X" + std::to_string(page / pages_of_table + 1));
    pdf.text(60, 90, "Pin");
    pdf.text(120, 90, "Function");
    pdf.text(320, 90, "Colour");
    for (int pin = 1; pin <= pins_of_table; ++pin) {
      const auto pick = static_cast<std::size_t>(pin + page);
      pdf.text(60, 90 + 14 * pin, std::to_string(pin));
      pdf.text(120, 90 + 14 * pin, signals[pick % signals.size()] + " " + std::to_string(pin));
      pdf.text(320, 90 + 14 * pin, colours[pick % colours.size()]);
    }
  }
  return pdf.bytes();
}

void read_manual(benchmark::State& state) {
  const std::string bytes = manual();
  for (auto _ : state)
    expect_pins(read_table_file(bytes, "manual.pdf"),
                static_cast<std::size_t>(pages / pages_of_table * pins_of_table));
  state.counters["pages"] = pages;
}
BENCHMARK(read_manual)->Unit(benchmark::kMillisecond);

// ---- a spreadsheet

void read_workbook(benchmark::State& state) {
  constexpr int sheets = 20, rows = 200;
  std::vector<files_test::MadeSheet> book;
  for (int sheet = 0; sheet < sheets; ++sheet) {
    files_test::MadeSheet made{"Connector X" + std::to_string(sheet + 1),
                               files_test::row_of({"Pin", "Function", "Colour", "Note"}), ""};
    for (int row = 1; row <= rows; ++row) {
      const auto pick = static_cast<std::size_t>(row + sheet);
      made.rows +=
          files_test::row_of({std::to_string(row), signals[pick % signals.size()] + " " + std::to_string(row),
                              colours[pick % colours.size()], "2.5 mm"});
    }
    book.push_back(std::move(made));
  }
  const std::string bytes = files_test::xlsx_of(book);
  for (auto _ : state)
    expect_pins(read_table_file(bytes, "pins.xlsx"), static_cast<std::size_t>(sheets * rows));
  state.counters["sheets"] = sheets;
}
BENCHMARK(read_workbook)->Unit(benchmark::kMillisecond);

}  // namespace

BENCHMARK_MAIN();

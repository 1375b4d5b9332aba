// A spreadsheet as its cells show it, whatever program wrote it.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "base/problem.h"

namespace loomgraft::files {

class ZipArchive;

constexpr int most_rows = 1'048'576;  // of a sheet, as spreadsheet programs have it
constexpr int most_columns = 16'384;
constexpr std::size_t most_merges = 5'000;  // of a sheet

struct SheetCell {
  int column = 0;  // from 1
  std::string text;
  std::string doubt;  // why the text may not be what a person typed
};

struct SheetRow {
  int number = 0;  // from 1
  std::vector<SheetCell> cells;
};

// Cells that are shown as one; the text is that of the first.
struct Merge {
  int top = 0, left = 0, bottom = 0, right = 0;
};

struct Sheet {
  std::string name;
  std::vector<SheetRow> rows;
  std::vector<Merge> merges;
};

struct Workbook {
  std::vector<Sheet> sheets;
  Problems problems;  // with an error among them, what is in `sheets` is not all
};

// Office Open XML (ECMA-376), and OpenDocument (ISO/IEC 26300) packed or as one XML text.
Workbook read_xlsx(ZipArchive& archive, const std::string& file);
Workbook read_ods(ZipArchive& archive, const std::string& file);
Workbook read_flat_ods(std::string_view xml, const std::string& file);

Problem damaged_file(const std::string& file, std::string message);
Problem too_large_file(const std::string& file);
Problem encrypted_spreadsheet(const std::string& file);

}  // namespace loomgraft::files

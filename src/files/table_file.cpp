#include "files/table_file.h"

#include <utility>

#include "files/file_kind.h"
#include "files/page_text.h"
#include "files/pdf_pages.h"
#include "files/placed_text.h"
#include "files/sheet_text.h"
#include "files/workbook.h"
#include "files/zip_archive.h"

namespace loomgraft {

using namespace files;
namespace {

Location placed(const Location& location, const PlacedText& text) {
  if (location.line <= 0) return location;
  const Spot spot = text.spot(location.line, location.column);
  return {location.file, spot.line, spot.column, location.pointer, text.place(spot)};
}

void take_doubts(TablePin& pin, const PlacedText& text) {
  const std::vector<std::string>& doubts = text.doubts(pin.source.line);
  pin.doubts.insert(pin.doubts.end(), doubts.begin(), doubts.end());
}

// Lines of the text become lines of the sheets and pages it was made of.
void place(ReadReport& report, const PlacedText& text) {
  for (PinTable& table : report.tables) {
    for (TablePin& pin : table.pins) {
      take_doubts(pin, text);
      const Spot spot = text.spot(pin.source.line, pin.source.column);
      pin.source = {pin.source.file, spot.line, spot.column, text.place(spot)};
    }
  }
  for (TablePreview& preview : report.previews) {
    const Spot spot = text.spot(preview.line, 1);
    preview.line = spot.line;
    preview.place = text.line_place(spot);
  }
  for (Problem& problem : report.problems) problem.location = placed(problem.location, text);
}

ReadReport read_placed(const PlacedText& text, Problems problems, const std::string& file,
                       ReadOptions options) {
  TableText tables = find_tables(text.text(), file);
  PlacedText::restore(tables);
  options.line_text = [&](int line) { return text.line_place(text.spot(line, 1)); };
  ReadReport report = read_found_tables(tables, file, options);
  place(report, text);
  report.problems.insert(report.problems.begin(), std::make_move_iterator(problems.begin()),
                         std::make_move_iterator(problems.end()));
  return report;
}

ReadReport refused(Problem problem) {
  ReadReport report;
  report.problems.push_back(std::move(problem));
  return report;
}

ReadReport read_workbook(Workbook book, const std::string& file, const ReadOptions& options) {
  if (book.sheets.empty()) {
    if (book.problems.empty()) book.problems.push_back(damaged_file(file, "It has no sheets."));
    ReadReport report;
    report.problems = std::move(book.problems);
    return report;
  }
  PlacedText text(PartKind::sheet);
  if (!add_workbook(text, book)) book.problems.push_back(too_large_file(file));
  return read_placed(text, std::move(book.problems), file, options);
}

Problem other_zip(const ZipArchive& archive, const std::string& file) {
  std::string message = "This is a packed archive, not a spreadsheet.",
              remedy = "Unpack it and read the file inside.";
  if (archive.has("word/document.xml")) {
    message = "This is a .docx document, which is not read.";
    remedy = "Open it, select the table, copy it and paste it; or save the document as PDF.";
  } else if (archive.has("xl/workbook.bin")) {
    message = "This is a binary spreadsheet (.xlsb), which is not read.";
    remedy = "Open it in a spreadsheet program, save it as .xlsx or .ods and read that.";
  } else if (archive.has("ppt/presentation.xml")) {
    message = "These are slides, which are not read.";
    remedy = "Open them, select the table, copy it and paste it; or save them as PDF.";
  }
  return {Severity::error, "file-kind-not-read", {file, 0, 0, ""}, std::move(message), std::move(remedy)};
}

ReadReport read_zip(std::string_view bytes, const std::string& file, const ReadOptions& options) {
  ZipArchive archive(bytes);
  if (!archive.usable()) return refused(damaged_file(file, "Its list of parts cannot be read."));
  if (archive.encrypted()) return refused(encrypted_spreadsheet(file));
  if (archive.too_large()) return refused(too_large_file(file));
  if (archive.has("content.xml")) return read_workbook(read_ods(archive, file), file, options);
  const bool others = archive.has("word/document.xml") || archive.has("xl/workbook.bin") ||
                      archive.has("ppt/presentation.xml");
  if (!others && (archive.has("_rels/.rels") || archive.has("xl/workbook.xml")))
    return read_workbook(read_xlsx(archive, file), file, options);
  return refused(other_zip(archive, file));
}

ReadReport read_pdf(std::string_view bytes, const std::string& file, const ReadOptions& options) {
  PdfPages pages = read_pdf_pages(bytes, file);
  if (pages.pages.empty()) {
    ReadReport report;
    report.problems = std::move(pages.problems);
    return report;
  }
  PlacedText text(PartKind::page);
  if (!add_pages(text, pages.pages)) pages.problems.push_back(too_large_file(file));
  return read_placed(text, std::move(pages.problems), file, options);
}

}  // namespace

ReadReport read_table_file(std::string_view bytes, const std::string& file, const ReadOptions& options) {
  const FileKind kind = kind_of(bytes);
  switch (kind) {
    case FileKind::text:
      return read_tables(bytes, file, options);
    case FileKind::zip:
      return read_zip(bytes, file, options);
    case FileKind::flat_sheet:
      return read_workbook(read_flat_ods(bytes, file), file, options);
    case FileKind::pdf:
      return read_pdf(bytes, file, options);
    default:
      return refused(refusal_of(kind, bytes, file));
  }
}

}  // namespace loomgraft

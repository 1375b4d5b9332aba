#include "files/page_lines.h"

#include <algorithm>
#include <cmath>
#include <span>

namespace loomgraft::files {
namespace {

// In heights of the font. Blanks between words are 0.2 to 0.3, in justified text up to 0.5.
constexpr double gap_of_segments = 0.6;
constexpr double gap_of_words = 0.08;  // below it, two pieces are one word: a raised figure, a change of font
constexpr double shared_height = 0.7;
constexpr double same_edge = 0.6;   // points
constexpr double like_gaps = 0.12;  // in heights of the font
constexpr double no_gap = -1;       // in front of the first word of a line
constexpr double largest_gap = 1e6;
constexpr double other_font = 1.12;
constexpr std::size_t most_lines_of_run = 200;

void cut_into_segments(PageLine& line) {
  for (std::size_t i = 0; i < line.words.size(); ++i) {
    const PageWord& word = line.words[i];
    const double size = word.bottom - word.top;
    if (i == 0 || word.left - line.segments.back().right > gap_of_segments * size)
      line.segments.push_back({word.left, word.right, i, i + 1});
    line.segments.back().right = std::max(line.segments.back().right, word.right);
    line.segments.back().end = i + 1;
  }
}

// Lines of one font that follow each other closely.
std::size_t run_from(const std::vector<PageLine>& lines, std::size_t at) {
  std::size_t end = at + 1;
  while (end < lines.size() && end - at < most_lines_of_run &&
         lines[end].top - lines[end - 1].bottom <= widest_gap * lines[end].size() &&
         lines[end].size() < other_font * lines[end - 1].size() &&
         lines[end - 1].size() < other_font * lines[end].size())
    ++end;
  return end;
}

struct Edge {
  double x = 0;
  std::size_t words = 0;
  double least_gap = 0, largest_gap = 0;  // in front of them, in heights of the font
};

// Places at which words of several lines begin.
std::vector<Edge> edges_of(std::span<const PageLine> lines) {
  struct Start {
    double left, gap;
  };
  std::vector<Start> starts;
  for (const PageLine& line : lines)
    for (std::size_t i = 0; i < line.words.size(); ++i) {
      const double gap = i == 0 ? no_gap : (line.words[i].left - line.words[i - 1].right) / line.size();
      starts.push_back({line.words[i].left, gap});
    }
  std::ranges::stable_sort(starts, {}, &Start::left);
  std::vector<Edge> edges;
  for (const Start& start : starts) {
    if (edges.empty() || start.left - edges.back().x > same_edge)
      edges.push_back({start.left, 0, largest_gap, 0});
    Edge& edge = edges.back();
    ++edge.words;
    if (start.gap == no_gap) continue;
    edge.least_gap = std::min(edge.least_gap, start.gap);
    edge.largest_gap = std::max(edge.largest_gap, start.gap);
  }
  return edges;
}

// Blanks between words are alike, so words that begin at one place by chance have like gaps in front of them. No word runs
// over the edge of a column but heads that are centred on it, and titles.
bool begins_column(const Edge& edge, std::span<const PageLine> lines) {
  if (edge.words < 2 || edge.words * 4 < lines.size()) return false;
  if (edge.largest_gap < gap_of_segments && edge.largest_gap - edge.least_gap < like_gaps) return false;
  const auto rows =
      std::ranges::count_if(lines, [](const PageLine& line) { return line.segments.size() > 1; });
  std::size_t over = 0;
  for (std::size_t i = 1; i < lines.size(); ++i) {
    if (rows >= 3 && lines[i].segments.size() < 2) continue;  // a sentence below the table
    over += std::ranges::any_of(lines[i].words, [&](const PageWord& word) {
      return word.left < edge.x - same_edge && word.right > edge.x + 2 * same_edge;
    });
  }
  return over * 3 <= edge.words;
}

void cut_at(PageLine& line, double left) {
  for (std::size_t i = 0; i < line.segments.size(); ++i) {
    Segment& segment = line.segments[i];
    for (std::size_t word = segment.first + 1; word < segment.end; ++word) {
      if (std::abs(line.words[word].left - left) > same_edge) continue;
      const Segment rest{line.words[word].left, segment.right, word, segment.end};
      segment.end = word;
      segment.right = line.words[word - 1].right;
      line.segments.insert(line.segments.begin() + static_cast<std::ptrdiff_t>(i) + 1, rest);
      return;
    }
  }
}

// Cells that nearly touch: a number at the right of its column, a long text beside the next column.
void cut_at_columns(std::vector<PageLine>& lines) {
  for (std::size_t at = 0; at < lines.size();) {
    const std::size_t end = run_from(lines, at);
    const std::span<PageLine> run(lines.begin() + static_cast<std::ptrdiff_t>(at),
                                  lines.begin() + static_cast<std::ptrdiff_t>(end));
    at = end;
    const auto is_row_like = [](const PageLine& line) { return line.segments.size() > 1; };
    if (run.size() < 2 || std::ranges::none_of(run, is_row_like)) continue;
    const std::span<PageLine> rows =
        run.subspan(static_cast<std::size_t>(std::ranges::find_if(run, is_row_like) - run.begin()));
    for (const Edge& edge : edges_of(rows)) {
      if (!begins_column(edge, rows)) continue;
      for (PageLine& line : rows) cut_at(line, edge.x);
    }
  }
}

}  // namespace

std::vector<PageLine> lines_of(const Page& page) {
  std::vector<const PageWord*> words;
  words.reserve(page.words.size());
  for (const PageWord& word : page.words) words.push_back(&word);
  const auto middle = [](const PageWord* word) { return word->top + word->bottom; };
  std::ranges::stable_sort(words, {}, middle);
  std::vector<PageLine> lines;
  for (const PageWord* word : words) {
    const double height = word->bottom - word->top;
    const bool same = !lines.empty() &&
                      std::min(word->bottom, lines.back().bottom) - std::max(word->top, lines.back().top) >
                          shared_height * std::min(height, lines.back().size());
    if (!same) lines.push_back({static_cast<int>(lines.size()) + 1, word->top, word->bottom, {}, {}});
    lines.back().words.push_back(*word);
  }
  for (PageLine& line : lines) {
    std::ranges::stable_sort(line.words, {}, &PageWord::left);
    cut_into_segments(line);
  }
  cut_at_columns(lines);
  return lines;
}

std::string text_of(const PageLine& line, std::size_t first, std::size_t end) {
  std::string text;
  for (std::size_t i = first; i < end; ++i) {
    const PageWord& word = line.words[i];
    const bool apart =
        i > first && word.left - line.words[i - 1].right > gap_of_words * (word.bottom - word.top);
    if (apart) text += ' ';
    text += word.text;
  }
  return text;
}

std::string text_of(const PageLine& line) {
  std::string text;
  for (const Segment& segment : line.segments)
    text += (text.empty() ? "" : " ") + text_of(line, segment.first, segment.end);
  return text;
}

}  // namespace loomgraft::files

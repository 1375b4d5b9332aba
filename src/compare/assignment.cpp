#include "compare/assignment.h"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <limits>

namespace loomgraft::compare {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();

// A cost that first counts rows left unserved and only then adds up: what a very large penalty would say,
// without its rounding. Ordered and added like a number, so the same search runs on it.
struct Ranked {
  double unserved = 0.0;
  double cost = 0.0;
  friend bool operator<(Ranked a, Ranked b) {
    return a.unserved != b.unserved ? a.unserved < b.unserved : a.cost < b.cost;
  }
  friend Ranked operator+(Ranked a, Ranked b) { return {a.unserved + b.unserved, a.cost + b.cost}; }
  friend Ranked operator-(Ranked a, Ranked b) { return {a.unserved - b.unserved, a.cost - b.cost}; }
};

// One table with at least as many columns as rows; forbidden pairs are infinite.
struct PlainTable {
  std::span<const double> cost;
  std::size_t rows = 0;
  std::size_t columns = 0;

  using Cost = double;
  static Cost unreachable() { return infinity; }
  double operator()(std::size_t row, std::size_t column) const { return cost[row * columns + column]; }
};

// The same table with one more column for each row: to stay unserved.
struct TableWithRefusals {
  PlainTable plain;
  std::size_t rows = 0;
  std::size_t columns = 0;

  using Cost = Ranked;
  static Cost unreachable() { return {infinity, 0.0}; }
  Ranked operator()(std::size_t row, std::size_t column) const {
    if (column >= plain.columns) return column - plain.columns == row ? Ranked{1.0, 0.0} : unreachable();
    const double cost = plain(row, column);
    return cost < infinity ? Ranked{0.0, cost} : unreachable();
  }
};

template <class Table>
class Search {
 public:
  using Cost = typename Table::Cost;

  explicit Search(const Table& table)
      : table_(table),
        row_price_(table.rows),
        column_price_(table.columns),
        column_of_row_(table.rows, -1),
        row_of_column_(table.columns, -1),
        distance_(table.columns),
        came_from_(table.columns) {}

  // Serves every row; false at the first that cannot be served.
  bool run() {
    for (std::size_t row = 0; row < table_.rows; ++row) take_cheapest(row);
    for (std::size_t row = 0; row < table_.rows; ++row) {
      if (column_of_row_[row] < 0 && !augment(row)) return false;
    }
    return true;
  }

  const std::vector<int>& column_of_row() const { return column_of_row_; }

 private:
  // The row's price is its cheapest cost; where that column is still free the pair is made at once.
  void take_cheapest(std::size_t row) {
    std::size_t best = 0;
    for (std::size_t column = 1; column < table_.columns; ++column) {
      if (table_(row, column) < table_(row, best)) best = column;
    }
    if (!(table_(row, best) < Table::unreachable())) return;
    row_price_[row] = table_(row, best);
    if (row_of_column_[best] < 0) join(row, best);
  }

  void join(std::size_t row, std::size_t column) {
    row_of_column_[column] = static_cast<int>(row);
    column_of_row_[row] = static_cast<int>(column);
  }

  void relax(std::size_t row, Cost reached) {
    const Cost base = reached - row_price_[row];
    for (const std::size_t column : open_) {
      const Cost cost = table_(row, column);
      if (!(cost < Table::unreachable())) continue;
      const Cost distance = base + cost - column_price_[column];
      if (distance < distance_[column]) {
        distance_[column] = distance;
        came_from_[column] = row;
      }
    }
  }

  // Position in open_ of the nearest column; among equally near ones a free column ends the search soonest.
  std::size_t nearest() const {
    std::size_t best = 0;
    for (std::size_t at = 1; at < open_.size(); ++at) {
      const std::size_t column = open_[at];
      const std::size_t champion = open_[best];
      const bool nearer = distance_[column] < distance_[champion];
      const bool as_near = !nearer && !(distance_[champion] < distance_[column]);
      if (nearer || (as_near && row_of_column_[column] < 0 && row_of_column_[champion] >= 0)) best = at;
    }
    return best;
  }

  // Dijkstra over reduced costs from one unserved row to the nearest free column.
  bool augment(std::size_t start) {
    open_.resize(table_.columns);
    for (std::size_t column = 0; column < table_.columns; ++column) open_[column] = column;
    std::fill(distance_.begin(), distance_.end(), Table::unreachable());
    done_.clear();

    Cost reached{};
    std::size_t row = start;
    for (;;) {
      relax(row, reached);
      if (open_.empty()) return false;
      const std::size_t at = nearest();
      const std::size_t column = open_[at];
      reached = distance_[column];
      if (!(reached < Table::unreachable())) return false;
      if (row_of_column_[column] < 0) {
        update_prices(start, reached);
        flip_path(start, column);
        return true;
      }
      open_.erase(open_.begin() +
                  static_cast<std::ptrdiff_t>(at));  // keeps the order of columns: ties stay stable
      done_.push_back(column);
      row = static_cast<std::size_t>(row_of_column_[column]);
    }
  }

  void update_prices(std::size_t start, Cost reached) {
    row_price_[start] = row_price_[start] + reached;
    for (const std::size_t column : done_) {
      const Cost slack = reached - distance_[column];
      const auto row = static_cast<std::size_t>(row_of_column_[column]);
      row_price_[row] = row_price_[row] + slack;
      column_price_[column] = column_price_[column] - slack;
    }
  }

  void flip_path(std::size_t start, std::size_t column) {
    for (;;) {
      const std::size_t row = came_from_[column];
      const int freed = column_of_row_[row];
      join(row, column);
      if (row == start) return;
      column = static_cast<std::size_t>(freed);
    }
  }

  const Table& table_;
  std::vector<Cost> row_price_;
  std::vector<Cost> column_price_;
  std::vector<int> column_of_row_;
  std::vector<int> row_of_column_;
  std::vector<Cost> distance_;
  std::vector<std::size_t> came_from_;
  std::vector<std::size_t> open_;  // columns not yet scanned, ascending
  std::vector<std::size_t> done_;  // columns scanned in this search
};

// Rows at most columns, infinite where forbidden, magnitudes such that sums stay finite.
std::vector<int> solve_wide(const PlainTable& table) {
  Search<PlainTable> all_served(table);
  if (all_served.run()) return all_served.column_of_row();

  const TableWithRefusals refusing{table, table.rows, table.columns + table.rows};
  Search<TableWithRefusals> search(refusing);
  search.run();
  std::vector<int> result = search.column_of_row();
  for (int& column : result) {
    if (column >= static_cast<int>(table.columns)) column = -1;
  }
  return result;
}

double largest_magnitude(std::span<const double> cost) {
  double largest = 0.0;
  for (const double value : cost) {
    if (std::isfinite(value)) largest = std::max(largest, std::abs(value));
  }
  return largest;
}

}  // namespace

std::vector<int> assign(std::span<const double> cost, int rows, int columns) {
  if (rows <= 0) return {};
  std::vector<int> result(static_cast<std::size_t>(rows), -1);
  const auto height = static_cast<std::size_t>(rows);
  const auto width = static_cast<std::size_t>(std::max(columns, 0));
  if (width == 0 || cost.size() != height * width) return result;

  const bool turned = height > width;
  // Path lengths add up at most 2 n costs: bring giant ones down so that no sum overflows. A power of two is
  // exact.
  const double scale = largest_magnitude(cost) > 1e250 ? 0x1p-200 : 1.0;
  std::vector<double> table(cost.size());
  for (std::size_t row = 0; row < height; ++row) {
    for (std::size_t column = 0; column < width; ++column) {
      const double value = cost[row * width + column];
      table[turned ? column * height + row : row * width + column] =
          std::isfinite(value) ? value * scale : infinity;
    }
  }
  if (!turned) return solve_wide({table, height, width});

  const std::vector<int> row_of_column = solve_wide({table, width, height});
  for (std::size_t column = 0; column < width; ++column) {
    if (row_of_column[column] >= 0)
      result[static_cast<std::size_t>(row_of_column[column])] = static_cast<int>(column);
  }
  return result;
}

}  // namespace loomgraft::compare

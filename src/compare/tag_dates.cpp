#include "compare/tag_dates.h"

#include <algorithm>
#include <array>
#include <vector>

#include "base/ascii.h"
#include "standards/obd_dates.h"

namespace loomgraft::compare {
namespace {

std::string letters_and_digits(std::string_view text) {
  std::string kept;
  for (const char c : text) {
    if (is_digit(c) || is_letter(c)) kept += upper(c);
  }
  return kept;
}

struct Number {
  int value = 0;
  std::size_t begin = 0;
  std::size_t end = 0;
  std::size_t digits() const { return end - begin; }
};

std::vector<Number> numbers_in(std::string_view text) {
  std::vector<Number> numbers;
  for (std::size_t at = 0; at < text.size(); ++at) {
    if (!is_digit(text[at])) continue;
    Number number{0, at, at};
    while (number.end < text.size() && is_digit(text[number.end])) {
      if (number.digits() < 6) number.value = 10 * number.value + (text[number.end] - '0');
      ++number.end;
    }
    at = number.end;
    numbers.push_back(number);
  }
  return numbers;
}

bool is_full_year(const Number& number) {
  return number.digits() == 4 && number.value >= 1900 && number.value < 2100;
}

// Two digits count from 1950 to 2049.
int full_year(int two_digits) {
  return two_digits >= 50 ? 1900 + two_digits : 2000 + two_digits;
}

// The "99" of "1998/99" or "1998-99", but not the month of "1998-05/2001".
bool shortens_a_year(std::string_view text, const Number& before, const Number& number) {
  if (!is_full_year(before) || number.digits() != 2 || number.begin != before.end + 1) return false;
  const char mark = text[before.end];
  const bool followed = number.end < text.size() && (text[number.end] == '/' || text[number.end] == '.');
  return (mark == '-' || mark == '/') && !followed;
}

bool is_open_ended(std::string_view text) {
  while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
  return !text.empty() &&
         (text.back() == '-' || text.back() == '+' || text.ends_with("on") || text.ends_with("\xE2\x80\x93"));
}

std::vector<std::string> words_in(std::string_view text) {
  std::vector<std::string> words(1);
  for (const char c : text) {
    if (is_letter(c)) {
      words.back() += upper(c);
    } else if (!words.back().empty()) {
      words.emplace_back();
    }
  }
  return words;
}

// Names of regions as tables write them; the dates themselves are in data/.
struct RegionName {
  std::string_view word;
  std::string_view region;
};
constexpr std::array<RegionName, 17> region_names{{{"US", "US federal"},
                                                   {"USA", "US federal"},
                                                   {"FEDERAL", "US federal"},
                                                   {"CALIFORNIA", "California"},
                                                   {"EU", "EU"},
                                                   {"EC", "EU"},
                                                   {"EEC", "EU"},
                                                   {"EUROPE", "EU"},
                                                   {"UK", "EU"},
                                                   {"GB", "EU"},
                                                   {"DE", "EU"},
                                                   {"FR", "EU"},
                                                   {"IT", "EU"},
                                                   {"ES", "EU"},
                                                   {"NL", "EU"},
                                                   {"BE", "EU"},
                                                   {"AT", "EU"}}};

// Empty where the market names no region with dates, or more than one.
std::string_view region_of(std::string_view market) {
  std::string_view region;
  for (const std::string& word : words_in(market)) {
    for (const RegionName& name : region_names) {
      if (name.word != word || name.region == region) continue;
      const bool narrows = region == "US federal" && name.region == "California";
      const bool widens = region == "California" && name.region == "US federal";
      if (widens) continue;
      if (!region.empty() && !narrows) return {};
      region = name.region;
    }
  }
  return region;
}

bool applies(const ObdDate& date, std::string_view region) {
  return date.light && (date.region == region || (date.region == "US" && region != "EU"));
}

// The first or the last date of a kind, or null.
const ObdDate* extreme(std::string_view region, ObdEvent kind, bool last) {
  const ObdDate* found = nullptr;
  for (const ObdDate& date : obd_dates()) {
    if (date.kind != kind || !applies(date, region)) continue;
    if (found == nullptr || (last ? date.year > found->year : date.year < found->year)) found = &date;
  }
  return found;
}

std::string describe(const ObdDate& date) {
  const std::string event =
      date.event == "OBD" || date.event == "required" ? "OBD required from" : date.event;
  return date.region + ", " + date.vehicles + ": " + event + " " + date.date;
}

std::string citation(const ObdDate& date) {
  return date.status == date.source.substr(0, date.status.size()) ? date.source
                                                                  : date.source + " (" + date.status + ")";
}

// A source that gives another year is mentioned.
std::string disagreement(std::string_view region, const ObdDate& date) {
  for (const ObdDate& claim : obd_dates()) {
    if (claim.kind == ObdEvent::claimed && applies(claim, region) && claim.year != date.year) {
      return " One source says " + claim.date + " instead (" + claim.source + ").";
    }
  }
  return {};
}

}  // namespace

DiagnosticsKind read_diagnostics(std::string_view text) {
  const std::string word = letters_and_digits(text);
  if (word == "OBDII" || word == "OBD2" || word == "EOBD" || word == "EOBD2") return DiagnosticsKind::obd_2;
  if (word == "OBDI" || word == "OBD1") return DiagnosticsKind::obd_1;
  if (word == "NONE" || word == "NO" || word == "FLASHCODE" || word == "FLASHCODES")
    return DiagnosticsKind::none;
  return DiagnosticsKind::unknown;
}

std::optional<YearRange> read_years(std::string_view text) {
  const std::vector<Number> numbers = numbers_in(text);
  std::vector<int> years;
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    if (is_full_year(numbers[i])) years.push_back(numbers[i].value);
    if (i > 0 && shortens_a_year(text, numbers[i - 1], numbers[i])) {
      const int century = numbers[i - 1].value / 100 * 100;
      const int year = century + numbers[i].value;
      years.push_back(year < numbers[i - 1].value ? year + 100 : year);
    }
  }
  if (years.empty()) {
    for (const Number& number : numbers) {
      if (number.digits() == 2) years.push_back(full_year(number.value));
    }
  }
  if (years.empty()) return std::nullopt;
  const auto [first, last] = std::minmax_element(years.begin(), years.end());
  return YearRange{*first, is_open_ended(text) ? 9999 : *last};
}

ObdImplied implied_by(std::string_view market, std::string_view years) {
  const std::string_view region = region_of(market);
  const std::optional<YearRange> range = read_years(years);
  if (region.empty() || !range) return {};
  const ObdDate* begin = extreme(region, ObdEvent::phase_in, false);
  const ObdDate* first = extreme(region, ObdEvent::required, false);
  const ObdDate* last = extreme(region, ObdEvent::required, true);
  if (begin == nullptr || first == nullptr || last == nullptr) return {};
  if (range->last < begin->year) {
    return {ObdDuty::not_expected, "Before the phase-in (" + describe(*begin) + ").", citation(*begin)};
  }
  if (range->first >= last->year) {
    return {ObdDuty::required, describe(*last) + "." + disagreement(region, *first), citation(*last)};
  }
  if (range->first >= first->year) {
    return {ObdDuty::required_by_fuel,
            describe(*first) + "; " + describe(*last) + "." + disagreement(region, *first),
            first->source == last->source ? citation(*first) : citation(*first) + "; " + citation(*last)};
  }
  return {ObdDuty::possible, describe(*begin) + "; " + describe(*first) + "." + disagreement(region, *first),
          begin->source == first->source ? citation(*begin) : citation(*begin) + "; " + citation(*first)};
}

}  // namespace loomgraft::compare

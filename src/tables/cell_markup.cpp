#include <algorithm>
#include <array>
#include <charconv>

#include "tables/table_internal.h"
#include "text/encoding.h"

namespace loomgraft::tables {
namespace {

struct Entity {
  std::string_view name;
  std::string_view text;
};

// The named entities that wire and signal tables use (HTML living standard, 13.5).
constexpr std::array entities = std::to_array<Entity>({{"amp", "&"},
                                                       {"lt", "<"},
                                                       {"gt", ">"},
                                                       {"quot", "\""},
                                                       {"apos", "'"},
                                                       {"nbsp", "\xC2\xA0"},
                                                       {"deg", "\xC2\xB0"},
                                                       {"plusmn", "\xC2\xB1"},
                                                       {"micro", "\xC2\xB5"},
                                                       {"ohm", "\xCE\xA9"},
                                                       {"Omega", "\xCE\xA9"},
                                                       {"mu", "\xCE\xBC"},
                                                       {"ndash", "\xE2\x80\x93"},
                                                       {"mdash", "\xE2\x80\x94"},
                                                       {"minus", "\xE2\x88\x92"},
                                                       {"times", "\xC3\x97"},
                                                       {"middot", "\xC2\xB7"},
                                                       {"bull", "\xE2\x80\xA2"},
                                                       {"sup2", "\xC2\xB2"},
                                                       {"frac12", "\xC2\xBD"},
                                                       {"hellip", "\xE2\x80\xA6"},
                                                       {"rarr", "\xE2\x86\x92"},
                                                       {"larr", "\xE2\x86\x90"},
                                                       {"auml", "\xC3\xA4"},
                                                       {"ouml", "\xC3\xB6"},
                                                       {"uuml", "\xC3\xBC"},
                                                       {"Auml", "\xC3\x84"},
                                                       {"Ouml", "\xC3\x96"},
                                                       {"Uuml", "\xC3\x9C"},
                                                       {"szlig", "\xC3\x9F"},
                                                       {"eacute", "\xC3\xA9"},
                                                       {"egrave", "\xC3\xA8"},
                                                       {"agrave", "\xC3\xA0"},
                                                       {"ccedil", "\xC3\xA7"},
                                                       {"aring", "\xC3\xA5"},
                                                       {"aelig", "\xC3\xA6"},
                                                       {"oslash", "\xC3\xB8"},
                                                       {"ntilde", "\xC3\xB1"},
                                                       {"rsquo", "\xE2\x80\x99"},
                                                       {"lsquo", "\xE2\x80\x98"},
                                                       {"ldquo", "\xE2\x80\x9C"},
                                                       {"rdquo", "\xE2\x80\x9D"},
                                                       {"copy", "\xC2\xA9"},
                                                       {"reg", "\xC2\xAE"},
                                                       {"lowbar", "_"},
                                                       {"vert", "|"},
                                                       {"num", "#"},
                                                       {"plus", "+"},
                                                       {"shy", ""},
                                                       {"thinsp", " "},
                                                       {"ensp", " "},
                                                       {"emsp", " "}});

// Appends what the entity between '&' and ';' stands for; false where it is none.
bool append_entity(std::string& out, std::string_view name) {
  if (name.starts_with('#')) {
    const bool hex = name.size() > 1 && (name[1] == 'x' || name[1] == 'X');
    const std::string_view digits = name.substr(hex ? 2 : 1);
    unsigned code = 0;
    const auto end = std::from_chars(digits.data(), digits.data() + digits.size(), code, hex ? 16 : 10);
    if (digits.empty() || end.ec != std::errc{} || end.ptr != digits.data() + digits.size() || code == 0)
      return false;
    append_utf8(out, code);
    return true;
  }
  const auto found = std::find_if(entities.begin(), entities.end(),
                                  [&](const Entity& entity) { return entity.name == name; });
  if (found == entities.end()) return false;
  out += found->text;
  return true;
}

bool punctuation(char c) {
  return (c >= '!' && c <= '/') || (c >= ':' && c <= '@') || (c >= '[' && c <= '`') || (c >= '{' && c <= '~');
}

// "[text](target)" or "![text](target)": gives the text; reference links and bare brackets stay as they are,
// since brackets also hold notes.
bool take_link(std::string_view text, std::size_t& at, std::string& out) {
  const std::size_t open = text[at] == '!' ? at + 1 : at;
  if (open >= text.size() || text[open] != '[') return false;
  constexpr std::size_t reach = 1000;
  const std::size_t close = text.substr(0, std::min(text.size(), open + reach)).find(']', open);
  if (close == std::string_view::npos || close + 1 >= text.size() || text[close + 1] != '(') return false;
  const std::size_t end = text.substr(0, std::min(text.size(), close + reach)).find(')', close);
  if (end == std::string_view::npos) return false;
  const std::string_view target = text.substr(close + 2, end - close - 2);
  const bool is_target =
      target.find_first_of("/.#") != std::string_view::npos && target.find(' ') == std::string_view::npos;
  if (!is_target) return false;
  out += text.substr(open + 1, close - open - 1);
  at = end + 1;
  return true;
}

// Emphasis marks are dropped in pairs only: "**x**", "`x`". A single star or underscore is part of a name.
std::string without_pairs(std::string text, std::string_view mark) {
  std::size_t open = text.find(mark);
  if (open == std::string::npos) return text;
  std::string out;
  std::size_t done = 0;
  while (open != std::string::npos) {
    const std::size_t close = text.find(mark, open + mark.size());
    if (close == std::string::npos) break;
    out.append(text, done, open - done);
    out.append(text, open + mark.size(), close - open - mark.size());
    done = close + mark.size();
    open = text.find(mark, done);
  }
  return out.append(text, done);
}

std::string drop_backslashes_and_links(std::string_view text) {
  std::string out;
  std::size_t at = 0;
  while (at < text.size()) {
    if (text[at] == '\\' && at + 1 < text.size() && punctuation(text[at + 1])) {
      out.push_back(text[at + 1]);
      at += 2;
    } else if ((text[at] == '[' || text[at] == '!') && take_link(text, at, out)) {
      continue;
    } else {
      out.push_back(text[at++]);
    }
  }
  return out;
}

bool is_tag_start(std::string_view html, std::size_t at) {
  if (at + 1 >= html.size()) return false;
  const char next = html[at + 1];
  return is_letter(next) || ((next == '/' || next == '!') && at + 2 < html.size() &&
                             (is_letter(html[at + 2]) || html[at + 2] == '-'));
}

}  // namespace

std::string decode_entities(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  std::size_t at = 0;
  while (at < text.size()) {
    if (text[at] == '&') {
      const std::size_t end = text.substr(0, std::min(text.size(), at + 12)).find(';', at);
      if (end != std::string_view::npos && append_entity(out, text.substr(at + 1, end - at - 1))) {
        at = end + 1;
        continue;
      }
    }
    out.push_back(text[at++]);
  }
  return out;
}

// A line break tag becomes a line end, every other tag a blank where it parts two words.
std::string without_tags(std::string_view html) {
  std::string out;
  std::size_t at = 0;
  while (at < html.size()) {
    if (html[at] != '<' || !is_tag_start(html, at)) {
      out.push_back(html[at++]);
      continue;
    }
    const bool comment = html.substr(at).starts_with("<!--");
    const std::size_t end = html.find(comment ? std::string_view("-->") : std::string_view(">"), at);
    if (end == std::string_view::npos) {
      out += html.substr(at);
      break;
    }
    const std::string_view tag = html.substr(at + 1, end - at - 1);
    if (starts_with_word(tag, "br"))
      out.push_back('\n');
    else if (starts_with_word(tag, "tab") || starts_with_word(tag, "p") || starts_with_word(tag, "/p") ||
             starts_with_word(tag, "div") || starts_with_word(tag, "li"))
      out.push_back(' ');
    at = end + (comment ? 3 : 1);
  }
  return out;
}

std::string without_footnotes(std::string_view text) {
  constexpr std::size_t longest = 24;
  std::string out(text);
  for (std::size_t end = out.find("]_"); end != std::string::npos; end = out.find("]_")) {
    const std::size_t open = out.rfind('[', end);
    if (open == std::string::npos || end - open > longest) break;
    out.erase(open, end + 2 - open);
  }
  return std::string(trim(out));
}

std::string without_markdown(std::string_view text) {
  if (text.find_first_of("*`\\[]<&_") == std::string_view::npos) return std::string(text);
  std::string out(text);
  if (out.find_first_of("\\[") != std::string::npos) out = drop_backslashes_and_links(out);
  out = without_pairs(std::move(out), "**");
  out = without_pairs(std::move(out), "`");
  for (const std::string_view mark : {"__", "_", "*"}) {
    const std::string_view bare = trim(out);
    if (bare.size() > 2 * mark.size() && bare.starts_with(mark) && bare.ends_with(mark))
      out = std::string(bare.substr(mark.size(), bare.size() - 2 * mark.size()));
  }
  if (out.find('<') != std::string::npos) out = without_tags(out);
  if (out.find('&') != std::string::npos) out = decode_entities(out);
  return std::string(trim(out));
}

}  // namespace loomgraft::tables

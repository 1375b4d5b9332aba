#include "serve/access_check.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/ascii.h"
#include "http/clock.h"
#include "http/refusal.h"

namespace loomgraft::serve {
namespace {

constexpr std::string_view cookie_name = "loomgraft";
constexpr std::size_t longest_author = 60;

std::vector<std::string> cookies_of(const Call& call) {
  std::vector<std::string> values;
  const auto [first, last] = call.fields.equal_range("Cookie");
  for (auto it = first; it != last; ++it) {
    std::string_view text = it->second;
    while (!text.empty() && values.size() < 8) {
      const std::size_t end = std::min(text.find(';'), text.size());
      std::string_view pair = text.substr(0, end);
      while (pair.starts_with(' ')) pair.remove_prefix(1);
      if (pair.starts_with(cookie_name) && pair.substr(cookie_name.size()).starts_with('='))
        values.emplace_back(pair.substr(cookie_name.size() + 1));
      text.remove_prefix(std::min(end + 1, text.size()));
    }
  }
  return values;
}

bool changes_something(const Call& call) {
  return call.method != "GET";
}

// Browsers say where a request comes from; other programs say nothing, and have no cookies of a browser.
bool from_own_page(const Call& call) {
  const std::string_view site = field(call, "Sec-Fetch-Site");
  const std::string_view origin = field(call, "Origin");
  if (!origin.empty() && lower(origin) != "http://" + lower(field(call, "Host"))) return false;
  if (site.empty() || site == "same-origin") return true;
  if (changes_something(call)) return false;
  // A person may type the page's address or follow a link to it, but no other site may ask for our data.
  const bool opens_page = field(call, "Sec-Fetch-Mode") == "navigate" && !call.path.starts_with("/api/");
  return site == "none" || opens_page;
}

// One line of text of bounded length, cut between characters.
std::string author_of(const Call& call, const std::string& device) {
  std::string author = safe_field(field(call, "X-Author"));
  if (author.size() > longest_author) {
    std::size_t end = longest_author;
    while (end > 0 && (static_cast<unsigned char>(author[end]) & 0xc0U) == 0x80U) --end;
    author.resize(end);
  }
  return author.find_first_not_of(' ') == std::string::npos ? device : author;
}

bool knows_host(const Call& call, const std::vector<std::string>& hosts) {
  if (call.fields.count("Host") != 1) return false;
  return std::find(hosts.begin(), hosts.end(), lower(field(call, "Host"))) != hosts.end();
}

}  // namespace

std::string session_cookie(const std::string& cookie) {
  return fmt::format("{}={}; Path=/; Max-Age={}; HttpOnly; SameSite=Strict", cookie_name, cookie,
                     session_seconds);
}

std::optional<Answer> check_access(Call& call, const Route* route, const AccessRules& rules,
                                   Pairing& pairing) {
  if (rules.loopback_is_remote) call.loopback = false;
  if (!knows_host(call, rules.hosts))
    return refuse(403, "foreign-host", "The request names another host than this one.",
                  "Open the address that the program shows when it starts.");
  if (!from_own_page(call))
    return refuse(403, "foreign-origin", "The request comes from another page than the workbench.",
                  "Open the workbench itself and do it there.");
  if (call.loopback) {
    call.device = "this computer";
  } else if (const auto device = pairing.find(cookies_of(call), seconds_now())) {
    call.device = *device;
  }
  call.paired = !call.device.empty();
  call.author = author_of(call, call.device);
  const Caller caller = route ? route->caller : Caller::paired;
  if (caller == Caller::anyone || call.paired) {
    if (caller == Caller::this_machine && !call.loopback)
      return refuse(403, "this-machine-only", "Only the computer that the program runs on may ask this.",
                    "Do it there.");
    return std::nullopt;
  }
  return refuse(401, "not-paired", "This device is not paired with the workbench.",
                "Open \"Join a phone\" on the computer it runs on, and scan the code that it shows.");
}

void add_security_headers(Answer& answer) {
  const auto add = [&](const char* name, const char* value) {
    if (!answer.fields.contains(name)) answer.fields.emplace(name, value);
  };
  add("Content-Security-Policy",
      "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
      "connect-src 'self'; font-src 'self'; worker-src 'self'; form-action 'none'; frame-ancestors 'none'; "
      "base-uri 'none'");
  add("X-Content-Type-Options", "nosniff");
  add("Referrer-Policy", "no-referrer");
  add("X-Frame-Options", "DENY");
  add("Cross-Origin-Resource-Policy", "same-origin");
  add("Cross-Origin-Opener-Policy", "same-origin");
  add("Cache-Control", "no-store");
}

}  // namespace loomgraft::serve

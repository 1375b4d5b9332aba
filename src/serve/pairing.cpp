#include "serve/pairing.h"

#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <fstream>
#include <nlohmann/json.hpp>
#include <sstream>

#include "serve/secret.h"
#include "store/sha256.h"

namespace loomgraft {

using namespace serve;
namespace {

constexpr std::size_t max_tokens = 8;
constexpr std::size_t max_sessions = 256;
constexpr std::size_t max_addresses = 1024;
constexpr std::int64_t minute = 60;
constexpr std::int64_t save_every_seconds = 3600;  // how far the kept time of last use may lag

}  // namespace

std::int64_t Session::ends() const {
  return std::min(used + session_seconds, ends_last);
}

Pairing::Pairing(std::string file, const Moment& now) : file_(std::move(file)) {
  load(now);
}

Token Pairing::new_token(const Moment& now) {
  const std::lock_guard<std::mutex> lock(mutex_);
  std::erase_if(tokens_, [&](const Token& token) { return token.expires <= now.steady; });
  if (tokens_.size() >= max_tokens) tokens_.erase(tokens_.begin());
  tokens_.push_back({typed_secret(128), now.steady + token_seconds});
  return tokens_.back();
}

void Pairing::count_wrong(Attempts& attempts, std::int64_t now) {
  if (now - attempts.since >= minute) {
    attempts.since = now;
    attempts.wrong = 0;
  }
  if (++attempts.wrong < bad_tokens_a_minute) return;
  attempts.wait = std::min(std::max(2 * attempts.wait, minute), longest_wait_seconds);
  attempts.blocked_until = now + attempts.wait;
  attempts.since = attempts.blocked_until;
  attempts.wrong = 0;
}

Pairing::PairingResult Pairing::exchange(std::string_view token, const std::string& remote,
                                         const std::string& kind, const Moment& now) {
  const std::lock_guard<std::mutex> lock(mutex_);
  if (attempts_.size() >= max_addresses && !attempts_.contains(remote)) attempts_.erase(attempts_.begin());
  Attempts& attempts = attempts_[remote];
  if (now.steady < attempts.blocked_until) return {{}, attempts.blocked_until - now.steady};
  const std::string tidy = tidy_secret(token);
  auto matching = tokens_.end();
  // Every token is compared, so that the time does not show how close one was.
  for (auto it = tokens_.begin(); it != tokens_.end(); ++it) {
    if (same_secret(it->text, tidy) && it->expires > now.steady) matching = it;
  }
  if (matching == tokens_.end()) {
    count_wrong(attempts, now.steady);
    return {};
  }
  tokens_.erase(matching);
  attempts_.erase(remote);
  const std::string number = std::to_string(++devices_);
  std::string cookie = open({"d" + number, kind + " " + number, now.wall, now.wall, now.steady,
                             now.steady + longest_session_seconds});
  save(now);
  return {std::move(cookie), 0};
}

std::string Pairing::open(Session session) {
  if (sessions_.size() >= max_sessions) {
    sessions_.erase(std::min_element(sessions_.begin(), sessions_.end(), [](const auto& a, const auto& b) {
      return a.second.used < b.second.used;
    }));
  }
  std::string cookie = hex_secret(256);
  sessions_.emplace(sha256_hex(cookie), std::move(session));
  return cookie;
}

void Pairing::drop_ended(std::int64_t steady) {
  std::erase_if(sessions_, [&](const auto& one) { return one.second.ends() < steady; });
}

std::optional<Session> Pairing::find(const std::vector<std::string>& cookies, const Moment& now) {
  for (const std::string& cookie : cookies) {
    const std::string key = sha256_hex(cookie);
    const std::lock_guard<std::mutex> lock(mutex_);
    drop_ended(now.steady);
    const auto found = sessions_.find(key);
    if (found == sessions_.end()) continue;
    found->second.used = now.steady;
    found->second.seen = now.wall;
    if (now.steady - saved_ > save_every_seconds) save(now);
    return found->second;
  }
  return std::nullopt;
}

std::vector<Session> Pairing::sessions(const Moment& now) {
  const std::lock_guard<std::mutex> lock(mutex_);
  drop_ended(now.steady);
  std::vector<Session> list;
  list.reserve(sessions_.size());
  for (const auto& [key, session] : sessions_) list.push_back(session);
  // Ids are numbers in the order of pairing.
  std::ranges::sort(list, {}, [](const Session& one) { return std::pair(one.id.size(), one.id); });
  return list;
}

bool Pairing::remove(const std::string& id, const Moment& now) {
  const std::lock_guard<std::mutex> lock(mutex_);
  if (std::erase_if(sessions_, [&](const auto& one) { return one.second.id == id; }) == 0) return false;
  save(now);
  return true;
}

namespace {

std::optional<Session> session_in(const nlohmann::json& entry, const Moment& now) {
  const auto text = [&](const char* name) { return entry.value(name, std::string()); };
  const auto number = [&](const char* name) { return entry.value(name, std::int64_t{-1}); };
  Session session{text("id"),
                  text("device"),
                  number("began"),
                  number("seen"),
                  now.steady - number("unused_s"),
                  now.steady + number("left_s")};
  const bool whole = !session.id.empty() && number("unused_s") >= 0 && number("left_s") >= 0 &&
                     number("left_s") <= longest_session_seconds;
  return whole ? std::optional(session) : std::nullopt;
}

}  // namespace

void Pairing::load(const Moment& now) {
  saved_ = now.steady;
  if (file_.empty()) return;
  std::ifstream in(file_);
  std::stringstream text;
  text << in.rdbuf();
  const nlohmann::json kept = nlohmann::json::parse(text.str(), nullptr, false);
  if (!kept.is_object()) return;
  try {
    devices_ = kept.value("paired", std::int64_t{0});
    for (const nlohmann::json& entry : kept.value("devices", nlohmann::json::array())) {
      const auto session = entry.is_object() ? session_in(entry, now) : std::nullopt;
      if (session && sessions_.size() < max_sessions)
        sessions_.emplace(entry.value("cookie_sha256", std::string()), *session);
    }
  } catch (const nlohmann::json::exception&) {  // a member of another type: what was read until there stays
    return;
  }
}

// A file that cannot be written costs a phone its pairing at the next start, nothing more.
void Pairing::save(const Moment& now) {
  saved_ = now.steady;
  if (file_.empty()) return;
  nlohmann::json devices = nlohmann::json::array();
  for (const auto& [key, session] : sessions_) {
    devices.push_back({{"cookie_sha256", key},
                       {"id", session.id},
                       {"device", session.device},
                       {"began", session.began},
                       {"seen", session.seen},
                       {"unused_s", now.steady - session.used},
                       {"left_s", session.ends_last - now.steady}});
  }
  const std::string text = nlohmann::json{{"paired", devices_}, {"devices", devices}}.dump();
  const std::string fresh = file_ + ".new";
  const int file = ::open(fresh.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, 0600);
  if (file < 0) return;
  const bool whole = ::write(file, text.data(), text.size()) == static_cast<ssize_t>(text.size());
  ::close(file);
  if (whole) std::rename(fresh.c_str(), file_.c_str());
}

}  // namespace loomgraft

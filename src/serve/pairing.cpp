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

Pairing::Pairing(std::string file) : file_(std::move(file)) {
  load();
}

Token Pairing::new_token(std::int64_t now) {
  const std::lock_guard<std::mutex> lock(mutex_);
  std::erase_if(tokens_, [now](const Token& token) { return token.expires <= now; });
  if (tokens_.size() >= max_tokens) tokens_.erase(tokens_.begin());
  tokens_.push_back({typed_secret(128), now + token_seconds});
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
                                         std::int64_t now) {
  const std::lock_guard<std::mutex> lock(mutex_);
  if (attempts_.size() >= max_addresses && !attempts_.contains(remote)) attempts_.erase(attempts_.begin());
  Attempts& attempts = attempts_[remote];
  if (now < attempts.blocked_until) return {{}, attempts.blocked_until - now};
  const std::string tidy = tidy_secret(token);
  auto matching = tokens_.end();
  // Every token is compared, so that the time does not show how close one was.
  for (auto it = tokens_.begin(); it != tokens_.end(); ++it) {
    if (same_secret(it->text, tidy) && it->expires > now) matching = it;
  }
  if (matching == tokens_.end()) {
    count_wrong(attempts, now);
    return {};
  }
  tokens_.erase(matching);
  attempts_.erase(remote);
  std::string cookie = open({"device " + std::to_string(++devices_), now});
  save();
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

std::optional<std::string> Pairing::find(const std::vector<std::string>& cookies, std::int64_t now) {
  for (const std::string& cookie : cookies) {
    const std::string key = sha256_hex(cookie);
    const std::lock_guard<std::mutex> lock(mutex_);
    const auto found = sessions_.find(key);
    if (found == sessions_.end()) continue;
    if (now - found->second.used > session_seconds) {
      sessions_.erase(found);
      continue;
    }
    const bool stale = now - found->second.used > save_every_seconds;
    found->second.used = now;
    if (stale) save();
    return found->second.device;
  }
  return std::nullopt;
}

void Pairing::load() {
  if (file_.empty()) return;
  std::ifstream in(file_);
  std::stringstream text;
  text << in.rdbuf();
  const nlohmann::json kept = nlohmann::json::parse(text.str(), nullptr, false);
  if (!kept.is_array()) return;
  for (const nlohmann::json& entry : kept) {
    if (!entry.is_object() || sessions_.size() >= max_sessions) continue;
    const auto key = entry.find("cookie_sha256");
    const auto used = entry.find("used");
    const auto device = entry.find("device");
    if (key == entry.end() || !key->is_string() || used == entry.end() || !used->is_number_integer() ||
        device == entry.end() || !device->is_string())
      continue;
    sessions_.emplace(key->get<std::string>(),
                      Session{device->get<std::string>(), used->get<std::int64_t>()});
    ++devices_;
  }
}

// A file that cannot be written costs a phone its pairing at the next start, nothing more.
void Pairing::save() const {
  if (file_.empty()) return;
  nlohmann::json kept = nlohmann::json::array();
  for (const auto& [key, session] : sessions_) {
    kept.push_back({{"cookie_sha256", key}, {"device", session.device}, {"used", session.used}});
  }
  const std::string text = kept.dump();
  const std::string fresh = file_ + ".new";
  const int file = ::open(fresh.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, 0600);
  if (file < 0) return;
  const bool whole = ::write(file, text.data(), text.size()) == static_cast<ssize_t>(text.size());
  ::close(file);
  if (whole) std::rename(fresh.c_str(), file_.c_str());
}

}  // namespace loomgraft

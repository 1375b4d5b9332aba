// Who may use the workbench: sessions of paired devices, and the tokens by which a device gets one.
//
// Model   this machine itself needs no pairing. For other devices a token is shown on this machine. It works
//         once, within five minutes, and is exchanged for a session: a cookie of 256 bits. A file keeps the
//         hashes of the cookies, so that sessions survive a restart. A device that keeps sending wrong tokens
//         must wait, longer each time.
// Needs   the time from outside, in seconds, never running backwards within one run
// Gives   comparison in constant time; nothing that is stored on disk is enough to get access
// Cost    a hash of the cookie for each call
#pragma once

#include <cstdint>
#include <map>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace loomgraft {

inline constexpr std::int64_t token_seconds = 300;
inline constexpr std::int64_t session_seconds = 2'592'000;  // 30 days from its last use
inline constexpr int bad_tokens_a_minute = 10;              // from one address; then it must wait
inline constexpr std::int64_t longest_wait_seconds = 900;

struct Token {
  std::string text;
  std::int64_t expires = 0;
};

struct Session {
  std::string device;
  std::int64_t used = 0;
};

class Pairing {
 public:
  // `file` keeps the sessions of other devices; empty keeps them in memory only.
  explicit Pairing(std::string file = {});

  Token new_token(std::int64_t now);

  struct PairingResult {
    std::string cookie;     // empty: refused
    std::int64_t wait = 0;  // seconds until this address may try again; 0: the token was wrong or too old
  };
  PairingResult exchange(std::string_view token, const std::string& remote, std::int64_t now);

  // Name of the device of the first of these cookies that has a session.
  std::optional<std::string> find(const std::vector<std::string>& cookies, std::int64_t now);

 private:
  struct Attempts {
    int wrong = 0;
    std::int64_t since = 0;
    std::int64_t blocked_until = 0;
    std::int64_t wait = 0;
  };

  std::string open(Session session);
  void count_wrong(Attempts& attempts, std::int64_t now);
  void load();
  void save() const;

  std::mutex mutex_;
  std::string file_;
  std::vector<Token> tokens_;
  std::map<std::string, Session> sessions_;   // by the hash of their cookie
  std::map<std::string, Attempts> attempts_;  // by address
  int devices_ = 0;
};

}  // namespace loomgraft

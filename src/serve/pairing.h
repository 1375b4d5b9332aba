// Who may use the workbench: sessions of paired devices, and the tokens by which a device gets one.
//
// Model   this machine itself needs no pairing. For other devices a token is shown on this machine, works
// once and for five minutes; it is traded for a session, which
//         lives in a cookie of 256 bits. Sessions of other devices outlive the program in a file, as hashes.
//         A device that keeps sending wrong tokens waits, longer each time.
// Needs   the time from outside, in seconds, never running backwards within one run
// Gives   compare in constant time; nothing that is kept on disk lets anyone in
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
inline constexpr std::int64_t session_seconds = 2'592'000;  // 30 days, since it was last used
inline constexpr int bad_tokens_a_minute = 10;              // of one address; then it waits
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

  struct Traded {
    std::string cookie;     // empty: refused
    std::int64_t wait = 0;  // seconds until this address may try again; 0: the token was wrong or too old
  };
  Traded trade(std::string_view token, const std::string& remote, std::int64_t now);

  // What the device of the first of these cookies that has a session is called.
  std::optional<std::string> find(const std::vector<std::string>& cookies, std::int64_t now);

 private:
  struct Tries {
    int bad = 0;
    std::int64_t since = 0;
    std::int64_t blocked_until = 0;
    std::int64_t wait = 0;
  };

  std::string open(Session session);
  void count_bad(Tries& tries, std::int64_t now);
  void load();
  void save() const;

  std::mutex turn_;
  std::string file_;
  std::vector<Token> tokens_;
  std::map<std::string, Session> sessions_;  // by the hash of their cookie
  std::map<std::string, Tries> tries_;       // by address
  int devices_ = 0;
};

}  // namespace loomgraft

// Who may use the workbench: sessions of paired devices, and the tokens by which a device gets one.
//
// Model   this machine itself needs no pairing. For other devices a token is shown on this machine. It works
//         once, within five minutes, and is exchanged for a session: a cookie of 256 bits. A file keeps the
//         hashes of the cookies, so that sessions survive a restart. A device that keeps sending wrong tokens
//         must wait, longer each time. A session ends 30 days after its last use, 180 days after its beginning,
//         when somebody removes it, or when its device leaves
// Needs   the moment from outside. All waits and ends are counted on the steady clock, which nobody can set and which
//         stands still while the program does not run; the wall clock is only shown
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
inline constexpr std::int64_t session_seconds = 2'592'000;           // 30 days from its last use
inline constexpr std::int64_t longest_session_seconds = 15'552'000;  // 180 days
inline constexpr int bad_tokens_a_minute = 10;                       // from one address; then it must wait
inline constexpr std::int64_t longest_wait_seconds = 900;

struct Moment {
  std::int64_t steady = 0;
  std::int64_t wall = 0;
};

struct Token {
  std::string text;
  std::int64_t expires = 0;  // steady
};

struct Session {
  std::string id;  // "d3"
  std::string device;
  std::int64_t began = 0;      // wall, as all that is only shown
  std::int64_t seen = 0;       // wall
  std::int64_t used = 0;       // steady
  std::int64_t ends_last = 0;  // steady: however much it is used
  std::int64_t ends() const;   // steady
};

class Pairing {
 public:
  // `file` keeps the sessions of other devices; empty keeps them in memory only.
  explicit Pairing(std::string file = {}, const Moment& now = {});

  Token new_token(const Moment& now);

  struct PairingResult {
    std::string cookie;     // empty: refused
    std::int64_t wait = 0;  // seconds until this address may try again; 0: the token was wrong or too old
  };
  // `kind` names the device with a number behind it: "phone".
  PairingResult exchange(std::string_view token, const std::string& remote, const std::string& kind,
                         const Moment& now);

  // The session of the first of these cookies that has one.
  std::optional<Session> find(const std::vector<std::string>& cookies, const Moment& now);

  std::vector<Session> sessions(const Moment& now);       // the longest paired first
  bool remove(const std::string& id, const Moment& now);  // false: there is none

 private:
  struct Attempts {
    int wrong = 0;
    std::int64_t since = 0;
    std::int64_t blocked_until = 0;
    std::int64_t wait = 0;
  };

  std::string open(Session session);
  void drop_ended(std::int64_t steady);
  static void count_wrong(Attempts& attempts, std::int64_t now);
  void load(const Moment& now);
  void save(const Moment& now);

  std::mutex mutex_;
  std::string file_;
  std::vector<Token> tokens_;
  std::map<std::string, Session> sessions_;   // by the hash of their cookie
  std::map<std::string, Attempts> attempts_;  // by address
  std::int64_t devices_ = 0;                  // that were ever paired
  std::int64_t saved_ = 0;                    // steady
};

}  // namespace loomgraft

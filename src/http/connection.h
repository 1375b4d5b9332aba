// One accepted connection, plain or under TLS, that never waits.
//
// Model   where TLS is offered, the first byte tells which it is: 22 begins a TLS record (RFC 8446, section 5.1), and
//         no HTTP request
// Needs   a connected socket, which it owns and closes
// Gives   bytes as they come; what to wait for when there are none yet
// Fails   a connection that ended or broke gives Transfer::ended from then on
#pragma once

#include <cstddef>
#include <memory>
#include <string>

struct ssl_st;
struct ssl_ctx_st;

namespace loomgraft {

enum class Transfer { some, none_yet, ended };

class Connection {
 public:
  // `tls` null: plain only.
  Connection(int socket, ssl_ctx_st* tls);
  Connection(const Connection&) = delete;
  Connection& operator=(const Connection&) = delete;
  ~Connection();

  Transfer receive(char* into, std::size_t size, std::size_t& count);
  Transfer send(const char* bytes, std::size_t size, std::size_t& count);
  // After none_yet: POLLIN or POLLOUT. A TLS connection may have to write before it can read, and the other way round.
  short wants() const { return wants_; }
  // Bytes that came already and that no poll shows.
  bool holds_bytes() const;
  bool hung_up() const;

  int socket() const { return socket_; }
  bool is_tls() const { return session_ != nullptr; }
  const std::string& remote() const { return remote_; }
  bool is_local() const { return remote_ == "127.0.0.1" || remote_ == "::1"; }
  std::string local_address(int& port) const;
  int remote_port() const { return remote_port_; }

 private:
  bool choose_form();
  Transfer tls_result(int result, std::size_t& count);

  struct FreeSession {
    void operator()(ssl_st* session) const;
  };

  int socket_;
  ssl_ctx_st* tls_;
  bool form_known_;
  std::unique_ptr<ssl_st, FreeSession> session_;
  short wants_;
  bool ended_ = false;
  std::string remote_;
  int remote_port_ = 0;
};

}  // namespace loomgraft

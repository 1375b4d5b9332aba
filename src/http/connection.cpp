#include "http/connection.h"

#include <fcntl.h>
#include <netdb.h>
#include <openssl/err.h>
#include <openssl/ssl.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <cerrno>
#include <cstdlib>

namespace loomgraft {
namespace {

constexpr char tls_handshake = 22;

void split_address(const sockaddr_storage& address, socklen_t length, std::string& ip, int& port) {
  char host[NI_MAXHOST] = {};
  char service[NI_MAXSERV] = {};
  if (::getnameinfo(reinterpret_cast<const sockaddr*>(&address), length, host, sizeof host, service,
                    sizeof service, NI_NUMERICHOST | NI_NUMERICSERV) != 0)
    return;
  ip = host;
  port = static_cast<int>(std::strtol(service, nullptr, 10));
}

bool would_wait() {
  return errno == EAGAIN || errno == EWOULDBLOCK || errno == EINTR;
}

}  // namespace

void Connection::FreeSession::operator()(ssl_st* session) const {
  ::SSL_free(session);
}

Connection::Connection(int socket, ssl_ctx_st* tls)
    : socket_(socket), tls_(tls), form_known_(tls == nullptr), wants_(POLLIN) {
  ::fcntl(socket_, F_SETFL, ::fcntl(socket_, F_GETFL) | O_NONBLOCK);
  sockaddr_storage address{};
  socklen_t length = sizeof address;
  if (::getpeername(socket_, reinterpret_cast<sockaddr*>(&address), &length) == 0)
    split_address(address, length, remote_, remote_port_);
}

Connection::~Connection() {
  // One way only: the other side need not answer before the socket is closed (RFC 8446, section 6.1).
  if (session_ && !ended_) ::SSL_shutdown(session_.get());
  ::shutdown(socket_, SHUT_RDWR);
  ::close(socket_);
}

bool Connection::choose_form() {
  char first = 0;
  const ssize_t count = ::recv(socket_, &first, 1, MSG_PEEK);
  if (count < 0 && would_wait()) return false;
  form_known_ = true;
  if (count != 1 || first != tls_handshake) return true;
  session_.reset(::SSL_new(tls_));
  if (session_ && ::SSL_set_fd(session_.get(), socket_) == 1) {
    ::SSL_set_accept_state(session_.get());
  } else {
    ended_ = true;
  }
  return true;
}

Transfer Connection::tls_result(int result, std::size_t& count) {
  if (result > 0) {
    count = static_cast<std::size_t>(result);
    return Transfer::some;
  }
  const int error = ::SSL_get_error(session_.get(), result);
  ::ERR_clear_error();
  if (error == SSL_ERROR_WANT_READ || error == SSL_ERROR_WANT_WRITE) {
    wants_ = error == SSL_ERROR_WANT_READ ? POLLIN : POLLOUT;
    return Transfer::none_yet;
  }
  ended_ = true;
  return Transfer::ended;
}

Transfer Connection::receive(char* into, std::size_t size, std::size_t& count) {
  wants_ = POLLIN;
  if (!form_known_ && !choose_form()) return Transfer::none_yet;
  if (ended_) return Transfer::ended;
  if (session_) return tls_result(::SSL_read(session_.get(), into, static_cast<int>(size)), count);
  const ssize_t got = ::recv(socket_, into, size, 0);
  if (got < 0 && would_wait()) return Transfer::none_yet;
  ended_ = got <= 0;
  count = ended_ ? 0 : static_cast<std::size_t>(got);
  return ended_ ? Transfer::ended : Transfer::some;
}

Transfer Connection::send(const char* bytes, std::size_t size, std::size_t& count) {
  wants_ = POLLOUT;
  if (ended_) return Transfer::ended;
  if (session_) return tls_result(::SSL_write(session_.get(), bytes, static_cast<int>(size)), count);
  const ssize_t sent = ::send(socket_, bytes, size, MSG_NOSIGNAL);
  if (sent < 0 && would_wait()) return Transfer::none_yet;
  ended_ = sent <= 0;
  count = ended_ ? 0 : static_cast<std::size_t>(sent);
  return ended_ ? Transfer::ended : Transfer::some;
}

bool Connection::holds_bytes() const {
  return session_ && ::SSL_pending(session_.get()) > 0;
}

bool Connection::hung_up() const {
  char byte = 0;
  return ended_ || ::recv(socket_, &byte, 1, MSG_PEEK | MSG_DONTWAIT) == 0;
}

std::string Connection::local_address(int& port) const {
  std::string ip;
  sockaddr_storage address{};
  socklen_t length = sizeof address;
  if (::getsockname(socket_, reinterpret_cast<sockaddr*>(&address), &length) == 0)
    split_address(address, length, ip, port);
  return ip;
}

}  // namespace loomgraft

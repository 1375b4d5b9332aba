// The page itself, and devices that join.
#include "http/clock.h"
#include "serve/access_check.h"
#include "serve/answers.h"
#include "serve/handlers.h"
#include "serve/page_files.h"
#include "serve/qr.h"
#include "store/sha256.h"

namespace loomgraft::serve {
namespace {

Answer file_answer(const Call& call, const PageFile& file) {
  Answer answer;
  const std::string etag = "\"" + sha256_hex(file.bytes).substr(0, 32) + "\"";
  answer.fields.emplace("ETag", etag);
  answer.fields.emplace("Cache-Control", "no-cache");
  if (has_already(call, etag)) {
    answer.status = 304;
    return answer;
  }
  answer.type = type_of_file(file.name);
  answer.body = file.bytes;
  return answer;
}

Answer no_such_file() {
  return refuse(404, "not-found", "The page has no such file.", "Open the start page.");
}

// In fours, as a person reads it from one screen and types it on another.
std::string grouped(const std::string& token) {
  std::string text;
  for (std::size_t i = 0; i < token.size(); ++i) {
    if (i > 0 && i % 4 == 0) text += '-';
    text += token[i];
  }
  return text;
}

// Browsers of phones and tablets say "Mobile" in what they call themselves.
std::string kind_of_device(const Call& call) {
  return field(call, "User-Agent").find("Mobile") == std::string_view::npos ? "computer" : "phone";
}

nlohmann::ordered_json device_json(const Session& session, const Call& call, const Moment& now) {
  return {{"id", session.id},
          {"name", session.device},
          {"since", time_text(session.began)},
          {"seen", time_text(session.seen)},
          {"ends", time_text(now.wall + session.ends() - now.steady)},
          {"this", session.id == call.session}};
}

Answer left(const Call& call) {
  Answer answer;
  answer.status = 204;
  answer.fields.emplace("Set-Cookie", session_cookie(call, {}));
  return answer;
}

}  // namespace

Answer get_page(Workbench&, const Call& call) {
  return file_answer(call, *find_page_file("index.html"));
}

Answer get_page_file(Workbench&, const Call& call) {
  const PageFile* file = find_page_file(call.names.front());
  return file ? file_answer(call, *file) : no_such_file();
}

Answer get_pair_file(Workbench&, const Call& call) {
  const std::string name = call.path == "/" ? "pair.html" : call.path.substr(1);
  const PageFile* file = find_page_file(name);
  return file ? file_answer(call, *file) : no_such_file();
}

Answer get_session(Workbench& bench, const Call& call) {
  return json_answer({{"paired", call.paired},
                      {"device", call.device},
                      {"loopback", call.loopback},
                      {"version", bench.options().version},
                      {"folder", call.loopback ? bench.options().path : std::string()}});
}

Answer post_pair(Workbench& bench, const Call& call) {
  const auto body = body_of(call);
  if (!body) return body.error();
  const Pairing::PairingResult exchanged =
      bench.pairing().exchange(text_member(*body, "token"), call.remote, kind_of_device(call), moment_now());
  if (exchanged.wait > 0) {
    Answer answer = refuse(429, "too-many-tries", "Too many wrong codes came from this device.",
                           "Wait " + std::to_string((exchanged.wait + 59) / 60) +
                               " min, then take a new code from the workbench.");
    answer.fields.emplace("Retry-After", std::to_string(exchanged.wait));
    return answer;
  }
  if (exchanged.cookie.empty())
    return refuse(401, "wrong-code", "The code is wrong, was used already, or is older than five minutes.",
                  "Take a new code from \"Join a phone\" on the computer.");
  Answer answer;
  answer.status = 204;
  answer.fields.emplace("Set-Cookie", session_cookie(call, exchanged.cookie));
  return answer;
}

// How a device takes in the certificate of this folder's authority.
Answer trust_page(const Call& call) {
  constexpr std::string_view placeholder = "ADDRESS";
  const PageFile* file = find_page_file("trust.html");
  Answer answer;
  answer.type = type_of_file(file->name);
  answer.body = file->bytes;
  // The host is one of this program's own: check_access() has compared it.
  answer.body.replace(answer.body.find(placeholder), placeholder.size(), field(call, "Host"));
  return answer;
}

Answer get_authority(Workbench& bench, const Call&) {
  if (!bench.tls()) return no_such_file();
  Answer answer;
  answer.type = "application/x-x509-ca-cert";
  answer.body = bench.tls()->authority_der;
  return answer;
}

Answer get_devices(Workbench& bench, const Call& call) {
  const Moment now = moment_now();
  nlohmann::ordered_json devices = nlohmann::ordered_json::array();
  for (const Session& session : bench.pairing().sessions(now))
    devices.push_back(device_json(session, call, now));
  return json_answer({{"devices", std::move(devices)}});
}

Answer delete_device(Workbench& bench, const Call& call) {
  const std::string& id = call.names.front();
  if (!call.loopback && id != call.session)
    return refuse(403, "this-machine-only", "A device can end its own session only.",
                  "Remove other devices on the computer that the program runs on.");
  if (!bench.pairing().remove(id, moment_now()))
    return refuse(404, "no-such-device", "There is no such device; it may have been removed already.",
                  "Load the list again.");
  if (id == call.session) return left(call);
  Answer answer;
  answer.status = 204;
  return answer;
}

Answer post_leave(Workbench& bench, const Call& call) {
  if (!call.session.empty()) bench.pairing().remove(call.session, moment_now());
  return left(call);
}

Answer get_join(Workbench& bench, const Call&) {
  const std::vector<std::string> addresses = bench.lan_addresses();
  if (addresses.empty())
    return refuse(409, "no-network",
                  bench.options().lan ? "This computer has no network that another device could reach."
                                      : "The workbench answers this computer only.",
                  bench.options().lan ? "Join a network, then start the program again."
                                      : "End it with Ctrl+C where it was started, and start it as: loomgraft "
                                        "serve FOLDER --lan. Then devices of your own network "
                                        "may join.");
  const Moment now = moment_now();
  const Token token = bench.pairing().new_token(now);
  // One code for all: which network the phone is in is known to whoever holds it.
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  for (const std::string& address : addresses)
    list.push_back({{"address", address}, {"qr_svg", qr_svg(address + "#pair=" + token.text)}});
  nlohmann::ordered_json json = list.front();
  json["token"] = grouped(token.text);
  json["expires"] = time_text(now.wall + token.expires - now.steady);
  json["addresses"] = std::move(list);
  if (bench.tls())
    json["trust"] = {{"address", bench.trust_address()},
                     {"qr_svg", qr_svg(bench.trust_address())},
                     {"fingerprint", bench.tls()->fingerprint}};
  return json_answer(json);
}

}  // namespace loomgraft::serve

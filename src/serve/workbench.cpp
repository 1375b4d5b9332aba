#include "serve/workbench.h"

#include <sys/stat.h>

#include <algorithm>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "http/refusal.h"
#include "serve/access_check.h"
#include "serve/handlers.h"
#include "serve/routes.h"
#include "serve/secret.h"

namespace loomgraft {

using namespace serve;
namespace {

constexpr std::string_view file_ending = ".graft";
constexpr std::string_view authority_path = "/loomgraft-ca.crt";

struct ServedPath {
  std::string folder;
  std::string only;
};

Stored<ServedPath> served_path(const std::string& path) {
  struct stat info {};
  if (::stat(path.c_str(), &info) != 0)
    return tl::unexpected(Problems{{Severity::error,
                                    "not-found",
                                    {path, 0, 0, ""},
                                    "There is no such file or folder.",
                                    "Name a folder that exists, or a graft file."}});
  if (S_ISDIR(info.st_mode)) return ServedPath{path, {}};
  const std::filesystem::path file(path);
  if (file.extension() != file_ending || !looks_like_graft_file(path))
    return tl::unexpected(
        Problems{{Severity::error,
                  "not-a-graft-file",
                  {path, 0, 0, ""},
                  "The workbench serves graft files, and this is not one.",
                  "Make one from a document: loomgraft import DOCUMENT.json NAME.graft, then serve that."}});
  const std::string folder = file.has_parent_path() ? file.parent_path().string() : ".";
  return ServedPath{folder, file.stem().string()};
}

}  // namespace

Workbench::Workbench(ServeOptions options)
    : options_(std::move(options)),
      run_(hex_secret(64)),
      proofs_(options_.keep_proofs ? make_or_find_proof : make_proof) {}

Workbench::~Workbench() {
  if (grafts_) grafts_->close_events();
  listener_.reset();
  meter_.reset();
  jobs_.reset();
}

Stored<std::unique_ptr<Workbench>> Workbench::start(const ServeOptions& options) {
  auto served = served_path(options.path);
  if (!served) return tl::unexpected(std::move(served.error()));
  auto folder = GraftFolder::open(served->folder);
  if (!folder) return tl::unexpected(std::move(folder.error()));
  std::unique_ptr<Workbench> bench(new Workbench(options));
  // Stored in the folder that the devices get access to.
  bench->pairing_ =
      std::make_unique<Pairing>(options.lan ? served->folder + "/.loomgraft-devices" : "", moment_now());
  bench->grafts_ = std::make_unique<OpenGrafts>(std::move(*folder), served->only, options.dated_copies);
  if (!served->only.empty()) {
    const auto opened = bench->grafts_->open(served->only);
    if (!opened) return tl::unexpected(opened.error());
  }
  OpenGrafts* grafts = bench->grafts_.get();
  bench->jobs_ = std::make_unique<JobQueue>(options.jobs, [grafts](const JobView& job) {
    const auto graft = grafts->open(job.owner);
    if (!graft) return;
    (*graft)->events.publish({0, "job",
                              text_of(nlohmann::ordered_json{{"job", job.id},
                                                             {"state", name_of(job.state)},
                                                             {"progress", job.progress},
                                                             {"text", job.text}})});
  });
  bench->meter_ = std::make_unique<MeterDesk>(
      options.meter, options.meter_timing,
      [grafts](const std::string& state) { grafts->publish_to_all("meter", state); });
  if (auto problem = bench->prepare_network(served->folder))
    return tl::unexpected(Problems{std::move(*problem)});
  if (auto problem = bench->listen()) return tl::unexpected(Problems{std::move(*problem)});
  return bench;
}

std::optional<Problem> Workbench::prepare_network(const std::string& folder) {
  if (!options_.lan) return std::nullopt;
  lan_hosts_ = reachable_addresses(options_.interfaces ? *options_.interfaces : network_interfaces());
  // Public addresses are answered on wish only, and never by TLS: the authority is limited to private ones.
  if (!options_.any_remote || options_.tls)
    std::erase_if(lan_hosts_, [](const std::string& host) { return !is_private_address(host); });
  options_.listener.private_only = !options_.any_remote;
  if (!options_.tls) return std::nullopt;
  auto tls = folder_tls(folder + "/.loomgraft-tls", lan_hosts_);
  if (!tls) return tls.error();
  tls_ = std::move(*tls);
  options_.listener.tls = tls_->context.get();
  return std::nullopt;
}

std::optional<Problem> Workbench::listen() {
  Listener::Handlers handlers{[this](Call& call) { return check_head(call); },
                              [this](Call& call) { return answer(call); }};
  const std::string address = options_.lan ? "0.0.0.0" : "127.0.0.1";
  options_.listener.loopback_is_remote = options_.loopback_is_remote;
  listener_ = std::make_unique<Listener>(options_.listener, handlers);
  auto bound = listener_->bind(address, options_.port);
  if (!bound && options_.any_port) {
    moved_ = true;
    listener_ = std::make_unique<Listener>(options_.listener, handlers);
    bound = listener_->bind(address, 0);
  }
  if (!bound) return bound.error();
  port_ = *bound;
  hosts_ = host_names();
  listener_->start();
  return std::nullopt;
}

std::vector<std::string> Workbench::host_names() const {
  std::vector<std::string> names = {"127.0.0.1", "localhost", "[::1]"};
  names.insert(names.end(), lan_hosts_.begin(), lan_hosts_.end());
  std::vector<std::string> hosts;
  for (const std::string& name : names) {
    hosts.push_back(name + ":" + std::to_string(port_));
    if (port_ == 80) hosts.push_back(name);
  }
  return hosts;
}

std::string Workbench::address() const {
  return "http://127.0.0.1:" + std::to_string(port_) + "/";
}

std::vector<std::string> Workbench::lan_addresses() const {
  std::vector<std::string> addresses;
  addresses.reserve(lan_hosts_.size());
  for (const std::string& host : lan_hosts_)
    addresses.push_back((tls_ ? "https://" : "http://") + host + ":" + std::to_string(port_) + "/");
  return addresses;
}

std::string Workbench::trust_address() const {
  return tls_ && !lan_hosts_.empty() ? "http://" + lan_hosts_.front() + ":" + std::to_string(port_) + "/"
                                     : std::string();
}

bool Workbench::enter_stream() {
  if (streams_.fetch_add(1) < options_.max_streams) return true;
  --streams_;
  return false;
}

// Where TLS is offered, other devices get without it only what they need to trust it.
std::optional<Answer> Workbench::refuse_plain(const Call& call) const {
  if (!tls_ || call.tls || call.loopback) return std::nullopt;
  if (call.path == "/") return trust_page(call);
  if (call.path == "/pair.css" || call.path == authority_path) return std::nullopt;
  return refuse(401, "not-paired", "Devices of the network are answered over TLS only.",
                "Open the address that begins with https.");
}

std::optional<Answer> Workbench::check_head(Call& call) {
  const FoundRoute found = find_route(call);
  std::optional<Answer> refused =
      check_access(call, found.route, {hosts_, options_.loopback_is_remote}, *pairing_);
  const bool known_host = !refused || refused->status != 403;
  if (auto plain = refuse_plain(call); plain && known_host) {
    call.paired = false;
    refused = std::move(plain);
  } else if (refused && refused->status == 401 && call.path == "/") {
    refused = get_pair_file(*this, call);
    refused->status = 401;
  }
  if (!refused && !found.route) {
    refused = found.allowed.empty()
                  ? refuse(404, "not-found", "There is nothing at this address.", "Open the start page.")
                  : refuse(405, "wrong-method", "This address does not accept " + call.method + ".",
                           "It accepts " + found.allowed + ".");
    if (!found.allowed.empty()) refused->fields.emplace("Allow", found.allowed);
  }
  if (!refused && !field(call, "Content-Length").empty()) {
    const auto length = std::strtoull(std::string(field(call, "Content-Length")).c_str(), nullptr, 10);
    if (length > found.route->largest_body) refused = refuse_large(found.route->largest_body);
    if (!refused && length > 0 && !field(call, "Content-Type").starts_with(found.route->type))
      refused = refuse(415, "wrong-type", "This address does not accept this type of body.",
                       std::string("Send it as ") + found.route->type + ".");
  }
  if (refused) add_security_headers(*refused);
  return refused;
}

Answer Workbench::answer(Call& call) {
  const FoundRoute found = find_route(call);
  Answer answer = found.route->handle(*this, call);
  add_security_headers(answer);
  return answer;
}

}  // namespace loomgraft

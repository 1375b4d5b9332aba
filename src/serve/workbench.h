// The workbench server: one page and its API over a folder of graft files.
//
// Model   routes.h is what it answers, door.h whom it answers; every answer is made from the current document
//         by a stage, or says what the store did
// Needs   a folder, or one graft file in it
// Gives   an address; what is acknowledged is on the disk
// Fails   a folder that is none, a port that is taken: Problems
// Method  docs/api.md
#pragma once

#include <atomic>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "http/listener.h"
#include "http/network_addresses.h"
#include "serve/open_grafts.h"
#include "serve/pairing.h"
#include "serve/proof_cache.h"
#include "serve/job_queue.h"
#include "store/graft_file.h"

namespace loomgraft {

inline constexpr int usual_port = 4747;

struct ServeOptions {
  std::string path;  // a folder, or a graft file
  int port = usual_port;
  bool any_port = true;                                     // take another port where that one is taken
  bool lan = false;                                         // other devices of the network may join
  bool loopback_is_remote = false;                          // for tests: this machine must pair, too
  std::optional<std::vector<NetworkInterface>> interfaces;  // for tests: others than this machine's
  std::string version = "0";
  ListenerOptions listener;
  DeskOptions desk;
  std::size_t most_streams = 24;  // of events; each holds a thread
};

class Workbench {
 public:
  static Stored<std::unique_ptr<Workbench>> start(const ServeOptions& options);
  Workbench(const Workbench&) = delete;
  Workbench& operator=(const Workbench&) = delete;
  ~Workbench();  // answers what it has begun, then ends

  int port() const { return port_; }
  bool moved() const { return moved_; }  // the port asked for was taken
  // For this machine, and for others, the likeliest first: none where they are not let in or there is no
  // network.
  std::string address() const;
  std::vector<std::string> lan_addresses() const;

  // For the handlers.
  const ServeOptions& options() const { return options_; }
  Pairing& pairing() { return *pairing_; }
  OpenGrafts& grafts() { return *grafts_; }
  ReportDesk& desk() { return *desk_; }
  ProofShelf& proofs() { return proofs_; }
  const std::string& run() const { return run_; }

  // One more stream of events; false where there are enough.
  bool enter_stream();
  void leave_stream() { --streams_; }

 private:
  explicit Workbench(ServeOptions options);
  std::optional<Problem> listen();
  std::vector<std::string> host_names() const;
  std::optional<Answer> look(Call& call);
  Answer answer(Call& call);

  ServeOptions options_;
  int port_ = 0;
  bool moved_ = false;
  std::vector<std::string> lan_hosts_;
  std::string run_;  // names this run, so that no ETag of another version is taken for ours
  std::atomic<std::size_t> streams_{0};
  std::vector<std::string> hosts_;
  std::unique_ptr<Pairing> pairing_;
  std::unique_ptr<OpenGrafts> grafts_;
  ProofShelf proofs_;
  std::unique_ptr<ReportDesk> desk_;
  std::unique_ptr<Listener> listener_;
};

}  // namespace loomgraft

// The workbench server: one page and its API over a folder of graft files.
//
// Model   routes.h lists what it answers, access_check.h decides whom; every answer is made from the current document
//         by a stage, or says what the store did
// Needs   a folder, or one graft file in it
// Gives   an address; what is acknowledged is on the disk
// Fails   Problems if the folder does not exist or the port is taken
// Method  docs/api.md
#pragma once

#include <atomic>
#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "http/certificates.h"
#include "http/listener.h"
#include "http/network_addresses.h"
#include "instrument/meter_session.h"
#include "serve/job_queue.h"
#include "serve/meter_desk.h"
#include "serve/open_grafts.h"
#include "serve/pairing.h"
#include "serve/proof_cache.h"
#include "store/graft_file.h"

namespace loomgraft {

inline constexpr int default_port = 4747;

struct ServeOptions {
  std::string path;  // a folder, or a graft file
  int port = default_port;
  bool any_port = true;                                     // take another port if that one is taken
  bool lan = false;                                         // other devices of the network may join
  bool tls = false;                                         // they must come over TLS
  bool any_remote = false;                                  // from public addresses, too
  bool loopback_is_remote = false;                          // for tests: this machine must pair, too
  std::optional<std::vector<NetworkInterface>> interfaces;  // for tests: others than this machine's
  std::string version = "0";
  ListenerOptions listener;
  JobQueueOptions jobs;
  std::optional<MeterAddress> meter;  // none: readings are typed
  MeterTiming meter_timing;
  bool keep_proofs = false;      // in the user's cache folder, for the next start
  bool dated_copies = true;      // in the folder's "backups", while nobody writes
  std::size_t max_streams = 24;  // of events; each holds a thread
};

class Workbench {
 public:
  static Stored<std::unique_ptr<Workbench>> start(const ServeOptions& options);
  Workbench(const Workbench&) = delete;
  Workbench& operator=(const Workbench&) = delete;
  ~Workbench();  // completes the answers it has begun

  int port() const { return port_; }
  bool moved() const { return moved_; }  // the port asked for was taken
  // For this machine, and for other devices, the likeliest first: none without --lan or without a network.
  std::string address() const;
  std::vector<std::string> lan_addresses() const;
  // With TLS: where a device gets the certificate of this folder's authority, and what it must be.
  std::string trust_address() const;
  const FolderTls* tls() const { return tls_ ? &*tls_ : nullptr; }

  // For the handlers.
  const ServeOptions& options() const { return options_; }
  Pairing& pairing() { return *pairing_; }
  OpenGrafts& grafts() { return *grafts_; }
  JobQueue& jobs() { return *jobs_; }
  MeterDesk& meter() { return *meter_; }
  ProofCache& proofs() { return proofs_; }
  const std::string& run() const { return run_; }
  // Held while a table is read: several large ones at once would take more memory than there is.
  std::timed_mutex& table_reading() { return table_reading_; }

  // One more stream of events; false if there are too many.
  bool enter_stream();
  void leave_stream() { --streams_; }

 private:
  explicit Workbench(ServeOptions options);
  std::optional<Problem> prepare_network(const std::string& folder);
  std::optional<Problem> listen();
  std::vector<std::string> host_names() const;
  std::optional<Answer> check_head(Call& call);
  std::optional<Answer> refuse_plain(const Call& call) const;
  Answer answer(Call& call);

  ServeOptions options_;
  int port_ = 0;
  bool moved_ = false;
  std::vector<std::string> lan_hosts_;
  std::string run_;  // random, part of ETags, so that an ETag of another version never matches
  std::atomic<std::size_t> streams_{0};
  std::vector<std::string> hosts_;
  std::unique_ptr<Pairing> pairing_;
  std::optional<FolderTls> tls_;
  std::unique_ptr<OpenGrafts> grafts_;
  ProofCache proofs_;
  std::timed_mutex table_reading_;
  std::unique_ptr<JobQueue> jobs_;
  std::unique_ptr<MeterDesk> meter_;
  std::unique_ptr<Listener> listener_;
};

}  // namespace loomgraft

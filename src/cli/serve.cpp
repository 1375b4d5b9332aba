#include <fmt/format.h>
#include <malloc.h>
#include <spawn.h>
#include <sys/wait.h>

#include <csignal>
#include <memory>

#include "cli/command.h"
#include "cli/paper.h"
#include "serve/workbench.h"

namespace loomgraft::cli {
namespace {

struct ServeCall {
  ServeOptions options;
  std::string meter;
  bool open = false;
};

// Blocks the signals that end the program in all threads started from here on, so that this thread can wait for
// them.
sigset_t hold_signals() {
  sigset_t signals;
  sigemptyset(&signals);
  sigaddset(&signals, SIGINT);
  sigaddset(&signals, SIGTERM);
  pthread_sigmask(SIG_BLOCK, &signals, nullptr);
  return signals;
}

void open_in_browser(const std::string& address) {
  std::string program = "xdg-open";
  std::string argument = address;
  char* arguments[] = {program.data(), argument.data(), nullptr};
  pid_t child = 0;
  if (posix_spawnp(&child, program.c_str(), nullptr, nullptr, arguments, environ) != 0)
    print_text("No browser could be started: open the address yourself.\n");
}

std::string greeting(const Workbench& bench, const ServeOptions& options) {
  std::string text;
  if (bench.moved())
    text +=
        fmt::format("Port {} is in use by another program; using {} instead.\n", options.port, bench.port());
  text += fmt::format("Workbench: {}\n", bench.address());
  const std::vector<std::string> addresses = bench.lan_addresses();
  if (options.lan && addresses.empty())
    text += "No network was found through which another device could reach this computer.\n";
  if (!addresses.empty())
    text += fmt::format(
        "For a phone on this network: {}  (open \"Join a phone\" on this computer for the code)\n",
        addresses.front());
  for (std::size_t k = 1; k < addresses.size(); ++k)
    text += fmt::format("  or, on another network of this computer: {}\n", addresses[k]);
  if (!bench.trust_address().empty())
    text += fmt::format(
        "First, once for each phone: {}  (it explains how to take in the certificate)\n"
        "Fingerprint of the certificate, to compare: {}\n",
        bench.trust_address(), bench.tls()->fingerprint);
  if (options.lan && !bench.tls()) text += "Without --tls anyone on this network can read along.\n";
  if (options.meter) text += fmt::format("Meter: {}  (the page shows its state)\n", options.meter->text);
  return text + "Ctrl+C stops it. Everything saved is on the disk.\n";
}

int run(ServeCall& call) {
  if (!call.meter.empty()) {
    const auto address = read_meter_address(call.meter);
    if (!address) {
      print_problems({address.error()});
      return unusable;
    }
    call.options.meter = *address;
  }
  // Each arena of the allocator keeps what its threads gave back; with one for each thread that adds up.
  ::mallopt(M_ARENA_MAX, 4);
  const sigset_t signals = hold_signals();
  auto bench = Workbench::start(call.options);
  if (!bench) {
    print_problems(bench.error());
    return unusable;
  }
  print_text(greeting(**bench, call.options));
  std::fflush(stdout);
  if (call.open) open_in_browser((*bench)->address());
  int signal = 0;
  sigwait(&signals, &signal);
  bench->reset();
  print_text("Stopped.\n");
  return done;
}

}  // namespace

void add_serve(CLI::App& app, int& exit) {
  auto call = std::make_shared<ServeCall>();
  call->options.path = ".";
  call->options.version = LOOMGRAFT_VERSION;
  call->options.keep_proofs = true;
  auto* command =
      app.add_subcommand("serve", "the workbench: a page in the browser, for this computer and your phone");
  command->add_option("path", call->options.path, "a folder of graft files, or one of them");
  command->add_option("--port", call->options.port, "port; 0 for any free one")->check(CLI::Range(0, 65535));
  command->add_flag("--lan", call->options.lan, "let devices on your own network join with a code");
  command
      ->add_flag("--tls", call->options.tls,
                 "with --lan: only over TLS, with a certificate authority of this folder's own")
      ->needs("--lan");
  command
      ->add_flag("--any-address", call->options.any_remote,
                 "with --lan: answer public addresses, too; else private networks only")
      ->needs("--lan");
  command->add_flag("--open", call->open, "open the page in the browser");
  command->add_flag("!--no-copies", call->options.dated_copies,
                    "make no dated copies in the folder's \"backups\" while nobody writes");
  command->add_option(
      "--meter", call->meter,
      "a meter that answers SCPI commands: tcp:HOST:PORT, serial:DEVICE or serial:DEVICE:BAUD");
  command->footer(
      "Examples: loomgraft serve jobs --lan\n"
      "          loomgraft serve jobs --meter tcp:192.168.1.20:5025\n"
      "          loomgraft serve jobs --meter serial:/dev/ttyUSB0:9600");
  command->callback([call, &exit] { exit = run(*call); });
}

}  // namespace loomgraft::cli

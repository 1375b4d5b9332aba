// The certificate authority of a folder, and what is answered without TLS.
#include <gtest/gtest.h>
#include <sys/stat.h>

#include <fstream>

#include "http/clock.h"
#include "tests/serve/bench.h"

namespace loomgraft::serve_tls_test {
namespace {

ServeOptions with_tls() {
  ServeOptions options;
  options.lan = options.tls = true;
  options.loopback_is_remote = true;
  options.interfaces = {{"wlan0", "192.168.7.20", true, false, true}};
  return options;
}

// A client that trusts the authority whose certificate it got without TLS, and nothing else.
std::unique_ptr<httplib::SSLClient> trusting(Bench& bench) {
  auto client = std::make_unique<httplib::SSLClient>("127.0.0.1", bench.bench->port());
  client->set_ca_cert_path((bench.folder / ".loomgraft-tls/authority.crt").c_str());
  client->enable_server_certificate_verification(true);
  return client;
}

TEST(Tls, ADeviceThatTrustsTheAuthorityIsPairedAndServed) {
  Bench bench(with_tls());
  const auto client = trusting(bench);
  EXPECT_EQ(client->Get("/api/session")->status, 401);
  const Token token = bench.bench->pairing().new_token({steady_seconds(), seconds_now()});
  const auto paired = client->Post("/api/pair", Json{{"token", token.text}}.dump(), "application/json");
  ASSERT_TRUE(paired) << httplib::to_string(paired.error());
  const std::string set = paired->get_header_value("Set-Cookie");
  EXPECT_TRUE(set.starts_with("__Host-loomgraft=")) << set;
  EXPECT_NE(set.find("; Secure"), std::string::npos);
  const std::string cookie = set.substr(0, set.find(';'));
  const std::string own = "https://127.0.0.1:" + std::to_string(bench.bench->port());
  EXPECT_EQ(client->Get("/api/session", {{"Cookie", cookie}})->status, 200);
  EXPECT_EQ(client->Get("/api/grafts", {{"Cookie", cookie}, {"Origin", own}})->status, 200);
  EXPECT_EQ(client->Get("/api/grafts", {{"Cookie", cookie}, {"Origin", "http" + own.substr(5)}})->status,
            403);
  EXPECT_EQ(bench.client->Get("/api/session", {{"Cookie", cookie}})->status, 401) << "not without TLS";
}

TEST(Tls, ADeviceThatDoesNotTrustItIsNotConnected) {
  Bench bench(with_tls());
  httplib::SSLClient client("127.0.0.1", bench.bench->port());
  client.enable_server_certificate_verification(true);
  EXPECT_FALSE(client.Get("/"));
}

TEST(Tls, WithoutItADeviceGetsTheCertificateAndHowToTrustIt) {
  Bench bench(with_tls());
  const auto page = bench.client->Get("/");
  ASSERT_TRUE(page);
  EXPECT_NE(page->body.find("https://127.0.0.1:" + std::to_string(bench.bench->port()) + "/"),
            std::string::npos);
  EXPECT_EQ(page->body.find("ADDRESS"), std::string::npos);
  const auto certificate = bench.client->Get("/loomgraft-ca.crt");
  ASSERT_EQ(certificate->status, 200);
  EXPECT_EQ(certificate->body, bench.bench->tls()->authority_der);
  EXPECT_EQ(bench.client->Get("/api/session")->status, 401);
  EXPECT_EQ(bench.client->Post("/api/pair", R"({"token":"x"})", "application/json")->status, 401);
  EXPECT_EQ(bench.client->Get("/pair.js")->status, 401);
}

TEST(Tls, TheAuthorityStaysAndItsKeyIsTheOwnersOnly) {
  Bench bench(with_tls());
  const std::string fingerprint = bench.bench->tls()->fingerprint;
  EXPECT_EQ(fingerprint.size(), 32U * 3 - 1);
  struct stat key {};
  ASSERT_EQ(::stat((bench.folder / ".loomgraft-tls/authority.key").c_str(), &key), 0);
  EXPECT_EQ(key.st_mode & 0777U, 0600U);
  bench.restart();
  EXPECT_EQ(bench.bench->tls()->fingerprint, fingerprint);
  EXPECT_EQ(trusting(bench)->Get("/api/session")->status, 401);
}

TEST(Tls, ADamagedAuthorityIsSaidAndNotReplaced) {
  ServeOptions options = with_tls();
  const ScratchFolder folder;
  options.path = folder.path();
  options.port = 0;
  ASSERT_EQ(::mkdir((folder / ".loomgraft-tls").c_str(), 0700), 0);
  write_bytes(folder / ".loomgraft-tls/authority.key", "no key");
  const auto bench = Workbench::start(options);
  ASSERT_FALSE(bench);
  EXPECT_EQ(bench.error()[0].code, ProblemCode("no-certificate"));
  EXPECT_EQ(bytes_of(folder / ".loomgraft-tls/authority.key"), "no key");
}

TEST(Tls, ManyBytesGoBothWays) {
  Bench bench(with_tls());
  const auto client = trusting(bench);
  const Token token = bench.bench->pairing().new_token({steady_seconds(), seconds_now()});
  const auto paired = client->Post("/api/pair", Json{{"token", token.text}}.dump(), "application/json");
  const std::string set = paired->get_header_value("Set-Cookie");
  const httplib::Headers headers{{"Cookie", set.substr(0, set.find(';'))}};
  client->set_read_timeout(60, 0);
  std::string rows = "pin,signal\n";
  for (int i = 1; i <= 5000; ++i) rows += std::to_string(i) + ",lamp number " + std::to_string(i) + "\n";
  const auto read = client->Post("/api/tables", headers, Json{{"name", "big.csv"}, {"text", rows}}.dump(),
                                 "application/json");
  ASSERT_TRUE(read) << httplib::to_string(read.error());
  EXPECT_EQ(read->status, 200);
  EXPECT_GT(read->body.size(), 300'000U);
}

}  // namespace
}  // namespace loomgraft::serve_tls_test

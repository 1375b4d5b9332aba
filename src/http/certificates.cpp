#include "http/certificates.h"

#include <fcntl.h>
#include <openssl/evp.h>
#include <openssl/pem.h>
#include <openssl/ssl.h>
#include <openssl/x509v3.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <filesystem>

namespace loomgraft {
namespace {

constexpr long day = 86'400;
constexpr long authority_days = 3'650;
constexpr long server_days = 90;
constexpr long clock_slack_days = 2;  // a phone's clock may be behind

constexpr const char* allowed_names =
    "critical,permitted;DNS:localhost,permitted;DNS:local,permitted;IP:10.0.0.0/255.0.0.0,"
    "permitted;IP:172.16.0.0/255.240.0.0,permitted;IP:192.168.0.0/255.255.0.0,"
    "permitted;IP:169.254.0.0/255.255.0.0,permitted;IP:127.0.0.0/255.0.0.0";

struct FreeKey {
  void operator()(EVP_PKEY* key) const { ::EVP_PKEY_free(key); }
};
struct FreeCertificate {
  void operator()(X509* certificate) const { ::X509_free(certificate); }
};
struct FreeBio {
  void operator()(BIO* bio) const { ::BIO_free(bio); }
};
using Key = std::unique_ptr<EVP_PKEY, FreeKey>;
using Certificate = std::unique_ptr<X509, FreeCertificate>;
using Bio = std::unique_ptr<BIO, FreeBio>;

struct KeyAndCertificate {
  Key key;
  Certificate certificate;
};

Problem no_certificate(const std::string& path, std::string message) {
  return {Severity::error,
          "no-certificate",
          {path, 0, 0, ""},
          std::move(message),
          "Check that the folder can be written. To begin anew, remove its folder .loomgraft-tls; then each "
          "phone has "
          "to take the new certificate."};
}

bool add_extension(X509* certificate, X509* issuer, int kind, const std::string& value) {
  X509V3_CTX context;
  X509V3_set_ctx_nodb(&context);
  ::X509V3_set_ctx(&context, issuer, certificate, nullptr, nullptr, 0);
  X509_EXTENSION* extension = ::X509V3_EXT_conf_nid(nullptr, &context, kind, value.c_str());
  if (!extension) return false;
  const bool added = ::X509_add_ext(certificate, extension, -1) == 1;
  ::X509_EXTENSION_free(extension);
  return added;
}

bool set_random_serial(X509* certificate) {
  BIGNUM* number = ::BN_new();
  const bool set = number && ::BN_rand(number, 127, BN_RAND_TOP_ANY, BN_RAND_BOTTOM_ANY) == 1 &&
                   ::BN_to_ASN1_INTEGER(number, ::X509_get_serialNumber(certificate)) != nullptr;
  ::BN_free(number);
  return set;
}

bool set_name(X509_NAME* name, const std::string& text) {
  const auto* const bytes = reinterpret_cast<const unsigned char*>(text.c_str());
  return ::X509_NAME_add_entry_by_txt(name, "O", MBSTRING_UTF8,
                                      reinterpret_cast<const unsigned char*>("Loomgraft"), -1, -1, 0) == 1 &&
         ::X509_NAME_add_entry_by_txt(name, "CN", MBSTRING_UTF8, bytes, -1, -1, 0) == 1;
}

// A certificate without extensions and signature.
Certificate blank_certificate(EVP_PKEY* key, const std::string& name, long days) {
  Certificate certificate(::X509_new());
  const bool made = certificate && ::X509_set_version(certificate.get(), X509_VERSION_3) == 1 &&
                    set_random_serial(certificate.get()) &&
                    ::X509_gmtime_adj(::X509_getm_notBefore(certificate.get()), -clock_slack_days * day) &&
                    ::X509_gmtime_adj(::X509_getm_notAfter(certificate.get()), days * day) &&
                    ::X509_set_pubkey(certificate.get(), key) == 1 &&
                    set_name(::X509_get_subject_name(certificate.get()), name);
  return made ? std::move(certificate) : nullptr;
}

KeyAndCertificate new_authority() {
  Key key(::EVP_EC_gen("P-256"));
  if (!key) return {};
  Certificate own = blank_certificate(key.get(), "Workshop authority of a folder", authority_days);
  const bool made =
      own && ::X509_set_issuer_name(own.get(), ::X509_get_subject_name(own.get())) == 1 &&
      add_extension(own.get(), own.get(), NID_basic_constraints, "critical,CA:TRUE,pathlen:0") &&
      add_extension(own.get(), own.get(), NID_key_usage, "critical,keyCertSign") &&
      add_extension(own.get(), own.get(), NID_subject_key_identifier, "hash") &&
      add_extension(own.get(), own.get(), NID_name_constraints, allowed_names) &&
      ::X509_sign(own.get(), key.get(), ::EVP_sha256()) > 0;
  return made ? KeyAndCertificate{std::move(key), std::move(own)} : KeyAndCertificate{};
}

KeyAndCertificate new_server(const KeyAndCertificate& authority, const std::vector<std::string>& addresses) {
  std::string names = "DNS:localhost,IP:127.0.0.1";
  for (const std::string& address : addresses) names += ",IP:" + address;
  X509* issuer = authority.certificate.get();
  Key key(::EVP_EC_gen("P-256"));
  if (!key) return {};
  Certificate own = blank_certificate(key.get(), "Workbench", server_days);
  const bool made = own && ::X509_set_issuer_name(own.get(), ::X509_get_subject_name(issuer)) == 1 &&
                    add_extension(own.get(), issuer, NID_basic_constraints, "critical,CA:FALSE") &&
                    add_extension(own.get(), issuer, NID_key_usage, "critical,digitalSignature") &&
                    add_extension(own.get(), issuer, NID_ext_key_usage, "serverAuth") &&
                    add_extension(own.get(), issuer, NID_authority_key_identifier, "keyid") &&
                    add_extension(own.get(), issuer, NID_subject_alt_name, names) &&
                    ::X509_sign(own.get(), authority.key.get(), ::EVP_sha256()) > 0;
  return made ? KeyAndCertificate{std::move(key), std::move(own)} : KeyAndCertificate{};
}

Bio open_file(const std::string& path, const char* mode) {
  return Bio(::BIO_new_file(path.c_str(), mode));
}

KeyAndCertificate read_authority(const std::string& key_path, const std::string& certificate_path) {
  const Bio key = open_file(key_path, "r");
  const Bio certificate = open_file(certificate_path, "r");
  if (!key || !certificate) return {};
  KeyAndCertificate read{Key(::PEM_read_bio_PrivateKey(key.get(), nullptr, nullptr, nullptr)),
                         Certificate(::PEM_read_bio_X509(certificate.get(), nullptr, nullptr, nullptr))};
  const bool fits = read.key && read.certificate &&
                    ::X509_check_private_key(read.certificate.get(), read.key.get()) == 1 &&
                    ::X509_cmp_current_time(::X509_get0_notAfter(read.certificate.get())) > 0;
  return fits ? std::move(read) : KeyAndCertificate{};
}

bool write_authority(const KeyAndCertificate& authority, const std::string& key_path,
                     const std::string& certificate_path) {
  // Never readable by others, not even for a moment.
  const int file = ::open(key_path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0600);
  if (file < 0) return false;
  const Bio key(::BIO_new_fd(file, BIO_CLOSE));
  const Bio certificate = open_file(certificate_path, "w");
  return key && certificate &&
         ::PEM_write_bio_PrivateKey(key.get(), authority.key.get(), nullptr, nullptr, 0, nullptr, nullptr) ==
             1 &&
         ::PEM_write_bio_X509(certificate.get(), authority.certificate.get()) == 1;
}

tl::expected<KeyAndCertificate, Problem> authority_of(const std::string& folder) {
  namespace fs = std::filesystem;
  const std::string key_path = folder + "/authority.key";
  const std::string certificate_path = folder + "/authority.crt";
  std::error_code failed;
  if (fs::exists(key_path, failed)) {
    KeyAndCertificate kept = read_authority(key_path, certificate_path);
    if (kept.key) return kept;
    return tl::unexpected(
        no_certificate(folder, "The certificate authority of this folder cannot be read, or has ended."));
  }
  ::mkdir(folder.c_str(), 0700);
  KeyAndCertificate fresh = new_authority();
  if (!fresh.key || !write_authority(fresh, key_path, certificate_path))
    return tl::unexpected(no_certificate(folder, "No certificate authority could be made in this folder."));
  return fresh;
}

std::string der_of(X509* certificate) {
  unsigned char* bytes = nullptr;
  const int size = ::i2d_X509(certificate, &bytes);
  std::string der =
      size > 0 ? std::string(reinterpret_cast<char*>(bytes), static_cast<std::size_t>(size)) : std::string();
  ::OPENSSL_free(bytes);
  return der;
}

std::string fingerprint_of(X509* certificate) {
  constexpr std::string_view digits = "0123456789ABCDEF";
  std::array<unsigned char, EVP_MAX_MD_SIZE> hash{};
  unsigned size = 0;
  if (::X509_digest(certificate, ::EVP_sha256(), hash.data(), &size) != 1) return {};
  std::string text;
  for (unsigned i = 0; i < size; ++i) {
    if (i > 0) text += ':';
    text += digits[hash[i] >> 4U];
    text += digits[hash[i] & 15U];
  }
  return text;
}

TlsContext context_of(const KeyAndCertificate& server, X509* authority) {
  TlsContext context(::SSL_CTX_new(::TLS_server_method()));
  const bool made = context && ::SSL_CTX_set_min_proto_version(context.get(), TLS1_2_VERSION) == 1 &&
                    ::SSL_CTX_use_certificate(context.get(), server.certificate.get()) == 1 &&
                    ::SSL_CTX_use_PrivateKey(context.get(), server.key.get()) == 1 &&
                    ::SSL_CTX_add1_chain_cert(context.get(), authority) == 1;
  if (!made) return nullptr;
  ::SSL_CTX_set_mode(context.get(), SSL_MODE_ENABLE_PARTIAL_WRITE | SSL_MODE_ACCEPT_MOVING_WRITE_BUFFER);
  ::SSL_CTX_set_options(context.get(), SSL_OP_NO_RENEGOTIATION | SSL_OP_NO_COMPRESSION);
  return context;
}

}  // namespace

void FreeTlsContext::operator()(ssl_ctx_st* context) const {
  ::SSL_CTX_free(context);
}

tl::expected<FolderTls, Problem> folder_tls(const std::string& folder,
                                            const std::vector<std::string>& addresses) {
  auto authority = authority_of(folder);
  if (!authority) return tl::unexpected(std::move(authority.error()));
  const KeyAndCertificate server = new_server(*authority, addresses);
  X509* certificate = authority->certificate.get();
  FolderTls tls{server.key ? context_of(server, certificate) : nullptr, der_of(certificate),
                fingerprint_of(certificate)};
  if (!tls.context)
    return tl::unexpected(
        no_certificate(folder, "No certificate could be made for this computer's addresses."));
  return tls;
}

}  // namespace loomgraft

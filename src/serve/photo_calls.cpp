// Photos, each of which belongs to a step, a test or a part.
#include "http/clock.h"
#include "serve/answers.h"
#include "serve/handlers.h"
#include "serve/secret.h"

namespace loomgraft::serve {
namespace {

// A box "ftyp" with one of the brands of ISO/IEC 23008-12 (HEIF).
bool is_heif(std::string_view bytes) {
  if (bytes.size() < 12 || bytes.substr(4, 4) != "ftyp") return false;
  const std::string_view brand = bytes.substr(8, 4);
  for (const std::string_view one : {"heic", "heix", "hevc", "heim", "heis", "mif1", "msf1", "avif"})
    if (brand == one) return true;
  return false;
}

}  // namespace

Answer get_photos(Workbench& bench, const Call& call) {
  const auto graft = graft_of(bench, call);
  if (!graft) return graft.error();
  const auto photos = (*graft)->reader.attachments();
  if (!photos) return refuse(photos.error());
  nlohmann::ordered_json list = nlohmann::ordered_json::array();
  for (const Attachment& photo : *photos) {
    nlohmann::ordered_json item{{"id", photo.id},       {"subject", photo.subject}, {"name", photo.name},
                                {"mime", photo.mime},   {"author", photo.author},   {"time", photo.time},
                                {"bytes", photo.bytes}, {"sha256", photo.sha256}};
    if (photo.removed) item["removed"] = {{"author", photo.removed->author}, {"time", photo.removed->time}};
    list.push_back(std::move(item));
  }
  return json_answer({{"photos", std::move(list)}});
}

Answer post_photo(Workbench& bench, const Call& call) {
  const auto graft = graft_of(bench, call);
  if (!graft) return graft.error();
  if (is_heif(call.body))
    return refuse(415, "entry-not-usable", "This is a HEIC picture, which most browsers do not show.",
                  "Set the phone's camera to JPEG (\"most compatible\"), or send the picture as JPEG.");
  Attachment about;
  about.id = query_value(call, "id");
  if (about.id.empty()) about.id = hex_secret(128);
  about.subject = query_value(call, "subject");
  about.name = query_value(call, "name");
  const std::string_view type = field(call, "Content-Type");
  about.mime = type.substr(0, type.find(';'));
  about.author = call.author;
  about.time = time_now();
  const auto attached = (*graft)->writer.attach(about, call.body);
  if (!attached) return refuse(attached.error());
  bench.grafts().check_now();
  return json_answer({{"id", about.id}}, attached->already_there ? 200 : 201);
}

Answer get_photo(Workbench& bench, const Call& call) {
  const auto graft = graft_of(bench, call);
  if (!graft) return graft.error();
  const auto photos = (*graft)->reader.attachments();
  if (!photos) return refuse(photos.error());
  for (const Attachment& photo : *photos) {
    if (photo.id != call.names[1]) continue;
    Answer answer;
    const std::string etag = "\"" + photo.sha256 + "\"";
    answer.fields.emplace("ETag", etag);
    answer.fields.emplace("Cache-Control", "private, no-cache");
    if (!photo.removed && has_already(call, etag)) {
      answer.status = 304;
      return answer;
    }
    auto bytes = (*graft)->reader.attachment_bytes(photo.id);
    if (!bytes) return refuse(bytes.error());
    answer.type = photo.mime;
    answer.body = std::move(*bytes);
    return answer;
  }
  return refuse(404, "not-found", "There is no such photo.", "Load the list of photos again.");
}

Answer delete_photo(Workbench& bench, const Call& call) {
  const auto graft = graft_of(bench, call);
  if (!graft) return graft.error();
  const auto removed = (*graft)->writer.remove_attachment(call.names[1], {call.author, time_now()});
  if (!removed) return refuse(removed.error());
  bench.grafts().check_now();
  return json_answer({{"sequence", removed->sequence}});
}

}  // namespace loomgraft::serve

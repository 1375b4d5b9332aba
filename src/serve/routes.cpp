#include "serve/routes.h"

#include <algorithm>
#include <vector>

#include "serve/handlers.h"

namespace loomgraft::serve {
namespace {

constexpr std::size_t small = std::size_t{16} << 10U;
constexpr std::size_t medium = std::size_t{8} << 20U;  // a document, an edit of all of it
constexpr std::size_t large = std::size_t{24} << 20U;  // 16 MiB of a table's file, in base64
constexpr std::size_t photo = std::size_t{16} << 20U;

constexpr const char* json = "application/json";
constexpr const char* json_patch = "application/json-patch+json";

// clang-format off
constexpr Route table[] = {
    {"GET",    "/",                                           get_page},
    {"GET",    "/pair.js",                                    get_pair_file,   Caller::anyone},
    {"GET",    "/pair.css",                                   get_pair_file,   Caller::anyone},
    {"GET",    "/loomgraft-ca.crt",                           get_authority,   Caller::anyone},
    {"GET",    "/{file}",                                     get_page_file},
    {"GET",    "/api/session",                                get_session},
    {"POST",   "/api/pair",                                   post_pair,       Caller::anyone, small, json},
    {"GET",    "/api/devices",                                get_devices},
    {"DELETE", "/api/devices/{device}",                       delete_device},
    {"POST",   "/api/leave",                                  post_leave},
    {"GET",    "/api/join",                                   get_join,        Caller::this_machine},
    {"GET",    "/api/grafts",                                 get_grafts},
    {"POST",   "/api/grafts",                                 post_graft,      Caller::paired, small, json},
    {"GET",    "/api/grafts/{graft}",                         get_graft},
    {"PATCH",  "/api/grafts/{graft}",                         patch_graft,     Caller::paired, medium, json_patch},
    {"POST",   "/api/grafts/{graft}/undo",                    post_undo},
    {"POST",   "/api/grafts/{graft}/redo",                    post_redo},
    {"GET",    "/api/grafts/{graft}/history",                 get_history},
    {"GET",    "/api/grafts/{graft}/export",                  get_export},
    {"POST",   "/api/grafts/{graft}/import",                  post_import,     Caller::paired, large, json},
    {"GET",    "/api/grafts/{graft}/copies",                  get_copies},
    {"POST",   "/api/grafts/{graft}/copies",                  post_copy},
    {"GET",    "/api/grafts/{graft}/copies/{copy}",           get_copy},
    {"POST",   "/api/grafts/{graft}/copies/{copy}/put_back",  post_put_back},
    {"POST",   "/api/tables",                                 post_tables,     Caller::paired, large, json},
    {"POST",   "/api/grafts/{graft}/tables",                  post_graft_table, Caller::paired, large, json},
    {"GET",    "/api/grafts/{graft}/reports/check",           get_check},
    {"GET",    "/api/grafts/{graft}/reports/compare",         get_compare},
    {"GET",    "/api/grafts/{graft}/reports/rank",            get_rank},
    {"GET",    "/api/grafts/{graft}/reports/design",          get_design},
    {"GET",    "/api/grafts/{graft}/reports/solve",           get_solve},
    {"GET",    "/api/grafts/{graft}/reports/prove",           get_prove},
    {"GET",    "/api/grafts/{graft}/reports/find",            get_find},
    {"GET",    "/api/grafts/{graft}/reports/practice",        get_practice},
    {"GET",    "/api/grafts/{graft}/reports/symptoms",        get_symptoms},
    {"GET",    "/api/jobs/{job}",                             get_job},
    {"DELETE", "/api/jobs/{job}",                             delete_job},
    {"POST",   "/api/grafts/{graft}/plug",                    post_plug,       Caller::paired, small, json},
    {"POST",   "/api/grafts/{graft}/plan/propose",            post_proposal,   Caller::paired, small, json},
    {"GET",    "/api/recipes",                                get_recipes},
    {"GET",    "/api/grafts/{graft}/reports/circuits",        get_circuits},
    {"POST",   "/api/grafts/{graft}/circuits",                post_circuit_change, Caller::paired, small, json},
    {"GET",    "/api/grafts/{graft}/drawings/face/{connector}", get_face},
    {"GET",    "/api/grafts/{graft}/drawings/diagram",        get_diagram},
    {"GET",    "/api/grafts/{graft}/drawings/time_current",   get_time_current},
    {"GET",    "/api/grafts/{graft}/drawings/matrix",         get_matrix},
    {"GET",    "/api/grafts/{graft}/ticks",                   get_ticks},
    {"PUT",    "/api/grafts/{graft}/ticks/{subject}",         put_tick,        Caller::paired, small, json},
    {"GET",    "/api/grafts/{graft}/readings",                get_readings},
    {"POST",   "/api/grafts/{graft}/readings",                post_reading,    Caller::paired, small, json},
    {"GET",    "/api/grafts/{graft}/photos",                  get_photos},
    {"POST",   "/api/grafts/{graft}/photos",                  post_photo,      Caller::paired, photo, "image/"},
    {"GET",    "/api/grafts/{graft}/photos/{photo}",          get_photo},
    {"DELETE", "/api/grafts/{graft}/photos/{photo}",          delete_photo},
    {"GET",    "/api/meter",                                  get_meter},
    {"POST",   "/api/meter",                                  post_meter,      Caller::paired, small, json},
    {"POST",   "/api/meter/zero",                             post_meter_zero},
    {"GET",    "/api/events",                                 get_events},
};
// clang-format on

std::vector<std::string_view> segments(std::string_view path) {
  std::vector<std::string_view> list;
  while (!path.empty() && path.front() == '/') {
    path.remove_prefix(1);
    const std::size_t end = std::min(path.find('/'), path.size());
    list.push_back(path.substr(0, end));
    path.remove_prefix(end);
  }
  return list;
}

bool safe_name(const std::string& name) {
  if (name.empty() || name == "." || name == "..") return false;
  return std::none_of(name.begin(), name.end(), [](char c) {
    const auto byte = static_cast<unsigned char>(c);
    return c == '/' || c == '\\' || byte < 0x20 || byte == 0x7f;
  });
}

bool matches(std::string_view pattern, const std::vector<std::string_view>& path,
             std::vector<std::string>& names) {
  names.clear();
  const std::vector<std::string_view> wanted = segments(pattern);
  if (wanted.size() != path.size()) return false;
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    if (!wanted[i].starts_with('{')) {
      if (wanted[i] != path[i]) return false;
      continue;
    }
    std::string name;
    if (!percent_decoded(path[i], name) || !safe_name(name)) return false;
    names.push_back(std::move(name));
  }
  return true;
}

}  // namespace

std::span<const Route> routes() {
  return table;
}

FoundRoute find_route(Call& call) {
  const std::vector<std::string_view> path = segments(call.path);
  FoundRoute found;
  for (const Route& route : table) {
    std::vector<std::string> names;
    if (!matches(route.path, path, names)) continue;
    if (call.method == route.method) {
      call.names = std::move(names);
      return {&route, {}};
    }
    found.allowed += (found.allowed.empty() ? "" : ", ") + std::string(route.method);
  }
  return found;
}

}  // namespace loomgraft::serve

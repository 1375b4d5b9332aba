// Drawings of the current document as SVG.
#include <algorithm>

#include "base/decimal.h"
#include "design/design.h"
#include "diagram/diagram.h"
#include "diagram/paper.h"
#include "draw/face.h"
#include "draw/face_marks.h"
#include "draw/time_current.h"
#include "loom/part_text.h"
#include "serve/answers.h"
#include "serve/handlers.h"

namespace loomgraft::serve {
namespace {

JobResult drawn(std::string svg) {
  return {200, "image/svg+xml", std::move(svg)};
}

// Millimetres between the bounds, or `fallback` where the Call does not say.
double width_of(const Call& call, double fallback, double least, double most) {
  const std::string text = query_value(call, "width");
  const double width = read_decimal(text).value_or(fallback);
  return width >= least && width <= most ? width : fallback;
}

bool is_set(const Call& call, const char* name) {
  const std::string text = query_value(call, name);
  return !text.empty() && text != "0" && text != "false";
}

struct FaceQuestion {
  std::string connector;
  std::string side;
  std::string donor;
  FaceOptions options;
};

const Module* owner_of(const Graft& graft, const std::string& connector) {
  for (const Module& module : graft.modules) {
    const auto& own = module.connectors;
    if (std::find(own.begin(), own.end(), connector) != own.end()) return &module;
  }
  return nullptr;
}

JobResult face_of(const Graft& graft, const FaceQuestion& question) {
  const Connector* connector = find_connector(graft, question.connector);
  if (!connector)
    return result_of(Problems{{Severity::error,
                               "no-such-connector",
                               {},
                               "The graft has no such connector.",
                               "Choose one of its connectors."}});
  std::vector<FaceMark> marks;
  if (question.options.planned) {
    marks = planned_face_marks(graft, *connector);
  } else if (const Module* module = owner_of(graft, connector->id)) {
    CompareReport report;
    if (!question.donor.empty() && find_module(graft, question.donor))
      report = compare_modules(graft, module->id, question.donor);
    marks = face_marks(*connector, *module, report);
  }
  if (question.side == "wire_entry" || question.side == "mating") {
    const View side = question.side == "mating" ? View::mating : View::wire_entry;
    return drawn(draw_face(*connector, marks, side, question.options));
  }
  return drawn(draw_faces(*connector, marks, question.options));
}

// The fuse of an added wire against what the wire stands.
JobResult time_current_of(const Graft& graft, const std::string& id, double width) {
  const DesignReport report = design_circuits(graft, {.remedies = false, .outcomes = false});
  for (const CircuitDesign& circuit : report.circuits) {
    for (const WireDesign& wire : circuit.wires) {
      if (wire.wire != id || !wire.protection) continue;
      const WireProtection& guarded = *wire.protection;
      return drawn(
          draw_time_current({fuse_sheet_title(graft, guarded.fuse, wire.wire), guarded.family, guarded.rating,
                             guarded.question, guarded.verdict, wire.current, width}));
    }
  }
  return result_of(Problems{{Severity::error,
                             "no-fuse-on-the-way",
                             {},
                             "The graft has no added wire \"" + id + "\" that a fuse feeds.",
                             "Choose a wire between a fuse and its load."}});
}

}  // namespace

Answer get_time_current(Workbench& bench, const Call& call) {
  const auto current = document_of(bench, call);
  if (!current) return current.error();
  const auto draw = [document = current->document, wire = query_value(call, "wire"),
                     width = width_of(call, 160.0, 70.0, 400.0)](const JobControl&) {
    return time_current_of(document->graft, wire, width);
  };
  return report_answer(bench, call, *current, "time_current", draw, IfSlow::wait);
}

Answer get_face(Workbench& bench, const Call& call) {
  const auto current = document_of(bench, call);
  if (!current) return current.error();
  FaceQuestion question;
  question.connector = call.names[1];
  question.side = query_value(call, "side");
  question.donor = query_value(call, "compare");
  question.options.width_mm = width_of(call, question.options.width_mm, 60.0, 1000.0);
  if (is_set(call, "black")) question.options.ink = WireInk::black;
  question.options.cavity = query_value(call, "cavity");
  question.options.planned = query_value(call, "show") == "planned";
  const auto draw = [document = current->document, question](const JobControl&) {
    return face_of(document->graft, question);
  };
  return report_answer(bench, call, *current, "face/" + question.connector, draw, IfSlow::wait);
}

Answer get_diagram(Workbench& bench, const Call& call) {
  const auto current = document_of(bench, call);
  if (!current) return current.error();
  DiagramOptions options;
  options.circuit = query_value(call, "circuit");
  options.module = options.circuit.empty() ? query_value(call, "module") : std::string();
  const std::string show = query_value(call, "show");
  if (show == "planned") options.show = DiagramShow::planned;
  if (show == "difference") options.show = DiagramShow::difference;
  if (is_set(call, "black")) options.ink = WireInk::black;
  options.width_mm = width_of(call, 0.0, 40.0, 5000.0);
  const std::string sheets = query_value(call, "paper");
  PaperOptions paper;
  if (sheets == "a3") paper.paper = Paper::a3;
  paper.portrait = is_set(call, "portrait");
  paper.revision = std::to_string(current->document->revision);
  const auto draw = [document = current->document, options, sheets, paper](const JobControl&) {
    if (!sheets.empty()) return drawn(in_one_drawing(draw_diagram_on_paper(document->graft, options, paper)));
    return drawn(draw_diagram(document->graft, options).svg);
  };
  return report_answer(bench, call, *current, "diagram", draw, IfSlow::wait);
}

}  // namespace loomgraft::serve

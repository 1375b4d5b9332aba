// One list of fields for every struct of the document: the reader, the writer and the check for unknown
// members all walk it, so they cannot disagree. Only loom/ includes this file.
#pragma once

#include <string>

#include "loom/graft.h"

namespace loomgraft::loom {

// A visitor has `field(name, member)`; units are in the JSON name, so quantities pass the factor from SI to
// that unit.
template <class V>
void visit(V& v, Source& s) {
  v.field("id", s.id);
  v.field("title", s.title);
  v.field("kind", s.kind);
  v.field("weight", s.weight);
  v.field("market", s.market);
  v.field("generation", s.generation);
  v.field("years", s.years);
}

template <class V>
void visit(V& v, Colour& c) {
  v.field("base", c.base);
  v.field("tracer", c.tracer);
  v.field("raw", c.raw);
}

template <class V>
void visit(V& v, Claim& c) {
  v.field("source", c.source);
  v.field("line", c.line);
  v.field("column", c.column);
  v.field("signal", c.signal);
  v.field("class", c.pin_class);
  v.field("colour", c.colour);
  v.field("proved", c.proved);
  v.field("place", c.place);
}

template <class V>
void visit(V& v, CavityRow& r) {
  v.field("cavities", r.cavities);
  v.field("x_mm", r.x, 1e-3);
  v.field("y_mm", r.y, 1e-3);
  v.field("pitch_mm", r.pitch, 1e-3);
  v.field("terminal_width_mm", r.terminal_width, 1e-3);
}

template <class V>
void visit(V& v, Connector& c) {
  v.field("id", c.id);
  v.field("name", c.name);
  v.field("part", c.part);
  v.field("housing_colour", c.housing_colour);
  v.field("view", c.view);
  v.field("latch", c.latch);
  v.field("keying", c.keying);
  v.field("origin", c.origin);
  v.field("sealed", c.sealed);
  v.field("rows_guessed", c.rows_guessed);
  v.field("mates", c.mates);
  v.field("place", c.place);
  v.field("rows", c.rows);
}

template <class V>
void visit(V& v, CavityRef& r) {
  v.field("connector", r.connector);
  v.field("cavity", r.cavity);
}

template <class V>
void visit(V& v, ModuleTags& t) {
  v.field("generation", t.generation);
  v.field("diagnostics", t.diagnostics);
  v.field("years", t.years);
  v.field("market", t.market);
  v.field("transmission", t.transmission);
  v.field("board", t.board);
}

template <class V>
void visit(V& v, PinLimits& l) {
  v.field("current_a", l.current);
  v.field("voltage_v", l.voltage);
  v.field("clamp_energy_mj", l.clamp_energy, 1e-3);
}

template <class V>
void visit(V& v, Pin& p) {
  v.field("connector", p.at.connector);
  v.field("cavity", p.at.cavity);
  v.field("signal", p.signal);
  v.field("term", p.term);
  v.field("class", p.pin_class);
  v.field("colour", p.colour);
  v.field("note", p.note);
  v.field("far_end", p.far_end);
  v.field("populated", p.populated);
  v.field("hardware", p.hardware);
  v.field("software", p.software);
  v.field("bias", p.bias);
  v.field("limits", p.limits);
  v.field("forbidden", p.forbidden);
  v.field("claims", p.claims);
  v.field("doubts", p.doubts);
}

template <class V>
void visit(V& v, Module& m) {
  v.field("id", m.id);
  v.field("name", m.name);
  v.field("role", m.role);
  v.field("tags", m.tags);
  v.field("connectors", m.connectors);
  v.field("pins", m.pins);
  v.field("legend", m.legend);
  v.field("rated_v", m.rated);
}

template <class V>
void visit(V& v, WireEnd& e) {
  v.field("at", e.at);
  v.field("cavity", e.cavity);
}

template <class V>
void visit(V& v, Wire& w) {
  v.field("id", w.id);
  v.field("signal", w.signal);
  v.field("from", w.from);
  v.field("to", w.to);
  v.field("colour", w.colour);
  v.field("area_mm2", w.area, 1e-6);
  v.field("length_mm", w.length, 1e-3);
  v.field("insulation", w.insulation);
  v.field("along", w.along);
  v.field("twist", w.twist);
  v.field("guessed", w.guessed);
}

template <class V>
void visit(V& v, Device& d) {
  v.field("id", d.id);
  v.field("name", d.name);
  v.field("kind", d.kind);
  v.field("model", d.model);
  v.field("terminals", d.terminals);
  v.field("resistance_ohm", d.resistance);
  v.field("inductance_mh", d.inductance, 1e-3);
  v.field("rating_a", d.rating);
  v.field("current_a", d.current);
  v.field("pull_in_v", d.pull_in);
  v.field("release_v", d.release);
  v.field("closed_at_rest", d.closed_at_rest);
  v.field("rated_v", d.rated);
  v.field("withstands_v", d.withstands);
  v.field("suppression", d.suppression);
  v.field("place", d.place);
  v.field("recipe", d.recipe);
  v.field("guessed", d.guessed);
  v.field("forbidden", d.forbidden);
}

template <class V>
void visit(V& v, LoomPlace& p) {
  v.field("id", p.id);
  v.field("name", p.name);
  v.field("hottest_c", p.hottest);
  v.field("wet", p.wet);
  v.field("moving", p.moving);
  v.field("access_min", p.access, 60.0);
  v.field("along", p.along);
  v.field("across", p.across);
}

template <class V>
void visit(V& v, LoomPath& p) {
  v.field("id", p.id);
  v.field("from", p.from);
  v.field("to", p.to);
  v.field("length_mm", p.length, 1e-3);
  v.field("shortest_mm", p.shortest, 1e-3);
  v.field("longest_mm", p.longest, 1e-3);
  v.field("hottest_c", p.hottest);
  v.field("opening_mm", p.opening, 1e-3);
  v.field("caution", p.caution);
}

template <class V>
void visit(V& v, PlanStep& s) {
  v.field("action", s.action);
  v.field("wire", s.wire);
  v.field("from", s.from);
  v.field("to", s.to);
  v.field("added", s.added);
  v.field("reason", s.reason);
}

template <class V>
void visit(V& v, Reading& r) {
  v.field("id", r.id);
  v.field("test", r.test);
  v.field("value", r.value);
  v.field("unit", r.unit);
  v.field("author", r.author);
  v.field("time", r.time);
  v.field("practice", r.practice);
  v.field("in_band_only", r.in_band_only);
}

template <class V>
void visit(V& v, Vehicle& x) {
  v.field("name", x.name);
  v.field("supply_v", x.supply);
  v.field("market", x.market);
  v.field("years", x.years);
  v.field("transmission", x.transmission);
  v.field("diagnostics", x.diagnostics);
  v.field("shape", x.shape);
}

template <class V>
void visit(V& v, JobData& j) {
  v.field("customer", j.customer);
  v.field("number", j.number);
  v.field("registration", j.registration);
  v.field("chassis", j.chassis);
  v.field("by", j.by);
  v.field("date", j.date);
  v.field("note", j.note);
}

template <class V>
void visit(V& v, RuleOverride& r) {
  v.field("rule", r.rule);
  v.field("value", r.value);
  v.field("reason", r.reason);
}

template <class V>
void visit(V& v, Rules& r) {
  v.field("set", r.set);
  v.field("overrides", r.overrides);
}

template <class V>
void visit(V& v, Condition& c) {
  v.field("name", c.name);
  v.field("battery_off", c.battery_off);
  v.field("key", c.key);
  v.field("supply_v", c.supply);
  v.field("ambient_c", c.ambient);
  v.field("worked", c.worked);
  v.field("driven", c.driven);
  v.field("unplugged", c.unplugged);
  v.field("removed", c.removed);
}

template <class V>
void visit(V& v, SharedCircuit& s) {
  v.field("signal", s.signal);
  v.field("module", s.module);
}

template <class V>
void visit(V& v, CircuitAnswer& a) {
  v.field("id", a.id);
  v.field("found", a.found);
  v.field("donor", a.donor);
  v.field("different", a.different);
}

template <class V>
void visit(V& v, SafetyAnswer& a) {
  v.field("id", a.id);
  v.field("subject", a.subject);
  v.field("at", a.at.at);
  v.field("cavity", a.at.cavity);
  v.field("said", a.said);
  v.field("harmless", a.harmless);
  v.field("by", a.by);
  v.field("time", a.time);
  v.field("note", a.note);
}

template <class V>
void visit(V& v, Graft& g) {
  v.field("title", g.title);
  v.field("job", g.job);
  v.field("vehicle", g.vehicle);
  v.field("sources", g.sources);
  v.field("connectors", g.connectors);
  v.field("modules", g.modules);
  v.field("shared_circuits", g.shared_circuits);
  v.field("circuit_answers", g.circuit_answers);
  v.field("safety_answers", g.safety_answers);
  v.field("devices", g.devices);
  v.field("wires", g.wires);
  v.field("places", g.places);
  v.field("paths", g.paths);
  v.field("plan", g.plan);
  v.field("rules", g.rules);
  v.field("conditions", g.conditions);
  v.field("readings", g.readings);
}

}  // namespace loomgraft::loom

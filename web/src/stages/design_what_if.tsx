// What if one fact were another: change it here, see what would follow, then make it so or leave it.

import { useEffect, useState } from "preact/hooks";
import type { Check, DesignReport, Graft, WhatIfReport } from "../api_types";
import { device_members, fact, state, subject_words } from "../model/measured";
import { find_wire } from "../model/document";
import { size_words } from "../model/sizes";
import { change } from "../net/edit";
import { useReport } from "../net/report";
import { number_of, Select } from "../parts/field";
import { Mark } from "../parts/mark";
import { Waiting } from "../parts/waiting";
import { route } from "../route";
import { units } from "../settings";
import { figure } from "./compare_hazards";
import { CheckName, margin_words } from "./design_check";

interface Fact {
  subject: string;
  member: string;
  words: string;
  unit: string;
}

// Everything of the designed circuits that has a figure, and the vehicle's own; of one circuit, where one is open.
function facts(doc: Graft, report: DesignReport, open: string): Fact[] {
  const list: Fact[] = [];
  const seen = new Set<string>();
  const add = (subject: string, member: string, words: string, unit: string) => {
    const key = `${subject}.${member}`;
    if (!seen.has(key)) list.push({ subject, member, words: `${subject_words(doc, subject)}: ${words}`, unit });
    seen.add(key);
  };
  const one = report.circuits.filter((circuit) => circuit.id === open);
  for (const circuit of one.length > 0 ? one : report.circuits) {
    for (const wire of circuit.wires) {
      add(wire.wire, "area_mm2", "size", "mm²");
      add(wire.wire, "length_mm", "length", "mm");
    }
    for (const fuse of circuit.fuses) add(fuse.device, "rating_a", "rating", "A");
    const device = doc.devices?.find((one) => one.id === circuit.id);
    for (const member of device ? device_members : []) {
      if (device && member.member in device) add(device.id, member.member, member.words, member.unit);
    }
  }
  list.push({ subject: "vehicle", member: "supply_v", words: "vehicle: nominal supply", unit: "V" });
  return list;
}

const settle_ms = 250;

function Side({ check }: { check: Check | null }) {
  if (!check) return <span class="soft">not there</span>;
  return (
    <span>
      <Mark name={check.holds ? "holds" : "fails"} bare /> {figure(check.value, check.unit)} <span class="soft">{margin_words(check)}</span>
    </span>
  );
}

function Outcome({ doc, report }: { doc: Graft; report: WhatIfReport }) {
  const size = (area: number | null) => size_words(area, units.value);
  return (
    <div class="outcome" role="status">
      <p>
        <Mark name={report.holds_after ? "holds" : "fails"} word={report.holds_after ? "Everything would hold" : "Not everything would hold"} />{" "}
        <span class="soft">({report.held_before ? "it holds now" : "it does not hold now"})</span>
      </p>
      {report.sizes.map((one) => (
        <p key={one.wire}>
          {subject_words(doc, one.wire)}: least size {size(one.before_mm2)} → <strong>{size(one.after_mm2)}</strong>
        </p>
      ))}
      {report.checks.length === 0 && report.sizes.length === 0 && <p>Nothing else changes.</p>}
      {report.checks.length > 0 && (
        <div class="scroll" tabIndex={0} role="region" aria-label="What would change">
          <table>
            <thead>
              <tr>
                <th scope="col">What</th>
                <th scope="col">Now</th>
                <th scope="col">Then</th>
              </tr>
            </thead>
            <tbody>
              {report.checks.slice(0, 12).map((one, index) => (
                <tr key={index}>
                  <th scope="row">
                    <CheckName doc={doc} check={one.after ?? one.before ?? { words: "", subject: "" }} />
                  </th>
                  <td>
                    <Side check={one.before} />
                  </td>
                  <td>
                    <Side check={one.after} />
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </div>
      )}
    </div>
  );
}

function value_now(doc: Graft, one: Fact): string {
  return one.subject === "vehicle" ? String(doc.vehicle?.supply_v ?? "") : fact(doc, one.subject, one.member);
}

export function WhatIf({ graft, report }: { graft: Graft; report: DesignReport }) {
  const [chosen, set_chosen] = useState(0);
  const [text, set_text] = useState("");
  const [asked, set_asked] = useState<string | null>(null);
  const circuit = route.value.query.get("circuit") ?? "";
  const list = facts(graft, report, circuit);
  useEffect(() => set_chosen(0), [circuit]);
  const one = list[chosen] ?? list[0];
  const value = number_of(text);
  const what = one && typeof value === "number" ? `${one.subject}.${one.member}=${value}` : null;
  useEffect(() => {
    const timer = window.setTimeout(() => set_asked(what), settle_ms);
    return () => window.clearTimeout(timer);
  }, [what]);
  const answer = useReport<WhatIfReport>(asked ? `/reports/design?what=${encodeURIComponent(asked)}` : null);
  if (!one) return null;
  const make_so = () => {
    if (typeof value !== "number") return;
    void change(one.words, (now) =>
      one.subject === "vehicle"
        ? [{ op: "add", path: "/vehicle", value: { ...now.vehicle, supply_v: value } }]
        : state(now, one.subject, one.member, value),
    );
    set_text("");
  };
  const now = value_now(graft, one) || (find_wire(graft, one.subject) ? "not stated" : "");
  return (
    <details class="sheet what-if no-print">
      <summary>What if …</summary>
      <div class="row">
        <Select label="this" value={String(chosen)} choices={list.map((each, index) => [String(index), each.words] as const)} take={(at) => set_chosen(Number(at))} />
        <label class="field">
          <span class="field-name">were</span>
          <span class="field-box">
            <input inputMode="decimal" size={7} value={text} placeholder={now} onInput={(event) => set_text(event.currentTarget.value)} />
            <span class="unit">{one.unit}</span>
          </span>
        </label>
        <button type="button" disabled={typeof value !== "number"} onClick={make_so}>
          Make it so
        </button>
      </div>
      {value === null && <p class="doubt">Write a number above zero.</p>}
      {asked && <Waiting report={answer} what="Designing it anew" />}
      {asked && answer.value && <Outcome doc={graft} report={answer.value} />}
    </details>
  );
}

// What if: try another value, see what would change, then apply it or not.

import { useEffect, useState } from "preact/hooks";
import type { Check, DesignReport, Graft, WhatIfReport } from "../api_types";
import { use_draft } from "../drafts";
import { find_wire } from "../model/document";
import {
  area_member,
  device_members,
  fact_text,
  length_member,
  type Member,
  rating_member,
  set_fact,
  subject_text,
} from "../model/measured";
import { size_text } from "../model/sizes";
import { figure } from "../model/units";
import { change } from "../net/edit";
import { use_report } from "../net/report";
import { number_of, Select } from "../parts/field";
import { Mark } from "../parts/mark";
import { ReportStatus } from "../parts/report_status";
import { route } from "../route";
import { units } from "../settings";
import { CheckName, margin_text } from "./design_check";

interface Fact {
  subject: string;
  member: string;
  text: string;
  unit: string;
}

// Every fact of the designed circuits that has a value, and the vehicle's supply; of one circuit only if one is open.
function facts_of(doc: Graft, report: DesignReport, open: string): Fact[] {
  const list: Fact[] = [];
  const seen = new Set<string>();
  const add = (subject: string, { member, text, unit }: Member) => {
    const key = `${subject}.${member}`;
    if (!seen.has(key)) list.push({ subject, member, text: `${subject_text(doc, subject)}: ${text}`, unit });
    seen.add(key);
  };
  const one = report.circuits.filter((circuit) => circuit.id === open);
  for (const circuit of one.length > 0 ? one : report.circuits) {
    for (const wire of circuit.wires) {
      add(wire.wire, area_member);
      add(wire.wire, length_member);
    }
    for (const fuse of circuit.fuses) add(fuse.device, rating_member);
    const device = doc.devices?.find((one) => one.id === circuit.id);
    for (const member of device ? device_members : []) {
      if (device && member.member in device) add(device.id, member);
    }
  }
  list.push({ subject: "vehicle", member: "supply_v", text: "vehicle: nominal supply", unit: "V" });
  return list;
}

const key_of = ({ subject, member }: Fact) => `${subject}.${member}`;

const typing_pause_ms = 250;

function CheckResult({ check }: { check: Check | null }) {
  if (!check) return <span class="soft">not there</span>;
  return (
    <span>
      <Mark name={check.passes ? "passes" : "fails"} bare /> {figure(check.value, check.unit)}{" "}
      <span class="soft">{margin_text(check)}</span>
    </span>
  );
}

function WhatIfResult({ doc, report }: { doc: Graft; report: WhatIfReport }) {
  const size = (area: number | null) => size_text(area, units.value);
  return (
    <div class="what-if-result" role="status">
      <p>
        <Mark
          name={report.passes_after ? "passes" : "fails"}
          text={report.passes_after ? "Everything would pass" : "Some circuits would fail"}
        />{" "}
        <span class="soft">({report.passed_before ? "now: everything passes" : "now: some fail"})</span>
      </p>
      {report.sizes.map((one) => (
        <p key={one.wire}>
          {subject_text(doc, one.wire)}: smallest size {size(one.before_mm2)} → <strong>{size(one.after_mm2)}</strong>
        </p>
      ))}
      {report.checks.length === 0 && report.sizes.length === 0 && <p>Nothing else changes.</p>}
      {report.checks.length > 0 && (
        <div class="scroll" tabIndex={0} role="region" aria-label="What would change">
          <table>
            <thead>
              <tr>
                <th scope="col">Check</th>
                <th scope="col">Now</th>
                <th scope="col">Then</th>
              </tr>
            </thead>
            <tbody>
              {report.checks.slice(0, 12).map((one, index) => (
                <tr key={index}>
                  <th scope="row">
                    <CheckName doc={doc} check={one.after ?? one.before ?? { text: "", subject: "" }} />
                  </th>
                  <td>
                    <CheckResult check={one.before} />
                  </td>
                  <td>
                    <CheckResult check={one.after} />
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
  return one.subject === "vehicle" ? String(doc.vehicle?.supply_v ?? "") : fact_text(doc, one.subject, one.member);
}

export function WhatIf({ graft, report }: { graft: Graft; report: DesignReport }) {
  const [draft, set_draft, drop] = use_draft(route.value.graft, "what-if", { fact: "", text: "" });
  const [asked, set_asked] = useState<string | null>(null);
  const circuit = route.value.query.get("circuit") ?? "";
  const list = facts_of(graft, report, circuit);
  const chosen = Math.max(
    0,
    list.findIndex((each) => key_of(each) === draft.fact),
  );
  // A value typed for a fact of another circuit stays with that fact.
  const text = draft.fact === "" || list.some((each) => key_of(each) === draft.fact) ? draft.text : "";
  const one = list[chosen];
  const value = number_of(text);
  const what = one && typeof value === "number" ? `${key_of(one)}=${value}` : null;
  const [typed_before] = useState(text !== "");
  useEffect(() => {
    const timer = window.setTimeout(() => set_asked(what), typing_pause_ms);
    return () => window.clearTimeout(timer);
  }, [what]);
  const answer = use_report<WhatIfReport>(asked ? `/reports/design?what=${encodeURIComponent(asked)}` : null);
  if (!one) return null;
  const apply = () => {
    if (typeof value !== "number") return;
    void change(one.text, (now) =>
      one.subject === "vehicle"
        ? [{ op: "add", path: "/vehicle", value: { ...now.vehicle, supply_v: value } }]
        : set_fact(now, one.subject, one.member, value),
    ).then((saved) => {
      if (saved) drop();
    });
  };
  const choose = (at: number) => {
    const each = list[at];
    if (each) set_draft({ fact: key_of(each), text });
  };
  const now = value_now(graft, one) || (find_wire(graft, one.subject) ? "not stated" : "");
  return (
    <details class="sheet what-if no-print" open={typed_before}>
      <summary>What if …</summary>
      <div class="row">
        <Select
          label="Value to change"
          value={String(chosen)}
          choices={list.map((each, index) => [String(index), each.text] as const)}
          take={(at) => choose(Number(at))}
        />
        <label class="field">
          <span class="field-name">New value</span>
          <span class="field-box">
            <input
              inputMode="decimal"
              size={7}
              value={text}
              placeholder={now}
              onInput={(event) => set_draft({ fact: key_of(one), text: event.currentTarget.value })}
            />
            <span class="unit">{one.unit}</span>
          </span>
        </label>
        <button type="button" disabled={typeof value !== "number"} onClick={apply}>
          Apply
        </button>
      </div>
      {value === null && <p class="doubt">Enter a number above zero.</p>}
      {asked && <ReportStatus report={answer} what="Designing again" />}
      {asked && answer.value && <WhatIfResult doc={graft} report={answer.value} />}
    </details>
  );
}

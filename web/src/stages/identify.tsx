// Identify: which plug is this, seen from which side. A blank face is filled in with what a person sees; the odds
// follow each tap; the next place worth a look is lit.

import { useEffect, useMemo, useState } from "preact/hooks";
import type { Graft, Module, PlugReport, Problem } from "../api_types";
import { connectors_of, find_connector, found_module } from "../model/document";
import { glimpse_shapes, key_of, query_of, shape_name, type Glimpse, type Seen } from "../model/glimpse";
import { ask, graft_path } from "../net/answer";
import { doc, graft } from "../net/graft";
import { Choice } from "../parts/field";
import { Problems } from "../parts/problems";
import { Empty } from "../parts/waiting";
import { BlankFace } from "./identify_face";
import { Looked } from "./identify_look";
import { Brief, Odds } from "./identify_odds";
import { Shape } from "./identify_shape";

const settle_ms = 120;

function use_odds(glimpse: Glimpse): [PlugReport | null, Problem[]] {
  const name = graft.value?.name ?? "";
  const revision = graft.value?.revision ?? 0;
  const [state, set_state] = useState<[PlugReport | null, Problem[]]>([null, []]);
  const query = JSON.stringify(query_of(glimpse));
  useEffect(() => {
    const control = new AbortController();
    const timer = window.setTimeout(() => {
      const call = { method: "POST", body: JSON.parse(query) as unknown, signal: control.signal } as const;
      void ask<PlugReport>(graft_path(name, "/plug"), call).then((answer) => {
        if (control.signal.aborted) return;
        set_state(answer.ok ? [answer.value, answer.value.problems] : [null, answer.problems]);
      });
    }, settle_ms);
    return () => {
      window.clearTimeout(timer);
      control.abort();
    };
  }, [name, revision, query]);
  return state;
}

const latch_choices = [
  ["", "not seen"],
  ["top", "top"],
  ["bottom", "bottom"],
  ["left", "left"],
  ["right", "right"],
] as const;
const side_choices = [
  ["", "not sure"],
  ["wire_entry", "wire-entry side"],
  ["mating", "mating side"],
] as const;

function Finder({ graft, module }: { graft: Graft; module: Module }) {
  const shapes = useMemo(() => glimpse_shapes(connectors_of(graft, module)), [graft, module]);
  const [glimpse, set_glimpse] = useState<Glimpse>({ rows: shapes[0] ?? [8, 8, 8], seen: {}, latch: "", side: "" });
  const [at, set_at] = useState<string | null>(null);
  const [report, problems] = use_odds(glimpse);
  const put = (key: string, seen: Seen | null) => {
    const next = { ...glimpse.seen };
    if (seen) next[key] = seen;
    else delete next[key];
    set_glimpse({ ...glimpse, seen: next });
  };
  const mirror = () => {
    const seen: Glimpse["seen"] = {};
    for (const [key, value] of Object.entries(glimpse.seen)) {
      const [row = 1, column = 1] = key.split(" ").map(Number);
      seen[key_of(row, (glimpse.rows[row - 1] ?? column) + 1 - column)] = value;
    }
    const latch = { left: "right", right: "left" }[glimpse.latch] ?? glimpse.latch;
    const side = { wire_entry: "mating", mating: "wire_entry" }[glimpse.side] ?? "";
    set_glimpse({ ...glimpse, seen, latch, side });
    set_at(null);
  };
  const certain = report?.certain ? report.hypotheses[0] : undefined;
  const plug = certain?.connector ? find_connector(graft, module, certain.connector) : undefined;
  return (
    <div class="identify">
      <section class="sheet stack" aria-label="What you see">
        <h2>What you see</h2>
        <p class="soft">Hold the plug as you look at it. Tap a cavity and say what is in it; a few of them are enough.</p>
        <Shape shapes={shapes} rows={glimpse.rows} name={shape_name} take={(rows) => set_glimpse({ ...glimpse, rows, seen: {} })} />
        <Brief report={report} started={Object.keys(glimpse.seen).length > 0} />
        <BlankFace glimpse={glimpse} report={report} at={at} pick={set_at} />
        {at && <Looked key={at} at={at} seen={glimpse.seen[at]} put={(seen) => put(at, seen)} done={() => set_at(null)} />}
        <Choice label="The latch is at the" value={glimpse.latch} choices={latch_choices} take={(latch) => set_glimpse({ ...glimpse, latch })} />
        <Choice label="You look at the" value={glimpse.side} choices={side_choices} take={(side) => set_glimpse({ ...glimpse, side })} />
        <div class="buttons">
          <button type="button" onClick={mirror}>
            Flip: I see it from the other side now
          </button>
          <button type="button" onClick={() => (set_glimpse({ ...glimpse, seen: {}, latch: "", side: "" }), set_at(null))}>
            Begin again
          </button>
        </div>
      </section>
      <Odds report={report} plug={plug} started={Object.keys(glimpse.seen).length > 0} />
      <Problems list={problems} />
    </div>
  );
}

export function Identify() {
  const now = doc.value;
  const module = now ? found_module(now) : undefined;
  if (!now || !module) {
    return (
      <Empty title="Which plug is this?" first="gather">
        <p>Once the vehicle's own table is in (Gather), a few wires that you can see tell which plug you hold, and from which side you look at it.</p>
      </Empty>
    );
  }
  return <Finder graft={now} module={module} />;
}

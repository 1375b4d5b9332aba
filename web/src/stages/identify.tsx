// Identify: which plug is this, seen from which side. A person fills in a blank face with what can be seen; the
// probabilities follow each tap, and the cavity to look at next is marked.

import { useEffect, useMemo, useState } from "preact/hooks";
import type { Graft, Module, PlugReport, Problem } from "../api_types";
import { use_draft } from "../drafts";
import { connectors_of, found_module } from "../model/document";
import {
  mirrored,
  type PlugObservation,
  type Position,
  plug_shapes,
  query_of,
  seen_at,
  shape_name,
  with_cavity,
} from "../model/observation";
import { doc, graft } from "../net/graft";
import { ask, graft_path } from "../net/request";
import { Choice } from "../parts/field";
import { Help } from "../parts/help";
import { Problems } from "../parts/problems";
import { Empty } from "../parts/report_status";
import { route } from "../route";
import { CavityForm } from "./identify_cavity";
import { BlankFace } from "./identify_face";
import { IdentifyResult, ResultLine } from "./identify_result";
import { ShapeForm } from "./identify_shape";

const typing_pause_ms = 120;

function use_plug_report(observation: PlugObservation): [PlugReport | null, Problem[]] {
  const name = graft.value?.name ?? "";
  const revision = graft.value?.revision ?? 0;
  const [state, set_state] = useState<[PlugReport | null, Problem[]]>([null, []]);
  const query = JSON.stringify(query_of(observation));
  useEffect(() => {
    const control = new AbortController();
    const timer = window.setTimeout(() => {
      const call = { method: "POST", body: JSON.parse(query) as unknown, signal: control.signal } as const;
      void ask<PlugReport>(graft_path(name, "/plug"), call).then((answer) => {
        if (control.signal.aborted) return;
        set_state(answer.ok ? [answer.value, answer.value.problems] : [null, answer.problems]);
      });
    }, typing_pause_ms);
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

function PlugFinder({ graft, module }: { graft: Graft; module: Module }) {
  const shapes = useMemo(() => plug_shapes(connectors_of(graft, module)), [graft, module]);
  const blank: PlugObservation = { rows: shapes[0] ?? [8, 8, 8], seen: [], latch: "", side: "" };
  const [observation, set_observation] = use_draft(route.value.graft, "identify", blank);
  const [at, set_at] = useState<Position | null>(null);
  const [report, problems] = use_plug_report(observation);
  const started = observation.seen.length > 0;
  const certain = report?.certain ? report.hypotheses[0] : undefined;
  const plug = connectors_of(graft, module).find((one) => one.id === certain?.id);
  const set = (changed: Partial<PlugObservation>) => set_observation({ ...observation, ...changed });
  const flip = () => {
    set_observation(mirrored(observation));
    set_at(null);
  };
  const start_over = () => {
    set({ seen: [], latch: "", side: "" });
    set_at(null);
  };
  return (
    <div class="identify">
      <section class="sheet stack" aria-label="What you see">
        <h2>What you see</h2>
        <p class="soft">Hold the plug as you look at it. Tap a cavity and enter what is in it. A few cavities are enough.</p>
        <ShapeForm shapes={shapes} rows={observation.rows} name={shape_name} take={(rows) => set({ rows, seen: [] })} />
        <ResultLine report={report} started={started} />
        <BlankFace observation={observation} report={report} at={at} pick={set_at} />
        {at && (
          <CavityForm
            key={`${at.row} ${at.column}`}
            at={at}
            seen={seen_at(observation, at)}
            take={(cavity) => set_observation(with_cavity(observation, cavity))}
            done={() => set_at(null)}
          />
        )}
        <Choice label="Latch at the" value={observation.latch} choices={latch_choices} take={(latch) => set({ latch })} />
        <div class="head-help">
          <Choice label="You look at the" value={observation.side} choices={side_choices} take={(side) => set({ side })} />
          <Help word="wire-entry side" />
        </div>
        <div class="buttons">
          <button type="button" onClick={flip}>
            Flip: I look at the other side now
          </button>
          <button type="button" onClick={start_over}>
            Start over
          </button>
        </div>
      </section>
      <IdentifyResult report={report} plug={plug} started={started} />
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
        <p>
          First add the pin table of the vehicle's own module (Gather). Then a few wire colours are enough to tell which plug you hold and
          from which side you look at it.
        </p>
      </Empty>
    );
  }
  return <PlugFinder graft={now} module={module} />;
}

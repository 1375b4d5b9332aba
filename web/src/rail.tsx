// The stages of the job: down the left side on a laptop, a list from the bottom on a phone.

import { useEffect, useRef, useState } from "preact/hooks";
import type { CompareReport, DesignReport, Graft, ProveReport } from "./api_types";
import {
  choose_finding,
  compare_finding,
  compare_path,
  design_finding,
  design_path,
  type Finding,
  gather_finding,
  prove_finding,
  prove_path,
  stage_names,
} from "./findings";
import { use_readings } from "./net/readings";
import { use_report } from "./net/report";
import { Mark } from "./parts/mark";
import { route, route_to, type Stage, stages } from "./route";
import { readings_in_use } from "./stages/practice";

// The stage in view requests what it shows at once; the rail comes after it.
const delay_ms = 400;

function use_findings(doc: Graft): Partial<Record<Stage, Finding>> {
  const compare = use_report<CompareReport>(compare_path(doc), { delay_ms });
  const design = use_report<DesignReport>(design_path(doc), { delay_ms });
  // A test plan takes seconds: the rail requests it only on the two stages that need it.
  const proving = route.value.stage === "prove" || route.value.stage === "find";
  const proof = use_report<ProveReport>(proving ? prove_path(doc) : null, { delay_ms });
  const { readings } = use_readings();
  return {
    gather: gather_finding(doc),
    choose: choose_finding(doc),
    compare: compare_finding(compare.value),
    design: design_finding(design.value),
    prove: prove_finding(proof.value, readings_in_use(route.value.graft, readings)),
  };
}

function ToDo({ finding }: { finding: Finding | undefined }) {
  if (!finding || (finding.to_do === 0 && finding.mark === "none")) return null;
  return (
    <span class="finding">
      <Mark name={finding.mark} text={finding.text} />
      {finding.to_do > 0 && <span class="to-do-count">{finding.to_do} to do</span>}
    </span>
  );
}

// The list of stages on a phone closes on Escape, on a tap outside, and when another stage opens.
function use_stage_list() {
  const [open, set_open] = useState(false);
  const list = useRef<HTMLElement>(null);
  const stage = route.value.stage;
  useEffect(() => set_open(false), [stage]);
  useEffect(() => {
    if (!open) return;
    const close = (event: Event) => {
      const outside = event.target instanceof Node && !list.current?.contains(event.target);
      if (event instanceof KeyboardEvent ? event.key !== "Escape" : !outside) return;
      set_open(false);
      if (event instanceof KeyboardEvent) list.current?.querySelector("button")?.focus();
    };
    window.addEventListener("keydown", close);
    window.addEventListener("pointerdown", close);
    return () => {
      window.removeEventListener("keydown", close);
      window.removeEventListener("pointerdown", close);
    };
  }, [open]);
  return { open, set_open, list };
}

export function Rail({ name, doc }: { name: string; doc: Graft }) {
  const { open, set_open, list } = use_stage_list();
  const findings = use_findings(doc);
  const now = route.value.stage;
  return (
    <nav ref={list} class={open ? "rail rail-open" : "rail"} aria-label="Stages of the job">
      <button type="button" class="rail-handle" aria-expanded={open} onClick={() => set_open(!open)}>
        <span class="rail-now">{stage_names[now]}</span>
        <ToDo finding={findings[now]} />
        <span class="rail-more">{open ? "Close" : "All stages"}</span>
      </button>
      <ol>
        {stages.map((stage) => (
          <li key={stage}>
            <a href={route_to(name, stage)} aria-current={stage === now ? "page" : undefined} onClick={() => set_open(false)}>
              <span class="stage-name">{stage_names[stage]}</span>
              <ToDo finding={findings[stage]} />
            </a>
          </li>
        ))}
      </ol>
    </nav>
  );
}

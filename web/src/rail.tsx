// The stages of the job: down the left on a laptop, a sheet from the bottom on a phone.

import { useEffect, useRef, useState } from "preact/hooks";
import type { CompareReport, DesignReport, Graft, ProveReport } from "./api_types";
import {
  choose_finding,
  compare_finding,
  compare_path,
  design_finding,
  design_path,
  gather_finding,
  prove_finding,
  prove_path,
  stage_names,
  type Finding,
} from "./findings";
import { use_readings } from "./net/readings";
import { useReport } from "./net/report";
import { Mark } from "./parts/mark";
import { route, route_to, stages, type Stage } from "./route";

// The stage in view asks for what it shows at once; the rail comes after it.
const patience_ms = 400;

function use_findings(doc: Graft): Partial<Record<Stage, Finding>> {
  const compare = useReport<CompareReport>(compare_path(doc), patience_ms);
  const design = useReport<DesignReport>(design_path(doc), patience_ms);
  // A proof takes seconds: the rail asks for it only where someone proves.
  const proving = route.value.stage === "prove" || route.value.stage === "find";
  const proof = useReport<ProveReport>(proving ? prove_path(doc) : null, patience_ms);
  const { readings } = use_readings();
  return {
    gather: gather_finding(doc),
    choose: choose_finding(doc),
    compare: compare_finding(compare.value),
    design: design_finding(design.value),
    prove: prove_finding(proof.value, readings),
  };
}

function Left({ finding }: { finding: Finding | undefined }) {
  if (!finding || (finding.left === 0 && finding.mark === "none")) return null;
  return (
    <span class="finding">
      <Mark name={finding.mark} word={finding.word} />
      {finding.left > 0 && <span class="left">{finding.left} to do</span>}
    </span>
  );
}

// The sheet of stages is put away like any other: Escape, a tap beside it, or going elsewhere.
function use_sheet() {
  const [open, set_open] = useState(false);
  const sheet = useRef<HTMLElement>(null);
  const stage = route.value.stage;
  useEffect(() => set_open(false), [stage]);
  useEffect(() => {
    if (!open) return;
    const close = (event: Event) => {
      const beside = event.target instanceof Node && !sheet.current?.contains(event.target);
      if (event instanceof KeyboardEvent ? event.key !== "Escape" : !beside) return;
      set_open(false);
      if (event instanceof KeyboardEvent) sheet.current?.querySelector("button")?.focus();
    };
    const kinds = ["keydown", "pointerdown"] as const;
    for (const kind of kinds) window.addEventListener(kind, close);
    return () => kinds.forEach((kind) => window.removeEventListener(kind, close));
  }, [open]);
  return { open, set_open, sheet };
}

export function Rail({ name, doc }: { name: string; doc: Graft }) {
  const { open, set_open, sheet } = use_sheet();
  const findings = use_findings(doc);
  const now = route.value.stage;
  return (
    <nav ref={sheet} class={open ? "rail rail-open" : "rail"} aria-label="Stages of the job">
      <button type="button" class="rail-handle" aria-expanded={open} onClick={() => set_open(!open)}>
        <span class="rail-now">{stage_names[now]}</span>
        <Left finding={findings[now]} />
        <span class="rail-more">{open ? "Close" : "All stages"}</span>
      </button>
      <ol>
        {stages.map((stage) => (
          <li key={stage}>
            <a href={route_to(name, stage)} aria-current={stage === now ? "page" : undefined} onClick={() => set_open(false)}>
              <span class="stage-name">{stage_names[stage]}</span>
              <Left finding={findings[stage]} />
            </a>
          </li>
        ))}
      </ol>
    </nav>
  );
}

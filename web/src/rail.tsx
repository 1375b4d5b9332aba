// The stages of the job: down the left on a laptop, a sheet from the bottom on a phone.

import { useState } from "preact/hooks";
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

export function Rail({ name, doc }: { name: string; doc: Graft }) {
  const [open, set_open] = useState(false);
  const findings = use_findings(doc);
  const now = route.value.stage;
  return (
    <nav class={open ? "rail rail-open" : "rail"} aria-label="Stages of the job">
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

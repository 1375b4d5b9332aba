// Two lines under the head of each stage: what to do here next, and what a later stage still lacks.

import type { CheckReport, CompareReport, DesignReport, Graft, ProveReport } from "../api_types";
import { check_path, compare_path, design_path, prove_path, stage_names } from "../findings";
import { next_step, type Task } from "../model/next_step";
import { readings_at_hand } from "../net/readings";
import { report_at_hand } from "../net/report";
import { route, route_to, type Stage } from "../route";
import { readings_in_use } from "../stages/practice";

function Link({ task }: { task: Task }) {
  return <a href={route_to(route.value.graft, task.stage)}>{stage_names[task.stage]}</a>;
}

export function NextStep({ stage, graft }: { stage: Stage; graft: Graft }) {
  const advice = next_step(stage, graft, {
    check: report_at_hand<CheckReport>(check_path),
    compare: report_at_hand<CompareReport>(compare_path(graft)),
    design: report_at_hand<DesignReport>(design_path(graft)),
    prove: report_at_hand<ProveReport>(prove_path(graft)),
    readings: readings_in_use(route.value.graft, readings_at_hand().readings),
  });
  if (!advice) return null;
  const { now, id, next, later } = advice;
  return (
    <div class="next-step no-print">
      <p class="lead" data-next={id}>
        {now}
        {next && (
          <>
            {" "}
            Next: <Link task={next} />. {next.lack}
          </>
        )}
      </p>
      {later && (
        <p class="soft" data-later={later.id}>
          Still open: <Link task={later} />. {later.lack}
        </p>
      )}
    </div>
  );
}

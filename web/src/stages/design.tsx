// Design: every circuit that the plan adds or changes, with sizes, checks, margins and assumed values.

import { useState } from "preact/hooks";
import type { DesignReport, Graft, Json } from "../api_types";
import { design_path } from "../findings";
import { fails_design, verdict_of } from "../model/circuit_verdict";
import { rule_sets } from "../model/rules";
import { change } from "../net/edit";
import { doc } from "../net/graft";
import { use_report } from "../net/report";
import { Select } from "../parts/field";
import { Mark } from "../parts/mark";
import { PrintButton } from "../parts/print";
import { Problems } from "../parts/problems";
import { Empty, ReportStatus } from "../parts/report_status";
import { ShowAll, use_shortened } from "../parts/shortened";
import { route, select } from "../route";
import { Assumptions, BackFeeds } from "./design_assumptions";
import { CircuitSheet } from "./design_circuit";
import { MissingRatings } from "./design_ratings";
import { WhatIf } from "./design_what_if";

function RuleSet({ graft, report }: { graft: Graft; report: DesignReport }) {
  const chosen = graft.rules?.set ?? report.rule_set;
  const choose = (set: string) =>
    void change("the rules", (now) => [{ op: "add", path: "/rules", value: { ...now.rules, set } as unknown as Json }]);
  return <Select label="Rules" value={chosen} choices={rule_sets.map((set) => [set.name, set.text] as const)} take={choose} />;
}

function Head({ graft, report }: { graft: Graft; report: DesignReport }) {
  const failing = report.circuits.filter(fails_design).length;
  const unsure = report.circuits.filter((circuit) => verdict_of(circuit) === "unsure").length;
  const count = report.circuits.length;
  const also = unsure > 0 && failing > 0 ? `, ${unsure} not judged` : "";
  return (
    <section class="sheet stack" aria-label="Summary">
      <h2>
        {failing > 0 && <Mark name="fails" text={`${failing} of ${count} circuits fail${also}`} />}
        {failing === 0 && unsure > 0 && <Mark name="unsure" text={`${unsure} of ${count} circuits are not judged`} />}
        {failing === 0 && unsure === 0 && <Mark name="passes" text={`All ${count} circuits pass`} />}
      </h2>
      <div class="row">
        <RuleSet graft={graft} report={report} />
        <PrintButton what="this design" />
      </div>
    </section>
  );
}

const shown_at_first = 12;

function Ready({ graft, report }: { graft: Graft; report: DesignReport }) {
  const at = route.value.query.get("circuit") ?? "";
  const [only, set_only] = useState<"all" | "failing">("all");
  const failing = report.circuits.filter(fails_design);
  const ordered = (["fails", "unsure", "passes"] as const).flatMap((verdict) =>
    report.circuits.filter((circuit) => verdict_of(circuit) === verdict),
  );
  const chosen = only === "failing" && failing.length > 0 ? failing : ordered;
  const { shown, rest, show_all } = use_shortened(chosen, shown_at_first, (circuit) => fails_design(circuit) || circuit.id === at);
  return (
    <div class="stack">
      <Head graft={graft} report={report} />
      {failing.length > 0 && failing.length < report.circuits.length && (
        <div class="filters no-print" role="group" aria-label="Show circuits">
          <button type="button" aria-pressed={only === "all"} onClick={() => set_only("all")}>
            all {report.circuits.length}
          </button>
          <button type="button" aria-pressed={only === "failing"} onClick={() => set_only("failing")}>
            fails {failing.length}
          </button>
        </div>
      )}
      <WhatIf graft={graft} report={report} />
      <div class="design-circuits">
        {shown.map((circuit) => (
          <CircuitSheet
            key={circuit.id}
            graft={graft}
            circuit={circuit}
            open={circuit.id === at || chosen.length === 1}
            toggle={() => select({ circuit: circuit.id === at ? "" : circuit.id })}
          />
        ))}
        <ShowAll rest={rest} show_all={show_all} count={chosen.length} what="circuits" />
      </div>
      <BackFeeds report={report} graft={graft} />
      <MissingRatings report={report} graft={graft} />
      <Assumptions report={report} graft={graft} />
      <Problems list={report.problems} title="Not judged" />
    </div>
  );
}

export function Design() {
  const graft = doc.value;
  const path = graft ? design_path(graft) : null;
  const report = use_report<DesignReport>(path);
  if (!graft || !path) {
    return (
      <Empty title="No plan yet" first="compare">
        <p>
          When the comparison is right, make it the plan (Compare, “Make this the plan”). Then every wire that is added or moved gets its
          size here, with its checks: voltage at the device, heat in the bundle, its fuse, the driver behind it.
        </p>
      </Empty>
    );
  }
  return (
    <>
      <ReportStatus report={report} what="Designing" />
      {report.value && <Ready graft={graft} report={report.value} />}
    </>
  );
}

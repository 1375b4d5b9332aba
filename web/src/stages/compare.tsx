// Compare: hazards first, then circuit by circuit beside the face of the plug; questions, moves, adapter lead.

import { useLayoutEffect, useMemo } from "preact/hooks";
import type { CavityRef, CompareReport, Graft } from "../api_types";
import { compare_path } from "../findings";
import { connectors_of, donor_module, found_module, module_name, same_cavity } from "../model/document";
import { doc } from "../net/graft";
import { use_report } from "../net/report";
import { Contents, type Part } from "../parts/contents";
import { Deferred } from "../parts/deferred";
import { PrintButton } from "../parts/print";
import { Problems } from "../parts/problems";
import { Empty, ReportStatus } from "../parts/report_status";
import { route, select } from "../route";
import { Tags } from "./choose";
import { Circuits, is_at } from "./compare_circuits";
import { Faces, fetch_first_face } from "./compare_face";
import { Hazards } from "./compare_hazards";
import { Moves } from "./compare_moves";
import { Questions } from "./compare_questions";
import { CircuitAnswers } from "./same_circuit";

function parts_of(report: CompareReport): Part[] {
  const hazards = report.circuits.filter((circuit) => circuit.hazard.grade !== "harmless").length;
  const parts: (readonly [string, string, number])[] = [
    ["hazards", "Hazards", hazards],
    ["circuits", "Circuits", report.circuits.length],
    ["questions", "Questions", report.questions.length],
    ["moves", "Moves", report.moves.length],
  ];
  return parts.filter(([, , count]) => count > 0).map(([id, text, count]) => [id, `${text} ${count}`]);
}

function Ready({ graft, report }: { graft: Graft; report: CompareReport }) {
  const { query } = route.value;
  const at = { connector: query.get("plug") ?? "", cavity: query.get("cavity") ?? "" };
  const found = found_module(graft);
  const donor = donor_module(graft);
  const chosen = useMemo(() => report.circuits.filter((circuit) => is_at(circuit, at)), [report, at.connector, at.cavity]);
  if (!found || !donor) return null;
  const pick = (cavity: CavityRef) =>
    select(same_cavity(cavity, at) ? { plug: "", cavity: "" } : { plug: cavity.connector, cavity: cavity.cavity });
  return (
    <div class="compare">
      <p class="lead">
        {module_name(found)} <strong>compared with</strong> {module_name(donor)}
      </p>
      <div class="buttons no-print">
        <Contents parts={parts_of(report)} />
        <PrintButton what="this comparison" />
      </div>
      <Hazards report={report} pick={pick} at={at} />
      <div class="columns-two">
        <Circuits report={report} at={at} pick={pick} />
        <Faces plugs={connectors_of(graft, found)} donor={donor.id} at={at} chosen={chosen} pick={pick} />
      </div>
      <Deferred>
        <Questions graft={graft} found={found} donor={donor} report={report} />
        <CircuitAnswers graft={graft} />
        <Moves report={report} found={found.id} donor={donor.id} />
        <section class="sheet stack" aria-label="What the modules were made for">
          <h2>What the modules were made for</h2>
          <Tags list={report.tags} />
        </section>
        <Problems list={report.problems} title="Not used in the comparison" />
      </Deferred>
    </div>
  );
}

export function Compare() {
  const graft = doc.value;
  const path = graft ? compare_path(graft) : null;
  const report = use_report<CompareReport>(path);
  useLayoutEffect(() => {
    const found = graft && found_module(graft);
    if (found && path) fetch_first_face(connectors_of(graft, found), donor_module(graft)?.id ?? "");
  }, [path]);
  if (!graft || !path) {
    return (
      <Empty title="A comparison needs two tables" first="gather">
        <p>
          Add the vehicle's own module and a donor (Gather). Then every circuit gets a verdict here: keep, shift, add, retire or clash. The
          page also shows what would burn if the donor were plugged in as it is, and in which order to move the terminals.
        </p>
      </Empty>
    );
  }
  return (
    <>
      <ReportStatus report={report} what="Comparing" />
      {report.value && <Ready graft={graft} report={report.value} />}
    </>
  );
}

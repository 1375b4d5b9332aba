// Compare: hazards first, then circuit by circuit beside the plug's face; questions, moves, adapter lead.

import { useLayoutEffect, useMemo } from "preact/hooks";
import type { Circuit, CompareReport, Graft } from "../api_types";
import { compare_path } from "../findings";
import { connectors_of, donor_module, found_module, module_name } from "../model/document";
import { doc } from "../net/graft";
import { useReport } from "../net/report";
import { Contents, type Part } from "../parts/contents";
import { Later } from "../parts/later";
import { PrintButton } from "../parts/print";
import { Problems } from "../parts/problems";
import { Empty, Waiting } from "../parts/waiting";
import { route, select } from "../route";
import { Tags } from "./choose";
import { Circuits, place_words } from "./compare_circuits";
import { Faces, fetch_first_face } from "./compare_face";
import { Hazards } from "./compare_hazards";
import { Moves } from "./compare_moves";
import { Questions } from "./compare_questions";
import { CircuitAnswers } from "./same_circuit";

// The cavity of the vehicle's plugs that a circuit is about: where it is, or where the donor wants it.
export function cavity_of(circuit: Circuit): string {
  const at = circuit.found ?? circuit.donor;
  return at ? place_words(at) : "";
}

function parts_of(report: CompareReport): Part[] {
  const hazards = report.circuits.filter((circuit) => circuit.hazard.grade !== "harmless").length;
  const parts: (readonly [string, string, number])[] = [
    ["hazards", "Hazards", hazards],
    ["circuits", "Circuits", report.circuits.length],
    ["questions", "Questions", report.questions.length],
    ["moves", "Moves", report.moves.length],
  ];
  return parts.filter(([, , count]) => count > 0).map(([id, words, count]) => [id, `${words} ${count}`]);
}

function Ready({ graft, report }: { graft: Graft; report: CompareReport }) {
  const at = route.value.query.get("at") ?? "";
  const found = found_module(graft);
  const donor = donor_module(graft);
  const chosen = useMemo(() => report.circuits.filter((circuit) => cavity_of(circuit) === at), [report, at]);
  if (!found || !donor) return null;
  const pick = (place: string) => select({ at: place === at ? "" : place });
  return (
    <div class="compare">
      <p class="lead">
        {module_name(found)} <strong>against</strong> {module_name(donor)}
      </p>
      <div class="buttons no-print">
        <Contents parts={parts_of(report)} />
        <PrintButton what="this comparison" />
      </div>
      <Hazards report={report} pick={pick} at={at} />
      <div class="beside">
        <Circuits report={report} at={at} pick={pick} />
        <Faces plugs={connectors_of(graft, found)} donor={donor.id} at={at} chosen={chosen} pick={pick} />
      </div>
      <Later>
        <Questions graft={graft} found={found} donor={donor} report={report} />
        <CircuitAnswers graft={graft} />
        <Moves report={report} found={found.id} donor={donor.id} />
        <section class="sheet stack" aria-label="What the modules were made for">
          <h2>What the modules were made for</h2>
          <Tags list={report.tags} />
        </section>
        <Problems list={report.problems} title="What the comparison could not use" />
      </Later>
    </div>
  );
}

export function Compare() {
  const graft = doc.value;
  const path = graft ? compare_path(graft) : null;
  const report = useReport<CompareReport>(path);
  useLayoutEffect(() => {
    const found = graft && found_module(graft);
    if (found && path) fetch_first_face(connectors_of(graft, found), donor_module(graft)?.id ?? "");
  }, [path]);
  if (!graft || !path) {
    return (
      <Empty title="Two tables make a comparison" first="gather">
        <p>
          Take in the vehicle's own module and a donor (Gather). Then every circuit gets a verdict here: keep, shift, add, retire or clash, with
          what would burn if the donor were plugged in as it is, and the order in which to move the terminals.
        </p>
      </Empty>
    );
  }
  return (
    <>
      <Waiting report={report} what="Comparing" />
      {report.value && <Ready graft={graft} report={report.value} />}
    </>
  );
}

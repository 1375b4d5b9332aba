// Compare: the picture of the plug, beside it one of hazards, circuits, questions and moves; or the plug alone. On paper all.

import { useLayoutEffect, useMemo } from "preact/hooks";
import type { CavityRef, CompareReport, Connector, Graft, Module } from "../api_types";
import { compare_path } from "../findings";
import { connector_name, connectors_of, donor_module, found_module, module_name, same_cavity } from "../model/document";
import { doc } from "../net/graft";
import { use_report } from "../net/report";
import { black_ink, PrintButton } from "../parts/print";
import { Problems } from "../parts/problems";
import { Empty, ReportStatus } from "../parts/report_status";
import { type Tab, TabPanel, Tabs } from "../parts/tabs";
import { route, select } from "../route";
import { Tags } from "./choose";
import { Circuits, cavity_of, is_at } from "./compare_circuits";
import { fetch_faces, narrow, PrintedFaces } from "./compare_face";
import { Hazards, hazardous } from "./compare_hazards";
import { MakePlan, Moves } from "./compare_moves";
import { Picture } from "./compare_picture";
import { PlugTab } from "./compare_plug";
import { Questions } from "./compare_questions";
import { CircuitAnswers } from "./same_circuit";

export type View = "hazards" | "circuits" | "plug" | "questions" | "moves";

const tabs_of = (report: CompareReport): Tab<View>[] => [
  { id: "hazards", text: "Hazards", count: hazardous(report).length },
  { id: "circuits", text: "Circuits", count: report.circuits.length },
  { id: "plug", text: "Plug" },
  { id: "questions", text: "Questions", count: report.questions.length },
  { id: "moves", text: "Moves", count: report.moves.length },
];

// A link to a cavity is about its circuit; otherwise what is dangerous comes first.
function view_of(query: URLSearchParams, tabs: readonly Tab<View>[], report: CompareReport): View {
  const wanted = tabs.find(({ id }) => id === query.get("view"));
  if (wanted) return wanted.id;
  return query.get("plug") || hazardous(report).length === 0 ? "circuits" : "hazards";
}

interface Props {
  graft: Graft;
  report: CompareReport;
  found: Module;
  donor: Module;
  at: CavityRef;
}

function Made({ report }: { report: CompareReport }) {
  const content = <Tags list={report.tags} />;
  if (black_ink.value) {
    return (
      <section class="sheet stack" aria-label="What the modules were made for">
        <h2>What the modules were made for</h2>
        {content}
      </section>
    );
  }
  return (
    <details class="sheet">
      <summary>What the modules were made for ({report.tags.length})</summary>
      {content}
    </details>
  );
}

interface PanelProps extends Props {
  pick: (cavity: CavityRef, view?: View) => void;
}

// What each tab shows besides the picture.
const panels: Record<Exclude<View, "plug">, (props: PanelProps) => preact.JSX.Element> = {
  hazards: ({ report, at, pick }) => (
    <>
      <Hazards report={report} at={at} pick={pick} />
      <Made report={report} />
    </>
  ),
  circuits: ({ report, at, pick }) => (
    <>
      <Circuits report={report} at={at} pick={pick} />
      <Problems list={report.problems} title="Not used in the comparison" />
    </>
  ),
  questions: ({ graft, report, found, donor }) => (
    <>
      <Questions graft={graft} found={found} donor={donor} report={report} />
      <CircuitAnswers graft={graft} />
    </>
  ),
  moves: ({ report }) => <Moves report={report} />,
};

const printed_order = ["hazards", "circuits", "questions", "moves"] as const;

function OnPaper({ plugs, ...props }: PanelProps & { plugs: Connector[] }) {
  return (
    <>
      {printed_order.map((view) => {
        const Panel = panels[view];
        return <Panel key={view} {...props} />;
      })}
      <PrintedFaces plugs={plugs} donor={props.donor.id} />
    </>
  );
}

// The plug that matters most before one is chosen: that of the worst hazard.
function first_plug(plugs: Connector[], report: CompareReport): string {
  const [worst] = hazardous(report);
  const name = worst && cavity_of(worst).connector;
  return (plugs.find((plug) => connector_name(plug) === name) ?? plugs[0])?.id ?? "";
}

function Ready({ graft, report, found, donor, at }: Props) {
  const plugs = connectors_of(graft, found);
  const chosen = useMemo(() => report.circuits.filter((circuit) => is_at(circuit, at)), [report, at.connector, at.cavity]);
  const tabs = tabs_of(report);
  const view = view_of(route.value.query, tabs, report);
  const pick = (cavity: CavityRef, to: View = view) =>
    select(same_cavity(cavity, at) ? { plug: "", cavity: "", view: to } : { plug: cavity.connector, cavity: cavity.cavity, view: to });
  const props = { graft, report, found, donor, at, pick };
  const faces = { plugs, donor: donor.id, first: first_plug(plugs, report), at, chosen };
  const Panel = view === "plug" ? null : panels[view];
  return (
    <div class="compare">
      <div class="compare-head">
        <p class="compared">
          <span>{module_name(found)}</span> <strong>compared with</strong> <span>{module_name(donor)}</span>
        </p>
        <div class="buttons no-print">
          <MakePlan found={found.id} donor={donor.id} />
          <PrintButton what={narrow() ? "it" : "this comparison"} />
        </div>
      </div>
      {black_ink.value ? (
        <OnPaper {...props} plugs={plugs} />
      ) : (
        <>
          <Tabs label="Parts of the comparison" tabs={tabs} chosen={view} choose={(id) => select({ view: id })} />
          {Panel ? (
            <div class="compare-columns">
              <Picture {...faces} pick={(cavity) => pick(cavity, "circuits")} />
              <TabPanel id={view}>
                <Panel {...props} />
              </TabPanel>
            </div>
          ) : (
            <TabPanel id={view}>
              <PlugTab {...faces} report={report} pick={pick} />
            </TabPanel>
          )}
        </>
      )}
    </div>
  );
}

export function Compare() {
  const graft = doc.value;
  const path = graft ? compare_path(graft) : null;
  const report = use_report<CompareReport>(path);
  const found = graft ? found_module(graft) : undefined;
  const donor = graft ? donor_module(graft) : undefined;
  useLayoutEffect(() => {
    if (graft && found && path) fetch_faces(connectors_of(graft, found), donor?.id ?? "", narrow());
  }, [path]);
  if (!graft || !path || !found || !donor) {
    return (
      <Empty title="A comparison needs two tables" first="gather">
        <p>
          Add the vehicle's own module and a donor (Gather). Then every circuit gets a verdict here: keep, shift, add, retire or clash. The
          page also shows what would burn if the donor were plugged in as it is, and in which order to move the terminals.
        </p>
      </Empty>
    );
  }
  const { query } = route.value;
  const at = { connector: query.get("plug") ?? "", cavity: query.get("cavity") ?? "" };
  return (
    <>
      <ReportStatus report={report} what="Comparing" />
      {report.value && <Ready graft={graft} report={report.value} found={found} donor={donor} at={at} />}
    </>
  );
}

// Choose a donor: the candidates ranked, with a breakdown of their points and what their tags say.

import type { Graft, RankedDonor, RankReport, TagFinding } from "../api_types";
import { candidates, donor_module, found_module } from "../model/document";
import { pointer } from "../model/patch";
import { change } from "../net/edit";
import { doc, graft as open } from "../net/graft";
import { use_report } from "../net/report";
import { Bar } from "../parts/bar";
import { Mark, type MarkName, mark_text } from "../parts/mark";
import { Problems } from "../parts/problems";
import { Empty, ReportStatus } from "../parts/report_status";
import { go, route_to } from "../route";

const tag_marks: Record<TagFinding["weight"], MarkName> = { note: "note", attention: "clash", stop: "fails" };

export function Tags({ list }: { list: TagFinding[] }) {
  if (list.length === 0) return <p class="soft">No differences are known.</p>;
  return (
    <ul class="tag-findings">
      {list.map((tag, index) => (
        <li key={index}>
          <Mark name={tag_marks[tag.weight]} text={tag.weight} />
          <span>
            <strong>{tag.what}</strong>: vehicle {tag.found || "not stated"}, donor {tag.donor || "not stated"}. {tag.reason}{" "}
            {tag.source && <span class="soft">{tag.source}</span>}
          </span>
        </li>
      ))}
    </ul>
  );
}

function choose(id: string): void {
  void change("the donor", (now) =>
    (now.modules ?? []).flatMap((module, index) => {
      const role = module.id === id ? "donor" : "other";
      if (module.role === "found" || (module.role ?? "other") === role) return [];
      return [
        { op: "test" as const, path: pointer("modules", index, "id"), value: module.id },
        { op: "add" as const, path: pointer("modules", index, "role"), value: role },
      ];
    }),
  ).then((done) => {
    const name = open.value?.name;
    if (done && name) go(route_to(name, "compare"));
  });
}

const verdicts_with_work: ("add" | "shift" | "retire" | "clash" | "unsure")[] = ["clash", "add", "shift", "retire", "unsure"];

interface DonorProps {
  donor: RankedDonor;
  rank: number;
  most: number;
  chosen: boolean;
  alone: boolean;
}

function Points({ donor, most, alone }: Pick<DonorProps, "donor" | "most" | "alone">) {
  return (
    <div class="donor-points">
      <p class="points">
        <strong>{donor.points}</strong> points for work and risk{alone ? "" : "; fewer is better"}
      </p>
      {!alone && (
        <Bar share={donor.points / most} kind={donor.hazards.fire + donor.hazards.injury + donor.hazards.damage > 0 ? "bad" : "plain"} />
      )}
      <dl class="breakdown">
        <dt>circuits and terminals</dt>
        <dd>{donor.points - donor.tag_points}</dd>
        <dt>generation, market, gearbox, board</dt>
        <dd>{donor.tag_points}</dd>
      </dl>
    </div>
  );
}

function Donor({ donor, rank, most, chosen, alone }: DonorProps) {
  return (
    <li class={chosen ? "sheet donor donor-chosen" : "sheet donor"}>
      <div class="donor-head">
        <h2>
          <span class="rank">{rank}</span> {donor.name || donor.id}
        </h2>
        {chosen && <Mark name="passes" text="chosen" />}
      </div>
      <Points donor={donor} most={most} alone={alone} />
      <ul class="counts">
        <li>
          <Mark name="keep" text={`${donor.summary.keep} keep`} />
        </li>
        {verdicts_with_work.map((verdict) =>
          donor.summary[verdict] > 0 ? (
            <li key={verdict}>
              <Mark name={verdict} text={`${donor.summary[verdict]} ${mark_text(verdict)}`} />
            </li>
          ) : null,
        )}
        {(["fire", "injury", "damage", "false_signal"] as const).map((grade) =>
          donor.hazards[grade] > 0 ? (
            <li key={grade}>
              <Mark name={grade} text={`${donor.hazards[grade]} × ${mark_text(grade)}`} />
            </li>
          ) : null,
        )}
      </ul>
      <Tags list={donor.tags} />
      <div class="buttons">
        <button type="button" class="primary donor-choose" onClick={() => choose(donor.id)}>
          {chosen ? "Show the comparison" : "Choose this donor"}
        </button>
      </div>
    </li>
  );
}

export function Choose() {
  const graft: Graft | null = doc.value;
  const found = graft ? found_module(graft) : undefined;
  const ready = graft && found && candidates(graft).length > 0;
  const report = use_report<RankReport>(ready ? `/reports/rank?found=${encodeURIComponent(found.id)}` : null);
  if (!ready) {
    return (
      <Empty title="No donor yet" first="gather">
        <p>
          Add the pin table of each module that you could fit (Gather). They are ranked here by circuits to add, terminals to move, what
          would burn, and whether board, generation and market agree.
        </p>
      </Empty>
    );
  }
  const donors = report.value?.donors ?? [];
  const most = Math.max(1, ...donors.map((donor) => donor.points));
  const chosen = donor_module(graft)?.id;
  return (
    <div class="stack">
      <ReportStatus report={report} what="Comparing every candidate" />
      <ol class="donors">
        {donors.map((donor, index) => (
          <Donor key={donor.id} donor={donor} rank={index + 1} most={most} chosen={donor.id === chosen} alone={donors.length === 1} />
        ))}
      </ol>
      <Problems list={report.value?.problems ?? []} />
    </div>
  );
}

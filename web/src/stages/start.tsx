// The start page: four ways to begin, the jobs of this folder, or the form of a new job.

import { useLayoutEffect, useState } from "preact/hooks";
import type { GraftEntry, Grafts, Problem } from "../api_types";
import { ask } from "../net/request";
import { Problems } from "../parts/problems";
import { route } from "../route";
import { Topbar } from "../topbar";
import { PlainLink } from "../waiting/plain_link";
import { WaitingNotice } from "../waiting/waiting_notice";
import { NewJob } from "./new_job";
import { JobCards } from "./start_jobs";
import { Ways } from "./start_ways";

function Jobs({ grafts, taken, again }: { grafts: readonly GraftEntry[]; taken: readonly string[]; again: () => void }) {
  return (
    <>
      {grafts.length === 0 && (
        <p class="lead">
          A job here is one piece of work: you fit a control module or a feature that this vehicle never had. It goes from the pin tables to
          the final record. Nothing leaves this computer.
        </p>
      )}
      <Ways taken={taken} count={grafts.length} again={again} />
      {grafts.length > 0 && (
        <section class="stack" id="jobs" aria-labelledby="jobs-head">
          <h2 id="jobs-head">Jobs in this folder</h2>
          <JobCards grafts={grafts} />
        </section>
      )}
      <p class="caution">
        Disconnect battery negative before you open a plug. Do not use this tool for airbag, pretensioner or high-voltage circuits. A pin
        table can be wrong: if someone's safety depends on it, measure it on the vehicle.
      </p>
    </>
  );
}

export function Start() {
  const [grafts, set_grafts] = useState<GraftEntry[] | null>(null);
  const [problems, set_problems] = useState<Problem[]>([]);
  const here = route.value;
  const fresh = here.start === "new";
  const read = async () => {
    const answer = await ask<Grafts>("/api/grafts");
    if (answer.ok) set_grafts(answer.value.grafts);
    set_problems(answer.ok ? [] : answer.problems);
  };
  useLayoutEffect(() => {
    document.title = fresh ? "New job · Loomgraft" : "Loomgraft";
    window.scrollTo(0, 0);
    void read();
  }, [here]);
  const taken = (grafts ?? []).map((entry) => entry.name);
  return (
    <div class={fresh ? "frame frame-start frame-new" : "frame frame-start"}>
      <Topbar />
      <main id="sheet" tabIndex={-1}>
        <PlainLink />
        <h1>{fresh ? "New job" : "Jobs"}</h1>
        <WaitingNotice />
        <Problems list={problems} />
        {fresh && <NewJob taken={taken} />}
        {!fresh && grafts && <Jobs grafts={grafts} taken={taken} again={() => void read()} />}
        {!grafts && problems.length === 0 && (
          <p class="soft" role="status">
            Opening …
          </p>
        )}
        {!grafts && problems.length > 0 && (
          <p>
            <button type="button" onClick={() => void read()}>
              Try again
            </button>
          </p>
        )}
      </main>
    </div>
  );
}

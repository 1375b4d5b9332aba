// The start: the grafts of this folder, a new one, the demo. The first time, the demo's copy opens by itself.

import { useLayoutEffect, useState } from "preact/hooks";
import type { GraftEntry, Problem } from "../api_types";
import { ask } from "../net/answer";
import { make_graft } from "../net/graft";
import { Problems } from "../parts/problems";
import { go, route_to } from "../route";
import { say } from "../say";
import { Topbar } from "../topbar";

// A file's name out of a title: letters and digits, joined by hyphens.
export function name_from(title: string, taken: string[]): string {
  const plain = title
    .normalize("NFKD")
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 48);
  const base = plain || "graft";
  let name = base;
  for (let count = 2; taken.includes(name); count += 1) name = `${base}-${count}`;
  return name;
}

const demo_title = "Power take-off for a box van (demo)";

async function make(title: string, example: boolean, taken: string[]): Promise<void> {
  const name = name_from(example ? "demo" : title, taken);
  const made = await make_graft(name, title, example);
  if (made.ok) go(route_to(name, example ? "compare" : "gather"));
  else say(made.problems.map((problem) => `${problem.message} ${problem.remedy ?? ""}`).join(" "), "error");
}

const when = (time: string) => {
  const date = new Date(time);
  return Number.isNaN(date.getTime()) ? time : date.toLocaleString([], { dateStyle: "medium", timeStyle: "short" });
};

function List({ grafts }: { grafts: GraftEntry[] }) {
  return (
    <ul class="cards">
      {grafts.map((entry) => (
        <li key={entry.name} class="sheet card">
          <a href={route_to(entry.name, "gather")}>{entry.title || entry.name}</a>
          {entry.problems ? (
            <Problems list={entry.problems} />
          ) : (
            <span class="soft">
              last changed {when(entry.changed)} · {entry.name}.graft
            </span>
          )}
        </li>
      ))}
    </ul>
  );
}

function New({ taken }: { taken: string[] }) {
  const [title, set_title] = useState("");
  return (
    <form
      class="sheet stack"
      onSubmit={(event) => {
        event.preventDefault();
        if (title.trim()) void make(title.trim(), false, taken);
      }}
    >
      <h2>A new graft</h2>
      <label class="field">
        <span class="field-name">What is to be fitted, and into what</span>
        <input value={title} required onInput={(event) => set_title(event.currentTarget.value)} placeholder="Cruise control, 2004 pickup" />
      </label>
      <div class="buttons">
        <button type="submit" class="first">
          Start it
        </button>
      </div>
    </form>
  );
}

const welcomed = "loomgraft.welcomed";

function first_time(): boolean {
  try {
    const first = localStorage.getItem(welcomed) === null;
    localStorage.setItem(welcomed, "yes");
    return first;
  } catch {
    return false;
  }
}

function Opening() {
  return (
    <div class="frame frame-start">
      <Topbar />
      <main id="sheet" tabIndex={-1}>
        <h1>Grafts</h1>
        <p class="soft" role="status">
          Opening …
        </p>
      </main>
    </div>
  );
}

export function Start() {
  const [grafts, set_grafts] = useState<GraftEntry[] | null>(null);
  const [problems, set_problems] = useState<Problem[]>([]);
  const [opening, set_opening] = useState(true);
  const look = async () => {
    const answer = await ask<{ grafts: GraftEntry[] }>("/api/grafts");
    if (!answer.ok) return set_problems(answer.problems);
    set_grafts(answer.value.grafts);
    if (answer.value.grafts.length === 0 && first_time()) await make(demo_title, true, []);
  };
  useLayoutEffect(() => {
    document.title = "Loomgraft";
    void look().then(() => set_opening(false));
  }, []);
  if (opening) return <Opening />;
  const taken = (grafts ?? []).map((entry) => entry.name);
  return (
    <div class="frame frame-start">
      <Topbar />
      <main id="sheet" tabIndex={-1}>
        <h1>Grafts</h1>
        <Problems list={problems} />
        {grafts && grafts.length > 0 && <List grafts={grafts} />}
        {grafts?.length === 0 && (
          <p class="lead">
            A graft is one job: a control module or a feature that this vehicle never had, from the pin tables to the record. Nothing
            leaves this machine.
          </p>
        )}
        <New taken={taken} />
        <section class="sheet stack">
          <h2>The demo</h2>
          <p>An invented box van gets a power take-off: two sources that disagree, a donor that would burn a driver, and the loom that is right in the end.</p>
          <div class="buttons">
            <button type="button" onClick={() => void make(demo_title, true, taken)}>
              Open a copy of the demo
            </button>
          </div>
        </section>
        <p class="caution">
          Battery negative off before a plug is opened. Airbag, pretensioner and high-voltage circuits are not for this tool. A table is a
          claim: what a person's safety hangs on is measured on the vehicle.
        </p>
      </main>
    </div>
  );
}

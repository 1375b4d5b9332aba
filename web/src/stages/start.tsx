// The start page: the grafts of this folder, a new one, the demo. On the first visit a copy of the demo opens by itself.

import { useLayoutEffect, useState } from "preact/hooks";
import type { GraftEntry, Problem } from "../api_types";
import { show_message } from "../message";
import { create_graft } from "../net/graft";
import { ask } from "../net/request";
import { Problems } from "../parts/problems";
import { go, route_to } from "../route";
import { Topbar } from "../topbar";

// Makes a file name from a title: letters and digits, joined by hyphens.
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

async function create(title: string, example: boolean, taken: string[]): Promise<void> {
  const name = name_from(example ? "demo" : title, taken);
  const created = await create_graft(name, title, example);
  if (created.ok) go(route_to(name, example ? "compare" : "gather"));
  else show_message(created.problems.map((problem) => `${problem.message} ${problem.remedy ?? ""}`).join(" "), "error");
}

const when = (time: string) => {
  const date = new Date(time);
  return Number.isNaN(date.getTime()) ? time : date.toLocaleString([], { dateStyle: "medium", timeStyle: "short" });
};

function GraftList({ grafts }: { grafts: GraftEntry[] }) {
  return (
    <ul class="cards">
      {grafts.map((entry) => (
        <li key={entry.name} class="sheet card">
          <a href={route_to(entry.name, "gather")}>{entry.title || entry.name}</a>
          {entry.problems ? (
            <Problems list={entry.problems} />
          ) : (
            <span class="soft">
              changed {when(entry.changed)} · {entry.name}.graft
            </span>
          )}
        </li>
      ))}
    </ul>
  );
}

function NewGraft({ taken }: { taken: string[] }) {
  const [title, set_title] = useState("");
  return (
    <form
      class="sheet stack"
      onSubmit={(event) => {
        event.preventDefault();
        if (title.trim()) void create(title.trim(), false, taken);
      }}
    >
      <h2>New graft</h2>
      <label class="field">
        <span class="field-name">What do you fit, and into which vehicle?</span>
        <input value={title} required onInput={(event) => set_title(event.currentTarget.value)} placeholder="Cruise control, 2004 pickup" />
      </label>
      <div class="buttons">
        <button type="submit" class="primary">
          Start
        </button>
      </div>
    </form>
  );
}

const visited_key = "loomgraft.welcomed";

function is_first_visit(): boolean {
  try {
    const first = localStorage.getItem(visited_key) === null;
    localStorage.setItem(visited_key, "yes");
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
  const read = async () => {
    const answer = await ask<{ grafts: GraftEntry[] }>("/api/grafts");
    if (!answer.ok) {
      set_problems(answer.problems);
      return;
    }
    set_grafts(answer.value.grafts);
    if (answer.value.grafts.length === 0 && is_first_visit()) await create(demo_title, true, []);
  };
  useLayoutEffect(() => {
    document.title = "Loomgraft";
    void read().then(() => set_opening(false));
  }, []);
  if (opening) return <Opening />;
  const taken = (grafts ?? []).map((entry) => entry.name);
  return (
    <div class="frame frame-start">
      <Topbar />
      <main id="sheet" tabIndex={-1}>
        <h1>Grafts</h1>
        <Problems list={problems} />
        {grafts && grafts.length > 0 && <GraftList grafts={grafts} />}
        {grafts?.length === 0 && (
          <p class="lead">
            A graft is one job: you fit a control module or a feature that this vehicle never had. It covers everything from the pin tables
            to the final record. Nothing leaves this computer.
          </p>
        )}
        <NewGraft taken={taken} />
        <section class="sheet stack">
          <h2>The demo</h2>
          <p>
            An invented box van gets a power take-off. Two sources disagree, the donor would burn out a driver, and in the end the loom is
            right.
          </p>
          <div class="buttons">
            <button type="button" onClick={() => void create(demo_title, true, taken)}>
              Open a copy of the demo
            </button>
          </div>
        </section>
        <p class="caution">
          Disconnect battery negative before you open a plug. Do not use this tool for airbag, pretensioner or high-voltage circuits. A pin
          table can be wrong: if someone's safety depends on it, measure it on the vehicle.
        </p>
      </main>
    </div>
  );
}

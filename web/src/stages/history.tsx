// History: every change with its author and time, the newest first.

import { useEffect, useState } from "preact/hooks";
import type { Problem, Revision } from "../api_types";
import { type ChangeList, changes_of } from "../model/changes";
import { graft } from "../net/graft";
import { ask, graft_path } from "../net/request";
import { Problems } from "../parts/problems";
import { Copies } from "./copies";

const page = 50;

function date_text(time: string, format: Intl.DateTimeFormatOptions): string {
  const date = new Date(time);
  return Number.isNaN(date.getTime()) ? "" : date.toLocaleString([], format);
}

const day_of = (time: string): string => date_text(time, { dateStyle: "full" }) || "Day not known";
const clock_of = (time: string): string => date_text(time, { timeStyle: "short" }) || time;

type Entry = Revision & ChangeList;

// The newest day first, as the list is.
function by_day(list: readonly Entry[]): [string, Entry[]][] {
  const days = new Map<string, Entry[]>();
  for (const one of list) days.set(day_of(one.time), [...(days.get(day_of(one.time)) ?? []), one]);
  return [...days];
}

const kind_text = { edit: "", undo: "Undo: ", redo: "Redo: " };

function Change({ one }: { one: Entry }) {
  const [first, ...rest] = changes_of(one);
  return (
    <div class="history-change">
      <p class="history-what">
        {kind_text[one.kind]}
        {first || "change"}
        {one.undone && <strong> (undone)</strong>}
      </p>
      <p class="soft history-who">
        {clock_of(one.time)}, {one.author || "no name"}
      </p>
      {rest.length > 0 && (
        <details>
          <summary>
            {rest.length} more {rest.length === 1 ? "change" : "changes"} with it
          </summary>
          <ul>
            {rest.map((text, index) => (
              <li key={index}>{text}</li>
            ))}
          </ul>
        </details>
      )}
    </div>
  );
}

export function HistoryStage() {
  const name = graft.value?.name ?? "";
  const revision = graft.value?.revision ?? 0;
  const [count, set_count] = useState(page);
  const [shows_copies, set_shows_copies] = useState(false);
  const [list, set_list] = useState<Entry[]>([]);
  const [problems, set_problems] = useState<Problem[]>([]);
  useEffect(() => {
    const control = new AbortController();
    const path = graft_path(name, `/history?count=${count}`);
    void ask<{ revisions: Entry[] }>(path, { signal: control.signal }).then((answer) => {
      if (control.signal.aborted) return;
      if (answer.ok) set_list([...answer.value.revisions].sort((a, b) => b.revision - a.revision));
      set_problems(answer.ok ? [] : answer.problems);
    });
    return () => control.abort();
  }, [name, revision, count]);
  return (
    <section class="sheet stack" aria-label="Changes">
      <div class="buttons no-print">
        <a class="button" href={graft_path(name, "/export")} download={`${name}.json`}>
          Download the document
        </a>
        <span class="soft">the graft as it is now, with its readings</span>
      </div>
      <details class="no-print" onToggle={(event) => set_shows_copies(event.currentTarget.open)}>
        <summary>Copies</summary>
        {shows_copies && <Copies name={name} may_make />}
      </details>
      <Problems list={problems} />
      {by_day(list).map(([day, changes]) => (
        <div key={day}>
          <h2 class="history-day">{day}</h2>
          <ol class="history">
            {changes.map((one) => (
              <li key={one.revision} class={one.undone ? "undone" : ""}>
                <span class="history-number">{one.revision}</span>
                <Change one={one} />
              </li>
            ))}
          </ol>
        </div>
      ))}
      {list.length >= count && (
        <button type="button" onClick={() => set_count(count + page)}>
          Older changes
        </button>
      )}
    </section>
  );
}

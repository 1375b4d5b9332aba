// Search: what is typed is looked for in the whole job. Enter opens the best result, arrow keys choose another.

import { useEffect, useMemo, useRef, useState } from "preact/hooks";
import type { CompareReport, ProveReport } from "./api_types";
import { close_dialog } from "./dialogs";
import { compare_path, prove_path, stage_names } from "./findings";
import { type Hit, type HitGroup, search } from "./model/search";
import { graft } from "./net/graft";
import { report_at_hand } from "./net/report";
import { Dialog } from "./parts/dialog";
import { go, route_to } from "./route";

const address_of = (name: string, { stage, query }: Hit) => route_to(name, stage, query);

function Group({ name, group }: { name: string; group: HitGroup }) {
  return (
    <section aria-label={group.title}>
      <h3>
        {group.title} <span class="soft">{group.count}</span>
      </h3>
      <ul class="hits">
        {group.hits.map((hit) => (
          <li key={hit.key}>
            <a class="hit" href={address_of(name, hit)} onClick={close_dialog}>
              <span class="hit-name">{hit.name}</span>
              <span class="soft">{hit.detail}</span>
              <span class="hit-stage">{stage_names[hit.stage]}</span>
            </a>
          </li>
        ))}
      </ul>
      {group.hits.length < group.count && <p class="soft">Type more to see the other {group.count - group.hits.length}.</p>}
    </section>
  );
}

const steps: Record<string, number> = { ArrowDown: 1, ArrowUp: -1 };

// Arrow keys go from the field through the results and back.
function move(box: HTMLElement, event: KeyboardEvent): void {
  const step = steps[event.key];
  if (step === undefined) return;
  const stops: (Element | null)[] = Array.from(box.querySelectorAll("input, .hit"));
  const next = stops[Math.min(stops.length - 1, Math.max(0, stops.indexOf(document.activeElement) + step))];
  if (next instanceof HTMLElement) next.focus();
  event.preventDefault();
}

export function SearchDialog() {
  const open = graft.value;
  const [text, set_text] = useState("");
  const box = useRef<HTMLDivElement>(null);
  const field = useRef<HTMLInputElement>(null);
  useEffect(() => field.current?.focus(), []);
  const compare = open && report_at_hand<CompareReport>(compare_path(open.doc));
  const prove = open && report_at_hand<ProveReport>(prove_path(open.doc));
  const groups = useMemo(() => (open ? search(text, { doc: open.doc, compare, prove }) : []), [open?.doc, compare, prove, text]);
  if (!open) return null;
  const first = groups[0]?.hits[0];
  const open_first = () => {
    if (!first) return;
    close_dialog();
    go(address_of(open.name, first));
  };
  return (
    <Dialog title="Search" close={close_dialog}>
      <div class="stack search" ref={box} onKeyDown={(event) => box.current && move(box.current, event)}>
        <form
          onSubmit={(event) => {
            event.preventDefault();
            open_first();
          }}
        >
          <label class="field">
            <span class="field-name">A cavity, signal, wire, device, module or step</span>
            <input ref={field} type="search" value={text} placeholder="C2-31" onInput={(event) => set_text(event.currentTarget.value)} />
          </label>
        </form>
        <p class="visually-hidden" role="status">
          {text.trim() && `${groups.reduce((sum, group) => sum + group.count, 0)} found`}
        </p>
        {groups.map((group) => (
          <Group key={group.title} name={open.name} group={group} />
        ))}
        {text.trim() && groups.length === 0 && <p>Nothing in this job has “{text.trim()}”.</p>}
        {!prove && <p class="soft">Steps of the test plan are found once Prove has been open.</p>}
      </div>
    </Dialog>
  );
}

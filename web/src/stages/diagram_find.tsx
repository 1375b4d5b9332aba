// Beside the diagram: a search for wires, devices and cavities, and the list of all.

import { useState } from "preact/hooks";
import type { Graft } from "../api_types";
import { find_wire } from "../model/document";
import { type FoundPart, search_parts } from "../model/part_search";
import { ShowAll, use_shortened } from "../parts/shortened";
import { Wire } from "../parts/wire";
import { narrow } from "./compare_face";

interface Props {
  graft: Graft;
  at: string;
  pick: (id: string) => void;
}

function Hit({ graft, hit, at, pick }: Props & { hit: FoundPart }) {
  const wire = hit.kind === "wire" ? find_wire(graft, hit.id)?.wire : undefined;
  return (
    <li>
      <button type="button" aria-pressed={hit.id === at} onClick={() => pick(hit.id)}>
        {wire && <Wire colour={wire.colour} />}
        <span>
          {hit.name} <span class="soft">{hit.detail}</span>
        </span>
      </button>
    </li>
  );
}

const shown_at_first = 12;

function Hits({ title, list, ...props }: Props & { title: string; list: FoundPart[] }) {
  const { shown, rest, show_all } = use_shortened(list, shown_at_first, ({ id }) => id === props.at);
  if (list.length === 0) return null;
  return (
    <>
      <h2>
        {title} ({list.length})
      </h2>
      <ul>
        {shown.map((hit) => (
          <Hit key={hit.id} hit={hit} {...props} />
        ))}
      </ul>
      <ShowAll rest={rest} show_all={show_all} count={list.length} />
    </>
  );
}

export function FindPart(props: Props) {
  const [text, set_text] = useState("");
  const hits = search_parts(props.graft, text);
  // On a phone the list would push everything else away: it comes with the search.
  const listed = text.trim() !== "" || !narrow();
  const take_first = (event: KeyboardEvent) => {
    const [first] = hits;
    if (event.key !== "Enter" || text.trim() === "" || !first) return;
    event.preventDefault();
    if (first.id !== props.at) props.pick(first.id);
  };
  return (
    <section class="sheet parts no-print" aria-label="Wires and devices">
      <label class="field">
        <span class="field-name">Find a wire, device or cavity</span>
        <input
          type="search"
          value={text}
          placeholder="C2-31, fuse 31, lamp …"
          onInput={(event) => set_text(event.currentTarget.value)}
          onKeyDown={take_first}
        />
      </label>
      {listed && hits.length === 0 && (
        <p class="soft" role="status">
          Nothing of that name in the loom or the plan.
        </p>
      )}
      {listed && hits.length > 0 && (
        <div class="parts-list scroll" tabIndex={0} role="region" aria-label="Wires and devices, list">
          <Hits {...props} title="Devices" list={hits.filter(({ kind }) => kind === "device")} />
          <Hits {...props} title="Wires" list={hits.filter(({ kind }) => kind === "wire")} />
        </div>
      )}
    </section>
  );
}

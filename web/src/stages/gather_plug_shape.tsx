// The shape of a plug: rows, gaps, large cavities, where numbering begins, latch and view, beside the drawing of its face.

import { useState } from "preact/hooks";
import type { Connector, Graft, View } from "../api_types";
import { connector_name } from "../model/document";
import { set_plug } from "../model/pin_edits";
import {
  blank_shape,
  type Corner,
  cavities_in_use,
  corners,
  mirrored_shape,
  type PlugShape,
  renumbered,
  row_of_text,
  row_text,
  rows_of,
  shape_of,
  shape_problem,
  turned_shape,
} from "../model/plug_shape";
import { change } from "../net/edit";
import { Drawing } from "../parts/drawing";
import { Choice, Field, Select } from "../parts/field";

const views: readonly (readonly [View, string])[] = [
  ["wire_entry", "wire-entry side"],
  ["mating", "mating side"],
  ["unknown", "not known"],
];
type Latch = NonNullable<Connector["latch"]>;
const latches: readonly (readonly [Latch, string])[] = [
  ["top", "top"],
  ["bottom", "bottom"],
  ["left", "left"],
  ["right", "right"],
  ["unknown", "not known"],
];

const most_rows = 12;

function save(plug: Connector, what: string, values: Parameters<typeof set_plug>[2]): void {
  void change(`${what} of plug ${connector_name(plug)}`, (now) => set_plug(now, plug.id, values));
}

function Facts({ plug }: { plug: Connector }) {
  const text = (label: string, member: "name" | "part" | "housing_colour" | "keying" | "origin") => (
    <Field label={label} value={plug[member] ?? ""} take={(value) => save(plug, label.toLowerCase(), { [member]: value || undefined })} />
  );
  return (
    <div class="stack">
      <div class="row">
        {text("Name", "name")}
        {text("Part number", "part")}
        {text("Housing colour", "housing_colour")}
        {text("Keyed by", "keying")}
        {text("Where cavity 1 is", "origin")}
      </div>
      <Choice
        label="The rows are listed as seen from the"
        value={plug.view ?? "unknown"}
        choices={views}
        take={(view) => save(plug, "view", { view: view === "unknown" ? undefined : view })}
      />
      <Choice
        label="Side of the latch in that view"
        value={plug.latch ?? "unknown"}
        choices={latches}
        take={(latch) => save(plug, "latch", { latch: latch === "unknown" ? undefined : latch })}
      />
    </div>
  );
}

// The rows as text. A draft until it is saved: half a plug is never stored.
function Rows({ graft, plug }: { graft: Graft; plug: Connector }) {
  const stored = shape_of(plug.rows ?? []);
  const [draft, set_draft] = useState<string[] | null>(null);
  const [corner, set_corner] = useState<Corner>("top left");
  const lines = draft ?? (stored.length > 0 ? stored : blank_shape([8])).map(row_text);
  const shape: PlugShape = lines.map(row_of_text).filter((row) => row.length > 0);
  const problem = shape_problem(shape, cavities_in_use(graft, plug));
  const put = (next: PlugShape) => set_draft(next.map(row_text));
  const store = () => {
    save(plug, "shape", { rows: rows_of(shape, plug.rows ?? []), rows_guessed: undefined });
    set_draft(null);
  };
  return (
    <div class="shape-edit">
      <p class="soft">
        Cavities from left to right, as seen from the side stated above. <strong>_</strong> is a gap; a large cavity is in brackets: 1 2 _
        (3) 4.
        {plug.rows_guessed && " The rows are laid out by the program and come from no source: correct them by looking at the plug."}
      </p>
      {lines.map((line, index) => (
        <label key={index} class="field">
          <span class="field-name">Row {index + 1}</span>
          <span class="field-box">
            <input
              value={line}
              spellcheck={false}
              autocomplete="off"
              onInput={(event) => set_draft(lines.map((one, at) => (at === index ? event.currentTarget.value : one)))}
            />
          </span>
        </label>
      ))}
      <div class="buttons">
        <button type="button" disabled={lines.length >= most_rows} onClick={() => set_draft([...lines, ""])}>
          Add a row
        </button>
        <button type="button" disabled={lines.length <= 1} onClick={() => set_draft(lines.slice(0, -1))}>
          Remove the last row
        </button>
        <button type="button" onClick={() => put(mirrored_shape(shape))}>
          Mirror left and right
        </button>
        <button type="button" onClick={() => put(turned_shape(shape))}>
          Turn it round
        </button>
      </div>
      <div class="row">
        <Select label="Number the cavities from" value={corner} choices={corners.map((name) => [name, name] as const)} take={set_corner} />
        <button type="button" onClick={() => put(renumbered(shape, corner))}>
          Number them again
        </button>
      </div>
      {draft && problem && (
        <p class="doubt" role="status">
          {problem}
        </p>
      )}
      <div class="buttons">
        <button type="button" class="primary" disabled={!draft || problem !== ""} onClick={store}>
          Save the shape
        </button>
        {draft && (
          <button type="button" onClick={() => set_draft(null)}>
            As it was
          </button>
        )}
      </div>
    </div>
  );
}

export function PlugShapeEditor({ graft, plug }: { graft: Graft; plug: Connector }) {
  return (
    <div class="stack">
      <Facts plug={plug} />
      <div class="shape-columns">
        <Rows graft={graft} plug={plug} />
        {(plug.rows?.length ?? 0) > 0 && (
          <Drawing
            path={`/drawings/face/${encodeURIComponent(plug.id)}?side=${plug.view === "mating" ? "mating" : "wire_entry"}`}
            label={`Face of plug ${connector_name(plug)}`}
            part="data-cavity"
          />
        )}
      </div>
    </div>
  );
}

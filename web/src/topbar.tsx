// The top bar of every screen of a graft: title, undo and redo, connection, settings.

import { useState } from "preact/hooks";
import { edits_in_progress, redo, undo } from "./net/edit";
import { connection } from "./net/events";
import { graft } from "./net/graft";
import { Badge } from "./parts/badge";
import { Settings } from "./settings_dialog";

const arrows = {
  Undo: "M6 2.5L2 6.5L6 10.5 M2 6.5H9.5A3.5 3.5 0 0 1 9.5 13.5H6",
  Redo: "M10 2.5L14 6.5L10 10.5 M14 6.5H6.5A3.5 3.5 0 0 0 6.5 13.5H10",
};

// With its name where there is space; on a phone the title needs the space.
function Arrow({ name, can, keys, act }: { name: keyof typeof arrows; can: boolean; keys: string; act: () => Promise<unknown> }) {
  return (
    <button type="button" class="arrow" aria-label={name} disabled={!can} onClick={() => void act()} title={`${name} (${keys})`}>
      <svg viewBox="0 0 16 16" width="20" height="20" aria-hidden="true" focusable="false">
        <path d={arrows[name]} fill="none" stroke="currentColor" stroke-width="1.8" stroke-linecap="round" stroke-linejoin="round" />
      </svg>
      <span>{name}</span>
    </button>
  );
}

function ConnectionState() {
  if (edits_in_progress.value > 0) return <span class="connection">saving …</span>;
  const text = { connected: "saved", connecting: "connecting …", lost: "no connection, retrying …" }[connection.value];
  return <span class={`connection connection-${connection.value}`}>{text}</span>;
}

export function Topbar() {
  const [settings, set_settings] = useState(false);
  const open = graft.value;
  return (
    <header class="topbar no-print">
      <a class="home" href="#/" aria-label="All grafts">
        <Badge />
      </a>
      <span class="title">{open ? open.doc.title || open.name : "Loomgraft"}</span>
      <span class="topbar-tools">
        {open && (
          <>
            <span role="status">
              <ConnectionState />
            </span>
            <Arrow name="Undo" can={open.can_undo} keys="Ctrl+Z" act={undo} />
            <Arrow name="Redo" can={open.can_redo} keys="Ctrl+Shift+Z" act={redo} />
          </>
        )}
        <button type="button" onClick={() => set_settings(true)}>
          Settings
        </button>
      </span>
      {settings && <Settings close={() => set_settings(false)} />}
    </header>
  );
}

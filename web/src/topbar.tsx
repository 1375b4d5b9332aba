// The head of every screen of a graft: what it is, undo and redo, whether the link stands, settings.

import { useState } from "preact/hooks";
import { redo, undo, busy } from "./net/edit";
import { graft } from "./net/graft";
import { link } from "./net/live";
import { Badge } from "./parts/badge";
import { Settings } from "./settings_dialog";

const arrows = { Undo: "M6 2.5L2 6.5L6 10.5 M2 6.5H9.5A3.5 3.5 0 0 1 9.5 13.5H6", Redo: "M10 2.5L14 6.5L10 10.5 M14 6.5H6.5A3.5 3.5 0 0 0 6.5 13.5H10" };

// In words where there is room; on a phone the room is the title's.
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

function LinkState() {
  if (busy.value > 0) return <span class="link-state">saving …</span>;
  const words = { joined: "saved", joining: "joining …", none: "no link: it is tried again" }[link.value];
  return <span class={`link-state link-${link.value}`}>{words}</span>;
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
              <LinkState />
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

// The head of every screen of a graft: what it is, undo and redo, whether the link stands, settings.

import { useState } from "preact/hooks";
import { redo, undo, busy } from "./net/edit";
import { graft } from "./net/graft";
import { link } from "./net/live";
import { Settings } from "./settings_dialog";

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
        <img src="/icon.svg" alt="" width="28" height="28" />
      </a>
      <span class="title">{open ? open.doc.title || open.name : "Loomgraft"}</span>
      <span class="topbar-tools">
        {open && (
          <>
            <span role="status">
              <LinkState />
            </span>
            <button type="button" disabled={!open.can_undo} onClick={() => void undo()} title="Ctrl+Z">
              Undo
            </button>
            <button type="button" disabled={!open.can_redo} onClick={() => void redo()} title="Ctrl+Shift+Z">
              Redo
            </button>
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

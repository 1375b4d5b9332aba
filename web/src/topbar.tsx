// The top bar of every screen: the job's title, search, undo and redo, connection, help, settings.

import type { JSX } from "preact";
import { close_dialog, type DialogName, open_dialog, use_dialog_keys } from "./dialogs";
import { HelpDialog } from "./help_dialog";
import { JobDialog } from "./job_dialog";
import { count_of, counts_text } from "./model/waiting_text";
import { edits_in_progress, redo, undo } from "./net/edit";
import { connection } from "./net/events";
import { graft, type OpenGraft } from "./net/graft";
import { waiting_for } from "./net/waiting";
import { Badge } from "./parts/badge";
import { route } from "./route";
import { SearchDialog } from "./search_dialog";
import { Settings } from "./settings_dialog";
import { WaitingDialog } from "./waiting/waiting_dialog";

const pictures = {
  Undo: "M6 2.5L2 6.5L6 10.5 M2 6.5H9.5A3.5 3.5 0 0 1 9.5 13.5H6",
  Redo: "M10 2.5L14 6.5L10 10.5 M14 6.5H6.5A3.5 3.5 0 0 0 6.5 13.5H10",
  Search: "M7 2A4.7 4.7 0 1 1 6.9 2 M10.400 10.500L14 14",
  Help: "M5.5 5.500C5.5 2.5 10.5 2.5 10.5 5.700C10.5 8 8 7.8 8 10M8 12.900V13.2",
  Settings: "M2 4.500H8.500 M12 4.500H14 M10.200 2.500V6.500 M2 11.500H4 M7.500 11.500H14 M5.700 9.500V13.5",
};

interface ToolProps {
  name: keyof typeof pictures;
  keys?: string;
  can?: boolean;
  act: () => unknown;
}

// With its name where there is space; on a phone the title needs the space.
function Tool({ name, keys, can = true, act }: ToolProps) {
  const title = keys ? `${name} (${keys})` : name;
  return (
    <button
      type="button"
      class={`arrow tool-${name.toLowerCase()}`}
      aria-label={name}
      disabled={!can}
      onClick={() => void act()}
      title={title}
    >
      <svg viewBox="0 0 16 16" width="20" height="20" aria-hidden="true" focusable="false">
        <path d={pictures[name]} fill="none" stroke="currentColor" stroke-width="1.8" stroke-linecap="round" stroke-linejoin="round" />
      </svg>
      <span>{name}</span>
    </button>
  );
}

function ConnectionState({ graft }: { graft: string }) {
  const row = waiting_for(graft);
  if (row && connection.value !== "connected") {
    const count = count_of(row);
    return <span class="connection connection-lost">no connection, {count === 1 ? "1 entry waits" : `${count} entries wait`}</span>;
  }
  if (row?.reason) return <span class="connection connection-lost">not sent: {counts_text(row)}</span>;
  if (edits_in_progress.value > 0) return <span class="connection">saving …</span>;
  const text = { connected: "saved", connecting: "connecting …", lost: "no connection, retrying …" }[connection.value];
  return <span class={`connection connection-${connection.value}`}>{text}</span>;
}

const show = (name: DialogName) => () => {
  open_dialog.value = name;
};

function JobTitle({ open }: { open: OpenGraft }) {
  return (
    <button
      type="button"
      class="title job-title"
      aria-haspopup="dialog"
      title="Job: title, customer, vehicle, export"
      onClick={show("job")}
    >
      <span>{open.doc.title || open.name}</span>
    </button>
  );
}

const dialogs: Record<DialogName, () => JSX.Element | null> = {
  job: JobDialog,
  search: SearchDialog,
  help: HelpDialog,
  settings: () => <Settings close={close_dialog} />,
  waiting: WaitingDialog,
};

export function Topbar() {
  use_dialog_keys();
  // While a job is being created it is there, but not on the screen yet.
  const open = graft.value?.name === route.value.graft ? graft.value : null;
  const Shown = open_dialog.value && dialogs[open_dialog.value];
  return (
    <header class="topbar no-print">
      <a class="home" href="#/" aria-label="All jobs">
        <Badge />
      </a>
      {open ? <JobTitle open={open} /> : <span class="title">Loomgraft</span>}
      <span class="topbar-tools">
        {open && (
          <>
            <span role="status">
              <ConnectionState graft={open.name} />
            </span>
            <Tool name="Search" keys="/" act={show("search")} />
            <Tool name="Undo" can={open.can_undo} keys="Ctrl+Z" act={undo} />
            <Tool name="Redo" can={open.can_redo} keys="Ctrl+Shift+Z" act={redo} />
          </>
        )}
        <Tool name="Help" keys="?" act={show("help")} />
        <Tool name="Settings" act={show("settings")} />
      </span>
      {Shown && <Shown />}
    </header>
  );
}
